"""What the sheet says to expect: reach against a really solved dipole, bands over gardens, plain words."""

import math
import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import numpy as np
import pytest

from optimizer.physics.soil import Soil
from optimizer.physics.wishes import BandWish, WishList
from optimizer.sheet import curves, reach
from optimizer.sheet import sky as sky_drawing
from optimizer.sheet.built import read_built
from optimizer.sheet.content import document
from optimizer.sheet.filed import meter_filed, sky_filed
from optimizer.sheet.model import Figures, Table
from optimizer.sheet.readings import expected
from optimizer.sheet.solved import ELEVATIONS_DEG, SolvedBand, solved_bands
from optimizer.sheet.units import Units
from optimizer.sheet.zone import zone_of
from optimizer.wires.model import Ground

YARD = Path(__file__).parent / "data" / "yard"
WISH = BandWish(key="40m", band="40m", segment="all", low_hz=7.0e6, high_hz=7.2e6)
SOIL = Ground(kind="soil", soil=Soil(relative_permittivity=13.0, conductivity_s_per_m=0.005))
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def judged():
    """The filed loaded tail, judged in 24 gardens."""
    return read_built(YARD, 3)


@pytest.fixture(scope="module")
def page(judged):
    return document(judged, Units())


def section(page, key):
    return next(s for s in page.sections if s.key == key)


def test_the_dipole_is_a_resonant_half_wave():
    """Free space: 2.15 dBi and some 72 ohm of radiation resistance at resonance, 0.47 to 0.49 wavelengths (Balanis, Antenna Theory, ch. 4 and 8)."""
    found = reach.dipole(12.0, WISH, Ground(kind="none"))
    z, length = found.z_ohm[0], found.wires[0].length_m
    assert abs(z.imag) < 0.5 and z.real == pytest.approx(72.0, abs=2.0)
    assert 0.47 < length * 7.1e6 / 299_792_458.0 < 0.49
    sky = found.pattern(0)
    assert sky.gain_max_dbi - 10 * math.log10(sky.efficiency) == pytest.approx(2.15, abs=0.02) and 0.96 < sky.efficiency < 0.99  # copper takes some


def test_the_dipole_lies_across_a_wished_bearing():
    east = replace(WISH, bearing_deg=90.0)
    (x1, y1, _), (x2, y2, _) = reach.dipole(12.0, east, Ground(kind="none")).wires[0].points_m
    assert abs(x2 - x1) < 1e-6 < abs(y2 - y1)


def test_the_dipole_against_itself_is_nought_and_the_lead_adds_up():
    """By hand, 7.1 MHz, 100 W, 0 dBi: +50 dBm less Friis over 2 sqrt(300^2 + 150^2) km (flat earth) over -91.28 dBm (check row P8-028)."""
    near, far = reach.dipole_dbi(8.0, WISH, SOIL)
    built = SimpleNamespace(
        masts=(SimpleNamespace(height_m=8.0),), cases={"40m": SimpleNamespace(ground=SOIL)}, wires=(), row={"40m_gain_far_dbi_low": far - 2.0, "40m_gain_far_dbi_high": far + 1.0},
        wishes=WishList(bands=(WISH,), power_w=100.0), content={"bands": {"40m": {"power_budget": {"sky": 0.5}}}},
    )  # fmt: skip
    band = SolvedBand(wish=WISH, freq_hz=np.array([7.0e6, 7.2e6]), swr=np.ones(2), meter=np.ones(2), near_dbi=near, far_dbi=far, gain_db=np.zeros((1, 1)))
    (found,) = reach.reaches(built, (band,))
    assert (found.near_db, found.far_db) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert found.near_range_db is None and found.far_range_db == pytest.approx((-2.0, 1.0))
    spread = 20 * math.log10(4 * math.pi * 2e3 * math.hypot(300.0, 150.0) * 7.1e6 / 299_792_458.0)
    assert found.near_lead_db == pytest.approx(50.0 + near - spread + 91.28, abs=0.3)
    assert found.heard_db == pytest.approx(48.92 + 10 * math.log10(0.5) - reach.RADIO_FIGURE_DB, abs=0.01)  # P8-009


def test_a_higher_dipole_is_stronger_far_out():
    """Low horizontal wires over soil: what leaves at low angles grows with height (image theory, below a half wave)."""
    far = [reach.dipole_dbi(h, WISH, SOIL)[1] for h in (4.0, 8.0, 16.0)]
    assert far[0] < far[1] < far[2]


