"""Straight pieces of wire between nodes that must be, and what comes near them.

Where another piece ends, bends or crosses, the charge on a wire changes within about the distance between the two, so the segments there
must be no longer than that. From some distance on the segments that a piece has are only parted more finely (`closer`), so that those
farther away stay what they are; nearer than that the piece is cut where the other has its node, and two runs side by side have their
nodes face each other: currents against each other otherwise differ by what the nodes of the one cannot follow of the other.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numba import njit

from ..physics.compiled import INNER, JIT, greater, lesser

FACING = 4.0  # first segments: nearer than that, nodes face each other
WORTH = 2.0  # how many times longer than the distance segments must be to be parted: shorter ones cost less than 2 % of |Z| as they are


class Node(NamedTuple):
    """A place along a wire that must be a node; `vertex`: a point of the wire, not only a port or load."""

    at_m: float
    point: np.ndarray
    graded: bool
    vertex: bool


class Piece(NamedTuple):
    """A straight piece of wire number `wire`; `close`: places (along the wire, length of segment wanted there) where others come near."""

    wire: int
    a: Node
    b: Node
    fine_m: float
    longest_m: float
    close: tuple[tuple[float, float], ...] = ()

    @property
    def length_m(self) -> float:
        return self.b.at_m - self.a.at_m


def beside_others(pieces: list[Piece], slope: float) -> list[Piece]:
    """The pieces with their places close to others, cut where nodes are to face each other."""
    found = _found(pieces, slope)
    if not len(found):
        return pieces
    cuts, close = [set() for _ in pieces], [set() for _ in pieces]
    for n, t, first in found.tolist():
        at = pieces[int(n)].a.at_m + t
        if first > 0.0:
            close[int(n)].add((at, first))
        else:
            cuts[int(n)].add(at)
    out = []
    for piece, here, near in zip(pieces, cuts, close):
        nodes = [piece.a]
        for at in sorted(here):
            if at - nodes[-1].at_m > piece.fine_m:
                share = (at - piece.a.at_m) / piece.length_m
                nodes.append(Node(at, piece.a.point + share * (piece.b.point - piece.a.point), True, False))
        nodes.append(piece.b)
        out += [piece._replace(a=a, b=b, close=tuple(sorted(near))) for a, b in zip(nodes, nodes[1:])]
    return out


def _found(pieces, slope) -> np.ndarray:
    """Rows of `_near_places`."""
    if len(pieces) < 2:
        return np.empty((0, 3))
    ends = np.array([(p.a.point, p.b.point) for p in pieces])
    marks = np.array([(p.a.graded, p.b.graded, p.a.vertex, p.b.vertex) for p in pieces])
    sizes = np.array([(p.fine_m, p.longest_m) for p in pieces])
    out = np.empty((8 * len(pieces), 3))
    while (count := _near_places(ends, marks, sizes, slope, out)) > len(out):
        out = np.empty((count, 3))
    return out[:count]


@njit(**JIT)
def _near_places(ends, marks, sizes, slope, out):
    """Rows into `out`: piece, distance from its start, and the length of segment wanted there (0: to be cut there). Returns how many there are.

    ends (N, 2, 3); marks (N, 4): first and last node graded, vertices; sizes (N, 2): first and longest segment.
    """
    count = 0
    for i in range(len(ends)):
        fine, longest = sizes[i, 0], sizes[i, 1]
        ux, uy, uz, length = _way(ends, i)
        for j in range(len(ends)):
            vx, vy, vz, other = _way(ends, j)
            apart2 = 0.0
            for c in range(3):
                apart2 += (0.5 * (ends[j, 0, c] + ends[j, 1, c] - ends[i, 0, c] - ends[i, 1, c])) ** 2
            if i == j or math.sqrt(apart2) > 0.5 * (length + other) + longest / WORTH:
                continue
            cosine = ux * vx + uy * vy + uz * vz
            for part in range(3):  # where j begins, where it ends, where it crosses
                e = 1 if part == 1 else 0
                x, y, z = ends[j, e, 0] - ends[i, 0, 0], ends[j, e, 1] - ends[i, 0, 1], ends[j, e, 2] - ends[i, 0, 2]
                t, spread = x * ux + y * uy + z * uz, 1.0
                if part == 2:
                    sine2 = greater(1.0 - cosine * cosine, 1e-6)
                    on_j = x * vx + y * vy + z * vz
                    s = (cosine * t - on_j) / sine2
                    t = (t - cosine * on_j) / sine2
                    if not (0.0 < t < length and 0.0 < s < other):
                        continue
                    x, y, z, spread = x + s * vx, y + s * vy, z + s * vz, math.sqrt(sine2)
                elif not marks[j, e]:
                    continue
                t = lesser(greater(t, 0.0), length)
                x, y, z = x - t * ux, y - t * uy, z - t * uz
                gap = math.sqrt(x * x + y * y + z * z) / spread
                size = lesser(lesser(length, longest), lesser(
                    fine + slope * t if marks[i, 0] else longest, fine + slope * (length - t) if marks[i, 1] else longest))
                if size <= WORTH * greater(fine, gap):
                    continue
                first = greater(fine, gap)
                if part < 2 and gap < FACING * fine and fine < t < length - fine:
                    first = 0.0
                elif part < 2 and not marks[j, 2 + e]:
                    continue
                if count < len(out):
                    out[count, 0], out[count, 1], out[count, 2] = i, t, first
                count += 1
    return count


@njit(**INNER)
def _way(ends, i):
    """Unit vector and length of a piece."""
    x, y, z = ends[i, 1, 0] - ends[i, 0, 0], ends[i, 1, 1] - ends[i, 0, 1], ends[i, 1, 2] - ends[i, 0, 2]
    length = math.sqrt(x * x + y * y + z * z)
    return x / length, y / length, z / length, length


def closer(nodes: np.ndarray, at: float, first: float, slope: float) -> np.ndarray:
    """The nodes with more between those whose distance is more than `first` and `slope` times that from `at` together."""
    away = nodes - at
    mark = np.sign(away) * np.log1p(slope / first * np.abs(away)) / slope  # a segment of the length wanted is one long
    steps = np.diff(mark)
    counts = np.maximum(1, np.rint(steps)).astype(int)
    if counts.max() == 1:
        return nodes
    n = np.repeat(np.arange(len(counts)), counts)
    k = np.arange(len(n)) - np.repeat(np.cumsum(counts) - counts, counts)
    new = mark[n] + steps[n] * k / counts[n]
    new = at + np.sign(new) * np.expm1(slope * np.abs(new)) * first / slope
    return np.append(np.where(k == 0, nodes[n], new), nodes[-1])
