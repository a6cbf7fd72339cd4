"""Plan and side view: well-formed XML, to scale, everything of the design drawn, labels true."""

import math
import re
import sys
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "families"))
from lots import garden, l_shaped, plain, wish

from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
from optimizer.report.drawing import plan_svg, side_svg
from optimizer.report.svg import DARK, LIGHT, STYLE, Sheet

NS = "{http://www.w3.org/2000/svg}"
WISHES = wish("40m", "20m", "10m", tuner="external")
SITES = {"plain": plain(), "garden": garden(), "l_shaped": l_shaped()}


@pytest.fixture(params=[f"{f}/{s}" for f in FAMILIES for s in SITES])
def drawn(request):
    family, site = request.param.split("/")
    family, site = FAMILIES[family], SITES[site]
    try:
        start = next(iter(family.starts(site, WISHES)), None)
    except NoPlace as missed:
        pytest.skip(str(missed))
    if start is None:
        pytest.skip("no start there")
    design = family.build(start, site, WISHES)
    return design, site, ET.fromstring(plan_svg(design, site)), ET.fromstring(side_svg(design, site))


def wire_paths(root):
    return {p.get("data-wire"): p for p in root.iter(f"{NS}path") if p.get("data-wire")}


def corners(path):
    return [tuple(float(n) for n in pair.split()) for pair in re.split("[ML]", path.get("d"))[1:]]


def scale(root):
    return float(next(t.get("data-scale") for t in root.iter(f"{NS}text") if t.get("data-scale")))


def test_every_wire_is_drawn_to_scale_in_both_views(drawn):
    design, _, plan, side = drawn
    for wire in design.structure.wires:
        across, up = corners(wire_paths(plan)[wire.name]), corners(wire_paths(side)[wire.name])
        assert len(across) == len(up) == len(wire.points_m)
        for (p, q), (a, b), (c, d) in zip(pairs(wire.points_m), pairs(across), pairs(up)):
            assert math.dist(a, b) == pytest.approx(math.dist(p[:2], q[:2]) * scale(plan), abs=0.2)
            assert c[1] - d[1] == pytest.approx((q[2] - p[2]) * scale(side), abs=0.2)
        assert wire.role in wire_paths(plan)[wire.name].get("class")


def pairs(points):
    return list(pairwise(points))


def test_plan_has_north_up_and_east_right(drawn):
    design, _, plan, _ = drawn
    wire = max(design.structure.wires, key=lambda w: w.length_m)
    (x1, y1), *_, (x2, y2) = corners(wire_paths(plan)[wire.name])
    a, b = wire.points_m[0], wire.points_m[-1]
    assert (x2 - x1) * (b[0] - a[0]) >= 0
    assert (y2 - y1) * (b[1] - a[1]) <= 0
    assert any(t.text == "N" for t in plan.iter(f"{NS}text"))


def test_words_say_lengths_heights_and_what_stands(drawn):
    design, site, plan, side = drawn
    words = " | ".join(t.text or "" for t in plan.iter(f"{NS}text"))
    for mast in design.structure.masts:
        assert f"mast {mast.height_m:.1f} m" in words
    for house in site.buildings:
        assert house.name in words
    said = [float(length) for length in re.findall(r"(\d+\.\d\d) m, \d+°", words)]
    pieces = [math.dist(a, b) for w in design.structure.wires for a, b in pairs(w.points_m) if math.dist(a[:2], b[:2]) >= 1.0]
    rounding = 0.005 * len(said)
    assert sum(pieces) - rounding <= sum(said) <= sum(w.length_m for w in design.structure.wires) + rounding
    assert any(kind in words for kind in ("coil", "trap", "capacitor")) or not design.loads
    assert "height limit" in " ".join(t.text or "" for t in side.iter(f"{NS}text"))


def test_all_stays_on_the_sheet(drawn):
    for root in drawn[2:]:
        _, _, width, height = (float(n) for n in root.get("viewBox").split())
        for path in wire_paths(root).values():
            assert all(0 <= x <= width and 0 <= y <= height for x, y in corners(path))


def test_both_looks_define_every_variable_and_plain_colours_come_first():
    used = set(re.findall(r"var\(--(\w+)\)", STYLE))
    assert used <= set(LIGHT) and set(LIGHT) == set(DARK)
    for name, value in LIGHT.items():
        assert f"--{name}:{value}" in STYLE
    assert "stroke:#b03a1e;stroke:var(--wire)" in STYLE
    assert "currentColor" in STYLE


def test_kinds_differ_by_more_than_colour():
    dashes = {
        kind: re.search(rf"\.gp \.{kind}\{{[^}}]*?stroke-dasharray:([^;}}]+)", STYLE) for kind in ("radiator", "counterpoise", "cord", "power")
    }
    found = [m.group(1) if m else "solid" for m in dashes.values()]
    assert len(set(found)) == len(found)


def test_names_are_escaped():
    sheet = Sheet((0, 0), (10, 5), 20.0, title="a <b> & c")
    sheet.label((1, 1), "5 < 6 & 7")
    root = ET.fromstring(sheet.render())
    assert root.find(f"{NS}title").text == "a <b> & c"
    assert any(t.text == "5 < 6 & 7" for t in root.iter(f"{NS}text"))


def test_labels_do_not_cover_each_other():
    sheet = Sheet((0, 0), (10, 10), 40.0)
    for _ in range(5):
        sheet.label((5, 5), "the same place")
    texts = [t for t in ET.fromstring(sheet.render()).iter(f"{NS}text")]
    spots = {(t.get("x"), t.get("y")) for t in texts}
    assert len(spots) == 5
