"""Where people can be: points at head and body height, each with the name of its place.

Three kinds of place where people **stay**, the operator has no say there:
    a `people` feature     its area and rim, up to its own height
    an occupied building   `WALL_M` behind its walls (nobody's body is nearer to the outer face), storey by storey
    beyond the lot         a body's width outside its edge, all around
The own ground, where the operator can keep people away while sending, is the business of `criteria.zone`.
Heights are those of `HEIGHTS_M` (body and head of somebody standing), a `people` feature's own height, and the same on every further
storey of `STOREY_M`. Common practice, no source. A wall takes nothing off the field here, which is on the safe side.
Made once per site.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from .model import Site

HEIGHTS_M = (1.0, 1.7)
STOREY_M = 2.7
CEILING_M = 0.3  # no head in the topmost part of a building
WALL_M = 0.5
BEYOND_M = 0.5
STEP_M = 1.5
MOST_POINTS = 4000  # in plan and kind of place; a larger place is sampled more coarsely
KEPT_SITES = 16


@dataclass(frozen=True, kw_only=True, eq=False)
class Stays:
    """Points where people stay: `points_m` (N, 3), `place` (N,) numbers into `names`."""

    points_m: np.ndarray
    place: np.ndarray
    names: tuple[str, ...]

    def name_of(self, i: int) -> str:
        return self.names[int(self.place[i])]


_KEPT: dict[int, tuple[Site, Stays]] = {}


def stays_of(site: Site) -> Stays:
    """Points where people stay on and around this very site object."""
    entry = _KEPT.get(id(site))
    if entry is None or entry[0] is not site:
        while len(_KEPT) >= KEPT_SITES:
            _KEPT.pop(next(iter(_KEPT)), None)
        entry = _KEPT[id(site)] = (site, _stays(site))
    return entry[1]


def _stays(site: Site) -> Stays:
    places: list[tuple[str, np.ndarray]] = []
    for area in site.people:
        places.append((area.name, raised(_filled(area.footprint), (*HEIGHTS_M, area.height_m), most_m=area.height_m)))
    for building in site.buildings:
        if building.occupied:
            places.append((building.name, raised(_behind_walls(building.footprint), _storeys(building.height_m))))
    places.append(("beyond the lot", raised(_outside(site), HEIGHTS_M)))
    return Stays(
        points_m=np.vstack([points for _, points in places]),
        place=np.repeat(np.arange(len(places)), [len(points) for _, points in places]),
        names=tuple(name for name, _ in places),
    )


def raised(plan, heights_m, most_m: float = np.inf) -> np.ndarray:
    """Every plan point (N, 2) at every height up to `most_m`: (N × heights, 3)."""
    heights = sorted({h for h in heights_m if h <= most_m}) or [most_m]
    plan = np.asarray(plan, float).reshape(-1, 2)
    return np.column_stack([np.tile(plan, (len(heights), 1)), np.repeat(heights, len(plan))])


def _storeys(height_m: float) -> tuple[float, ...]:
    levels = np.arange(0.0, max(height_m - HEIGHTS_M[0], 0.0) + 1e-9, STOREY_M)
    most = max(height_m - CEILING_M, 0.5)
    return tuple(z for level in levels for z in (level + h for h in HEIGHTS_M) if z <= most) or (most,)


def _filled(shape: Polygon) -> np.ndarray:
    step = _step(shape)
    west, south, east, north = shape.bounds
    xx, yy = np.meshgrid(np.arange(west + step / 2, east, step), np.arange(south + step / 2, north, step))
    inside = shapely.contains_xy(shape, xx, yy)
    return np.vstack([np.column_stack([xx[inside], yy[inside]]), _along(shape.boundary, step)])


def _behind_walls(footprint: Polygon) -> np.ndarray:
    inner = footprint.buffer(-WALL_M, join_style="mitre")
    return _along(inner.boundary, STEP_M) if not inner.is_empty else np.array([footprint.centroid.coords[0]])


def _outside(site: Site) -> np.ndarray:
    """All around the lot, except where a `people` feature says more or a building stands."""
    points = _along(site.lot.buffer(BEYOND_M, join_style="round").exterior, STEP_M)
    covered = np.zeros(len(points), bool)
    for shape in (*(p.footprint for p in site.people), *(b.footprint for b in site.buildings)):
        covered |= shapely.contains_xy(shape, points[:, 0], points[:, 1])
    return points[~covered]


def _along(path, step_m: float) -> np.ndarray:
    """Points along a line or several, corners included, at most `step_m` apart."""
    step = max(step_m, path.length / MOST_POINTS)
    return shapely.get_coordinates(shapely.segmentize(path, step))


def _step(shape: Polygon) -> float:
    return max(STEP_M, (shape.area / MOST_POINTS) ** 0.5)
