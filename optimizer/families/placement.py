"""Where things can stand on a lot, fast: plan geometry of one site prepared once, asked thousands of times.

A `Plot` holds the usable lot as plain edges, the grounds where nothing may be driven in, the obstacles, the places that hold a wire, and the map from (u, v) in 0..1 to the free ground for a mast.

Quick answers only: the final word on a design is `optimizer.site.clearance`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import MultiPolygon, box
from shapely.ops import unary_union

from ..site.model import Point2, Site
from .family import NoPlace
from .obstacles import OUT_OF_REACH_M, Obstacles
from .outline import BINS, AreaMap, Outline, direction, polygons

GUY_SHARE = 0.2  # least radius of guys over the mast's height (common practice, no source)


@dataclass(frozen=True, kw_only=True)
class Place:
    """Something that holds a wire at `height_m`."""

    name: str
    at_m: Point2
    height_m: float
    kind: str

    @property
    def top_m(self):
        return (*self.at_m, self.height_m)


def unique(places) -> tuple[Place, ...]:
    """Places under names of their own: a second "post" becomes "post 2"."""
    found: dict[str, Place] = {}
    for place in places:
        name, n = place.name, 1
        while name in found or name in ("mast", "post", "radio", "free"):
            n += 1
            name = f"{place.name} {n}"
        found[name] = replace(place, name=name)
    return tuple(found.values())


class Plot:
    """One site prepared for placing wires."""

    GUY_ROOM_M = 1.0  # kept between a mast and the edge of free ground, so that guys find room

    def __init__(self, site: Site):
        self.site = site
        self.lot = Outline.of(site.usable)
        low_out = [k.footprint for k in site.keep_outs if (k.from_m or 0.0) < OUT_OF_REACH_M]
        any_out = [k.footprint for k in site.keep_outs if (k.from_m or 0.0) < site.height_limit_m]
        houses = [b.footprint for b in site.buildings]
        self.blocked = Outline.of(unary_union([*houses, *low_out])) if houses or low_out else Outline()
        self.obstacles = Obstacles(site, self.lot, self.blocked)
        self.power_lines = tuple((o, [c[:2] for c in o.path.coords]) for o in site.overhead_lines if o.kind == "power")
        taken = unary_union([*(h.buffer(0.3) for h in houses), *any_out])
        self.mast_points, self.mast_area = self._mast_ground(taken)
        self.places = unique(p for p in self._places() if self.lot.holds(p.at_m))
        self.memo: dict = {}
        self.centre = site.lot.centroid.coords[0]
        self.reach_m = self._reach()

    def _places(self):
        for s in self.site.supports:
            yield Place(name=s.name, at_m=s.at_m, height_m=min(s.height_m, self.site.height_limit_m), kind=s.kind)
        for t in self.site.trees:
            if t.holds_wire_at_m is not None:
                height = min(t.holds_wire_at_m, self.site.height_limit_m)
                yield Place(name=t.name, at_m=t.at_m, height_m=height, kind="tree")

    def _mast_ground(self, taken) -> tuple[dict[str, Point2], AreaMap | None]:
        """Single spots by name, and the map of the areas where a mast may stand."""
        free = self.site.usable.difference(taken)
        if not self.site.mast_spots:
            for room in (self.GUY_ROOM_M, 0.5, 0.2):
                inner = free.buffer(-room, join_style="mitre")
                if inner.area > 0.5:
                    return {}, AreaMap(inner)
            return {}, None
        spots = {s.name: s.where.coords[0][:2] for s in self.site.mast_spots if s.where.geom_type == "Point"}
        areas = unary_union([s.where for s in self.site.mast_spots if s.where.geom_type != "Point"])
        area = MultiPolygon(polygons(areas.intersection(free)))
        return {n: p for n, p in spots.items() if self.lot.holds(p)}, AreaMap(area) if area.area > 0 else None

    def keep_outs_up_to(self, height_m: float) -> Outline:
        """The keep-outs that begin no higher than that, made once per height."""
        if ("keep_outs", height_m) not in self.memo:
            areas = [k.footprint for k in self.site.keep_outs if (k.from_m or 0.0) <= height_m]
            self.memo["keep_outs", height_m] = Outline.of(unary_union(areas)) if areas else Outline()
        return self.memo["keep_outs", height_m]

    def short_at(self, point, missing) -> float:
        """`missing` for one point, see `mast_ground` [m]."""
        return float(missing(np.array([point]), self.lot.rooms(point)[None])[0])

    def mast_ground(self, key, missing, guyed_m: float) -> AreaMap:
        """The part of the mast ground where `missing(points, rooms)` is not above zero, made once per key.

        points (N, 2) of a grid, rooms (N, BINS) around them; `missing` answers (N,) metres. Where possible also with
        room for the guys of a mast of `guyed_m`. NoPlace("lot") if nowhere.
        """
        kept = self.memo.get(("ground", key))
        if kept is None:
            points, rooms, guys, size = self._grid()
            short = missing(points, rooms) if len(points) else np.zeros(0)
            guyed = np.maximum(short, GUY_SHARE * guyed_m + 0.15 - guys)
            short = guyed if (guyed <= 0).any() else short
            good = points[short <= 0]
            if len(points) and not len(good):
                kept = float(short.min())
            elif len(good) == len(points):
                kept = self.mast_area
            else:
                cells = unary_union([box(x - size, y - size, x + size, y + size) for x, y in good])
                kept = AreaMap(cells.intersection(self.mast_area.area))
            self.memo["ground", key] = kept
        if isinstance(kept, float):
            raise NoPlace("lot", kept, "no mast ground has that much room around it")
        return kept

    def _grid(self):
        """Grid points in the mast ground, room around each, best guy radius there, half the cell size."""
        if "grid" not in self.memo:
            area = self.mast_area.area
            x1, y1, x2, y2 = area.bounds
            size = max(0.2, (area.area / 400.0) ** 0.5)
            nx, ny = max(1, round((x2 - x1) / size)), max(1, round((y2 - y1) / size))
            xs, ys = x1 + (np.arange(nx) + 0.5) * (x2 - x1) / nx, y1 + (np.arange(ny) + 0.5) * (y2 - y1) / ny
            points = np.array([(x, y) for x in xs for y in ys])
            points = points[self.mast_area.outline.hold_mask(points)]
            rooms = np.array([self.lot.rooms(p) for p in points]).reshape(-1, BINS)
            guys = np.array([self.guy_rooms(p).max() for p in points])
            self.memo["grid"] = points, rooms, guys, 0.505 * max((x2 - x1) / nx, (y2 - y1) / ny)
        return self.memo["grid"]

    def _reach(self) -> float:
        """Largest distance between two corners of the usable lot [m]."""
        corners = np.array(self.site.usable.convex_hull.exterior.coords) if polygons(self.site.usable) else np.zeros((1, 2))
        corners = corners[:: max(1, len(corners) // 200)]
        return float(np.linalg.norm(corners[:, None] - corners[None], axis=2).max())

    def free(self, point) -> bool:
        """May a mast, post or stake be driven in here?"""
        return self.lot.holds(point) and not self.blocked.holds(point)

    def unfree_m(self, point) -> float:
        """How far a point is from ground where something may be driven in [m], 0 there."""
        return max(self.lot.outside_m(point), self.blocked.depth_m(point))

    def guy_rooms(self, point) -> np.ndarray:
        """Radius that three guys find, for every turn of the first one through a third, (BINS / 3,) [m]."""
        room = np.minimum(self.lot.rooms(point), self.blocked.rooms(point))
        return room.reshape(3, BINS // 3).min(axis=0)

    def room_m(self, point, bearing: float) -> float:
        return self.lot.room(point, *direction(bearing))[0]


_PLOTS: dict[int, tuple[Site, Plot]] = {}


def plot_of(site: Site) -> Plot:
    """The prepared plot of a site; the last few are kept, by identity."""
    kept = _PLOTS.get(id(site))
    if kept is None or kept[0] is not site:
        while len(_PLOTS) >= 8:
            _PLOTS.pop(next(iter(_PLOTS)))
        kept = _PLOTS[id(site)] = (site, Plot(site))
    return kept[1]
