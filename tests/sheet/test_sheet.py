"""The sheet holds what a builder needs: every length, height and bearing of the placement, every part, every caution at its step."""

import math
import re
from dataclasses import replace
from html import unescape
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest
from shapely.geometry import LineString, box
from shapely.ops import unary_union

from optimizer.errors import InputError
from optimizer.families.common import COUNTERPOISE_WIRE, WIRE
from optimizer.parts.cautions import CAUTIONS
from optimizer.sheet import garden
from optimizer.sheet.built import read_built
from optimizer.sheet.content import document
from optimizer.sheet.cuts import cuts_of
from optimizer.sheet.html import block_html, render
from optimizer.sheet.model import Figure, Steps, Table
from optimizer.sheet.places import corners_of, places_of, tapes_of
from optimizer.sheet.plain_words import plain_wire
from optimizer.sheet.readings import expected
from optimizer.sheet.units import Units
from optimizer.sheet.views import SHAPES
from optimizer.site.model import OverheadLine, TapeReading, TapeReport

YARD = Path(__file__).parent / "data" / "yard"


def text_of(html: str) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", re.sub(r"<style>.*?</style>", "", html, flags=re.DOTALL)))


def table(page, start: str) -> Table:
    return next(b for s in page.sections for b in s.blocks if isinstance(b, Table) and b.caption.startswith(start))


def test_every_height_and_bearing_of_the_placement_stands_on_the_first_side(built, page):
    placement = built.content["placement"]
    rows = table(page, "Set out").rows
    first = (placement["masts"] or placement["anchors"])[0]["at_m"]
    for thing in (*placement["masts"], *placement["anchors"]):
        dx, dy = (p - q for p, q in zip(thing["at_m"], first))
        height = f"{thing['height_m']:.1f} m" if thing["height_m"] > 0 else "ground"
        if math.hypot(dx, dy) > 0.01:
            place = f"{math.hypot(dx, dy):.2f} m, {math.degrees(math.atan2(dx, dy)) % 360:.0f}°"
            assert any(row[2] == height and row[3] == place for row in rows), (thing, rows)
        else:
            assert any(row[2] == height and row[3] == "start here" for row in rows)


def test_two_tapes_meet_at_every_point(built):
    """The intersection of the two circles, by the law of cosines, is the point itself."""
    for tape in tapes_of(built, places_of(built)):
        (a, ra), (b, rb) = tape.corners
        base = math.dist(a.at_m, b.at_m)
        along = (ra**2 - rb**2 + base**2) / (2 * base)
        off = math.sqrt(max(ra**2 - along**2, 0.0))
        ux, uy = ((q - p) / base for p, q in zip(a.at_m, b.at_m))
        both = [(a.at_m[0] + along * ux - s * off * uy, a.at_m[1] + along * uy + s * off * ux) for s in (1, -1)]
        assert min(math.dist(p, tape.place.at_m) for p in both) < 1e-6


def test_corners_are_corners_of_lot_and_houses(built):
    known = [c for ring in (built.site.lot.exterior, *(h.footprint.exterior for h in built.site.buildings)) for c in ring.coords]
    assert all(any(math.dist(c.at_m, k[:2]) < 1e-9 for k in known) for c in corners_of(built.site))


def test_the_parts_list_buys_the_cut_list(built):
    """Wire is bought by the whole metre: what the pieces take, rounded up."""
    cuts = cuts_of(built)
    bought = {p["part"]: p["quantity"] for p in built.content["parts"] if p["use"] in ("radiator", "counterpoise")}
    for role, key in (("radiator", WIRE), ("counterpoise", COUNTERPOISE_WIRE)):
        assert bought.get(key, 0.0) == math.ceil(sum(c.count * c.cut_m for c in cuts if c.role == role))


def test_the_family_builds_the_filed_wires_again(built):
    assert built.design is not None


def test_the_pieces_of_the_cut_list_add_up_to_the_wires(built):
    for wire in built.wires:
        pieces = [c for c in cuts_of(built) if c.what.startswith(f"{plain_wire(wire.name)}:")]
        straight = sum(math.dist(a, b) for a, b in zip(wire.points_m, wire.points_m[1:]))
        assert sum(c.count * c.finished_m for c in pieces) == pytest.approx(straight, abs=0.005 * len(wire.points_m) + 0.005)
        assert all(c.cut_m > c.finished_m for c in pieces)


