"""What a drawing shows besides the aerial: the lot and what stands on it, the zone to keep out of, lines overhead, heights, north and scale."""

from __future__ import annotations

import math

from shapely.geometry import Point, box

from ..families.outline import polygons
from .svg import Sheet

SQUARE = "M-4-4H4V4H-4Z"


def ground(sheet: Sheet, site) -> None:
    """Lot, houses, trees, keep-outs, people and supports."""
    sheet.area(site.lot, "lot", fill="url(#grass)", title="lot")
    if site.setback_m > 0:
        for part in polygons(site.usable):
            sheet.area(part, "setback", title=f"setback {site.setback_m:g} m")
    for people in site.people:
        sheet.area(people.footprint, "thin", fill="url(#seats)", title=people.name)
    for out in site.keep_outs:
        sheet.area(out.footprint, "ink", fill="url(#barred)", title=out.name)
        sheet.label(out.footprint.representative_point().coords[0], out.name, "quiet", near=0.0)
    for house in site.buildings:
        sheet.area(house.footprint, "ink", fill="url(#roof)", title=house.name)
        sheet.label(house.footprint.representative_point().coords[0], f"{house.name}, {house.height_m:g} m", near=0.0)
    for tree in site.trees:
        sheet.circle(tree.at_m, tree.crown_radius_m, "ink", fill="url(#leaves)", title=tree.name)
        sheet.label(tree.at_m, f"{tree.name}, {tree.height_m:g} m", "quiet")
    for support in site.supports:
        sheet.mark(support.at_m, SQUARE, title=support.name)
        sheet.label(support.at_m, f"{support.name}, {support.height_m:g} m", "quiet")
    if site.radio:
        sheet.mark(site.radio.at_m, "M-5 4V-4H5V4ZM-2-4L3-10", title=site.radio.name)
        sheet.label(site.radio.at_m, "radio", "quiet")


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
