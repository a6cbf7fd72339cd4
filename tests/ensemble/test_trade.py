"""What the trade says of a loaded tail, and what an independent route says of its shift.

The rows P1-206 to P1-218 of tests/published/antenna.csv (two independent full-wave solutions; Hallen's equation) hold for a straight
wire of 10.1 m in free space, a coil and 2 m of tail. Here they go through what trimming uses: the design with and without
its tail, the yard's solution, its curve. Trade facts: common practice, no source.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from optimizer.ensemble.builder import bare_of
from optimizer.ensemble.garden import as_planned
from optimizer.ensemble.plan import Drawing, has_tail, sensitivity, ways
from optimizer.ensemble.yard import Yard
from optimizer.evaluate import FULL, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.families.design import Design, Feed
from optimizer.field.sweep import curve
from optimizer.physics.elements import Coil
from optimizer.physics.wish_reader import read_wishes
from optimizer.physics.wishes import BandWish
from optimizer.site.model import Structure
from optimizer.site.read import read_site
from optimizer.wires.model import Ground, Load, Port, Wire

with (Path(__file__).parents[1] / "published" / "antenna.csv").open(encoding="utf-8", newline="") as text:
    ROW = {row["id"]: row for row in csv.DictReader(text)}
FREE = as_planned(Ground(kind="none"))
UPPER = BandWish(key="20m", band="20m", segment="custom", low_hz=14.55e6, high_hz=14.95e6)
LONG, TAIL, PROBE = 10.1, 2.0, 3.0


def straight(stray_f: float) -> Design:
    """The wire of the rows as a design; the coil at the end of the long wire, the tail after it."""
    wire = Wire(name="main", points_m=((0, 0, 30), (LONG + TAIL, 0, 30)), radius_m=1e-3)
    coil = Coil(inductance_h=34e-6, q=300.0, stray_f=stray_f)
    return Design(
        family="made up", title="", values={}, structure=Structure(wires=(wire,)), port=Port(name="feed", wire="main", at_m=PROBE),
        loads=(Load(wire="main", at_m=LONG, element=coil),), feed=Feed(line="cable_rg58", line_length_m=1.0), bill=(), trims=(),
    )  # fmt: skip


def resonance_hz(design, bare):
    """Zero of the reactance at the port nearest the middle, through the yard's frequencies."""
    yard = Yard(FREE, design, (UPPER,))
    _, found = yard.solution(bare_of(design) if bare else design, UPPER.key, bare)
    return brentq(lambda f: curve(found.freq_hz, found.z_ohm, [f])[0].imag, 13.9e6, 15.35e6)


def number(row_id):
    return float(ROW[row_id]["expected"].split(";")[0]) * 1e6


def test_without_its_tail_the_wire_is_the_plain_one():
    assert resonance_hz(straight(1e-12), bare=True) == pytest.approx(number("P1-218"), rel=0.005)


@pytest.mark.parametrize(("row_id", "stray_f"), [("P1-207", 0.0), ("P1-213", 1e-12), ("P1-216", 3e-12)])
def test_the_tail_lifts_the_upper_band_as_far_as_another_route_says(row_id, stray_f):
    """The row's own 1 %; and against no stray capacitance to a thousandth, for what the coil's point lacks in length cancels."""
    here = resonance_hz(straight(stray_f), False)
    assert here == pytest.approx(number(row_id), rel=0.01)
    without = resonance_hz(straight(0.0), False)
    assert here / without == pytest.approx(number(row_id) / number("P1-207"), abs=0.001)


@pytest.fixture(scope="module")
def hung():
    """A loaded tail on a lot of the tree, trimmed; its yard in the open and its sensitivities."""
    site = read_site(Path(__file__).parents[2] / "sites" / "l_shape.geojson")
    wishes, family = read_wishes("40m 20m", site), FAMILIES["end_fed_loaded_tail"]
    for values in family.starts(site, wishes):
        placed = place(site, wishes, family, values)
        if placed.fits:
            break
    found = measure(site, wishes, family, placed.design, FULL)
    drawing = Drawing(place(site, wishes, family, found.values).design, family, site, wishes)
    yard = Yard(as_planned(Ground(kind="soil", soil=site.soil)), drawing.nominal, wishes.bands)
    return drawing, yard, sensitivity(drawing, yard)


def khz_per_cm(drawing, found, name, band):
    return -found.slope[name][band] * found.dips_hz[band] / drawing.lengths[name] * 0.01 / 1e3


def test_the_tail_moves_the_lowest_band_by_more_than_10_khz_a_centimetre_and_the_upper_one_hardly(hung):
    """Common practice, no source."""
    drawing, _, found = hung
    assert khz_per_cm(drawing, found, "tail_m", "40m") > 10.0
    assert abs(khz_per_cm(drawing, found, "tail_m", "20m")) < 3.0


def test_the_lowest_band_is_tens_of_khz_wide(hung):
    """Common practice, no source. Width between the points of 2:1 against the resistance at the dip."""
    drawing, yard, _ = hung
    _, sol = yard.solution(drawing.nominal, "40m")
    fine = np.linspace(6.9e6, 7.3e6, 4001)
    z = curve(sol.freq_hz, sol.z_ohm, fine)
    top = int(np.argmax(np.abs(z)))
    gamma = np.abs((z - z[top].real) / (z + z[top].real))
    good = fine[gamma <= 1 / 3]
    assert 10e3 < good.max() - good.min() < 100e3


def test_the_first_aim_is_left_low_or_read_without_the_tail(hung):
    """The tail lifts the upper band: with an uncut tail it reads otherwise than at the end, without the tail lower by the shift."""
    drawing, yard, found = hung
    assert has_tail(drawing.nominal)
    found_ways = {w.name: w for w in ways(drawing, yard, found, drawing.longest(dict.fromkeys(drawing.lengths, 0.05)))}
    bare = found_ways["without the tail, left long by the computed shift"].steps[0]
    assert bare.bare and bare.aim_hz < 0.998 * bare.end_hz
    plain = found_ways["without the tail, to its own target"].steps[0]
    assert plain.aim_hz == plain.end_hz == bare.end_hz


def test_an_order_is_tried_once(hung):
    """With nothing left long there is no shift: the computed aim is the plain one."""
    drawing, yard, found = hung
    tried = ways(drawing, yard, found, drawing.lengths)
    assert tried[0].name == "as listed, each to its own target"
    assert len({w.steps for w in tried}) == len(tried)