def test_every_wire_length_and_end_height_is_drawn(built, html):
    text = text_of(html)
    for wire in built.wires:
        for a, b, length in built.runs(wire):
            assert f"{length:.2f} m" in text or math.dist(a[:2], b[:2]) < 1.5
            assert f"{a[2]:.1f} m" in text and f"{b[2]:.1f} m" in text


def test_lengths_on_the_plan_end_at_every_part(built):
    """Corner to corner and part to part: they add up to where the coil or trap sits, and to the wire."""
    for load in built.all_loads:
        wire, sums = built.wire(load.wire), [0.0]
        for *_, length in built.runs(wire):
            sums.append(sums[-1] + length)
        assert min(abs(s - load.at_m) for s in sums) < 0.01 and sums[-1] == pytest.approx(wire.length_m)


def test_both_drawings_have_a_scale(page):
    pictures = [f for s in page.sections[:1] for b in s.blocks for f in getattr(b, "figures", (b,)) if isinstance(f, Figure)]
    assert len(pictures) == 2 and all(re.search(r">\d+ m</text>", f.svg) for f in pictures)


@pytest.mark.parametrize("beyond_m", [0.5, 40.0])
def test_a_power_line_stands_on_the_plan_or_is_named_as_off_it(built, beyond_m):
    east = built.site.lot.bounds[2] + beyond_m
    line = OverheadLine(name="mains", path=LineString([(east, -200.0), (east, 200.0)]), height_m=7.0, kind="power", clearance_m=3.0)
    here = replace(built, site=replace(built.site, overhead_lines=(line,)))
    words = text_of(render(document(here, Units())))
    off = f"Off this drawing: an overhead POWER line {beyond_m:.1f} m beyond the lot at its nearest, bearing 90°, 7.0 m up."
    assert ("POWER LINE, up 7.0 m" in words) == ("Dash-dot" in words) == (beyond_m < 1.0)
    assert (off in words) == (beyond_m > 1.0)


def test_corners_bear_the_names_they_were_taped_by_and_no_other_corner_bears_one(built):
    """Somebody who calls a corner of the lot "c" must not find another c on the plan."""
    lettered = corners_of(built.site)
    taped = (("c", lettered[0].at_m), ("A", (500.0, 0.0)), ("gate", lettered[-1].at_m))
    report = TapeReport(readings=(), closing_error_m=0.0, spare_tapes=0, points_m=taped)
    corners = corners_of(replace(built.site, tape_report=report))
    names = [c.name for c in corners]
    assert (names[0], names[-1]) == ("c", "gate") and len({n.lower() for n in names}) == len(names) and "a" not in names
    assert [c.at_m for c in corners] == [c.at_m for c in lettered]


@pytest.mark.parametrize("more", [0, 30])
def test_a_tape_that_does_not_fit_is_told_where_points_are_set_out(built, more):
    """By the names on the plan, which are those that were taped, and what every tape is off by; many tapes stand in the annex."""
    corner = next(c for t in tapes_of(built, places_of(built)) for c, _ in t.corners)
    wrong = TapeReading(name="tape[0] q-z", start="q", end="z", measured_m=11.0, residual_m=-0.123, corrected_m=11.2)
    others = tuple(TapeReading(name=f"tape[{i}] z-n{i}", start="z", end=f"n{i}", measured_m=5.0, residual_m=1e-3 * i) for i in range(1, more + 3))
    report = TapeReport(
        readings=(wrong, *others), closing_error_m=0.08, spare_tapes=2, points_m=(("q", corner.at_m), ("z", (500.0, 0.0))), doubtful=wrong,
    )  # fmt: skip
    page = document(replace(built, site=replace(built.site, tape_report=report)), Units())
    side = text_of(render(replace(page, sections=page.sections[:1])))
    assert f"tape[0] q-z reads 11.00 m and does not fit: the other tapes say 11.20 m. Measure it again before you set out from q or z" in side
    assert " m from q" in side  # the two tapes of some point
    cells = [c for s in page.sections for b in s.blocks if isinstance(b, Table) and "measured less computed" in b.caption for row in b.rows for c in row]
    assert "q to z" in cells and "−12.3 cm" in cells and all(f"z to n{i}" in cells and f"+{i / 10:.1f} cm" in cells for i in range(1, more + 3))
    assert ("Every tape" in text_of(render(page))) == (more > 0)


