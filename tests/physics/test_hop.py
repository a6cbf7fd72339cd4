"""One hop: triangles by other routes, Friis' law, the signal meter's scale; hints for every band there is."""

import math

import pytest

from optimizer.physics.bands import band_table
from optimizer.physics.hop import EARTH_KM, MIRROR_KM, elevation_deg, s_words, slant_km, spreading_db
from optimizer.physics.openings import openings

C = 299_792_458.0  # m/s, exact (SI)


def test_straight_up_it_goes_twice_the_height():
    assert slant_km(0.0) == pytest.approx(2 * MIRROR_KM) and elevation_deg(0.0) == pytest.approx(90.0)


@pytest.mark.parametrize("ground_km", [50.0, 300.0])
def test_near_by_the_earth_is_flat_but_for_the_sagitta(ground_km):
    """The mirror stands d^2 / 8R farther above the chord than above the ground between."""
    assert slant_km(ground_km) == pytest.approx(2 * math.hypot(MIRROR_KM + ground_km**2 / (8 * EARTH_KM), ground_km / 2), rel=1e-4)


def test_the_longest_hop_leaves_along_the_horizon():
    """Tangent: d = 2 R acos(R / (R + h)), slant 2 sqrt((R + h)^2 - R^2)."""
    ground = 2 * EARTH_KM * math.acos(EARTH_KM / (EARTH_KM + MIRROR_KM))
    assert elevation_deg(ground) == pytest.approx(0.0, abs=1e-6)
    assert slant_km(ground) == pytest.approx(2 * math.sqrt((EARTH_KM + MIRROR_KM) ** 2 - EARTH_KM**2))
    assert 5.0 < elevation_deg(2000.0) < 20.0 and elevation_deg(300.0) > 60.0  # where far and near contacts leave


@pytest.mark.parametrize("freq_hz, way_km", [(3.65e6, 608.0), (14.1e6, 2120.0)])
def test_spreading_is_friis_law(freq_hz, way_km):
    """(4 pi d f / c)^2, H. T. Friis, Proc. IRE, May 1946; the recommendation rounds 32.45 to 32.4."""
    assert spreading_db(freq_hz, way_km) == pytest.approx(20 * math.log10(4 * math.pi * 1e3 * way_km * freq_hz / C), abs=0.06)


@pytest.mark.parametrize("dbm, words", [(-73, "S9"), (-79, "S8"), (-121, "S1"), (-140, "S0"), (-53, "S9+20 dB")])
def test_signal_meter(dbm, words):
    """IARU Region 1 Technical Recommendation R.1 (from memory): S9 = -73 dBm below 30 MHz, 6 dB a step."""
    assert s_words(dbm) == words


def test_every_band_has_a_hint_with_a_source():
    assert set(openings()) >= {b for region in (1, 2, 3) for b in band_table(region)}
    assert all(near and far and source for near, far, source in openings().values())
