"""Plan and side view of a design, to scale, lettered like the tables beside them.

The plan looks down, north up. The side view looks at right angles to the longest line through the wires; lengths along
it are foreshortened, heights are true. Labels give true lengths, heights and bearings clockwise from north.
"""

from __future__ import annotations

import math
from itertools import combinations

from shapely.geometry import Point, box
from shapely.ops import nearest_points

from ..families.outline import bearing_deg, direction, polygons
from ..families.pieces import kind_of
from ..report.closeup import AROUND_M, around, close_frame
from .built import Built, value_of
from .canvas import Canvas
from .places import Tapes
from .scenery import EDGE, Scale, backdrop, ground, north, ruler, whole_lot
from .units import Units

WIDTH, PLAN_HIGH, SIDE_HIGH = 700.0, 420.0, 230.0
TALL_PLAN, TALL_SIDE_WIDTH = (395.0, 610.0), 300.0  # where plan and side view stand beside each other
SAME_LABEL = 20.0  # units: heights are said once so near
WHOLE_WIDE, WHOLE_TOP = 170.0, 84.0  # its room, below the arrow
SHAPES = {
    "M": "M-7 0A7 7 0 1 0 7 0A7 7 0 1 0-7 0M-11 0H11M0-11V11", "P": "M-4-4H4V4H-4Z", "G": "M-4-4L4 4M4-4L-4 4",
    "S": "M-4-4L4 4M4-4L-4 4", "H": "M0-6L6 5H-6Z", "feed": "M0-7L7 0L0 7L-7 0Z",
    "coil": "M-9 4q2.2-11 4.5 0q2.2-11 4.5 0q2.2-11 4.5 0q2.2-11 4.5 0", "trap": "M-7-5H7V5H-7ZM-2-5V5M2-5V5",
    "capacitor": "M-2-7V7M2-7V7", "link": "M-6-4L6 4M-6 4L6-4", "load": "M-7-4H7V4H-7Z",
}  # fmt: skip


def plan(built: Built, tapes: tuple[Tapes, ...], units: Units, zone=None) -> str:
    """The lot from above. `zone`: a shapely area that people keep out of while transmitting."""
    at, beside = _plan_scales(built, tapes, zone)
    canvas = Canvas(at.size[0] + (WHOLE_WIDE if beside else 0.0), at.size[1], title="Plan")
    ground(canvas, at, built.site, units)
    if beside:
        canvas.path([at(c) for c in at.frame.exterior.coords], "thin", closed=True)
        whole_lot(canvas, beside, built.site, at.frame)
        canvas.text((beside.left, beside.top - 8.0), "the whole lot", bold=True)
        low, high = (corner[0] for corner in (beside.low, beside.high))
        canvas.text((beside.left, beside.top + (beside.high[1] - beside.low[1]) * beside.per_m + 16.0), f"{units.height(high - low)} across")
        canvas.taken.append((at.size[0], 0.0, WHOLE_WIDE, at.size[1]))
    if zone is not None:
        for part in polygons(zone):
            canvas.fill([[at(c) for c in ring.coords] for ring in (part.exterior, *part.interiors)], "zone", "dash")
        canvas.label(at(zone.representative_point().coords[0]), "keep out while transmitting", near=0.0)
    for a, b in built.cords_m:
        canvas.path((at(a), at(b)), "cord")
    for wire in built.wires:
        canvas.path([at(p) for p in wire.points_m], _look(wire.role), keep_clear=True)
    for corner in {c.name: c for t in tapes for c, _ in t.corners}.values():
        near = not beside or at.frame.covers(Point(corner.at_m))
        spot = at(corner.at_m) if near else beside(corner.at_m)
        canvas.mark(spot, "M-2.5 0A2.5 2.5 0 1 0 2.5 0A2.5 2.5 0 1 0-2.5 0", "solid")
        if near:
            canvas.label(spot, corner.name, near=5.0, bold=True)
        else:
            canvas.text((spot[0] + 5.0, spot[1] - 4.0), corner.name, bold=True)
    _lumped(canvas, built, at)
    for tape in tapes:
        place = tape.place
        canvas.mark(at(place.at_m), SHAPES[place.letter[0]])
        up = f", {units.height(place.height_m)}" if place.height_m > 0 else ""
        canvas.label(at(place.at_m), f"{place.letter}{up}", near=9.0, bold=True)
    _wire_labels(canvas, built, at, units)
    north(canvas)
    ruler(canvas, at, units)
    return canvas.svg()


