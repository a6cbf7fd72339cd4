"""What plan and side view show besides the aerial: lot, houses, trees, keep-outs, lines overhead, soil, north and scale."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Point, Polygon, box

from ..families.outline import polygons
from .canvas import Canvas
from .units import FOOT_M, Units, nice_step

EDGE = 26.0  # units around the drawing


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


def ground(canvas: Canvas, at: Scale, site, units: Units) -> None:
    """Lot and holes in it, houses, trees, keep-outs, places of people, overhead lines, radio."""
    for people in site.people:
        canvas.fill(_rings(people.footprint, at), "seat")
    canvas.path(_rings(site.lot, at)[0], "bold", closed=True)
    if site.setback_m > 0:
        for part in polygons(site.usable):
            for ring in _rings(part, at):
                canvas.path(ring, "dash", closed=True)
    for hole in map(Polygon, site.lot.interiors):
        canvas.fill(_rings(hole, at), "bars", "bold")
        canvas.label(at(hole.representative_point().coords[0]), "not your ground", near=0.0, size=10.5)
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
