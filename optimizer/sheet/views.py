"""Plan and side view of a design, to scale, lettered like the tables beside them.

The plan looks down, north up. The side view looks at right angles to the longest line through the wires; lengths along
it are foreshortened, heights are true. Labels give true lengths, heights and bearings clockwise from north.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from shapely.geometry import Point, box

from ..families.outline import bearing_deg, direction, polygons
from ..families.pieces import kind_of
from .built import Built, value_of
from .canvas import Canvas
from .places import Tapes
from .units import FOOT_M, Units, nice_step

WIDTH, PLAN_HIGH, SIDE_HIGH = 700.0, 420.0, 230.0
TALL_PLAN, TALL_SIDE_WIDTH = (395.0, 610.0), 300.0  # where plan and side view stand beside each other
EDGE = 26.0
SAME_LABEL = 20.0  # units: heights are said once so near
AROUND_M = 1.5
SHAPES = {
    "M": "M-7 0A7 7 0 1 0 7 0A7 7 0 1 0-7 0M-11 0H11M0-11V11", "P": "M-4-4H4V4H-4Z", "G": "M-4-4L4 4M4-4L-4 4",
    "S": "M-4-4L4 4M4-4L-4 4", "H": "M0-6L6 5H-6Z", "feed": "M0-7L7 0L0 7L-7 0Z",
    "coil": "M-9 4q2.2-11 4.5 0q2.2-11 4.5 0q2.2-11 4.5 0q2.2-11 4.5 0", "trap": "M-7-5H7V5H-7ZM-2-5V5M2-5V5",
    "capacitor": "M-2-7V7M2-7V7", "link": "M-6-4L6 4M-6 4L6-4", "load": "M-7-4H7V4H-7Z",
}  # fmt: skip


@dataclass(frozen=True)
class Scale:
    """Metres to user units: x right, y up."""

    low: tuple[float, float]
    high: tuple[float, float]
    per_m: float

    def __call__(self, point) -> tuple[float, float]:
        return EDGE + (point[0] - self.low[0]) * self.per_m, EDGE + (self.high[1] - point[1]) * self.per_m

    @property
    def size(self) -> tuple[float, float]:
        return tuple(2 * EDGE + (h - lo) * self.per_m for lo, h in zip(self.low, self.high))


def plan(built: Built, tapes: tuple[Tapes, ...], units: Units, zone=None) -> str:
    """The lot from above. `zone`: a shapely area that people keep out of while transmitting."""
    at = _plan_scale(built, zone)
    canvas = Canvas(*at.size, title="Plan")
    _ground(canvas, at, built.site, units)
    if zone is not None:
        for part in polygons(zone):
            canvas.fill([[at(c) for c in part.exterior.coords]], "zone", "dash")
        canvas.label(at(zone.representative_point().coords[0]), "keep out while transmitting", near=0.0)
    for a, b in built.cords_m:
        canvas.path((at(a), at(b)), "cord")
    for wire in built.wires:
        canvas.path([at(p) for p in wire.points_m], _look(wire.role), keep_clear=True)
    for tape in tapes:
        for corner, _ in tape.corners:
            canvas.mark(at(corner.at_m), "M-2.5 0A2.5 2.5 0 1 0 2.5 0A2.5 2.5 0 1 0-2.5 0", "solid")
    for corner in {c.name: c for t in tapes for c, _ in t.corners}.values():
        canvas.label(at(corner.at_m), corner.name, near=5.0, bold=True)
    _lumped(canvas, built, at)
    for tape in tapes:
        place = tape.place
        canvas.mark(at(place.at_m), SHAPES[place.letter[0]])
        up = f", {units.height(place.height_m)}" if place.height_m > 0 else ""
        canvas.label(at(place.at_m), f"{place.letter}{up}", near=9.0, bold=True)
    _wire_labels(canvas, built, at, units)
    _north(canvas)
    _ruler(canvas, at, units)
    return canvas.svg()


def is_tall(built: Built, zone=None) -> bool:
    """Does the plan come out larger with the side view beside it than under it?"""
    return _per_m(_frame(built, zone), TALL_PLAN) > _per_m(_frame(built, zone), (WIDTH, PLAN_HIGH))


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
    _backdrop(canvas, at, built.site, seen, low[0], high[0])
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
    told = [at(seen((*t.place.at_m, t.place.height_m))) for t in tapes] + [at(seen(built.feed_at))]
    for point in dict.fromkeys(p for w in built.wires for a, b, _ in built.runs(w) for p in (a, b)):
        spot = at(seen(point))
        if all(math.dist(spot, there) > SAME_LABEL for there in told):
            canvas.label(spot, units.height(point[2]), near=8.0)
            told.append(spot)
    _lumped(canvas, built, lambda p: at(seen(p)), values=False, feed=f"feed {units.height(built.feed_at[2])}")
    return canvas.svg()


def side_words(built: Built) -> str:
    """Which way the side view looks."""
    bearing = _sight(built)[1]
    return f"Side view, looking {(bearing - 90) % 360:.0f}°; left to right is {bearing:.0f}°; heights above ground."


def _look(role: str) -> str:
    return {"counterpoise": "back", "line": "line"}.get(role, "wire")


def _plan_scale(built: Built, zone) -> Scale:
    frame = _frame(built, zone)
    return Scale(*frame, _per_m(frame, TALL_PLAN if is_tall(built, zone) else (WIDTH, PLAN_HIGH)))


def _per_m(frame, room) -> float:
    """Largest scale at which it fits the room [units/m]."""
    return min((r - 2 * EDGE) / (h - lo) for lo, h, r in zip(*frame, room))


def _frame(built: Built, zone):
    """South-west and north-east corner of what the plan shows."""
    points = [p[:2] for w in built.wires for p in w.points_m] + [a.at_m for a in built.anchors]
    x1, y1, x2, y2 = built.site.lot.bounds
    if zone is not None:
        points += [zone.bounds[:2], zone.bounds[2:]]
    low = (min([x1, *(p[0] for p in points)]) - AROUND_M, min([y1, *(p[1] for p in points)]) - AROUND_M)
    high = (max([x2, *(p[0] for p in points)]) + AROUND_M, max([y2, *(p[1] for p in points)]) + AROUND_M)
    return low, high


def _sight(built: Built):
    """A point and the bearing of the longest plan line through the radiators; of all wires where they stand upright."""
    for role in ("radiator", None):
        points = [p for w in built.wires if role in (None, w.role) for p in w.points_m]
        length, a, b = max(((math.dist(p[:2], q[:2]), p, q) for p, q in combinations(points, 2)), key=lambda t: t[0])
        if length > 0.5:
            break
    way = bearing_deg(a, b) if length > 1e-6 else 90.0
    return (a if way < 180.0 else b)[:2], way % 180.0


def _rings(polygon, at):
    return [[at(c) for c in ring.coords] for ring in (polygon.exterior, *polygon.interiors)]


def _ground(canvas: Canvas, at: Scale, site, units: Units) -> None:
    """Lot, houses, trees, keep-outs, places of people, overhead lines, radio."""
    for people in site.people:
        canvas.fill(_rings(people.footprint, at), "seat")
    canvas.path(_rings(site.lot, at)[0], "bold", closed=True)
    if site.setback_m > 0:
        for part in polygons(site.usable):
            canvas.path(_rings(part, at)[0], "dash", closed=True)
    for out in site.keep_outs:
        canvas.fill(_rings(out.footprint, at), "keep")
        canvas.label(at(out.footprint.representative_point().coords[0]), out.name, near=0.0, size=10.5)
    for house in site.buildings:
        canvas.fill(_rings(house.footprint, at), "house", "ink")
        canvas.label(at(house.footprint.representative_point().coords[0]), house.name, near=0.0, size=10.5)
    for tree in site.trees:
        canvas.circle(at(tree.at_m), tree.crown_radius_m * at.per_m, "thin", "leaf")
        canvas.label(at(tree.at_m), tree.name, near=6.0, size=10.5)
    if site.radio:
        canvas.mark(at(site.radio.at_m), "M-5 4V-4H5V4ZM-2-4L4-10")
        canvas.label(at(site.radio.at_m), "radio", size=10.5)
    frame = box(*at.low, *at.high)
    for line in site.overhead_lines:
        part = line.path.intersection(frame)
        for piece in getattr(part, "geoms", [part]):
            if not piece.is_empty and piece.length > 0:
                canvas.path([at(c) for c in piece.coords], "power" if line.kind == "power" else "thin")
                danger = "POWER LINE" if line.kind == "power" else "telephone line"
                canvas.label(at(piece.interpolate(0.5, normalized=True).coords[0]), f"{danger}, up {units.height(line.height_m)}", bold=True)


def _lumped(canvas: Canvas, built: Built, seen, values: bool = True, feed: str = "feed") -> None:
    """Feed, coils, traps, capacitors and links."""
    for load in built.all_loads:
        spot, kind = seen(built.place_of(load)), kind_of(load.element)
        canvas.mark(spot, SHAPES[kind], "bold" if kind == "link" else "mark")
        canvas.label(spot, f"{kind} {value_of(load.element)}".strip() if values else kind, near=10.0, size=10.5)
    spot = seen(built.feed_at)
    canvas.mark(spot, SHAPES["feed"])
    canvas.label(spot, feed, near=10.0, bold=True)


def _wire_labels(canvas: Canvas, built: Built, at, units: Units) -> None:
    """True length and bearing of every straight piece that shows in plan, outward from the feed."""
    for wire in built.wires:
        for *pair, length in built.runs(wire):
            a, b = sorted(pair, key=lambda p: math.dist(p, built.feed_at))
            if math.dist(a[:2], b[:2]) * at.per_m >= 25.0:
                middle = tuple((p + q) / 2 for p, q in zip(a[:2], b[:2]))
                canvas.label(at(middle), f"{units.length(length)}, {bearing_deg(a, b):.0f}°")


def _backdrop(canvas: Canvas, at: Scale, site, seen, low_x: float, high_x: float) -> None:
    """Houses and trees behind, the height limit, and the soil."""
    for house in site.buildings:
        xs = [seen((*c[:2], 0.0))[0] for c in house.footprint.exterior.coords]
        x1, x2, top = max(min(xs), low_x), min(max(xs), high_x), min(house.height_m, at.high[1])
        if x1 < x2:
            canvas.fill([[at(c) for c in box(x1, 0.0, x2, top).exterior.coords]], "house")
            if (x2 - x1) * at.per_m > 7 * len(house.name):
                canvas.label(at(((x1 + x2) / 2, 0.4 * top)), house.name, near=0.0, size=10.5)
    for tree in site.trees:
        x, stem = seen((*tree.at_m, 0.0))[0], tree.height_m - tree.crown_radius_m
        if low_x < x < high_x:
            canvas.path((at((x, 0.0)), at((x, stem))), "thin")
            crown = Point(x, stem).buffer(tree.crown_radius_m).intersection(box(low_x, 0.0, high_x, at.high[1]))
            for part in polygons(crown):
                canvas.fill([[at(c) for c in part.exterior.coords]], "leaf")
    if site.height_limit_m < at.high[1]:
        canvas.path((at((low_x, site.height_limit_m)), at((high_x, site.height_limit_m))), "dash")
    canvas.fill([[at(c) for c in box(low_x, -0.5, high_x, 0.0).exterior.coords]], "soil")
    canvas.path((at((low_x, 0.0)), at((high_x, 0.0))), "bold")


def _north(canvas: Canvas) -> None:
    x = canvas.width - 22
    canvas.draw(f"M{x} 12L{x + 8} 36L{x} 30L{x - 8} 36Z", "solid")
    canvas.text((x, 50), "N", anchor="middle", bold=True)


def _ruler(canvas: Canvas, at: Scale, units: Units) -> None:
    """A scale bar of a round length."""
    per = FOOT_M if units.imperial else 1.0
    step = nice_step(canvas.width / at.per_m / per, 5)
    long, y = step * per * at.per_m, canvas.height - 12
    canvas.path(((EDGE, y - 4), (EDGE, y), (EDGE + long, y), (EDGE + long, y - 4)), "bold")
    canvas.text((EDGE + long + 6, y + 3), f"{step:g} {'ft' if units.imperial else 'm'}")
