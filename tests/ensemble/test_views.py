"""Bands of curves and sky over gardens, against closed forms: dips at c/2L, quantiles of known rows, one garden that is its own band."""

import json
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "families"))
from lots import plain, wish

from optimizer.ensemble.builder import Look
from optimizer.ensemble.spread import spread_of
from optimizer.ensemble.views import curve_band, first_band
from optimizer.evaluate import Storey, judge, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.report.design_file import band_object, trimming_of
from optimizer.search.plain import packed, unpacked
from optimizer.spread import edges, shown_hz, with_choke

C = 299_792_458.0  # m/s, exact (SI)


def v_curve(dip_hz):
    freq = np.linspace(0.9 * dip_hz, 1.1 * dip_hz, 4001)
    return freq, 1.0 + 200.0 * np.abs(freq / dip_hz - 1.0)


def test_edges_are_the_order_statistics_of_nine_rows():
    """Rank k of n stands at (k - 1/3)/(n + 1/3) (Hyndman and Fan 1996, type 8): of nine, 10 % at rank 1/3 + 28/30 = 19/15, 90 % at 131/15."""
    rows = np.random.default_rng(1).permutation(np.arange(1.0, 10.0))
    low, high = edges([[v, 10 * v] for v in rows])
    assert low == pytest.approx((19 / 15, 190 / 15)) and high == pytest.approx((131 / 15, 1310 / 15))


def test_a_curve_band_holds_curve_and_dip_of_four_of_five():
    freq = np.linspace(6.9e6, 7.3e6, 801)
    dips = np.linspace(7.0e6, 7.2e6, 9)
    band = curve_band(freq, [1.0 + 200.0 * np.abs(freq / d - 1.0) for d in dips])
    step = 0.2e6 / 8  # 10 % at 4/15 of the way from the least of nine to the next
    assert band.dip_hz == pytest.approx((7.0e6 + 4 / 15 * step, 7.2e6 - 4 / 15 * step), abs=2e3)
    assert min(band.low) == pytest.approx(1.0 + 4 / 15 * 200.0 * 0.025 / 7.1, abs=0.01)  # at a dip: 4/15 of the way from 1 to the next curve
    assert min(band.high) > 1.5
    assert all(a <= b for a, b in zip(band.low, band.high))


def test_a_first_reading_is_where_the_gardens_read_and_is_shown_up_to_the_aim():
    """Half waves c/2L of 21.5 m in nine gardens that read up to 1 % off: the ends lie 4/15 of the way from the outermost to the next, by type 8."""
    looks = []
    for share in np.linspace(0.99, 1.01, 9):
        freq, swr = v_curve(share * C / 43.0)
        looks.append(Look(freq_hz=freq, swr=swr, lengths_m={"a": 21.5}))
    band = first_band(7.1e6, looks)
    inward = 4 / 15 * 0.02 / 8
    assert band.dip_hz == pytest.approx(((0.99 + inward) * C / 43.0, (1.01 - inward) * C / 43.0), rel=1e-4)
    assert band.freq_hz[0] < band.dip_hz[0] and band.freq_hz[-1] > 7.1e6 > band.dip_hz[1]


@pytest.fixture(scope="module")
def judged():
    site, wishes, family = plain(width=26.0), wish("20m"), FAMILIES["dipole"]
    values = next(v for v in family.starts(site, wishes) if place(site, wishes, family, v).design)
    found = measure(site, wishes, family, place(site, wishes, family, values).design, Storey(name="small", nodes=5))
    return judge(site, wishes, family, replace(found, spread=spread_of(site, wishes, family, found.values, members=3))), site


def test_a_real_spread_fills_the_design_file(judged):
    evaluation, site = judged
    band = band_object(site, evaluation, "20m")
    assert len(band["radio_swr_low"]) == len(band["radio_swr_high"]) == len(band["case"]["frequencies_mhz"])
    assert all(1.0 <= a <= b for a, b in zip(band["radio_swr_low"], band["radio_swr_high"]))
    low_hz, high_hz = shown_hz(14.0e6, 14.35e6)
    assert band["meter_swr"]["frequencies_mhz"][0] == pytest.approx(low_hz / 1e6) and band["meter_swr"]["frequencies_mhz"][-1] == pytest.approx(high_hz / 1e6)
    sky = band["sky"]
    for cut, angles in (("by_elevation", "elevations_deg"), ("far", "bearings_deg"), ("near", "bearings_deg")):
        assert len(sky[f"{cut}_low_dbi"]) == len(sky[f"{cut}_high_dbi"]) == len(sky[angles])
        assert all(a <= b for a, b in zip(sky[f"{cut}_low_dbi"], sky[f"{cut}_high_dbi"]))
    first = trimming_of(evaluation)[0]["first_reading"]
    assert first["dip_low_mhz"] <= first["dip_high_mhz"] < trimming_of(evaluation)[0]["aim_mhz"] * 1.01
    json.dumps(band, allow_nan=False)


def test_the_first_reading_is_that_of_the_length_the_sheet_has_cut(judged):
    """A half wave cut longer by a share reads lower by that share; three gardens differ by 1.5 % at most."""
    step = trimming_of(judged[0])[0]
    assert step["allowance_m"] >= 0.03 * step["computed_m"]
    reads = step["aim_mhz"] * step["computed_m"] / step["cut_m"]
    assert step["first_reading"]["dip_low_mhz"] == pytest.approx(reads, rel=0.015)


def test_a_choke_that_takes_half_costs_three_decibels(judged):
    """10 log 2 = 3.01 dB off gains and sky, half the efficiency; SWR and length as they were."""
    plain = judged[0].spread
    choked = with_choke(plain, {"20m": 0.5})
    for a, b in zip(plain.gardens, choked.gardens):
        assert b["20m"]["efficiency"] == pytest.approx(a["20m"]["efficiency"] / 2) and b["20m"]["swr_best"] == a["20m"]["swr_best"]
        assert all(b["20m"][f] == pytest.approx(a["20m"][f] - 3.0103, abs=1e-3) for f in ("gain_near_dbi", "gain_far_dbi"))
    for cut in ("by_elevation_db", "far_db", "near_db"):
        assert np.array(getattr(choked.views["20m"], cut)) == pytest.approx(np.array(getattr(plain.views["20m"], cut)) - 3.0103, abs=1e-3)
    assert choked.order == plain.order and choked.views["20m"].meter == plain.views["20m"].meter


def test_a_spread_with_its_views_comes_back_from_json(judged):
    spread = judged[0].spread
    assert unpacked(json.loads(json.dumps(packed(spread)))) == spread


def test_figures_and_curves_tell_the_same_story(judged):
    """With three members the 10 and 90 % quantiles are the least and the greatest: the curves' least SWR is the figure's."""
    spread = judged[0].spread
    inside = [(f, v) for f, v in zip(spread.views["20m"].radio.freq_hz, spread.views["20m"].radio.low) if 14.0e6 <= f <= 14.35e6]
    assert min(v for _, v in inside) == pytest.approx(min(g["20m"]["swr_best"] for g in spread.gardens), abs=0.01)
