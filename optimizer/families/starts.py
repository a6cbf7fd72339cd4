"""Hand-made starts: where an operator would look first, sifted to those that build and keep every hard limit.

Proposals run over the mast ground (middle and sides), the long diagonals of the lot, the supports and the height;
a family adds its lengths. Building costs microseconds, so sifting some hundreds is no search.
"""

from __future__ import annotations

from itertools import chain

import numpy as np

from ..site.clearance import margins
from .bands import by_weight
from .choices import fits, lacking_m, remember
from .family import NoPlace
from .likely import FEW, SUPPORTS, placements, stands, usual
from .placement import plot_of
from .sharp import SHARP, may_hang_sharp

MOST = 8
TRIES = 500
SIFTED = 300  # placements built at most; the first of them are the likeliest
OTHERS = 300  # and of those with any support, where the likely ones gave too few


def sifted(family, site, wishes, lengths: dict, most: int = MOST) -> list[dict]:
    """Up to `most` different starts: placements proposed here, `lengths` given by the family. Half of them where an operator would look first, then such as hang from other supports.

    Where nothing that builds keeps every limit (an overhead line, say), what builds is given all the same.
    """
    parameters = family.parameters(site, wishes)
    found, spare, short, seen, hung = [], [], [], set(), set()
    likely = _likely(list(placements(site, parameters)))
    for i, placement in enumerate(chain(likely, _others(site, parameters))):
        if len(found) >= most:
            break
        values = {p.name: usual(p) for p in parameters} | placement
        values |= {k: v for k, v in lengths.items() if k in values}
        try:
            design = family.build(values, site, wishes)
        except NoPlace:
            continue
        ends = tuple(round(c) for w in design.structure.wires[:1] for p in (w.points_m[0], w.points_m[-1]) for c in p)
        if ends in seen:
            continue
        seen.add(ends)
        if min(margins(site, design.structure).values()) < 0:
            short.append(values)
            continue
        supports = tuple(design.values.get(name) for name in SUPPORTS)
        first = i < len(likely) and len(found) < most // 2
        (found if first or supports not in hung else spare).append(values)
        hung.add(supports)
    return (found + spare)[:most] or short[:most]


def _likely(placements: list[dict]) -> list[dict]:
    """The likeliest first, then some of all the others, evenly: `SIFTED` in all."""
    first, rest = placements[: SIFTED // 3], placements[SIFTED // 3 :]
    return first + rest[:: max(1, -(-len(rest) // (SIFTED - len(first))))] if rest else first


def _others(site, parameters):
    """Some with every pair of supports, at random but the same ones every time; none where there are only few supports."""
    if any(len(p.choices) > FEW for p in parameters if p.name in SUPPORTS):
        every = list(placements(site, parameters, tuple))
        yield from (every[i] for i in np.random.default_rng(0).permutation(len(every))[:OTHERS])


def cut_for(family, site, wishes, options, wire_m, served, words: str):
    """Of the bands (or sets of bands) the lot may hold, the one that serves most weight and really stands; NoPlace("lot") where none may be held.

    `options()`: all there are; `wire_m(option)`: shortest wire for it; `served(option)`: bands it serves. Remembered for the site.
    """
    plot, key = plot_of(site), (family.key, wishes)

    def find():
        held = by_weight([o for o in options() if fits(plot, wire_m(o))], served)
        narrow = by_weight([o for o in options() if may_hang_sharp(plot, wire_m(o))], served)
        return first_standing(key, held, family, site, wishes, narrow)

    found = remember(plot, key, find)
    if found is None:
        raise NoPlace("lot", lacking_m(plot, map(wire_m, options())), words)
    return found


def first_standing(key, options, family, site, wishes, narrow=None):
    """Of the bands (or sets of bands) to cut for, the first that the lot really holds; the first one where none is found to.

    `key` is the memory under which the family looks up its choice: each option is put there while it is tried. `narrow`: those to try
    with a sharp apex where none stands without, if not the same.
    """
    memo = plot_of(site).memo
    for sharp, tried in ((False, options), (True, options if narrow is None else narrow)):
        for option in tried:
            memo[key] = option
            if _stands(family, site, wishes, sharp):
                return option
    memo.pop(key, None)
    return options[0] if options else None


def _stands(family, site, wishes, sharp: bool) -> bool:
    """Does one of some hundred likely placements keep every limit? Where it takes a sharp apex only if `sharp`, else only if not."""
    try:
        parameters = family.parameters(site, wishes)
    except NoPlace:
        return False
    if sharp != (SHARP in parameters):
        return False
    return stands(lambda values: family.build(values, site, wishes).structure, site, parameters, TRIES)
