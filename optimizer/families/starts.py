"""Hand-made starts: where an operator would look first, sifted to those that build and keep every hard limit.

Proposals run over the mast ground (middle and sides), the long diagonals of the lot, the supports and the height;
a family adds its lengths. Building costs microseconds, so sifting some hundreds is no search.
"""

from __future__ import annotations

from itertools import combinations, product

import numpy as np

from ..site.clearance import margins
from .bands import by_weight
from .centre_fed import PAIR
from .common import fits, lacking_m, remember
from .family import NoPlace, Parameter
from .outline import bearing_deg
from .placement import plot_of

MOST = 8
TRIES = 500
SIFTED = 450  # placements built at most; the first of them are the likeliest


def bearings_of_interest(site, count: int = 2) -> list[float]:
    """Bearings of the longest lines between corners of the usable lot, one way each, then the other; then the axes."""
    hull = np.array(site.usable.convex_hull.exterior.coords)[:-1]
    hull = hull[:: max(1, len(hull) // 60)]
    pairs = sorted(combinations(range(len(hull)), 2), key=lambda ij: -np.hypot(*(hull[ij[0]] - hull[ij[1]])))
    ways = [bearing_deg(hull[i], hull[j]) for i, j in pairs[:count]]
    return [*ways, *((w + 180.0) % 360.0 for w in ways), 0.0, 90.0, 180.0, 270.0]


def sifted(family, site, wishes, lengths: dict, most: int = MOST) -> list[dict]:
    """Up to `most` different starts: placements proposed here, `lengths` given by the family.

    Where nothing that builds keeps every limit (an overhead line, say), what builds is given all the same.
    """
    parameters = family.parameters(site, wishes)
    found, seen, short = [], set(), []
    for placement in _likely(list(_placements(site, parameters))):
        values = {p.name: _usual(p) for p in parameters} | placement
        values |= {k: v for k, v in lengths.items() if k in values}
        try:
            design = family.build(values, site, wishes)
        except NoPlace:
            continue
        ends = tuple(round(c) for w in design.structure.wires[:1] for p in (w.points_m[0], w.points_m[-1]) for c in p)
        if ends not in seen and len(seen) < 4 * most:
            seen.add(ends)
            (found if min(margins(site, design.structure).values()) >= 0 else short).append(dict(values))
        if len(found) >= most:
            break
    return found or short[:most]


def _likely(placements: list[dict]) -> list[dict]:
    """The likeliest first, then some of all the others, evenly: `SIFTED` in all."""
    first, rest = placements[: SIFTED // 3], placements[SIFTED // 3 :]
    return first + rest[:: max(1, -(-len(rest) // (SIFTED - len(first))))] if rest else first


def cut_for(family, site, wishes, options, wire_m, served, words: str):
    """Of the bands (or sets of bands) the lot may hold, the one that serves most weight and really stands; NoPlace("lot") where none may be held.

    `options()`: all there are; `wire_m(option)`: shortest wire for it; `served(option)`: bands it serves. Remembered for the site.
    """
    plot, key = plot_of(site), (family.key, wishes)

    def find():
        held = by_weight([o for o in options() if fits(plot, wire_m(o))], served)
        return first_standing(key, held, family, site, wishes)

    found = remember(plot, key, find)
    if found is None:
        raise NoPlace("lot", lacking_m(plot, map(wire_m, options())), words)
    return found


def first_standing(key, options, family, site, wishes):
    """Of the bands (or sets of bands) to cut for, the first that the lot really holds; the first one where none is found to.

    `key` is the memory under which the family looks up its choice: each option is put there while it is tried.
    """
    memo = plot_of(site).memo
    for option in options:
        memo[key] = option
        if _stands(family, site, wishes):
            return option
    memo.pop(key, None)
    return options[0] if options else None


def _stands(family, site, wishes) -> bool:
    """Does one of some hundred likely placements keep every limit?"""
    try:
        parameters = family.parameters(site, wishes)
    except NoPlace:
        return False
    placements = list(_placements(site, parameters))
    for placement in placements[:: max(1, len(placements) // TRIES)]:
        try:
            design = family.build({p.name: _usual(p) for p in parameters} | placement, site, wishes)
        except NoPlace:
            continue
        if min(margins(site, design.structure).values()) >= 0:
            return True
    return False


USUAL = {"turn_deg": 0.0, "cord_m": 1.0, "take_at": 0.45, "mast_u": 0.5, "mast_v": 0.5}


def _usual(p: Parameter):
    if p.choices:
        return p.choices[0]
    return min(max(USUAL.get(p.name, 0.5 * (p.low + p.high)), p.low), p.high)


def _offered(choices) -> tuple[str, ...]:
    """The first few supports, and the first pair to stretch a wire between."""
    return (*choices[:3], *[c for c in choices[3:] if PAIR in c][:1])


def _placements(site, parameters):
    """Proposals, the likeliest first: every choice of supports with the middle of the ground, then the sides."""
    by_name = {p.name: p for p in parameters}
    supports = [by_name[n] for n in ("hung", "feed_at", "apex_at", "end_at", "corners_at") if n in by_name]
    bearings = bearings_of_interest(site) if "bearing_deg" in by_name else [0.0]
    apex = by_name.get("apex_m")
    heights = (apex.high, 0.5 * (apex.low + apex.high)) if apex else (0.0,)
    grounds = [(0.5, 0.5), (0.2, 0.5), (0.8, 0.5), (0.5, 0.2), (0.5, 0.8)] if "mast_u" in by_name else [(0.5, 0.5)]
    picks = list(product(*(_offered(p.choices) for p in supports)))
    for (u, v), height in product(grounds, heights):
        for bearing, pick in product(bearings, picks):
            values = {"mast_u": u, "mast_v": v, "apex_m": height, "bearing_deg": bearing}
            values |= {p.name: c for p, c in zip(supports, pick)}
            yield {k: v for k, v in values.items() if k in by_name}