def test_holes_in_the_lot_are_drawn_barred_and_named(built, html):
    """Two of them, with the setback about each."""
    assert "not your ground" not in text_of(html) and "Barred" not in text_of(html)
    (x1, y1), lot = built.site.lot.representative_point().coords[0], built.site.lot
    holes = [box(x1 + dx, y1, x1 + dx + 1.0, y1 + 1.0) for dx in (-3.0, 3.0)]
    lot = lot.difference(unary_union(holes))
    assert len(lot.interiors) == 2
    here = replace(built, site=replace(built.site, lot=lot, usable=lot.buffer(-0.3), setback_m=0.3))
    plan = garden.plan(here, tapes_of(here, places_of(here)), Units())
    assert plan.count(">not your ground</text>") == 2 * 2  # white edge, then ink
    assert len(re.findall(r'fill="url\(#p\w+-bars\)"', plan)) == 2
    assert plan.count('stroke-dasharray="7 4"') == 3
    assert "Barred: a hole in the lot, not your ground." in text_of(render(document(here, Units())))


def marks_on(plan: str, look: str) -> list[tuple[float, float]]:
    return [tuple(map(float, m)) for m in re.findall(look + r'[^>]* transform="translate\(([-\d.]+) ([-\d.]+)\)"', plan)]


@pytest.mark.parametrize("side_m", [20.0, 1100.0])
def test_on_a_large_lot_the_plan_shows_the_aerial_and_the_whole_lot_beside_it(built, side_m):
    """Posts and stakes that are metres apart stay apart on paper; the lot's edge is drawn once, small, with a frame."""
    x, y = built.site.lot.centroid.coords[0]
    lot = box(x - side_m, y - side_m / 2, x + side_m / 2, y + side_m / 2)
    here = replace(built, site=replace(built.site, lot=lot, usable=lot, setback_m=0.0, overhead_lines=()))
    tapes = tapes_of(here, places_of(here))
    plan, words = garden.plan(here, tapes, Units()), text_of(render(document(here, Units())))
    spots = [t.place.at_m for t in tapes]
    least = min(math.dist(p, q) for i, p in enumerate(spots) for q in spots[:i])
    marks = [m for t in "MPGSH" for m in marks_on(plan, re.escape(SHAPES[t]) + '"')]
    assert min(math.dist(p, q) for p in marks for q in marks if p != q) > 6.0 * least  # units a metre
    large = side_m > 1000.0
    assert ("the whole lot" in plan) == ("The frame on the small drawing" in words) == large
    assert (f"{1.5 * side_m + 3.0:.1f} m across" in words) == large
    width = float(re.search(r'viewBox="0 0 (\d+)', plan)[1])
    assert all(-1.0 <= float(v) <= width + 1.0 for d in re.findall(r' d="(M[^"]*)" fill="none" stroke="#000" stroke-width="2.2"/', plan) for v in re.findall(r"[ML]([-\d.]+) ", d))


def test_broad_tables_carry_their_columns_words_for_a_phone(html):
    assert 'data-of="between marks"' in html and 'data-of="first reading MHz"' in html and "table.many thead{display:none}" in html


def test_every_part_of_the_bill_is_listed_and_adds_up(built, page):
    bought = table(page, "To buy")
    assert [row[0] for row in bought.rows] == [p["item"] for p in built.content["parts"]]
    assert float(bought.total[3]) == pytest.approx(built.content["cost"], abs=0.005)


def steps(page, key: str) -> dict[str, tuple[str, ...]]:
    section = next(s for s in page.sections if s.key == key)
    return {step.title: step.cautions for b in section.blocks if isinstance(b, Steps) for step in b.steps}


@pytest.mark.parametrize(
    "step, caution",
    [("Mark out", "overhead_lines"), ("Raise", "overhead_lines"), ("Raise", "wind"), ("Raise", "ladders"), ("Posts, sleeves, stakes", "stakes"),
     ("Trim", "transmitter_off"), ("Trim", "keyed"), ("Line and earth", "lightning"), ("Line and earth", "earthing"), ("First use", "out_of_reach")],
)  # fmt: skip
def test_cautions_stand_at_their_steps_inside_and_outside(page, step, caution):
    head = CAUTIONS[caution].split(". ")[0]
    for key in ("work", "steps"):
        assert any(text.startswith(head) for text in steps(page, key)[step])


