"""Linked dipole: one wire whose legs are cut off for the higher bands by links that are opened by hand.

Serves two or three wished bands that lie apart, one at a time: with all links closed it is a half wave on the lowest;
each open link ends the legs at a quarter wave of a higher band. Three bands where the lot holds them, those of most
weight, the lowest of equals. The first piece is trimmed first, on the highest band, then each next piece outward.

An open link is an insulator with the outer wire hanging on: -j 1 megohm, its capacitance of some hundredths of a
picofarad (estimate, no source).
"""

from __future__ import annotations

from itertools import accumulate

from ..physics.elements import FixedImpedance
from ..wires.model import Load
from .bands import names
from .centre_fed import balanced_feed, centre_parameters, hang, one_wire
from .choices import length
from .common import close
from .design import TrimStep
from .family import Family
from .parallel_dipole import sets_apart
from .rig import Rig
from .starts import cut_for, sifted

HAND_M = 2.0  # reached standing on the ground
OPEN = FixedImpedance(ohm=-1e6j)


def serves(wishes) -> tuple[str, ...]:
    sets = sets_apart(wishes)
    return names(sets[0]) if sets else ()


def _bands(site, wishes):
    """Highest band first."""
    return cut_for(FAMILY, site, wishes, lambda: [s[::-1] for s in sets_apart(wishes)], lambda s: s[-1].half_wave_m, lambda s: s, "no two wished bands fit")


def _part(band):
    return f"piece_{band.name}_m"


def _pieces_m(bands):
    """Lengths of the pieces from the feed outward, by rule of thumb."""
    quarters = [b.half_wave_m / 2 for b in bands]
    return [q - before for q, before in zip(quarters, [0.0, *quarters])]


def parameters(site, wishes):
    bands = _bands(site, wishes)
    pieces = [length(_part(b), p, 0.85, 1.1) for b, p in zip(bands, _pieces_m(bands))]
    return (*centre_parameters(site, wishes, bands[-1].half_wave_m), *pieces)


def build(values, site, wishes):
    bands = _bands(site, wishes)
    rig = Rig(site, wishes)
    cuts = list(accumulate(values[_part(b)] for b in bands))
    hung = hang(rig, values, (cuts[-1],) * 2, (bands[-1].half_wave_m / 2,) * 2)
    wires, port = one_wire(rig, hung, (cuts[-1],) * 2)
    rig.buy("insulator_end", "links", 2 * len(cuts[:-1]))
    rig.buy("connector_wire", "links", 2 * len(cuts[:-1]))
    trims = tuple(
        TrimStep(
            element=f"{b.name} piece of both legs", parameter=_part(b), band=b.key, target_mhz=b.centre_mhz,
            reachable=hung.reachable, disturbs=tuple(o.key for o in bands[i + 1 :]), note=_link_note(i, bands),
        )
        for i, b in enumerate(bands)
    )  # fmt: skip
    feed = balanced_feed(rig, values, hung, bands[-1].low_hz)
    return close(
        FAMILY, rig, values, wires, port=port, feed=feed, trims=trims, serves=names(bands[::-1]),
        detail=", ".join(names(bands[::-1])), by_band=_open_links(wishes, bands, cuts),
        switched_by=_switched_by(hung, cuts),
    )  # fmt: skip


def _switched_by(hung, cuts):
    """With both ends let go the legs hang straight down from the middle: are all links within reach then?"""
    return "ends" if hung.reachable and hung.centre[2] - cuts[0] <= HAND_M else "middle"


def _link_note(i, bands):
    return "with the link beyond it open" if i + 1 < len(bands) else "with all links closed"


def _open_links(wishes, bands, cuts):
    """Per wish the links that are open: the pair just beyond the band's legs; for other bands the nearest longer legs."""
    middle, found = cuts[-1], []
    for wish in wishes.bands:
        at = min(range(len(bands)), key=lambda i: abs(bands[i].centre_hz - wish.centre_hz))
        links = [Load(wire="main", at_m=middle + side * cuts[at], element=OPEN) for side in (-1, 1)]
        found.append((wish.key, tuple(links) if at + 1 < len(bands) else ()))
    return found


def starts(site, wishes):
    bands = _bands(site, wishes)
    return sifted(FAMILY, site, wishes, {_part(b): 0.98 * p for b, p in zip(bands, _pieces_m(bands))})


FAMILY = Family(
    key="linked_dipole",
    title="Linked dipole",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="One band at a time: every change means letting the legs down and opening or closing links.",
)
