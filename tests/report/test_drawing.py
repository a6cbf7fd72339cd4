"""Plan and side view: well-formed XML, to scale, everything of the design drawn, labels true."""

import math
import re
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from shapely.affinity import translate
from shapely.geometry import Point, box

sys.path.insert(0, str(Path(__file__).parents[1] / "families"))
from lots import garden, l_shaped, plain, wish

from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
from optimizer.report.drawing import plan_svg, side_svg
from optimizer.report.svg import DARK, LIGHT, PATTERNS, STYLE, Sheet

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
    plain, themed = re.sub(r"@media[^{]*\{.*", "", STYLE).split("@supports", 1)
    assert ".radiator{fill:none;stroke:#b03a1e" in plain and "var(" not in plain and "currentColor" not in plain
    assert ".radiator{fill:none;stroke:var(--wire)" in themed and "currentColor" in themed


def test_a_print_engine_that_knows_no_variables_gets_the_plain_colours(drawn):
    """Such engines read plain rules and inline styles only: neither may hold a variable."""
    for root in drawn[2:]:
        assert not [e for e in root.iter() if "var(" in e.get("style", "") + e.get("fill", "") + e.get("stroke", "")]


def test_names_differ_between_drawings_and_every_pattern_named_is_there(drawn):
    ids = [{e.get("id") for e in root.iter() if e.get("id")} for root in drawn[2:]]
    assert ids[0] and not ids[0] & ids[1]
    for root, own in zip(drawn[2:], ids):
        assert set(re.findall(r"url\(#([^)]+)\)", ET.tostring(root, encoding="unicode"))) <= own


def test_the_exposure_zone_is_hatched_named_and_to_scale():
    """A square of 2 m: sides of 2 m at the drawing's scale; a hole stays open; nothing is drawn where there is none."""
    site, family = plain(), FAMILIES["dipole"]
    design = family.build(next(iter(family.starts(site, WISHES))), site, WISHES)
    zone = box(4, 4, 6, 6).union(box(8, 4, 12, 8).difference(box(9, 5, 11, 7)))
    with_zone, without = (ET.fromstring(plan_svg(design, site, z)) for z in (zone, None))
    drawn = [p for p in with_zone.iter(f"{NS}path") if p.get("class") == "zone" and p.find(f"{NS}title") is not None]
    assert len(drawn) == 2 and all(re.search(r"url\(#\w+-zone\)", p.get("style")) for p in drawn)
    square = min(drawn, key=lambda p: len(p.get("d")))
    at = [tuple(float(n) for n in pair.split()) for pair in re.split("[ML]", square.get("d").rstrip("Z"))[1:]]
    assert [math.dist(a, b) for a, b in pairwise(at)] == pytest.approx([2 * scale(with_zone)] * 4, abs=0.2)
    assert max(drawn, key=lambda p: len(p.get("d"))).get("d").count("Z") == 2
    assert any(t.text == "nobody here while sending" for t in with_zone.iter(f"{NS}text"))
    assert not any(t.text == "nobody here while sending" for t in without.iter(f"{NS}text"))


def titled(root, title):
    return [p for p in root.iter(f"{NS}path") if p.find(f"{NS}title") is not None and p.find(f"{NS}title").text == title]


def extent(path):
    """West, north, east, south of what a path encloses, in units of the drawing."""
    at = [tuple(float(n) for n in pair.split()) for pair in re.split("[ML]", path.get("d").replace("Z", ""))[1:]]
    return *map(min, zip(*at)), *map(max, zip(*at))


def texts_of(root):
    return [t.text for t in root.iter(f"{NS}text")]


def test_a_hole_in_the_lot_is_barred_named_and_to_scale():
    family, hole = FAMILIES["dipole"], box(15, 5, 18, 9)
    whole = plain()
    holed = replace(whole, lot=whole.lot.difference(hole), usable=whole.usable.difference(hole))
    for site, count in ((holed, 1), (whole, 0)):
        design = family.build(next(iter(family.starts(site, WISHES))), site, WISHES)
        root = ET.fromstring(plan_svg(design, site))
        drawn = titled(root, "not your ground")
        assert len(drawn) == texts_of(root).count("not your ground") == count
        for path in drawn:
            west, north, east, south = extent(path)
            assert re.search(r"url\(#\w+-bars\)", path.get("style"))
            assert (east - west, south - north) == pytest.approx((3 * scale(root), 4 * scale(root)), abs=0.2)


