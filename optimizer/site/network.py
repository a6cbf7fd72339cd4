"""Points in plan from measured distances: least squares, and which reading does not fit.

A net of tapes fixes points up to a shift, a turn and a mirror image; the first two points (the base line) and
the side rule fix those. Starting positions come from intersecting circles, keeping both images of every point and
the best of the resulting nets; each is refined by least squares over all tapes at once.
    r    residual, measured less computed [m]        spare   tapes more than unknowns
    A reading is tested by leaving it out: the others are solved again without it.
Valid for one wrong reading at a time. With one spare tape several readings explain a misfit equally well: all
are named.
Source of the method: adjustment by observation equations, and the test of single outliers by deletion, as in any
textbook of survey adjustment (from memory: Baarda, A testing procedure for use in geodetic networks, 1968).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when first used

KEPT_NETS = 24
REFINED_NETS = 6
HOPELESS = 10.0  # starts whose misfit is this much larger are not refined
TIE_M = 2e-3


@dataclass(frozen=True, kw_only=True)
class Tape:
    start: str
    end: str
    length_m: float
    side: str | None = None  # of the base line, for the point this tape brings in


@dataclass(frozen=True, kw_only=True)
class Net:
    """Solved positions and the residual of every tape."""

    points_m: dict[str, tuple[float, float]]
    residuals_m: tuple[float, ...]
    spare: int

    @property
    def misfit_m2(self) -> float:
        return float(np.sum(np.square(self.residuals_m)))


def point_order(fixed, tapes) -> list[str]:
    """Names in the order in which the survey mentions them."""
    return list(dict.fromkeys([*fixed, *(n for t in tapes for n in (t.start, t.end))]))


@dataclass(frozen=True, kw_only=True)
class Frame:
    """What is settled before any solving.

    fixed     : points known in advance [m]; the first base point is at least among them
    base      : first and second point; unless both are fixed, the second lies in `direction` (unit vector) of the
                first, at about `base_m`
    sides     : point → (side of the base line, whether it must keep to it)
    """

    fixed: dict[str, tuple[float, float]]
    base: tuple[str, str]
    direction: tuple[float, float]
    base_m: float
    sides: dict[str, tuple[str, bool]]


def make_frame(fixed: dict, tapes: list[Tape], direction: tuple[float, float]) -> Frame:
    """Frame of a survey of at least two points, `fixed` or not."""
    first, second = base = tuple(point_order(fixed, tapes)[:2])
    fixed = fixed or {first: (0.0, 0.0)}
    length = _ties(second, {first}, tapes).get(first, 0.0)
    return Frame(fixed=fixed, base=base, direction=direction, base_m=length, sides=_sides(fixed, tapes, base))


def solve_net(frame: Frame, tapes: list[Tape]) -> Net | None:
    """Positions of all points, or None when the tapes do not place them all or gainsay the stated sides.

    Points with a stated side keep to it; the others lie left of the base line where the tapes leave a choice.
    """
    return _best(frame, tapes, _hopeful(frame, tapes))


def _hopeful(frame: Frame, tapes: list[Tape]) -> list[dict]:
    """Starting nets worth refining, best first."""
    starts = _start_nets(frame, tapes)[:REFINED_NETS]
    return [s for s in starts if _start_misfit(s, tapes) <= HOPELESS * (_start_misfit(starts[0], tapes) + 0.1)]


def _best(frame: Frame, tapes: list[Tape], starts: list[dict]) -> Net | None:
    """The best refined net; among equals the one with most points on their side."""
    nets = [_refine(frame, tapes, start) for start in starts]
    nets = [n for n in nets if _wrong_sides(frame, n.points_m, stated=True) == 0]
    if not nets:
        return None
    best = min(math.sqrt(n.misfit_m2) for n in nets)
    close = [n for n in nets if math.sqrt(n.misfit_m2) <= best + TIE_M]
    return min(close, key=lambda n: (_wrong_sides(frame, n.points_m), n.misfit_m2))


def leave_one_out(frame: Frame, tapes: list[Tape]) -> list[Net | None]:
    """The net solved again without each tape in turn, from the same starts (None where it then falls apart)."""
    starts = _hopeful(frame, tapes)
    rests = (tapes[:i] + tapes[i + 1 :] for i in range(len(tapes)))
    return [None if unplaced(frame, rest) else _best(frame, rest, starts) for rest in rests]


def unplaced(frame: Frame, tapes: list[Tape]) -> list[str]:
    """Points that the tapes do not tie down: fewer than two tapes to points placed before."""
    placed = {*frame.fixed, frame.base[1]}
    names = point_order(frame.fixed, tapes)
    while True:
        new = [n for n in names if n not in placed and len(_ties(n, placed, tapes)) >= 2]
        if not new:
            break
        placed.update(new)
    loose = [n for n in names if n not in placed]
    return loose if frame.base[1] in frame.fixed or frame.base_m else [frame.base[1], *loose]


def _ties(name, placed, tapes) -> dict[str, float]:
    """Known neighbour → measured distance (the mean where measured twice)."""
    found: dict[str, list[float]] = {}
    for t in tapes:
        other = t.end if t.start == name else t.start if t.end == name else None
        if other in placed and other != name:
            found.setdefault(other, []).append(t.length_m)
    return {k: sum(v) / len(v) for k, v in found.items()}


def _sides(fixed, tapes, base) -> dict[str, tuple[str, bool]]:
    """Point → (side, stated), of points not known in advance. The third point counts as stated: it settles the
    mirror image."""
    sides: dict[str, tuple[str, bool]] = {}
    seen = set(fixed) | set(base)
    order = [n for n in point_order(fixed, tapes) if n not in seen]
    for t in tapes:
        new = t.start if t.start not in seen and t.end in seen else t.end
        seen.update((t.start, t.end))
        if t.side:
            sides[new] = (t.side, True)
    for i, name in enumerate(order):
        sides.setdefault(name, ("left", i == 0 and len(fixed) < 3))
    return {n: s for n, s in sides.items() if n not in fixed and n not in base}


def _wrong_sides(frame: Frame, points, stated: bool = False) -> int:
    """How many points lie on the wrong side of the base line (the stated ones only, by choice)."""
    return sum(_on_wrong_side(frame, points, name, stated) for name in frame.sides if name in points)


def _on_wrong_side(frame: Frame, points, name: str, stated: bool = False) -> bool:
    side, firm = frame.sides.get(name, ("left", False))
    if stated and not firm:
        return False
    (ax, ay), (bx, by), (x, y) = (points[n] for n in (*frame.base, name))
    size = math.hypot(bx - ax, by - ay) or 1.0
    left_m = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / size
    return left_m < -TIE_M if side == "left" else left_m > TIE_M


def _start_nets(frame: Frame, tapes: list[Tape]) -> list[dict]:
    first, second = frame.base
    net = {n: np.array(p, float) for n, p in frame.fixed.items()}
    net.setdefault(second, net[first] + frame.base_m * np.array(frame.direction))
    nets = [net]
    names = [n for n in point_order(frame.fixed, tapes) if n not in net]
    while names:
        placed = set(nets[0])
        name = max(names, key=lambda n: len(_ties(n, placed, tapes)))
        ties = _ties(name, placed, tapes)
        if len(ties) < 2:
            return []
        names.remove(name)
        grown = [{**net, name: p} for net in nets for p in _images(net, ties)]
        firm = [g for g in grown if not _on_wrong_side(frame, g, name, stated=True)]
        nets = sorted(firm or grown, key=lambda g: _start_misfit(g, tapes))[:KEPT_NETS]
    return nets


def _images(net, ties, apart_m: float = 0.05) -> list[np.ndarray]:
    """Places for a point: both images from each pair of its tapes (at most six pairs), those that coincide once."""
    pairs = itertools.islice(itertools.combinations(ties.items(), 2), 6)
    images: list[np.ndarray] = []
    for (a, ra), (b, rb) in pairs:
        for p in _circles_meet(net[a], ra, net[b], rb):
            if all(math.dist(p, q) > apart_m for q in images):
                images.append(p)
    return images


def _circles_meet(a, ra, b, rb) -> list[np.ndarray]:
    """The two points at ra from a and rb from b; where the circles miss, the nearest thing to it."""
    gap = b - a
    d = float(np.hypot(*gap))
    if d < 1e-9:
        return [a + np.array([ra, 0.0])]
    along = (d * d + ra * ra - rb * rb) / (2.0 * d)
    across = math.sqrt(max(0.0, ra * ra - along * along))
    u = gap / d
    foot = a + along * u
    off = max(across, 1e-3) * np.array([-u[1], u[0]])
    return [foot + off, foot - off]


def _start_misfit(net, tapes) -> float:
    return sum(
        (t.length_m - math.dist(net[t.start], net[t.end])) ** 2 for t in tapes if t.start in net and t.end in net
    )


def _refine(frame: Frame, tapes: list[Tape], start: dict) -> Net:
    """Least squares over all tapes from starting positions; the base line's length is one of the unknowns."""
    names = list(start)
    first, second = (names.index(n) for n in frame.base)
    on_base = frame.base[1] not in frame.fixed
    free = [i for i, n in enumerate(names) if n not in frame.fixed and i != second]
    ends = np.array([(names.index(t.start), names.index(t.end)) for t in tapes], int).reshape(-1, 2)
    lengths = np.array([t.length_m for t in tapes])
    known = np.array([start[n] for n in names], float)
    shift = _shift_of_unknowns(len(names), free, second if on_base else None, frame.direction)
    where = known.ravel() - shift @ (guess := _unknowns(known, free, first, second if on_base else None))

    def between(x):
        points = (where + shift @ x).reshape(-1, 2)
        return points[ends[:, 0]] - points[ends[:, 1]]

    def misfits(x):
        return lengths - np.hypot(*between(x).T)

    def slopes(x):
        gap = between(x)
        unit = gap / np.maximum(np.hypot(*gap.T), 1e-9)[:, None]
        by_end = shift.reshape(len(names), 2, -1)
        return -np.einsum("td,tdu->tu", unit, by_end[ends[:, 0]] - by_end[ends[:, 1]])

    if len(guess) and len(tapes) >= len(guess):
        guess = scipy.optimize.least_squares(misfits, guess, slopes, method="lm", xtol=1e-12, ftol=1e-12, gtol=1e-12).x
    points = (where + shift @ guess).reshape(-1, 2)
    residuals = tuple(misfits(guess).tolist()) if tapes else ()
    return Net(
        points_m={n: (float(x), float(y)) for n, (x, y) in zip(names, points)},
        residuals_m=residuals,
        spare=len(tapes) - len(guess),
    )


def _unknowns(known, free, first, second) -> np.ndarray:
    """Starting values: the base line's length (where it is unknown), then x and y of every free point."""
    base = [] if second is None else [float(np.hypot(*(known[second] - known[first])))]
    return np.array(base + [c for i in free for c in known[i]], float)


def _shift_of_unknowns(count, free, second, direction) -> np.ndarray:
    """(2 x points, unknowns) matrix: how x, y of every point move with each unknown."""
    columns = [] if second is None else [(2 * second, direction)]
    shift = np.zeros((2 * count, len(columns) + 2 * len(free)))
    for row, (dx, dy) in columns:
        shift[row, 0], shift[row + 1, 0] = dx, dy
    for k, i in enumerate(free):
        shift[2 * i, len(columns) + 2 * k] = shift[2 * i + 1, len(columns) + 2 * k + 1] = 1.0
    return shift
