"""What the fields do to people: the worst point where people stay, per watt, and the zone to keep on the own ground.

    share   largest of E/E_level and H/H_level at a point, for 1 W of average power from the radio  [1/sqrt(W)]
    margin  1 - P share^2, P the station's average power: power mode duty transmit share; zero where the level is just met

Fields are the solved near fields where the segment takes most power, for what the radio gives at that SWR and line and transformer let through.
Each point stands for the whole body: no averaging over the body is done, which is on the safe side of the rules. Sources: optimizer/physics/exposure.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..physics.exposure import Rule, exposure_ratio
from ..site.people import Stays

END_SHARE = 0.5  # of the chosen points go to the wires' ends and bends, where the voltage stands


@dataclass(frozen=True, kw_only=True)
class Worst:
    """The worst point for 1 W of average power from the radio. `field`: E or H, whichever is nearer to its level."""

    share: float
    place: str = ""
    at_m: tuple[float, float, float] = (0.0, 0.0, 0.0)
    field: str = "E"

    @property
    def average_w(self) -> float:
        """Average power that just meets the level there [W]."""
        return 1.0 / self.share**2 if self.share > 0.0 else math.inf


NOBODY = Worst(share=0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Watch:
    """Who is watched over, chosen for one design: points where people stay (P, 3), their places' names, and the rule."""

    points_m: np.ndarray
    names: tuple[str, ...]
    rule: Rule


def watch_over(stays: Stays, wires, rule: Rule, count: int) -> Watch:
    """The `count` points that lie nearest to the wires; the worst is nearly always the first of them."""
    chosen = nearest_points(stays.points_m, wires, count)
    return Watch(points_m=stays.points_m[chosen], names=tuple(stays.name_of(n) for n in chosen), rule=rule)


def share_at(solution, i: int, points_m, rule: Rule, delivered: float):
    """Share for 1 W from the radio at each point, and whether E decides: (P,), (P,) bool."""
    from ..field.near import fields  # compiled code comes with it, which stored figures do without

    freq = float(solution.freq_hz[i])
    e, h = fields(solution, i, points_m, power_w=delivered)
    e, h = (np.linalg.norm(np.abs(f), axis=1) for f in (e, h))
    e_level, h_level = rule.levels(freq)
    return exposure_ratio(freq, e, h, rule), e / e_level >= h / h_level


def worst_where_people_stay(solution, i: int, watch: Watch, delivered: float) -> Worst:
    """The worst watched point; NOBODY where the rule has no level or nobody is about."""
    if not len(watch.points_m) or not np.isfinite(watch.rule.levels(float(solution.freq_hz[i]))[0]):
        return NOBODY
    share, by_e = share_at(solution, i, watch.points_m, watch.rule, delivered)
    n = int(np.argmax(share))
    return Worst(share=float(share[n]), place=watch.names[n], at_m=tuple(watch.points_m[n].tolist()), field="E" if by_e[n] else "H")


def nearest_points(points_m, wires, count: int) -> np.ndarray:
    """Numbers of the points worth asking: for each end and bend in turn its nearest, the rest by distance from the wires, (≤ count,)."""
    if len(points_m) <= count:
        return np.arange(len(points_m))
    corners = np.array(list(dict.fromkeys(p for wire in wires for p in wire.points_m)))
    from_corner = np.linalg.norm(points_m[None] - corners[:, None], axis=2)
    ranked = np.argsort(from_corner, axis=1, kind="stable")[:, : max(1, int(END_SHARE * count))]
    by_corner = list(dict.fromkeys(ranked.T.ravel().tolist()))[: max(1, int(END_SHARE * count))]
    by_wire = np.argsort(distance_from_wires_m(points_m, wires), kind="stable")[:count].tolist()
    return np.array(list(dict.fromkeys([*by_corner, *by_wire]))[:count])


def distance_from_wires_m(points_m, wires) -> np.ndarray:
    """Least distance in space from each point to any wire, (P,)."""
    starts = np.array([a for wire in wires for a in wire.points_m[:-1]])
    along = np.array([b for wire in wires for b in wire.points_m[1:]]) - starts
    square = np.maximum((along**2).sum(axis=1), 1e-12)
    t = np.clip((np.asarray(points_m) @ along.T - (starts * along).sum(axis=1)) / square, 0.0, 1.0)
    gap = np.asarray(points_m)[:, None] - starts[None] - t[..., None] * along[None]
    return np.sqrt((gap**2).sum(axis=2)).min(axis=1)