@pytest.mark.parametrize(("around_m", "large"), [(60.0, True), (2.0, False)])
def test_on_a_large_lot_the_plan_shows_the_aerial_and_the_whole_lot_beside_it(around_m, large):
    """A garden with land about it, a hole in the far corner: the frame on the small drawing is where the aerial is, as large as the plan shows."""
    family, within = FAMILIES["dipole"], garden()
    x1, y1, x2, y2 = within.lot.bounds
    lot = box(x1 - around_m, y1 - around_m, x2 + around_m, y2 + around_m).difference(box(x2 + around_m - 2, y2 + around_m - 2, x2 + around_m - 1, y2 + around_m - 1))
    design = family.build(next(iter(family.starts(within, WISHES))), within, WISHES)
    site = replace(within, lot=lot, usable=lot)
    root = ET.fromstring(plan_svg(design, site))
    assert ("the whole lot" in texts_of(root)) == large and len(titled(root, "what the plan shows")) == large
    assert len(titled(root, "not your ground")) == 1  # on the small drawing, or on the only one
    width, height = (float(n) for n in root.get("viewBox").split()[2:])
    for path in (p for p in root.findall(f"{NS}path") if p.get("transform") is None):
        west, north, east, south = extent(path)
        assert 0 <= west and east <= width and 0 <= north and south <= height
    if not large:
        return
    (small,), (frame,) = titled(root, "the whole lot"), titled(root, "what the plan shows")
    west, north, east, south = extent(small)
    per_m = (east - west) / (x2 - x1 + 2 * around_m)
    left, top, right, bottom = extent(frame)
    seen = box(x1 - around_m + (left - west) / per_m, y2 + around_m - (bottom - north) / per_m, x1 - around_m + (right - west) / per_m, y2 + around_m - (top - north) / per_m)
    points = [p for w in design.structure.wires for p in w.points_m]
    assert all(seen.buffer(0.1).contains(Point(p[:2])) for p in points)
    across, up = ((max(p[i] for p in points) - min(p[i] for p in points)) for i in (0, 1))
    assert max(seen.bounds[2] - seen.bounds[0], seen.bounds[3] - seen.bounds[1]) < 2 * max(across, up)
    wires = [extent(p) for p in wire_paths(root).values()]
    assert max(w[2] for w in wires) < west and max(w[2] for w in wires) - min(w[0] for w in wires) == pytest.approx(across * scale(root), abs=0.5)


def test_what_lies_beyond_the_plan_of_a_part_is_not_written_on_it():
    """House and pear far from the aerial: on the small drawing only, without words."""
    family, within = FAMILIES["dipole"], garden()
    design = family.build(next(iter(family.starts(within, WISHES))), within, WISHES)
    lot = box(-100, -100, 300, 300)
    far = replace(within, lot=lot, usable=lot, buildings=tuple(replace(b, footprint=translate(b.footprint, 200, 200)) for b in within.buildings))
    far = replace(far, trees=tuple(replace(t, at_m=(250.0, 250.0)) for t in within.trees))
    words = " | ".join(texts_of(ET.fromstring(plan_svg(design, far))))
    assert "house" not in words and "pear" not in words and "pond" in words
    near = " | ".join(texts_of(ET.fromstring(plan_svg(design, within))))
    assert "house" in near and "pear" in near


def test_the_zone_is_told_from_the_house_by_pattern_not_only_by_colour():
    patterns = dict(re.findall(r'<pattern id="(\w+)".*?d="([^"]+)"', PATTERNS, re.DOTALL))
    assert len(set(patterns.values())) == len(patterns) and "zone" in patterns


def test_a_vertical_seen_from_the_side_says_no_height_at_the_feed_twice():
    site, family = plain(), FAMILIES["vertical"]
    design = family.build(next(iter(family.starts(site, wish("20m")))), site, wish("20m"))
    side = ET.fromstring(side_svg(design, site))
    texts = [(float(t.get("x")), float(t.get("y")), t.text) for t in side.iter(f"{NS}text")]
    x, y, _ = next(t for t in texts if t[2].startswith("feed"))
    assert not [t for t in texts if re.fullmatch(r"\d\.\d", t[2]) and abs(t[0] - x) < 20 and abs(t[1] - y) < 12]

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


def test_labels_keep_off_the_heading():
    sheet = Sheet((0, 0), (10, 5), 40.0)
    sheet.heading("Flat full-wave loop, 40m", "seen towards 315°, along 45°; heights in metres")
    for x in (0.5, 1.5, 2.5, 3.5):
        sheet.label((x, 5.4), "feed 2:1, up 11.0 m")
    texts = [(t.text, float(t.get("x")), float(t.get("y"))) for t in ET.fromstring(sheet.render()).iter(f"{NS}text")]
    lowest = max(y for text, _, y in texts if not text.startswith("feed"))
    assert min(y for text, x, y in texts if text.startswith("feed") and x < 250) > lowest + 8.0  # a line of small letters


def test_a_capacitor_is_no_trap():
    family = FAMILIES["end_fed_half_wave_drooped"]
    values = {**next(iter(family.starts(SITES["plain"], WISHES))), "cure_ohm": -60.0}
    design = family.build(values, SITES["plain"], WISHES)
    assert any(hasattr(load.element, "capacitance_f") and not hasattr(load.element, "inductance_h") for load in design.loads)
    marks = [p for p in ET.fromstring(side_svg(design, SITES["plain"])).iter(f"{NS}path") if p.find(f"{NS}title") is not None]
    shapes = {p.find(f"{NS}title").text: p.get("d") for p in marks}
    assert "Z" not in shapes["capacitor"] and shapes["capacitor"].count("V") == 2  # two plates, no box
