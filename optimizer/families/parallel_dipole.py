"""Parallel-wire dipole: two or three pairs of legs on one feed.

Serves two or three wished bands, each by a pair cut for it; the other pairs are far off resonance and hardly matter.
Three bands where the lot holds them, those of most weight, the lowest of equals; the pairs hang below one another on
spreaders, or fan out in bearing to ends of their own. A pair's legs are trimmed from the lowest band up, because a
longer pair moves the shorter ones more than the other way round (common practice, no source).
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

from ..wires.model import Port
from .bands import names, weight_of, wished_bands
from .centre_fed import balanced_feed, centre_parameters, hang
from .choices import length
from .common import close, conductor
from .design import TrimStep
from .family import Family, NoPlace, Parameter
from .hanging import Leg, step
from .outline import along
from .placement import OUT_OF_REACH_M
from .rig import Rig
from .starts import cut_for, sifted

HALF_FEED_M = 0.1
LEAST_FAN_DEG = 15.0  # from one pair to the next; less of `fan_deg` hangs them on spreaders
SPACING_M = 0.15  # between pairs on spreaders (common practice, no source)
CLOSEST = 1.25  # neighbouring bands nearer than this ratio pull each other


def sets_apart(wishes):
    """Sets of three, then of two bands, heaviest first, then lowest."""
    bands = wished_bands(wishes)
    found = [s for n in (3, 2) for s in combinations(bands, n) if _apart(s)]
    return sorted(found, key=lambda s: -weight_of(s))


def _apart(bands):
    return all(b.centre_hz / a.centre_hz >= CLOSEST for a, b in pairwise(bands))


def serves(wishes) -> tuple[str, ...]:
    sets = sets_apart(wishes)
    return names(sets[0]) if sets else ()


def _bands(site, wishes):
    return cut_for(FAMILY, site, wishes, lambda: sets_apart(wishes), lambda s: s[0].half_wave_m, lambda s: s, "no two wished bands fit")


def _leg_name(band):
    return f"leg_{band.name}_m"


def parameters(site, wishes):
    bands = _bands(site, wishes)
    return (
        *centre_parameters(site, wishes, bands[0].half_wave_m),
        *(length(_leg_name(b), b.half_wave_m / 2) for b in bands),
        Parameter(name="fan_deg", low=-60.0, high=60.0),
    )


def build(values, site, wishes):
    bands = _bands(site, wishes)
    rig = Rig(site, wishes)
    longest = values[_leg_name(bands[0])]
    hung = hang(rig, values, (longest,) * 2, (bands[0].half_wave_m / 2,) * 2, HALF_FEED_M)
    sides = {"a": hung.back, "b": hung.forward}
    heads = {"a": along(hung.centre, _out(hung, "a", values), HALF_FEED_M), "b": along(hung.centre, hung.bearing_deg, HALF_FEED_M)}
    if hung.flat:
        heads = {s: step(hung.centre, leg.points[0], HALF_FEED_M)[:2] for s, leg in sides.items()}
    wires, reachable = [], {bands[0]: hung.reachable}
    for side, leg in sides.items():
        head = _head(hung, heads[side], leg)
        wires.append(conductor(f"{bands[0].name} {side}", (head, *leg.points)))
        drop = [head]
        for i, band in enumerate(bands[1:], start=1):
            start = (head[0], head[1], head[2] - i * SPACING_M)
            drop.append(start)
            pair_leg = _pair_leg(rig, values, start, head, leg, values[_leg_name(band)], i, _out(hung, side, values))
            wires.append(conductor(f"{band.name} {side}", (start, *pair_leg.points)))
            reachable[band] = reachable.get(band, True) and pair_leg.reachable
        wires.append(conductor(f"drop {side}", drop))
    ends = [next(w for w in wires if w.name == f"{bands[0].name} {s}").points_m[0] for s in "ab"]
    wires.insert(0, conductor("feed", ends))
    rig.buy("insulator_centre", "feed point")
    rig.buy("strain_relief", "feed point", 2 * len(bands))
    feed = balanced_feed(rig, values, hung, bands[0].low_hz)
    return close(
        FAMILY, rig, values, wires, port=Port(name="feed", wire="feed", at_m=wires[0].length_m / 2), feed=feed,
        trims=_trims(bands, reachable), serves=names(bands), detail=", ".join(names(bands)),
    )  # fmt: skip


def _out(hung, side, values):
    """Bearing on which a side's legs leave."""
    if side == "b":
        return hung.bearing_deg
    return hung.bearing_deg + 180.0 + (0.0 if hung.flat else values["turn_deg"])


def _head(hung, xy, leg):
    return step(hung.centre, leg.points[0], HALF_FEED_M) if hung.flat else (*xy, hung.centre[2])


def _pair_leg(rig, values, start, head, longest: Leg, leg_m, i, bearing) -> Leg:
    """A shorter leg: parallel below the longest on spreaders, or on a bearing of its own."""
    if abs(values["fan_deg"]) >= LEAST_FAN_DEG:
        nominal = math.dist(head, longest.points[0]) - values["cord_m"]
        cord = max(values["cord_m"], nominal + values["cord_m"] - leg_m)
        leg = rig.leg(start, bearing + i * values["fan_deg"], leg_m, rig.end_m, cord_m=cord)
        rig.span(start, [leg])
        return leg
    first = longest.points[0]
    way = tuple(s + p - h for s, p, h in zip(start, first, head))
    end = step(start, way, leg_m)
    if end[2] < OUT_OF_REACH_M - 1e-9:
        raise NoPlace("end height", OUT_OF_REACH_M - end[2], "a shorter pair hangs too low")
    over = step(head, first, leg_m)
    if leg_m > math.dist(first, head):
        raise NoPlace("lot", leg_m - math.dist(first, head), "the shorter pair reaches beyond the bend")
    rig.cords.append((end, over))
    rig.buy("insulator_end", "wire end")
    rig.buy("insulator_spreader", "between the pairs", 3)
    return Leg((end,), (over,), (leg_m,), longest.tied)


def _trims(bands, reachable):
    return tuple(
        TrimStep(
            element=f"{b.name} legs, both alike", parameter=_leg_name(b), band=b.key, target_mhz=b.centre_mhz,
            reachable=reachable[b], disturbs=tuple(o.key for o in bands[i + 1 :]),
        )
        for i, b in enumerate(bands)
    )  # fmt: skip


def starts(site, wishes):
    lengths = {_leg_name(b): 0.49 * b.half_wave_m for b in _bands(site, wishes)}
    return sifted(FAMILY, site, wishes, lengths)


FAMILY = Family(
    key="parallel_dipole",
    title="Parallel-wire dipole",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="The pairs pull on each other while trimming, and the shorter ones are narrow and close to the longer wire.",
)
