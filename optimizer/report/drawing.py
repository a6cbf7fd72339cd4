"""Plan and side view of a design on its lot, to scale, as SVG: the page, the results and the sheet show the same.

The plan looks down, north up; the side view looks at right angles to the longest line through the aerial, lengths along
it foreshortened, heights true. Labels give true lengths and heights in metres and bearings clockwise from north. Kinds
differ by pattern, dash and symbol as well as by colour; light and dark follow the viewer's setting.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

from shapely.geometry import box

from ..families.outline import bearing_deg, direction
from ..families.pieces import kind_of
from .closeup import around, close_frame
from .scenery import SQUARE, backdrop, compass, ground, heights, keep_out, overhead, scale_bar, whole_lot
from .svg import Sheet

PLAN_WIDTH = 720.0
SIDE_WIDTH = 720.0
AROUND_M = 2.0
WHOLE_WIDE, WHOLE_TOP = 190.0, 84.0  # room for the whole lot beside a plan of a small part of it, below the arrow [units]
AT_FEED_M = 1.0
DIAMOND, STAKE = "M0-6L6 0L0 6L-6 0Z", "M-3-3L3 3M3-3L-3 3"
MAST, POST = "M-6 0A6 6 0 1 0 6 0A6 6 0 1 0-6 0M-9 0H9M0-9V9", "M-3 0A3 3 0 1 0 3 0A3 3 0 1 0-3 0"
COIL, TRAP = "M-8 3q2-9 4 0q2-9 4 0q2-9 4 0q2-9 4 0", "M-6-4H6V4H-6ZM-2-4V4M2-4V4"
SYMBOLS = {"trap": TRAP, "capacitor": "M-2-7V7M2-7V7"}


def plan_svg(design, site, zone=None) -> str:
    """The lot from above with everything on it. `zone`: a shapely area that people keep out of while sending."""
    structure = design.structure
    points = [p[:2] for w in structure.wires for p in w.points_m] + [a.at_m for a in structure.anchors] + ([zone.bounds[:2], zone.bounds[2:]] if zone else [])
    whole = around([site.lot.bounds[:2], site.lot.bounds[2:], *points], AROUND_M)
    close = close_frame((points,), whole)
    low, high = close or whole
    room = WHOLE_WIDE if close else 0.0
    sheet = Sheet(low, high, (PLAN_WIDTH - room) / max(high[0] - low[0], 0.8 * (high[1] - low[1])), room=room, title=f"Plan: {design.title}")
    ground(sheet, site)
    if close:
        _whole_lot(sheet, site, whole, close)
    keep_out(sheet, zone)
    overhead(sheet, site, box(*low, *high))
    _held(sheet, design)
    for wire in design.structure.wires:
        sheet.path(wire.points_m, wire.role, keep_clear=True, title=f"{wire.name}, {wire.length_m:.2f} m", data_wire=wire.name)
    _lumped(sheet, design, lambda p: p[:2])
    _wire_labels(sheet, design)
    compass(sheet)
    scale_bar(sheet, high[0] - low[0])
    sheet.heading(design.title)
    return sheet.render()


def _whole_lot(sheet: Sheet, site, whole, close) -> None:
    """The frame of the plan, and beside it the lot that the plan shows a part of."""
    sheet.path(sheet.shown.exterior.coords, "thin")
    left, wide, tall = sheet.width - WHOLE_WIDE - sheet.margin / 2, WHOLE_WIDE, sheet.height - WHOLE_TOP - sheet.margin
    (west, south), (east, north) = whole
    small = sheet.beside(whole, min(wide / (east - west), tall / (north - south)), left, WHOLE_TOP)
    whole_lot(small, site, close)
    below = small.at((west, south))[1] + 14.0
    sheet.raw(f'<text x="{left:.0f}" y="{WHOLE_TOP - 8:.0f}" class="bold">the whole lot</text>')
    sheet.raw(f'<text x="{left:.0f}" y="{below:.0f}" class="quiet">{east - west:.0f} m across</text>')
    sheet.taken.append((sheet.width - WHOLE_WIDE - sheet.margin, 0.0, WHOLE_WIDE + sheet.margin, sheet.height))


def side_svg(design, site) -> str:
    """The aerial from the side, heights true."""
    origin, bearing = _sight(design, site)
    dx, dy = direction(bearing)

    def seen(p):
        return (p[0] - origin[0]) * dx + (p[1] - origin[1]) * dy, p[2] if len(p) > 2 else 0.0

    structure = design.structure
    things = [p for w in structure.wires for p in w.points_m] + [p for c in structure.cords_m for p in c]
    along = [seen(p)[0] for p in [*things, *((*a.at_m, 0.0) for a in structure.anchors), *((*m.at_m, 0.0) for m in structure.masts)]]
    high = max([site.height_limit_m, *(m.height_m for m in structure.masts), *(b.height_m for b in site.buildings)]) + 0.7
    low_x, high_x = min(along) - 1.5, max(along) + 1.5
    sheet = Sheet((low_x, -0.8), (high_x, high), SIDE_WIDTH / max(high_x - low_x, 10.0), title=f"Side view: {design.title}")
    backdrop(sheet, site, seen, low_x, high_x)
    heights(sheet, site, low_x, high_x)
    for a, b in structure.cords_m:
        sheet.path((seen(a), seen(b)), "cord")
    for mast in structure.masts:
        foot = seen((*mast.at_m, 0.0))
        sheet.path((foot, (foot[0], mast.height_m)), "ink", stroke_width="3", title=f"mast {mast.height_m:.2f} m")
        sheet.label((foot[0], mast.height_m), f"mast {mast.height_m:.1f} m")
    for anchor in structure.anchors:
        foot = seen((*anchor.at_m, 0.0))
        if anchor.at_m in structure.holds_at_m:  # hangs on a house, a tree or a support that stands there anyway
            sheet.mark((foot[0], anchor.height_m), SQUARE)
            continue
        if anchor.height_m > 0:
            sheet.path((foot, (foot[0], anchor.height_m)), "ink", stroke_width="2")
        sheet.mark(foot, STAKE if anchor.kind != "end" else POST, "ink")
    for wire in structure.wires:
        sheet.path([seen(p) for p in wire.points_m], wire.role, keep_clear=True, title=f"{wire.name}, {wire.length_m:.2f} m", data_wire=wire.name)
    feed = seen(_feed_at(design))
    for point in _ends(design):
        if math.dist(seen(point), feed) > AT_FEED_M:  # the feed's label says its height
            sheet.label(seen(point), f"{point[2]:.1f}")
    _lumped(sheet, design, seen)
    sheet.heading(design.title, f"seen towards {(bearing - 90) % 360:.0f}°, along {bearing:.0f}°; heights in metres")
    scale_bar(sheet, high_x - low_x)
    return sheet.render()


def _sight(design, site):
    """A point and the bearing of the longest plan line through the radiators."""
    points = [p for w in design.structure.wires if w.role == "radiator" for p in w.points_m]
    pairs = [(math.dist(a[:2], b[:2]), a, b) for a, b in combinations(points, 2)]
    length, a, b = max(pairs, key=lambda t: t[0])
    if length < 0.5:  # a vertical: along its first radial
        points = [p for w in design.structure.wires for p in w.points_m]
        length, a, b = max(((math.dist(p[:2], q[:2]), p, q) for p, q in combinations(points, 2)), key=lambda t: t[0])
    way = bearing_deg(a, b)
    return (a if way < 180.0 else b)[:2], way % 180.0





def _held(sheet: Sheet, design) -> None:
    """Guys, cords, masts and anchors."""
    structure = design.structure
    for a, b in structure.cords_m:
        sheet.path((a, b), "cord")
    for anchor in structure.anchors:
        sheet.mark(anchor.at_m, POST if anchor.kind == "end" else STAKE, "mark" if anchor.kind == "end" else "ink", title=anchor.kind)
    for mast in structure.masts:
        sheet.mark(mast.at_m, MAST, title=f"mast {mast.height_m:.2f} m")
        sheet.label(mast.at_m, f"mast {mast.height_m:.1f} m", near=12.0)


def _lumped(sheet: Sheet, design, seen) -> None:
    """Feed, coils and traps."""
    wires = {w.name: w for w in design.structure.wires}
    switched = {(load.wire, load.at_m): load for _, loads in design.by_band for load in loads}
    for load in (*design.loads, *switched.values()):
        name, value = _element_words(load.element)
        at = seen(wires[load.wire].point_at(load.at_m))
        sheet.mark(at, SYMBOLS.get(name, COIL), "mark" if name == "trap" else "ink", title=name)
        sheet.label(at, f"{name} {value}".strip(), near=11.0)
    feed = _feed_at(design)
    at = seen(feed)
    sheet.mark(at, DIAMOND, title="feed")
    ratio = f" {design.feed.impedance_ratio:g}:1" if design.feed.impedance_ratio else ""
    sheet.label(at, f"feed{ratio}, up {feed[2]:.1f} m, line {design.feed.line_length_m:.1f} m", near=11.0)


def _element_words(element) -> tuple[str, str]:
    """What it is, and its value."""
    if hasattr(element, "inductance_h"):
        return "trap" if hasattr(element, "capacitance_f") else "coil", f"{element.inductance_h * 1e6:.1f} µH"
    if hasattr(element, "capacitance_f"):
        return "capacitor", f"{element.capacitance_f * 1e12:.0f} pF"
    return kind_of(element), ""


def _wire_labels(sheet: Sheet, design) -> None:
    """True length of every straight piece a metre or more in plan with its bearing, outward from the feed; ends' heights."""
    feed = _feed_at(design)
    for wire in design.structure.wires:
        for run in _straight_runs(wire.points_m):
            a, b = sorted((run[0], run[-1]), key=lambda p: math.dist(p, feed))
            if math.dist(a[:2], b[:2]) >= 1.0:
                middle = tuple((p + q) / 2 for p, q in zip(a[:2], b[:2]))
                length = sum(math.dist(p, q) for p, q in pairwise(run))
                sheet.label(middle, f"{length:.2f} m, {bearing_deg(a, b):.0f}°")
    for end in _ends(design):
        if math.dist(end[:2], feed[:2]) > AT_FEED_M:
            sheet.label(end, f"up {end[2]:.1f} m", "quiet")


def _feed_at(design):
    return next(w for w in design.structure.wires if w.name == design.port.wire).point_at(design.port.at_m)


def _straight_runs(points):
    """The polyline cut at its corners; a hung wire that sags is one run as long as it keeps its bearing and does not rise to a peak."""
    runs = [list(points[:2])]
    for a, b, c in zip(points, points[1:], points[2:]):
        turn = abs((bearing_deg(b, c) - bearing_deg(a, b) + 180.0) % 360.0 - 180.0)
        falls = (b[2] - a[2]) / max(math.dist(a[:2], b[:2]), 1e-9) - (c[2] - b[2]) / max(math.dist(b[:2], c[:2]), 1e-9)
        if turn < 1.0 and falls < 0.02:
            runs[-1].append(c)
        else:
            runs.append([b, c])
    return runs


def _ends(design):
    """Free ends of the wires: those that meet no other wire."""
    ends = [p for w in design.structure.wires for p in (w.points_m[0], w.points_m[-1])]
    return [p for p in ends if sum(math.dist(p, q) < 0.01 for q in ends) == 1]
