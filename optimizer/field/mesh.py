"""Wires to segments and current unknowns.

Segments get longer away from feeds, loads, ends, joints and sharp bends, from some twenty radii up to a fixed part
of the shortest wavelength (half of it close to soil); where another wire ends, bends or crosses nearby they are shorter again (`pieces`).
A slot is one end of one segment (2 i + 0 at its start, 2 i + 1 at its end); its current counts along the segment.
Every unknown is a unit current through a node from one slot to another; at a joint of m slots there are m - 1 of
them, at perfect ground one more, so that currents meet as Kirchhoff's law wants.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..errors import SolveError
from ..wires.model import JOIN_M, SURROUNDINGS, Load, Port, Wire
from ..wires.places import SAME_M, Place, places_on, vertices_at_m
from .pieces import Node, Piece, beside_others, closer

SEGMENTS_PER_WAVELENGTH = 18.0
GRADING_RADII = 20.0
GRADING_SLOPE = 1.0
SHARP_COSINE = math.cos(math.radians(20.0))
SURROUNDINGS_COARSER = 1.8  # segments of surrounding conductors, which are not graded either


@dataclass(frozen=True, kw_only=True)
class MeshSettings:
    """How fine: segments per wavelength, first segment in radii, growth of length with distance."""

    per_wavelength: float = SEGMENTS_PER_WAVELENGTH
    grading_radii: float = GRADING_RADII
    grading_slope: float = GRADING_SLOPE

    def finer(self) -> MeshSettings:
        return MeshSettings(
            per_wavelength=1.6 * self.per_wavelength,
            grading_radii=max(10.0, 0.6 * self.grading_radii),
            grading_slope=0.6 * self.grading_slope,
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class Mesh:
    """Arrays of N segments and U unknowns.

    start_m (N,3), tangent (N,3), length_m (N,), radius_m (N,), wire (N,) index of the wire;
    slots (2U,) and signs (2U,): unknown u joins slots[2u], slots[2u+1] (the second -1 at perfect ground);
    port_slots (P,): slots in which ports and then loads sit.
    """

    start_m: np.ndarray
    tangent: np.ndarray
    length_m: np.ndarray
    radius_m: np.ndarray
    wire: np.ndarray
    slots: np.ndarray
    signs: np.ndarray
    port_slots: np.ndarray

    @property
    def unknowns(self) -> int:
        return len(self.slots) // 2


@lru_cache(maxsize=8192)  # what has not moved is divided again and again
def _divide(length, fine_a, fine_b, longest, slope):
    """Positions 0..length of the nodes on a straight piece; fine_a, fine_b first lengths at its ends (inf: not graded)."""
    lowest = min(fine_a, fine_b, longest, length)
    if lowest >= longest:
        return np.linspace(0.0, length, max(1, math.ceil(length / longest - 1e-9)) + 1)
    s = _SAMPLES * length
    size = np.minimum(np.minimum(fine_a + slope * s, fine_b + slope * (length - s)), longest)
    density = 1.0 / size
    total = np.concatenate(([0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.diff(s))))
    count = max(1, round(total[-1]))
    if length / count > longest:
        count += 1
    return np.interp(np.linspace(0.0, total[-1], count + 1), total, s)


_u = np.linspace(0.0, 1.0, 121)
_SAMPLES = np.concatenate((0.5 * (2 * _u[_u <= 0.5]) ** 3, 1.0 - 0.5 * (2 * (1 - _u[_u > 0.5])) ** 3))


def _closeness(height_m: float) -> float:
    """How much shorter segments must be close to soil, where the wave on the wire is slow and dies away: 1 to 2."""
    return min(2.0, max(1.0, (0.1 / max(height_m, 1e-3)) ** 0.45))


def _hard_nodes(wire: Wire, places: list[Place], joints: set[int]) -> list[Node]:
    """The places along the wire that must be nodes, in order."""
    pts = [np.array(p, float) for p in wire.points_m]
    hard = {}
    for i, (pos, p) in enumerate(zip(vertices_at_m(wire), pts)):
        sharp = False
        if 0 < i < len(pts) - 1:
            u, v = pts[i] - pts[i - 1], pts[i + 1] - pts[i]
            sharp = float(u @ v) < SHARP_COSINE * float(np.linalg.norm(u) * np.linalg.norm(v))
        hard[pos] = (p, i in (0, len(pts) - 1) or i in joints or sharp, True)
    for place in places:
        p, _, vertex = hard.get(place.at_m) or (np.array(wire.point_at(place.at_m)), True, False)
        hard[place.at_m] = (p, True, vertex)
    return [Node(pos, *hard[pos]) for pos in sorted(hard)]


def build_mesh(
    wires: tuple[Wire, ...],
    ports: tuple[Port, ...],
    loads: tuple[Load, ...],
    *,
    wavelength_m: float,
    perfect_ground: bool = False,
    over_soil: bool = False,
    settings: MeshSettings = MeshSettings(),
) -> Mesh:
    """Segments and unknowns for the shortest wavelength in use. Raises SolveError on an impossible port."""
    index = {w.name: i for i, w in enumerate(wires)}
    seats = _seats(wires, index, (*ports, *loads))
    vertices = np.array([p for w in wires for p in w.points_m], float)
    owner = [(i, n) for i, w in enumerate(wires) for n in range(len(w.points_m))]
    joints = [set() for _ in wires]
    if len(wires) > 1:
        number = np.array([i for i, _ in owner])
        met = (np.abs(vertices[:, None] - vertices).max(axis=2) <= JOIN_M) & (number[:, None] != number)
        for a in np.flatnonzero(met.any(axis=1)):
            joints[owner[a][0]].add(owner[a][1])
    longest = wavelength_m / settings.per_wavelength
    pieces, around = [], []
    for w, wire in enumerate(wires):
        coarse = wire.role == SURROUNDINGS
        fine = np.inf if coarse else max(settings.grading_radii * wire.radius_m, longest / 400.0)
        nodes = _hard_nodes(wire, [place for i, place in seats if i == w], joints[w])
        for a, b in zip(nodes, nodes[1:]):
            here = SURROUNDINGS_COARSER * longest if coarse else longest
            here /= _closeness(min(a.point[2], b.point[2])) if over_soil else 1.0
            (around if coarse else pieces).append(Piece(w, a, b, fine, here))
    pieces = sorted(beside_others(pieces, settings.grading_slope) + around, key=lambda p: p.wire)
    starts, ends, owners, at_slot, knots = [], [], [], {}, []
    for piece in pieces:
        w, a, b = piece.wire, piece.a, piece.b
        nodes = _nodes(piece, settings.grading_slope)
        at = a.point + (b.point - a.point) * (nodes / piece.length_m)[:, None]
        first = 2 * len(starts)
        starts.extend(at[:-1])
        ends.extend(at[1:])
        owners.extend([w] * (len(nodes) - 1))
        last = 2 * len(starts) - 1
        at_slot[w, a.at_m, True], at_slot[w, b.at_m, False] = first, last
        knots += [first] * a.vertex + [last] * b.vertex
    start, end = np.array(starts), np.array(ends)
    length = np.linalg.norm(end - start, axis=1)
    slots, signs = _unknowns(start, end, knots, perfect_ground)
    port_slots = [at_slot[w, place.at_m, place.after] for w, place in seats]
    for s in port_slots:
        if {s, s ^ 1} <= set(knots) and np.abs(end[s // 2] - start[s // 2]).max() <= JOIN_M:
            raise SolveError(f"a port or load of wire {wires[owners[s // 2]].name!r} is in a piece whose two ends are one joint")
    return Mesh(
        start_m=start,
        tangent=(end - start) / length[:, None],
        length_m=length,
        radius_m=np.array([wires[w].radius_m for w in owners]),
        wire=np.array(owners),
        slots=slots,
        signs=signs,
        port_slots=np.array(port_slots, int),
    )


def _nodes(piece: Piece, slope: float) -> np.ndarray:
    """Positions along the piece of its nodes."""
    first_a, first_b = (piece.fine_m if n.graded else np.inf for n in (piece.a, piece.b))
    nodes = _divide(piece.length_m, first_a, first_b, piece.longest_m, slope)
    for at, first in piece.close:
        nodes = closer(nodes, at - piece.a.at_m, first, slope)
    return nodes


def _seats(wires, index, items) -> list[tuple[int, Place]]:
    """For each port or load the number of its wire and where on it it sits."""
    out = [None] * len(items)
    for w in {index[item.wire] for item in items}:
        mine = [n for n, item in enumerate(items) if index[item.wire] == w]
        for n, place in zip(mine, places_on(wires[w], [float(items[n].at_m) for n in mine])):
            if not 0.0 <= place.at_m <= wires[w].length_m + SAME_M:
                raise SolveError(f"no place at {items[n].at_m} m of wire {wires[w].name!r}, {wires[w].length_m:.4f} m long")
            out[n] = (w, place)
    return out


def _unknowns(start, end, knots, perfect_ground):
    """Pairs of slots and their signs; see the module text. `knots`: slots at vertices, the only places where other wires join."""
    n = len(start)
    at_knot = np.zeros(2 * n, bool)
    at_knot[knots] = True
    inner = np.flatnonzero(~at_knot[1::2])  # segments whose end is a plain node of the same wire
    slots = np.column_stack((2 * inner + 1, 2 * inner + 2)).ravel().tolist()
    signs = [1.0] * len(slots)
    points = np.empty((2 * n, 3))
    points[0::2], points[1::2] = start, end
    points = points[knots]
    near = np.abs(points[:, None] - points).max(axis=2) <= JOIN_M * 1.0001
    left = np.ones(len(knots), bool)
    for first in range(len(knots)):
        if not left[first]:
            continue
        together = np.flatnonzero(near[first] & left)
        left[together] = False
        members = [knots[m] for m in together]
        ref = members[0]
        for other in members[1:]:
            slots += [ref, other]
            signs += [_into(ref), -_into(other)]
        if perfect_ground and abs(points[first, 2]) <= JOIN_M:
            slots += [ref, -1]
            signs += [_into(ref), 0.0]
    return np.array(slots, int), np.array(signs)


def _into(slot: int) -> float:
    """+1 where the segment's direction runs into the node at this slot, -1 where it leaves it."""
    return 1.0 if slot % 2 else -1.0
