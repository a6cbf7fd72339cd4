"""Whether a structure may stand on a lot: one signed margin in metres for each rule, at or above zero where met.

    lot_m               plan distance of every wire, cord, mast foot and anchor to the edge of the lot less its setback (a mitred inset);
                        outside: minus (farthest reach out + length outside), so that a way back is always felt
    height_limit_m      height limit less the highest of wires, masts and cords
    building_m          distance in space of wires from every building less its clearance; through it: minus the length
                        inside and more. Not applied within 1.5 m (plan) of a hold in use on that building, nor to
                        role line
    keep_out_m          distance in space of wires, cords, masts and anchors from keep-outs between their heights
    tree_m              distance of wires from every crown, an upright cylinder from the ground to the tree's height
                        (soft lower branches are not surveyed); a tree that holds a wire in use (hold within its
                        crown) is let off
    overhead_power_m    the fall rule, see `fall`; overhead_telecom_m  distance in space as built, less clearance
    mast_spot_m         masts on a mast_spot where some are given (within 0.01 m), else off every building
    wire_height_m       lowest point of any wire less 0.02 m
A rule that has nothing to judge reads `FREE_M`. Called very often: the site's side is prepared once.
"""

from __future__ import annotations

import math

import numpy as np

from . import kernels
from .beyond import TINY_M, outside_m, within_m
from .fall import sweeps
from .model import Site, Structure
from .prepared import Prism, SiteGeometry, geometry_of

FREE_M = 1000.0
HOLD_REACH_M = 1.5
ON_BUILDING_M = 0.5  # a hold this near a footprint hangs on that building (brackets, eaves)
SPOT_M = 0.01
LEAST_HEIGHT_M = 0.02


def margins(site: Site, structure: Structure) -> dict[str, float]:
    """Signed margin of every rule [m], >= 0 is met; see the module's list."""
    geometry = geometry_of(site)
    wires, free = _wire_segments(structure)
    cords = _rows([(*a, *b) for a, b in structure.cords_m], 6)
    masts = _rows([(*m.at_m, 0.0, *m.at_m, m.height_m) for m in structure.masts], 6)
    anchors = _rows([(*a.at_m, a.height_m, *a.at_m, a.height_m) for a in structure.anchors], 6)
    everything = np.concatenate((wires, cords, masts, anchors))
    insulated = wires[free]
    found = {
        "lot_m": _area_margin(site, geometry, everything),
        "height_limit_m": site.height_limit_m - _highest(wires, cords, masts),
        "building_m": _building_margin(geometry, insulated, structure),
        "keep_out_m": _keep_out_margin(geometry.keep_outs, everything),
        "tree_m": _tree_margin(site, insulated, structure),
        "overhead_power_m": _power_margin(geometry, structure),
        "overhead_telecom_m": _telecom_margin(geometry, everything),
        "mast_spot_m": _mast_margin(geometry, structure),
        "wire_height_m": float(wires[:, (2, 5)].min()) - LEAST_HEIGHT_M if len(wires) else FREE_M,
    }
    return {name: min(float(value), FREE_M) for name, value in found.items()}


def _rows(items, width: int) -> np.ndarray:
    return np.array(items, float).reshape(-1, width)


def _wire_segments(structure: Structure) -> tuple[np.ndarray, np.ndarray]:
    """Segments of all wires (S, 6), and which of them are not of role `line`."""
    rows, free = [], []
    for wire in structure.wires:
        points, counts = wire.points_m, wire.role != "line"
        for a, b in zip(points, points[1:]):
            rows.append((*a, *b))
            free.append(counts)
    return _rows(rows, 6), np.array(free, bool)


def _highest(wires, cords, masts) -> float:
    return max((float(s[:, (2, 5)].max()) for s in (wires, cords, masts) if len(s)), default=0.0)


def _area_margin(site: Site, geometry: SiteGeometry, segments) -> float:
    flat = segments.copy()
    flat[:, (2, 5)] = 0.0
    zeros = np.zeros(len(geometry.usable))
    least = kernels.level_line_gap(flat, geometry.usable, zeros, zeros)
    if least > TINY_M and kernels.mask_inside(geometry.usable, flat).all():  # no edge is met: in with one end, in as a whole
        return least
    out = outside_m(flat[:, (0, 1, 3, 4)], site.usable)
    return -out if out else least