def is_tall(built: Built, tapes: tuple[Tapes, ...], zone=None) -> bool:
    """Does the plan come out larger with the side view beside it than under it?"""
    whole = _frame(built, zone)
    return not is_close(built, tapes, zone) and _per_m(whole, TALL_PLAN) > _per_m(whole, (WIDTH, PLAN_HIGH))


def is_close(built: Built, tapes: tuple[Tapes, ...], zone=None) -> bool:
    """Does the plan show the surroundings of the aerial only, and the whole lot small beside them?"""
    return _close(built, tapes, zone) is not None


def side(built: Built, tapes: tuple[Tapes, ...], units: Units, wide: float = WIDTH) -> str:
    """The design from the side, heights true; at most so wide."""
    origin, bearing = _sight(built)
    dx, dy = direction(bearing)

    def seen(p):
        return (p[0] - origin[0]) * dx + (p[1] - origin[1]) * dy, p[2] if len(p) > 2 else 0.0

    points = [p for w in built.wires for p in w.points_m] + [(*t.place.at_m, t.place.height_m) for t in tapes]
    xs, top = [seen(p)[0] for p in points], max(p[2] for p in points)
    low, high = (min(xs) - 1.0, -0.7), (max(xs) + 1.0, top + 1.0)
    at = Scale(low, high, _per_m((low, high), (wide, SIDE_HIGH)))
    canvas = Canvas(*at.size, title="Side view")
    backdrop(canvas, at, built.site, seen, low[0], high[0])
    for a, b in built.cords_m:
        canvas.path((at(seen(a)), at(seen(b))), "cord")
    heights = set()
    for tape in tapes:
        place = tape.place
        foot, head = at(seen((*place.at_m, 0.0))), at(seen((*place.at_m, place.height_m)))
        if place.height_m > 0 and not place.stands:
            canvas.path((foot, head), "bold")
        canvas.mark(head, SHAPES[place.letter[0]])
        once = (place.letter[0], units.height(place.height_m))  # posts alike: the first says how high
        canvas.label(head, f"{place.letter} {once[1]}" if place.height_m > 0 and once not in heights else place.letter, near=9.0, bold=True)
        heights.add(once)
    for wire in built.wires:
        canvas.path([at(seen(p)) for p in wire.points_m], _look(wire.role), keep_clear=True)
    told = [at(seen((*t.place.at_m, t.place.height_m))) for t in tapes] + [at(seen(p)) for p in (built.feed_at, *map(built.place_of, built.all_loads))]
    for point in dict.fromkeys(p for w in built.wires for a, b, _ in built.runs(w) for p in (a, b)):
        spot = at(seen(point))
        if all(math.dist(spot, there) > SAME_LABEL for there in told):
            canvas.label(spot, units.height(point[2]), near=8.0)
            told.append(spot)
    _lumped(canvas, built, lambda p: at(seen(p)), units=units)
    ruler(canvas, at, units)
    return canvas.svg()


def lines_beyond(built: Built, units: Units, zone=None) -> tuple[str, ...]:
    """Where the overhead power lines run that the plan has no room for."""
    frame = box(*(c for corner in _frame(built, zone) for c in corner))
    found = []
    for line in built.site.overhead_lines:
        if line.kind == "power" and not line.path.intersects(frame):
            here, there = nearest_points(built.site.lot, line.path)
            away = units.height(here.distance(there))
            found.append(f"Off this drawing: an overhead POWER line {away} beyond the lot at its nearest, bearing {bearing_deg(here.coords[0], there.coords[0]):.0f}°, {units.height(line.height_m)} up.")
    return tuple(found)