def test_every_caution_is_said_in_full_once(page):
    said = [c for cautions in steps(page, "steps").values() for c in cautions]
    for key in ("overhead_lines", "transmitter_off", "stakes", "wind", "lightning"):
        assert said.count(CAUTIONS[key]) == 1


def test_trimming_comes_in_the_filed_order_with_a_reading_below_its_aim(built, page):
    rows = table(page, "Trim in this order").rows
    assert [row[1].split(" (")[0] for row in rows] == [t["element"] for t in built.content["trimming"]]
    for e, row in zip(expected(built), rows):
        assert e.start_hz < e.target_hz and e.start_m > e.finished_m and e.hz_per_m > 0
        assert float(row[5]) == pytest.approx(e.target_hz / 1e6, abs=6e-4)
        assert e.target_hz / 1e6 == pytest.approx(e.step.target_mhz, rel=0.02)


def test_the_page_is_well_formed_and_fetches_nothing(html):
    root = ElementTree.fromstring(html.split("\n", 1)[1])
    assert root.tag == "html"
    for element in root.iter():
        tag = element.tag.split("}")[-1]
        assert tag not in ("script", "link", "img", "iframe", "image", "use", "object")
        for name, value in element.attrib.items():
            assert "://" not in value, (tag, name, value)
            assert not re.search(r"url\((?!#)", value)
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)[1]
    assert "@import" not in style and "url(" not in style


def test_names_inside_the_page_are_unique(html):
    found = re.findall(r'\bid="([^"]+)"', html)
    assert len(found) == len(set(found))
    assert set(re.findall(r"url\(#([^)]+)\)", html)) <= set(found)


def test_the_note_stands_on_every_page(html, page):
    assert html.count(page.note) >= len(page.sections) and "@bottom-left" in html


def test_swr_curves_name_every_band(built, page, html):
    assert all(f"{key}: SWR at the radio" in html for key in built.cases)
    assert {"where", "work", "what", "parts", "windings", "supports", "steps", "swr", "sky", "losses", "people"} <= {s.key for s in page.sections}


def test_imperial_sheet_has_no_metric_lengths_outside(built):
    page = document(built, Units("imperial"))
    outside = text_of(render(page)).split("What it is, and why")[0]
    assert re.search(r"\d ft \d", outside)
    assert not re.search(r"\d m\b(?!/)", outside.replace("(3.05 m)", ""))


def test_a_rank_that_is_not_there_is_named():
    with pytest.raises(InputError, match="RANK: got 9, need the rank of a design in the folder: 1 to 3"):
        read_built(YARD, 9)


def test_a_folder_that_is_none(tmp_path):
    with pytest.raises(InputError, match="a folder written by rank"):
        read_built(tmp_path, 1)


def test_the_file_alone_is_enough(built):
    """Cords follow from the placement where the family gives other wires today."""
    from dataclasses import replace

    from optimizer.sheet import built as module

    alone = module._with_cords(replace(built, design=None, cords_m=()))
    guys = sum(a.kind == "guy" for a in built.anchors)
    assert len([c for c in alone.cords_m if c[1][2] == 0.0 and any(a.kind == "guy" and math.dist(a.at_m, c[1][:2]) < 0.01 for a in built.anchors)]) == guys
    if built.design is not None:
        feet = [sorted(tuple(round(v, 3) for v in b) for _, b in c) for c in (alone.cords_m, built.cords_m)]
        assert feet[0] == feet[1]


def test_figures_with_their_spread_may_take_two_lines_and_plain_ones_stay_whole():
    """Four bands of "100 % (100 % to 100 %)" in a line are wider than a page."""
    figure = "100 % (100 % to 100 %)"
    html = block_html(Table("", ("", "40m", "20m"), (("part", figure, "1.00"),), numbers=(1, 2)))
    assert f'<td class="n long">{figure}</td>' in html and '<td class="n">1.00</td>' in html


def test_the_plan_names_the_strokes_that_are_on_it(monkeypatch):
    monkeypatch.setattr(garden, "lines_beyond", lambda *_: [])
    monkeypatch.setattr(garden, "is_close", lambda *_: False)
    for role, named, other in (("line", "Dotted", "Long dashes"), ("counterpoise", "Long dashes", "Dotted")):
        wires = [SimpleNamespace(role=role), SimpleNamespace(role="radiator")]
        words = garden._plan_words(SimpleNamespace(wires=wires, site=SimpleNamespace(overhead_lines=(), lot=box(0, 0, 9, 9))), (), None, None)
        assert named in words and other not in words
