"""What a drawing shows besides the aerial: the lot and what stands on it, the zone to keep out of, lines overhead, heights, north and scale."""

from __future__ import annotations

import math

from shapely import get_parts, line_merge
from shapely.geometry import Point, Polygon, box

from ..families.outline import polygons
from .svg import Sheet

SQUARE = "M-4-4H4V4H-4Z"
NOT_YOURS = "not your ground"


def ground(sheet: Sheet, site) -> None:
    """Lot and holes in it, houses, trees, keep-outs, people and supports: what of them is to be seen."""
    _area(sheet, site.lot, "lot", fill="url(#grass)", title="lot")
    for hole in site.lot.interiors:
        _area(sheet, Polygon(hole), "lot", fill="url(#bars)", title=NOT_YOURS, words=NOT_YOURS)
    if site.setback_m > 0:
        for part in polygons(site.usable):
            _area(sheet, part, "setback", title=f"setback {site.setback_m:g} m")
    for people in site.people:
        _area(sheet, people.footprint, "thin", fill="url(#seats)", title=people.name)
    for out in site.keep_outs:
        _area(sheet, out.footprint, "ink", fill="url(#barred)", title=out.name, words=out.name, css_words="quiet")
    for house in site.buildings:
        _area(sheet, house.footprint, "ink", fill="url(#roof)", title=house.name, words=f"{house.name}, {house.height_m:g} m")
    for tree in site.trees:
        crown = Point(tree.at_m).buffer(tree.crown_radius_m)
        if sheet.shown.covers(crown):
            sheet.circle(tree.at_m, tree.crown_radius_m, "ink", fill="url(#leaves)", title=tree.name)
        else:
            _area(sheet, crown, "ink", fill="url(#leaves)", title=tree.name)
        if _seen(sheet, tree.at_m):
            sheet.label(tree.at_m, f"{tree.name}, {tree.height_m:g} m", "quiet")
    for support in site.supports:
        if _seen(sheet, support.at_m):
            sheet.mark(support.at_m, SQUARE, title=support.name)
            sheet.label(support.at_m, f"{support.name}, {support.height_m:g} m", "quiet")
    if site.radio and _seen(sheet, site.radio.at_m):
        sheet.mark(site.radio.at_m, "M-5 4V-4H5V4ZM-2-4L3-10", title=site.radio.name)
        sheet.label(site.radio.at_m, "radio", "quiet")


def whole_lot(sheet: Sheet, site, frame) -> None:
    """The lot small, with a frame about what the plan shows: its edge, what is no part of it, houses, power lines. `frame`: south-west and north-east corner [m]."""
    _area(sheet, site.lot, "ink", fill="url(#grass)", title="the whole lot")
    for hole in site.lot.interiors:
        _area(sheet, Polygon(hole), "ink", fill="url(#bars)", title=NOT_YOURS)
    for house in site.buildings:
        _area(sheet, house.footprint, "thin", fill="url(#roof)", title=house.name)
    for line in site.overhead_lines:
        if line.kind == "power":
            _edges(sheet, line.path, "power", line.name)
    sheet.path(box(*frame[0], *frame[1]).exterior.coords, "shown", title="what the plan shows")


def _seen(sheet: Sheet, point) -> bool:
    return sheet.shown.contains(Point(point))


def _area(sheet: Sheet, shape, css: str, *, fill: str = "none", title: str = "", words: str = "", css_words: str = "") -> None:
    """An area, or what of it is to be seen: then its edges only where they are its own. `words`: a label on each part."""
    parts = [shape]
    if sheet.shown.covers(shape):
        sheet.area(shape, css, fill=fill, title=title)
    else:
        parts = list(polygons(shape.intersection(sheet.shown)))
        for part in parts if fill != "none" else ():
            sheet.area(part, "", fill=fill, title=title)
        _edges(sheet, shape.boundary, css, title)
    for part in parts if words else ():
        sheet.label(part.representative_point().coords[0], words, css_words, near=0.0)


