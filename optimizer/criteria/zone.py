"""The ground to keep people off while sending: where a head is exposed beyond the level at the station's average power.

The share (see `exposure`) is computed on a grid at head height around the wires, the largest over the bands; the zone is bounded by its contour
at one, linear between nodes. Only nodes within reach of a wire are asked: `REACH_FACTOR` times the distance at which a main lobe of
6 dBi over reflecting ground meets the level (OET Bulletin 65, equation 6), at least `LEAST_REACH_M`; and none where a first look at the `FIRST_LOOK`
nodes nearest to the wires stays `FIRST_SHARE` below the level, band by band. Buildings are cut out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.ops import unary_union

from ..physics.exposure import Rule, distance_by_field_m
from ..site.model import Site
from .exposure import distance_from_wires_m, nearest_points, share_at

HEAD_M = 1.7
GAIN_DBI = 6.0
REACH_FACTOR = 1.5
LEAST_REACH_M = 1.5
MOST_NODES = 400
FINEST_M = 0.5
FIRST_LOOK = 24
FIRST_SHARE = 0.8


@dataclass(frozen=True, kw_only=True)
class Zone:
    """`outline_m`: rings in plan, none where nothing has to be kept clear; `keep_m`: how far it reaches from the wires in plan."""

    outline_m: tuple[tuple[tuple[float, float], ...], ...] = ()
    keep_m: float = 0.0
    worst_share: float = 0.0  # field over level at the station's power, on the grid


def zone_of(site: Site, solved, rule: Rule, average_w: float) -> Zone:
    """Zone at an average power. `solved`: (solution, frequency index, power delivered per watt of the radio) of every band."""
    wires = solved[0][0].wires
    freq = np.array([float(solution.freq_hz[i]) for solution, i, _ in solved])
    levels = rule.levels(freq)[0]
    if not np.isfinite(levels).any():
        return Zone()
    reach = max(LEAST_REACH_M, REACH_FACTOR * distance_by_field_m(average_w, GAIN_DBI, float(np.nanmin(levels))))
    plan = unary_union([LineString([p[:2] for p in w.points_m]) if _spreads(w) else shapely.Point(w.points_m[0][:2]) for w in wires])
    x, y = _grid(plan.buffer(reach), reach)
    nodes = np.column_stack([g.ravel() for g in np.meshgrid(x, y)] + [np.full(x.size * y.size, HEAD_M)])
    asked = np.flatnonzero(distance_from_wires_m(nodes, wires) <= reach)
    first = nodes[asked[nearest_points(nodes[asked], wires, FIRST_LOOK)]] if len(asked) else nodes[:0]
    looks = [_largest(one, first, rule, average_w) if np.isfinite(level) else 0.0 for one, level in zip(solved, levels)]
    loud = [one for one, look in zip(solved, looks) if look >= FIRST_SHARE]
    if not loud:
        return Zone(worst_share=max(looks))
    share = np.zeros(len(nodes))
    share[asked] = np.max([_shares(one, nodes[asked], rule, average_w) for one in loud], axis=0)
    shape = contour(x, y, share.reshape(y.size, x.size), 1.0)
    shape = shape.difference(unary_union([b.footprint for b in site.buildings])) if site.buildings else shape
    rings = [p.exterior for p in shapely.get_parts(shapely.set_precision(shape.simplify(0.05), 0.01)) if isinstance(p, Polygon) and not p.is_empty]
    keep = max((plan.distance(shapely.Point(c)) for ring in rings for c in ring.coords), default=0.0)
    return Zone(
        outline_m=tuple(tuple((round(px, 2), round(py, 2)) for px, py in ring.coords) for ring in rings),
        keep_m=float(keep), worst_share=float(share.max()),
    )  # fmt: skip


def _shares(one, points_m, rule, average_w):
    """Field over level of one band at each point."""
    solution, i, delivered = one
    return share_at(solution, i, points_m, rule, delivered)[0] * math.sqrt(average_w)


def _largest(one, points_m, rule, average_w) -> float:
    return float(_shares(one, points_m, rule, average_w).max()) if len(points_m) else 0.0


def _spreads(wire) -> bool:
    return any(math.dist(p[:2], wire.points_m[0][:2]) > 1e-6 for p in wire.points_m)


def _grid(around, reach: float):
    """Nodes over a shape's box, as fine as `MOST_NODES` inside it allow."""
    step = max(FINEST_M, math.sqrt(around.area / MOST_NODES))
    west, south, east, north = around.bounds
    return np.arange(west - step, east + 2 * step, step), np.arange(south - step, north + 2 * step, step)


def contour(x, y, values, level: float) -> Polygon | MultiPolygon:
    """The area where values (Y, X) on a grid are at or above a level, linear on the two triangles of every cell."""
    pieces = []
    high = values >= level
    touched = high[:-1, :-1] | high[1:, :-1] | high[:-1, 1:] | high[1:, 1:]
    for row, column in np.argwhere(touched):
        corners = [((x[column + c], y[row + r]), values[row + r, column + c]) for r, c in ((0, 0), (0, 1), (1, 1), (1, 0))]
        for triangle in (corners[:3], [corners[0], *corners[2:]]):
            piece = _above(triangle, level)
            if len(piece) > 2:
                pieces.append(Polygon(piece))
    return unary_union(pieces) if pieces else Polygon()


def _above(triangle, level):
    """The part of a triangle at or above the level, as its corners in order."""
    out = []
    for (a, va), (b, vb) in zip(triangle, triangle[1:] + triangle[:1]):
        if va >= level:
            out.append(a)
        if (va >= level) != (vb >= level):
            t = (level - va) / (vb - va)
            out.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
    return out