def test_reach_promises_nothing_and_names_its_sources(page):
    words = str(section(page, "reach").blocks)
    assert all(w in words for w in ("P.372", "no promise", "spreading alone", "common practice, no source", "half-wave dipole"))
    rows = next(b for b in section(page, "reach").blocks if isinstance(b, Table)).rows
    assert [r[0] for r in rows] == ["40m", "20m"] or len(rows) >= 2
    assert all(re.fullmatch(r"[+-]\d+ dB \([+-]\d+ to [+-]\d+\)", cell) for r in rows for cell in r[1:])


def test_every_step_has_its_picture_with_a_band(judged, page):
    drawn = [f for b in section(page, "stepwise").blocks if isinstance(b, Figures) for f in b.figures]
    assert len(drawn) == len(judged.trims) == len(expected(judged))
    for e, figure in zip(expected(judged), drawn):
        root = ElementTree.fromstring(figure.svg)
        assert any("bars" in (p.get("fill") or "") for p in root.iter(f"{SVG}path"))
        assert any(t.text == f"aim {e.target_hz / 1e6:.3f}" for t in root.iter(f"{SVG}text"))
        assert e.start_range_hz == e.first.dip_hz and e.first.dip_hz[0] < e.target_hz


def test_without_gardens_the_sheet_says_so():
    built = read_built(YARD, 1)
    page = document(built, Units())
    assert "not built and trimmed in gardens" in str(section(page, "swr").blocks)
    assert not any(s.key == "stepwise" for s in page.sections)


def test_swr_pictures_hold_the_filed_band(judged):
    band = next(b for b in solved_bands(judged) if b.wish.key == "40m")
    filed = meter_filed(judged.content["bands"]["40m"])
    plain, barred = (curves.swr_curve(band, 2.0, e) for e in (None, filed))
    assert barred.count("-bars)") == 1 and plain.count("-bars)") == 0
    assert filed.freq_hz[0] == pytest.approx(band.freq_hz[0]) and filed.freq_hz[-1] == pytest.approx(band.freq_hz[-1])


def test_sky_pictures_mark_low_angles_and_hold_the_gardens(judged):
    for band in solved_bands(judged):
        filed = sky_filed(judged.content["bands"][band.wish.key])
        up, round_ = sky_drawing.elevation_plot(band, filed), sky_drawing.bearing_plot(band, filed)
        assert "certain" in up and "-soil)" in up and "four of five gardens" in up
        assert round_.count("-bars)") == 1 and round_.count("-dots)") == 1
        mean = 10 * np.log10(np.mean(10 ** (band.gain_db / 10), axis=1))
        at = [int(np.argmin(np.abs(ELEVATIONS_DEG - e))) for e in filed.elevations_deg[1:]]
        assert np.all(mean[at] > filed.by_elevation[0][1:] - 3.0) and np.all(mean[at] < filed.by_elevation[1][1:] + 3.0)


def test_the_zone_is_hatched_on_the_plan_and_named_below_it(judged):
    ring = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]
    exposure = {**judged.content["safety"]["exposure"], "zone": {"keep_m": 1.0, "outline_m": [ring]}}
    with_zone = replace(judged, content={**judged.content, "safety": {**judged.content["safety"], "exposure": exposure}})
    assert zone_of(with_zone.content).area == pytest.approx(4.0)
    where = str(section(document(with_zone, Units()), "where").blocks)
    assert "-zone)" in where and "keep out while transmitting" in where and "Cross-hatched" in where
    assert "-zone)" not in str(section(document(judged, Units()), "where").blocks).split("<defs>")[0]


def test_words_of_the_trade_are_explained_where_they_occur(judged, page):
    words = section(page, "words").blocks[0]
    said = {row[0] for row in words.rows}
    assert {"SWR", "dip", "feed", "coil", "counterpoise, radials", "choke"} <= said and "trap" not in said


def test_a_wire_that_is_not_trimmed_has_no_empty_table(judged):
    untrimmed = replace(judged, trims=())
    work = str(section(document(untrimmed, Units()), "work").blocks)
    assert "Nothing to trim" in work and "Nothing to cut" in work and "Trim in this order" not in work and "Cut at most half" not in work