def side_words(built: Built) -> str:
    """Which way the side view looks."""
    bearing = _sight(built)[1]
    return f"Side view, looking {(bearing - 90) % 360:.0f}°; left to right is {bearing:.0f}°; heights above ground."


def _look(role: str) -> str:
    return {"counterpoise": "back", "line": "line"}.get(role, "wire")


def _plan_scales(built: Built, tapes: tuple[Tapes, ...], zone) -> tuple[Scale, Scale | None]:
    """Of the plan, and of the whole lot beside it where the plan shows a small part of that."""
    whole, close = _frame(built, zone), _close(built, tapes, zone)
    if close is None:
        return Scale(*whole, _per_m(whole, TALL_PLAN if is_tall(built, tapes, zone) else (WIDTH, PLAN_HIGH))), None
    at = Scale(*close, _per_m(close, (WIDTH - WHOLE_WIDE, PLAN_HIGH)))
    room = WHOLE_WIDE - EDGE, at.size[1] - WHOLE_TOP - EDGE
    return at, Scale(*whole, _fit(whole, room), left=at.size[0], top=WHOLE_TOP)


def _close(built: Built, tapes: tuple[Tapes, ...], zone):
    """The surroundings of the aerial where they are small against the lot, with the corners of the tapes if those are near; else None."""
    points, corners = _aerial(built, zone), [c.at_m for t in tapes for c, _ in t.corners]
    return close_frame((points + corners, points), _frame(built, zone))


def _per_m(frame, room) -> float:
    """Largest scale at which it fits the room [units/m]."""
    return _fit(frame, [r - 2 * EDGE for r in room])


def _fit(frame, room) -> float:
    return min(r / (h - lo) for lo, h, r in zip(*frame, room))


def _frame(built: Built, zone):
    """South-west and north-east corner of lot and aerial."""
    bounds = built.site.lot.bounds
    return around([bounds[:2], bounds[2:], *_aerial(built, zone)], AROUND_M)


def _aerial(built: Built, zone) -> list:
    """Points of the aerial, what holds it, and the zone."""
    points = [p[:2] for w in built.wires for p in w.points_m] + [a.at_m for a in built.anchors]
    return points + ([zone.bounds[:2], zone.bounds[2:]] if zone is not None else [])


def _sight(built: Built):
    """A point and the bearing of the longest plan line through the radiators; of all wires where they stand upright."""
    for role in ("radiator", None):
        points = [p for w in built.wires if role in (None, w.role) for p in w.points_m]
        length, a, b = max(((math.dist(p[:2], q[:2]), p, q) for p, q in combinations(points, 2)), key=lambda t: t[0])
        if length > 0.5:
            break
    way = bearing_deg(a, b) if length > 1e-6 else 90.0
    return (a if way < 180.0 else b)[:2], way % 180.0



def _lumped(canvas: Canvas, built: Built, seen, units: Units | None = None) -> None:
    """Feed, coils, traps, capacitors and links, with their heights where units are given, else with their values."""
    for load in built.all_loads:
        spot, kind = seen(built.place_of(load)), kind_of(load.element)
        canvas.mark(spot, SHAPES[kind], "bold" if kind == "link" else "mark")
        words = units.height(built.place_of(load)[2]) if units else value_of(load.element)
        canvas.label(spot, f"{kind} {words}".strip(), near=10.0, size=10.5)
    spot = seen(built.feed_at)
    canvas.mark(spot, SHAPES["feed"])
    canvas.label(spot, f"feed {units.height(built.feed_at[2])}" if units else "feed", near=10.0, bold=True)


def _wire_labels(canvas: Canvas, built: Built, at, units: Units) -> None:
    """True length and bearing of every straight piece that shows in plan, outward from the feed."""
    for wire in built.wires:
        for *pair, length in built.runs(wire):
            a, b = sorted(pair, key=lambda p: math.dist(p, built.feed_at))
            if math.dist(a[:2], b[:2]) * at.per_m >= 25.0:
                middle = tuple((p + q) / 2 for p, q in zip(a[:2], b[:2]))
                canvas.label(at(middle), f"{units.length(length)}, {bearing_deg(a, b):.0f}°")
