"""Conductors about a garden as thin wires: gutters with down-pipes, cables in walls, fences, trees, odd things.

They belong to no design: they carry no port and no load, and stand in the field solution like any wire. Where one comes nearer
than `GAP_M` to the design's wires, or than `OWN_GAP_M` to another, that stretch is left out: the thin-wire model does not hold there, and nobody
hangs a wire on a gutter. What nowhere comes within `REACH_M` is left out too: it hardly matters and costs much. They end 0.1 m above the soil, with which wires may not be joined. Wet wood is a round conductor of low
conductivity; its displacement current is left out.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
from shapely.geometry import Point
from shapely.ops import substring

from ..site.model import Building, Site
from ..wires.checks import LEAST_HEIGHT_M
from ..wires.model import SURROUNDINGS, Wire
from .draws import Draws

GAP_M = 0.3
OWN_GAP_M = 0.15
SAMPLE_M = 0.2
SHORTEST_M = 0.6
FOOT_M = 0.1
STEEL_S_PER_M = 1.0e6  # zinc-coated steel at HF, its magnetism counted in; from memory
COPPER_S_PER_M = 5.8e7
FAR_M = 8.0  # buildings further from the lot are left out
REACH_M = 4.0  # of the design's wires; a conductor that nowhere comes so near is left out
WALL_M = 0.15  # how deep in the wall a cable lies
TRIES = 50


def conductors(site: Site, drawn: Draws) -> tuple[Wire, ...]:
    """Everything drawn for one garden."""
    found = []
    for n, building in enumerate(site.buildings):
        if building.footprint.distance(site.lot) < FAR_M:
            found += _gutters(building, drawn.about(f"house {n}")) + _cables(building, drawn.about(f"house {n}"))
    found += _fence(site, drawn) + _things(site, drawn)
    for n, tree in enumerate(site.trees):
        found += _tree(tree, drawn.about(f"tree {n}"))
    return tuple(replace(wire, name=f"about {n}") for n, wire in enumerate(found))


def _gutters(building: Building, drawn: Draws) -> list[Wire]:
    """A run along every side that is an eaves, down-pipes at its ends: two opposite sides under a gable, all under a hip. Each
    run is a piece of metal by itself: corners have rubber seals, or gaps that let it grow (common practice, no source)."""
    if not drawn.happens("gutter_there"):
        return []
    high, radius = building.height_m * drawn.value("eaves_height"), drawn.value("gutter_radius")
    sides = list(pairwise(building.footprint.exterior.coords))
    along, hipped = sides[int(drawn.even("along", 0, len(sides)))], drawn.happens("roof_hipped")
    out = []
    for n, (a, b) in enumerate(sides):
        if hipped or _parallel((a, b), along):
            pipes = [[(*end, FOOT_M)] * drawn.about(f"pipe {n} {m}").happens("downpipe_there") for m, end in enumerate((a[:2], b[:2]))]
            out.append(_wire([*pipes[0], (*a[:2], high), (*b[:2], high), *pipes[1]], radius, STEEL_S_PER_M))
    return out


def _parallel(one, other) -> bool:
    """Less than 45 degrees apart?"""
    a, b = (np.subtract(q[:2], p[:2]) for p, q in (one, other))
    return abs(a @ b) > math.sqrt(0.5) * math.hypot(*a) * math.hypot(*b)


def _cables(building: Building, drawn: Draws) -> list[Wire]:
    """Up a wall and along it, in houses (a shed has none)."""
    if not building.occupied:
        return []
    inner = building.footprint.buffer(-WALL_M)
    if inner.is_empty or inner.geom_type != "Polygon":
        return []
    out = []
    for n in range(int(drawn.value("cable_count"))):
        one = drawn.about(f"cable {n}")
        path = _stretch(inner.exterior, one.value("cable_length"), one)
        high = one.even("height", 0.3, 1.0) * max(0.6, building.height_m - 0.5)
        out.append(_wire([(*path[0], FOOT_M), *((x, y, high) for x, y in path)], 1e-3, COPPER_S_PER_M))
    return out


def _fence(site: Site, drawn: Draws) -> list[Wire]:
    if not drawn.happens("fence_there"):
        return []
    ring = site.lot.exterior
    path, high = _stretch(ring, drawn.value("fence_share") * ring.length, drawn.about("fence")), drawn.value("fence_height")
    return [_wire([(x, y, high) for x, y in path], 1.5e-3, STEEL_S_PER_M)]


def _things(site: Site, drawn: Draws) -> list[Wire]:
    out = []
    for n in range(int(drawn.value("thing_count"))):
        one = drawn.about(f"thing {n}")
        turn, size, high = one.even("turn", 0.0, math.pi), one.value("thing_length"), one.value("thing_height")
        at = _spot(site, one)
        if at:
            end = (at[0] + size * math.cos(turn), at[1] + size * math.sin(turn))
            out.append(_wire([(*at, high), (*end, high)], 2e-3, STEEL_S_PER_M))
    return out


def _spot(site: Site, drawn: Draws) -> tuple[float, float] | None:
    """A place on the lot outside its houses; None where there is hardly one."""
    west, south, east, north = site.lot.bounds
    for n in range(TRIES):
        at = (drawn.even(f"east {n}", west, east), drawn.even(f"north {n}", south, north))
        if site.lot.contains(Point(at)) and not any(b.footprint.contains(Point(at)) for b in site.buildings):
            return at
    return None


def _tree(tree, drawn: Draws) -> list[Wire]:
    """A trunk, and stout boughs from its upper half outward and upward."""
    top, radius, sap = max(FOOT_M + SHORTEST_M, drawn.value("trunk_share") * tree.height_m), drawn.value("trunk_radius"), drawn.value("trunk_conductivity")
    out = [_wire([(*tree.at_m, FOOT_M), (*tree.at_m, top)], radius, sap)]
    for n in range(int(drawn.value("bough_count"))):
        one = drawn.about(f"bough {n}")
        turn, reach, low = one.even("turn", 0.0, 2 * math.pi), one.value("bough_reach") * tree.crown_radius_m, one.even("from", 0.5, 1.0) * top
        tip = (tree.at_m[0] + reach * math.cos(turn), tree.at_m[1] + reach * math.sin(turn), low + one.value("bough_rise") * (tree.height_m - low))
        out.append(_wire([(*tree.at_m, low), tip], one.value("bough_radius") * radius, sap))
    return out


def _stretch(ring, length_m: float, drawn: Draws) -> list[tuple[float, float]]:
    """A stretch of a closed line from a random place, not over its beginning."""
    length_m = min(length_m, 0.98 * ring.length)
    start = drawn.even("start", 0.0, ring.length - length_m)
    return [p[:2] for p in substring(ring, start, start + length_m).coords]


def _wire(points, radius_m: float, conductivity: float) -> Wire:
    points = tuple(tuple(map(float, p)) for p in points)
    return Wire(name="", points_m=points, radius_m=radius_m, role=SURROUNDINGS, conductivity_s_per_m=conductivity)


# ---- keeping off ----------------------------------------------------------------------------------------------


def kept_off(about: tuple[Wire, ...], wires: tuple[Wire, ...]) -> tuple[Wire, ...]:
    """What is left of the conductors where they keep their distance from the wires and from each other."""
    out: list[Wire] = []
    for wire in about:
        if _distance_m(_sampled(wire.points_m), wires).min() <= REACH_M:
            out += _cut(wire, wires, out)
    return tuple(replace(wire, name=f"about {n}") for n, wire in enumerate(out))


def _cut(wire: Wire, wires, others) -> list[Wire]:
    points = _sampled(wire.points_m)
    fine = points[:, 2] >= LEAST_HEIGHT_M + wire.radius_m
    fine &= _distance_m(points, wires) >= GAP_M + 0.03 + wire.radius_m
    if others:
        fine &= _distance_m(points, others) >= OWN_GAP_M + wire.radius_m + max(o.radius_m for o in others)
    ends = np.flatnonzero(np.diff(np.r_[False, fine, False]))
    runs = [points[a:b] for a, b in zip(ends[::2], ends[1::2]) if b - a > 1]
    return [replace(wire, points_m=_corners(run)) for run in runs if _length(run) >= SHORTEST_M]


def _sampled(points) -> np.ndarray:
    """Points every `SAMPLE_M` at most, all corners among them, (N, 3)."""
    out = [np.array(points[0], float)]
    for a, b in pairwise(points):
        steps = max(1, math.ceil(math.dist(a, b) / SAMPLE_M))
        out += [np.array(a) + (np.array(b) - np.array(a)) * n / steps for n in range(1, steps + 1)]
    return np.array(out)


def _distance_m(points: np.ndarray, wires) -> np.ndarray:
    """Least distance from each point to any straight piece of the wires, (N,)."""
    pieces = [piece for w in wires for piece in pairwise(w.points_m)]
    start = np.array([a for a, _ in pieces])
    way = np.array([b for _, b in pieces]) - start
    off = points[:, None] - start
    along = np.clip(np.einsum("nmi,mi->nm", off, way) / np.einsum("mi,mi->m", way, way), 0.0, 1.0)
    return np.linalg.norm(off - along[..., None] * way, axis=2).min(axis=1)


def _length(run: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(run, axis=0), axis=1).sum())


def _corners(run: np.ndarray) -> tuple:
    """The run without the points that lie on a straight line between their neighbours."""
    steps = np.diff(run, axis=0)
    unit = steps / np.linalg.norm(steps, axis=1)[:, None]
    bends = np.einsum("ij,ij->i", unit[1:], unit[:-1]) < 1.0 - 1e-9
    keep = np.r_[True, bends, True]
    return tuple(tuple(map(float, p)) for p in run[keep])