def _edges(sheet: Sheet, line, css: str, title: str) -> None:
    """The pieces of a line or ring that are to be seen."""
    for piece in get_parts(line_merge(line.intersection(sheet.shown))):
        if piece.length > 0:
            sheet.path(piece.coords, css, title=title)


def keep_out(sheet: Sheet, zone) -> None:
    """The exposure zone, cross-hatched."""
    for part in polygons(zone) if zone else ():
        sheet.area(part, "zone", fill="url(#zone)", title="nobody here while sending")
    if zone:
        sheet.label(zone.representative_point().coords[0], "nobody here while sending", near=4.0)


def overhead(sheet: Sheet, site, frame) -> None:
    for line in site.overhead_lines:
        part = line.path.intersection(frame)
        for piece in getattr(part, "geoms", [part]):
            if not piece.is_empty and piece.length > 0:
                sheet.path(piece.coords, "power" if line.kind == "power" else "thin", title=line.name)
                sheet.label(piece.interpolate(0.5, normalized=True).coords[0], f"{line.kind} line, {line.height_m:g} m")


def backdrop(sheet: Sheet, site, seen, low_x, high_x) -> None:
    """Houses and trees behind, and the soil."""
    for house in site.buildings:
        xs = [seen((*c[:2], 0.0))[0] for c in house.footprint.exterior.coords]
        x1, x2 = max(min(xs), low_x), min(max(xs), high_x)
        if x1 < x2:
            sheet.area(box(x1, 0.0, x2, house.height_m), "thin", fill="url(#roof)", title=house.name)
            sheet.label(((x1 + x2) / 2, 0.6 * house.height_m), house.name, "quiet", near=0.0)
    for tree in site.trees:
        x = seen((*tree.at_m, 0.0))[0]
        if low_x < x < high_x:
            crown = Point(x, tree.height_m - tree.crown_radius_m).buffer(tree.crown_radius_m)
            sheet.path(((x, 0.0), (x, tree.height_m - tree.crown_radius_m)), "thin")
            sheet.area(crown, "thin", fill="url(#leaves)", title=tree.name)
    sheet.area(box(low_x, -0.6, high_x, 0.0), "thin", fill="url(#soil)")
    sheet.path(((low_x, 0.0), (high_x, 0.0)), "lot", fill="none")


def heights(sheet: Sheet, site, low_x, high_x) -> None:
    step = 1 if site.height_limit_m <= 12 else 2
    for height in range(step, math.floor(site.height_limit_m) + 1, step):
        sheet.path(((low_x, height), (low_x + 0.25, height)), "ink")
        x, y = sheet.at((low_x, height))
        sheet.raw(f'<text x="{x - 6:.0f}" y="{y + 4:.0f}" text-anchor="end">{height}</text>')
    sheet.path(((low_x, site.height_limit_m), (high_x, site.height_limit_m)), "setback", title="height limit")
    sheet.label((high_x - 1.0, site.height_limit_m), f"height limit {site.height_limit_m:g} m", "quiet")


def compass(sheet: Sheet) -> None:
    x, y = sheet.width - 26.0, 34.0
    sheet.raw(f'<path d="M0-20L6 8L0 3L-6 8Z" class="solid" transform="translate({x:.0f} {y:.0f})"><title>north</title></path>')
    sheet.raw(f'<text x="{x:.0f}" y="{y + 22:.0f}" text-anchor="middle">N</text>')


def scale_bar(sheet: Sheet, span_m: float) -> None:
    """A bar of 1, 2, 5, 10 ... metres, about a quarter of the drawing, every fifth part in turn filled."""
    length = max(m for m in (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500) if m <= max(0.5, span_m / 4))
    x, y = sheet.margin, sheet.height - 16.0
    for i in range(5):
        fill = "solid" if i % 2 == 0 else "mark"
        sheet.raw(f'<rect x="{x + i * length * sheet.scale / 5:.1f}" y="{y:.1f}" width="{length * sheet.scale / 5:.1f}" height="5" class="{fill}"/>')
    sheet.raw(f'<text x="{x + length * sheet.scale + 6:.1f}" y="{y + 7:.1f}" data-scale="{sheet.scale:.4f}">{length:g} m</text>')
