"""What plan and side view show besides the aerial: lot, houses, trees, keep-outs, lines overhead, soil, north and scale."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import get_parts, line_merge
from shapely.geometry import Point, Polygon, box

from ..families.outline import polygons
from .canvas import Canvas
from .units import FOOT_M, Units, nice_step

EDGE = 26.0  # units around the drawing


@dataclass(frozen=True)
class Scale:
    """Metres to user units: x right, y up. `left`, `top`: where the north-west corner comes to."""

    low: tuple[float, float]
    high: tuple[float, float]
    per_m: float
    left: float = EDGE
    top: float = EDGE

    def __call__(self, point) -> tuple[float, float]:
        return self.left + (point[0] - self.low[0]) * self.per_m, self.top + (self.high[1] - point[1]) * self.per_m

    @property
    def frame(self) -> Polygon:
        return box(*self.low, *self.high)

    @property
    def size(self) -> tuple[float, float]:
        return tuple(2 * EDGE + (h - lo) * self.per_m for lo, h in zip(self.low, self.high))


def ground(canvas: Canvas, at: Scale, site, units: Units) -> None:
    """Lot and holes in it, houses, trees, keep-outs, places of people, overhead lines, radio: what of them lies in the frame."""
    for people in site.people:
        _areas(canvas, at, people.footprint, "seat")
    _edges(canvas, at, site.lot.exterior, "bold")
    if site.setback_m > 0:
        _edges(canvas, at, site.usable.boundary, "dash")
    for hole in site.lot.interiors:
        _areas(canvas, at, Polygon(hole), "bars", "bold", "not your ground")
    for out in site.keep_outs:
        _areas(canvas, at, out.footprint, "keep", name=out.name)
    for house in site.buildings:
        _areas(canvas, at, house.footprint, "house", "ink", house.name)
    for tree in site.trees:
        if at.frame.contains(Point(tree.at_m)):
            canvas.circle(at(tree.at_m), tree.crown_radius_m * at.per_m, "thin", "leaf")
            canvas.label(at(tree.at_m), tree.name, near=6.0, size=10.5)
    if site.radio and at.frame.contains(Point(site.radio.at_m)):
        canvas.mark(at(site.radio.at_m), "M-5 4V-4H5V4ZM-2-4L4-10")
        canvas.label(at(site.radio.at_m), "radio", size=10.5)
    for line in site.overhead_lines:
        for piece in _edges(canvas, at, line.path, "power" if line.kind == "power" else "thin"):
            danger = "POWER LINE" if line.kind == "power" else "telephone line"
            canvas.label(at(piece.interpolate(0.5, normalized=True).coords[0]), f"{danger}, up {units.height(line.height_m)}", bold=True)


def whole_lot(canvas: Canvas, at: Scale, site, frame: Polygon) -> None:
    """The lot small, with a frame about what the plan shows: its edge, what is no part of it, houses, power lines."""
    for hole in site.lot.interiors:
        _areas(canvas, at, Polygon(hole), "bars")
    for house in site.buildings:
        _areas(canvas, at, house.footprint, "house")
    _edges(canvas, at, site.lot.exterior, "ink")
    for line in site.overhead_lines:
        if line.kind == "power":
            _edges(canvas, at, line.path, "power")
    _edges(canvas, at, frame.exterior, "bold")


def _areas(canvas: Canvas, at: Scale, shape, pattern: str, outline: str = "thin", name: str = "") -> None:
    """The parts of an area that lie in the frame, each with the name."""
    for part in polygons(shape.intersection(at.frame)):
        canvas.fill(_rings(part, at), pattern, outline)
        if name:
            canvas.label(at(part.representative_point().coords[0]), name, near=0.0, size=10.5)


def _edges(canvas: Canvas, at: Scale, line, look: str) -> list:
    """The pieces of a line or ring that lie in the frame, drawn."""
    part = line_merge(line.intersection(at.frame))
    pieces = [p for p in get_parts(part) if p.length > 0]
    for piece in pieces:
        canvas.path([at(c) for c in piece.coords], look, closed=piece.is_closed)
    return pieces


def backdrop(canvas: Canvas, at: Scale, site, seen, low_x: float, high_x: float) -> None:
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


def north(canvas: Canvas) -> None:
    x = canvas.width - 22
    canvas.draw(f"M{x} 12L{x + 8} 36L{x} 30L{x - 8} 36Z", "solid")
    canvas.text((x, 50), "N", anchor="middle", bold=True)


def ruler(canvas: Canvas, at: Scale, units: Units) -> None:
    """A scale bar of a round length."""
    per = FOOT_M if units.imperial else 1.0
    step = nice_step(canvas.width / at.per_m / per, 5)
    long, y = step * per * at.per_m, canvas.height - 12
    canvas.path(((EDGE, y - 4), (EDGE, y), (EDGE + long, y), (EDGE + long, y - 4)), "bold")
    canvas.text((EDGE + long + 6, y + 3), f"{step:g} {'ft' if units.imperial else 'm'}")
    canvas.taken.append((EDGE, y - 9, long + 46, 18))


def _rings(polygon, at):
    return [[at(c) for c in ring.coords] for ring in (polygon.exterior, *polygon.interiors)]