def _prism_margin(segments, prism: Prism) -> float:
    gap = kernels.prism_gap(segments, prism.edges, prism.low_m, prism.high_m)
    return gap if gap >= 0.0 else -within_m(segments, prism)


def _building_margin(geometry: SiteGeometry, segments, structure: Structure) -> float:
    least = FREE_M
    for prism in geometry.buildings:
        holds = [h for h in structure.holds_at_m if _is_on(prism, h)]
        left = segments
        for hold in holds:
            left = _outside_circle(left, hold, HOLD_REACH_M)
        if len(left):
            least = min(least, _prism_margin(left, prism) - prism.clearance_m)
    return least


def _outside_circle(segments, at_m, radius_m: float) -> np.ndarray:
    """The parts of segments (S, 6) whose plan lies outside a circle."""
    a, way = segments[:, :3], segments[:, 3:] - segments[:, :3]
    off = a[:, :2] - np.array(at_m[:2], float)
    run2, along, beyond = (way[:, :2] ** 2).sum(1), (way[:, :2] * off).sum(1), (off**2).sum(1) - radius_m**2
    half = np.sqrt(np.maximum(along**2 - run2 * beyond, 0.0))
    upright = run2 <= 1e-18
    size = np.where(upright, 1.0, run2)
    first = np.where(upright, 0.0, np.clip((-along - half) / size, 0.0, 1.0))  # the circle holds first..second of a segment
    second = np.where(upright, np.where(beyond > 0.0, 0.0, 1.0), np.clip((-along + half) / size, 0.0, 1.0))
    before = np.hstack([a, a + first[:, None] * way])[first > 0.0]
    after = np.hstack([a + second[:, None] * way, segments[:, 3:]])[second < 1.0]
    return np.concatenate([before, after])


def _is_on(prism: Prism, at_m) -> bool:
    x, y = float(at_m[0]), float(at_m[1])
    return kernels.inside(x, y, prism.edges) or kernels.edge_distance(x, y, prism.edges) <= ON_BUILDING_M


def _keep_out_margin(prisms, segments) -> float:
    return min((_prism_margin(segments, p) for p in prisms), default=FREE_M)


def _tree_margin(site: Site, segments, structure: Structure) -> float:
    least = FREE_M
    for tree in site.trees:
        if tree.holds_wire_at_m and _in_use(tree, structure):
            continue
        least = min(least, kernels.cylinder_gap(segments, *tree.at_m, tree.crown_radius_m, tree.height_m))
    return least


def _in_use(tree, structure: Structure) -> bool:
    reach = max(tree.crown_radius_m, ON_BUILDING_M)
    return any(math.dist(h[:2], tree.at_m) <= reach for h in structure.holds_at_m)


def _power_margin(geometry: SiteGeometry, structure: Structure) -> float:
    lines = geometry.power
    if not len(lines.edges):
        return FREE_M
    discs, ellipses = sweeps(structure)
    return min(
        kernels.disc_gap(discs, lines.edges, lines.clearances_m),
        kernels.ellipse_gap(ellipses, lines.edges, lines.clearances_m),
    )


def _telecom_margin(geometry: SiteGeometry, segments) -> float:
    lines = geometry.telecom
    if not len(lines.edges):
        return FREE_M
    return kernels.level_line_gap(segments, lines.edges, lines.heights_m, lines.clearances_m)


def _mast_margin(geometry: SiteGeometry, structure: Structure) -> float:
    spots = len(geometry.spot_points) or geometry.spot_areas
    judge = _spot_margin if spots else _free_margin
    return min((judge(geometry, float(m.at_m[0]), float(m.at_m[1])) for m in structure.masts), default=FREE_M)


def _signed(x: float, y: float, edges) -> float:
    """Depth inside a polygon, minus the distance outside."""
    away = kernels.edge_distance(x, y, edges)
    return away if kernels.inside(x, y, edges) else -away


def _spot_margin(geometry: SiteGeometry, x: float, y: float) -> float:
    at_points = [-math.dist((x, y), p) for p in geometry.spot_points.tolist()]
    return SPOT_M + max(at_points + [_signed(x, y, edges) for edges in geometry.spot_areas])


def _free_margin(geometry: SiteGeometry, x: float, y: float) -> float:
    return min((-_signed(x, y, b.edges) for b in geometry.buildings), default=FREE_M)
