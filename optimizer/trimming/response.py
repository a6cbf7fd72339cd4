"""What would be read in many gardens, at any lengths: solved at a few, smooth between.

    log dip (u)      = c + sum_j (a_j u_j + b_j u_j^2 + c_j u_j^3) + sum_ij d_ij u_i u_j     of the plan, in the open
                     + e + sum_j f_j u_j                                                       of a garden, from 1 + k lengths
    log least SWR    likewise
    log SWR (x)      about the dip, x = log f - log dip             of a garden, mean over its lengths

Lengths move by a few per cent, over which the dip is a smooth function of them, to `LEFT_OUT`; beyond the lengths that were solved it goes on
straight. The dip is the middle of where the SWR is within `STEP` of its least, as a meter in tenths finds it on the mean. Where something
close by has a deeper dip of its own, the wire's is the one that moves with its lengths.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations

import numpy as np

from ..families.family import NoPlace
from .case import Case, Look, bared

STEP = 0.05
SHORTER = -0.03  # u of the plan's third length
LONGER_LEAST = 0.02
HARDLY = 2e-4  # a length that moves a dip by less over its whole range is left out for gardens
LEFT_OUT = 0.0003  # of a dip: root mean square of what smoothness between the lengths gets wrong
MOVES_SO = 0.5  # a dip is the wire's if it moves as planned to this share
AND_SO = 1e-3  # and this much of the frequency
NEARLY = 0.03  # so near to the plan a dip is the wire's even where it merges with another
X = np.linspace(-0.09, 0.09, 181)


@dataclass(frozen=True, kw_only=True, eq=False)
class Response:
    """One look in G gardens over T terms: `dip`, `swr` (G, T) coefficients, `curve` (G, X) log SWR about the dip; `flat`: half
    the width within `STEP` of the least SWR, in log frequency; `edges`: log frequencies looked between; `reach`: (2, k), lengths solved between."""

    dip: np.ndarray
    swr: np.ndarray
    curve: np.ndarray
    flat: float
    edges: tuple[float, float]
    reach: np.ndarray | None = None

    def moved(self, dip, slopes) -> Response:
        """The same with that much on every garden's log dip at u = 0 and on its slopes (k,)."""
        more = np.zeros(self.dip.shape[1])
        more[: 1 + len(slopes)] = dip, *slopes
        return replace(self, dip=self.dip + more)

    def moving_as(self, other: Response) -> Response:
        """The same at u = 0, elsewhere as the other's first gardens."""
        first = slice(len(self.dip))
        dip, swr = (np.column_stack([mine[:, :1], its[first, 1:]]) for mine, its in ((self.dip, other.dip), (self.swr, other.swr)))
        return replace(other, dip=dip, swr=swr, curve=self.curve)

    def log_dip(self, u) -> np.ndarray:
        """(G,) at lengths u, (k,) or one set for each garden (G, k); never outside what is looked at."""
        return np.clip(self.log_dip_open(u), *self.edges)

    def log_dip_open(self, u) -> np.ndarray:
        return (self.dip * terms_within(u, self.reach)).sum(axis=-1)

    def log_swr(self, u) -> np.ndarray:
        return np.maximum((self.swr * terms_within(u, self.reach)).sum(axis=-1), 0.0)

    def log_swr_at(self, u, freq_hz: float) -> np.ndarray:
        """(G,) at one frequency."""
        x = np.log(freq_hz) - self.log_dip_open(u)
        place = np.clip((x - X[0]) / (X[1] - X[0]), 0, len(X) - 1.001)
        n, row = place.astype(int), np.arange(len(self.curve))
        shape = (1 - place + n) * self.curve[row, n] + (place - n) * self.curve[row, n + 1]
        return np.maximum(shape + self.log_swr(u) - self.curve[:, len(X) // 2], 0.0)


def terms(u) -> np.ndarray:
    """1, u_j, u_j^2, u_j^3, u_i u_j: (..., T) of (..., k)."""
    u = np.asarray(u, float)
    i, j = _pairs(u.shape[-1])
    return np.concatenate([np.ones((*u.shape[:-1], 1)), u, u * u, u * u * u, u[..., i] * u[..., j]], axis=-1)


def terms_within(u, reach) -> np.ndarray:
    """The terms between lengths `reach`, straight on beyond them: a cubic is nothing to go further by."""
    u = np.asarray(u, float)
    if reach is None:
        return terms(u)
    v = np.clip(u, *reach)
    out, beyond = terms(v), u - v
    if not beyond.any():
        return out
    k = u.shape[-1]
    i, j = _pairs(k)
    out[..., 1 : 1 + k] += beyond
    out[..., 1 + k : 1 + 2 * k] += 2 * v * beyond
    out[..., 1 + 2 * k : 1 + 3 * k] += 3 * v * v * beyond
    out[..., 1 + 3 * k :] += v[..., i] * beyond[..., j] + v[..., j] * beyond[..., i]
    return out


@lru_cache(maxsize=16)
def _pairs(k: int):
    return np.triu_indices(k, 1)


def star(case: Case) -> np.ndarray:
    """Lengths at which gardens are solved: as finished, and each piece as cut, (1 + k, k); less where that does not stand."""
    nodes = [np.zeros(len(case.names))]
    for j in range(len(case.names)):
        for share in (1.0, 0.5, -1.0):
            node = np.zeros(len(case.names))
            node[j] = share * max(LONGER_LEAST, case.start[j])
            if _stands(case, node):
                nodes.append(node)
                break
    return np.array(nodes)


def plan_nodes(case: Case, nodes: np.ndarray) -> np.ndarray:
    """Those, each piece half as much longer and shorter, and pairs of pieces as cut."""
    more = [other for row in nodes[1:] for other in (0.5 * row, np.where(row != 0, SHORTER, 0.0))] + [a + b for a, b in combinations(nodes[1:], 2)]
    return np.array([*nodes, *(u for u in more if _stands(case, u))])


def _stands(case: Case, u) -> bool:
    try:
        case.at(u)
        return True
    except NoPlace:
        return False


# ---- solving ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Dip:
    """One dip of an SWR curve: its middle [Hz], half its width in log frequency, the SWR there."""

    hz: float
    half: float
    swr: float


def read_at(case: Case, yard, nodes, look: Look, change=lambda design: design, planned=None) -> tuple[np.ndarray, np.ndarray, float]:
    """(log dip, log SWR there) at each of the lengths (n, 2), log SWR about the dip (X,), half the flat width. `planned`: log dips (n,)
    in the open, by which the wire's own dip is known from that of something close by; without them it is the deepest."""
    key, bare = look
    shown = [yard.swr(change(bared(case.at(u), bare)), key, bare) for u in nodes]
    found = [dips_of(freq, swr) for freq, swr in shown]
    own = [dips[0] for dips in found] if planned is None else own_dips(planned, found)
    rows = [(np.log(d.hz), np.log(d.swr)) for d in own]
    curves = [np.interp(X, np.log(freq / d.hz), np.log(np.minimum(swr, 1e3)), left=np.nan, right=np.nan) for d, (freq, swr) in zip(own, shown)]
    return np.array(rows), _mean_curve(np.array(curves)), own[0].half


def dips_of(freq_hz, swr) -> list[Dip]:
    """Every dip of a curve, the deepest first; runs that overlap are one."""
    swr = np.asarray(swr)
    inner = np.flatnonzero((swr[1:-1] < swr[:-2]) & (swr[1:-1] <= swr[2:])) + 1
    least = [int(np.argmin(swr)), *sorted(inner.tolist(), key=lambda n: swr[n])]
    found: list[Dip] = []
    for n in dict.fromkeys(least):
        hz, half = dip_of(freq_hz, swr, n)
        if all(abs(np.log(hz / d.hz)) > max(half, d.half) for d in found):
            found.append(Dip(hz=hz, half=half, swr=float(swr[n])))
    return found


def own_dips(planned: np.ndarray, found: list[list[Dip]]) -> list[Dip]:
    """The wire's dip at each of several lengths: the deepest if it moves with them as planned, else the one nearest to the plan that does.

    Where none does, the plan's own movement, from the nearest if that is near."""
    planned = np.asarray(planned)
    allowed = MOVES_SO * np.abs(planned - planned[0]) + AND_SO
    deepest = [dips[0] for dips in found]
    nearest = sorted(found[0], key=lambda d: abs(np.log(d.hz) - planned[0]))
    for first in [deepest[0], *nearest]:
        then = planned + np.log(first.hz) - planned[0]
        chosen = deepest if first is deepest[0] else [min(dips, key=lambda d, t=t: abs(np.log(d.hz) - t)) for dips, t in zip(found, then)]
        if np.all(np.abs(np.log([d.hz for d in chosen]) - then) <= allowed):
            return chosen
    begin = np.log(nearest[0].hz)
    begin = begin if abs(begin - planned[0]) <= NEARLY else planned[0]
    return [replace(nearest[0], hz=float(np.exp(begin + p - planned[0]))) for p in planned]


def _mean_curve(curves: np.ndarray) -> np.ndarray:
    """Mean over lengths where any was solved, its last value beyond."""
    there = np.isfinite(curves)
    mean = np.nansum(np.where(there, curves, 0.0), axis=0) / np.maximum(there.sum(axis=0), 1)
    known = there.any(axis=0)
    return np.interp(X, X[known], mean[known])


def dip_of(freq_hz, swr, least: int | None = None) -> tuple[float, float]:
    """Middle, in log frequency, of the run within `STEP` of the least SWR [Hz], and half its width there; `least`: the sample to begin from."""
    least = int(np.argmin(swr)) if least is None else least
    if least in (0, len(swr) - 1):
        return float(freq_hz[least]), 0.0
    over = swr > swr[least] + STEP
    first = least - int(np.argmax(over[least::-1])) if over[: least + 1].any() else 0
    last = least + int(np.argmax(over[least:])) if over[least:].any() else len(swr) - 1
    low = _crossing(freq_hz, swr, first, swr[least] + STEP) if over[first] else freq_hz[0]
    high = _crossing(freq_hz, swr, last - 1, swr[least] + STEP) if over[last] else freq_hz[-1]
    return float(np.sqrt(low * high)), 0.5 * float(np.log(high / low))


def _crossing(freq_hz, swr, n: int, level: float) -> float:
    """Where the straight line from sample n to n + 1 passes the level."""
    share = (level - swr[n]) / (swr[n + 1] - swr[n])
    return freq_hz[n] + share * (freq_hz[n + 1] - freq_hz[n])


@dataclass(frozen=True, kw_only=True, eq=False)
class Plan:
    """The design in the open: coefficients of each look (T,) for dip and SWR, lengths at which gardens are solved, and which of
    them matter to a look."""

    nodes: np.ndarray
    dip: dict[Look, np.ndarray]
    swr: dict[Look, np.ndarray]
    matters: dict[Look, np.ndarray]  # rows of `nodes`, the first among them
    flat: dict[Look, float]
    reach: np.ndarray | None = None  # (2, k): shortest and longest of the lengths solved


def plan_of(case: Case, yard) -> Plan:
    """Solve the design in the open."""
    nodes = star(case)
    many = plan_nodes(case, nodes)
    dip, swr, matters, flat = {}, {}, {}, {}
    for look in case.looks:
        rows, _, flat[look] = read_at(case, yard, many, look)
        dip[look], swr[look] = (_fitted(many, rows[:, n]) for n in (0, 1))
        moved = np.abs(rows[: len(nodes), 0] - rows[0, 0]) > HARDLY
        matters[look] = np.flatnonzero(moved | (np.arange(len(nodes)) == 0))
    return Plan(nodes=nodes, dip=dip, swr=swr, matters=matters, flat=flat, reach=np.array([many.min(axis=0), many.max(axis=0)]))


def _fitted(nodes, values) -> np.ndarray:
    return np.linalg.lstsq(terms(nodes), values, rcond=1e-10)[0]


def in_gardens(case: Case, plan: Plan, gardens, change=None) -> dict[Look, Response]:
    """Every look's response in these gardens. What is changed may end anywhere, so there the deepest dip is taken."""
    found: dict[Look, list] = {look: [] for look in case.looks}
    for garden in gardens:
        yard = case.yard(garden, change or _as_it_is)
        for look in case.looks:
            nodes = plan.nodes[plan.matters[look]]
            planned = None if change else terms(nodes) @ plan.dip[look]
            rows, curve, _ = read_at(case, yard, nodes, look, change or _as_it_is, planned)
            found[look].append((_off(plan.dip[look], nodes, rows[:, 0]), _off(plan.swr[look], nodes, rows[:, 1]), curve))
    return {look: _response(case, plan, look, rows) for look, rows in found.items()}


def _as_it_is(design):
    return design


def _off(planned, nodes, values) -> np.ndarray:
    """The plan's coefficients with constant and slopes set right by what the garden differs at the nodes."""
    k = nodes.shape[1]
    linear = np.linalg.lstsq(terms(nodes)[:, : k + 1], values - terms(nodes) @ planned, rcond=1e-10)[0]
    return planned + np.r_[linear, np.zeros(len(planned) - k - 1)]


def _response(case: Case, plan: Plan, look: Look, rows) -> Response:
    from ..ensemble.yard import nodes_hz

    nodes = nodes_hz(case.wish(look[0]), case.lowest)
    dip, swr, curve = (np.array(part) for part in zip(*rows))
    return Response(dip=dip, swr=swr, curve=curve, flat=plan.flat[look], edges=(float(np.log(nodes[0])), float(np.log(nodes[-1]))), reach=plan.reach)
