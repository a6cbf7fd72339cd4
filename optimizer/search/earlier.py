"""Designs of an earlier run, taken as they stood: whatever lot, limits or bands are today's, they are measured and held to these.

A family reads its values against the lot and the limits: a mast place in shares of the ground, the lowest band that stands. With another
lot or limit the same values mean another wire. So what was good before is kept as built: its wires in metres, its parts,
untrimmed; nothing that was possible is lost where a limit is loosened, a lot grows or a band is dropped. One whose tuner or make of
parts is not offered any more is built and trimmed anew with what is.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from ..evaluate import FULL, Evaluation, held, place
from ..families.catalogue import FAMILIES
from ..families.design import Design
from ..families.wished import as_wished, of_today
from ..site.frame import to_metres
from ..site.model import Site
from .book import Book
from .clock import Clock
from .crew import Job
from .keys import design_key
from .ledger import Ledger
from .refine import worked_off
from .settings import SearchSettings

MOST = 12


def measured_earlier(designs: Iterable[Design], book: Book, crew, clock: Clock, settings: SearchSettings, report) -> list[Evaluation]:
    """Evaluations, at the full storey, of those of the first `MOST` designs that keep today's limits."""
    jobs = []
    for design in list(designs)[:MOST]:
        family, kept = FAMILIES[design.family], as_wished(design, book.wishes)
        if family.serves(book.wishes):
            placed = held(book.site, book.wishes, family, design) if kept else place(book.site, book.wishes, family, of_today(design.values, book.wishes))
            if placed.fits:
                jobs.append(Job(family.key, placed.values, settings.full, book.key(placed.design, settings.full), design=design if kept else None))
        clock.placed()
    worked_off([job for job in jobs if book.known(job.key) is None], book, crew, clock, report)
    known = [book.known(job.key) for job in jobs]
    return [e for e in (book.judged(entry) for entry in known if entry) if e is not None and e.fits]


def kept_designs(ledger: str | Path, wanted: list[tuple[str, dict]]) -> list[Design]:
    """Designs of a ledger by (family key, values), in that order; what it does not hold at the full storey is left out."""
    with Ledger(ledger) as kept:
        entries = [e for e in kept.of_storey(FULL.name) if e.found and e.placed]
    found = (next((e for e in entries if e.family == family and e.found.values == values), None) for family, values in wanted)
    return [entry.placed.design for entry in found if entry]


def with_earlier(rows: list[Evaluation], earlier: list[Evaluation]) -> list[Evaluation]:
    """The rows and those of the earlier designs that are not among them, so that none is pushed out unseen."""
    there = {design_key(row.design) for row in rows}
    return rows + [e for e in earlier if design_key(e.design) not in there]


def moved_over(design: Design, before: Site, now: Site) -> Design:
    """The design in the local metres of another survey of the same place; as it is where one of them has no position."""
    if before.origin_lon_lat is None or now.origin_lon_lat is None or before.origin_lon_lat == now.origin_lon_lat:
        return design
    dx, dy = to_metres([before.origin_lon_lat], now.origin_lon_lat)[0].tolist()

    def moved(at):
        return (at[0] + dx, at[1] + dy, *at[2:])

    def all_moved(points):
        return tuple(moved(p) for p in points)

    s = design.structure
    structure = replace(
        s,
        wires=tuple(replace(w, points_m=all_moved(w.points_m)) for w in s.wires),
        masts=tuple(replace(m, at_m=moved(m.at_m)) for m in s.masts),
        anchors=tuple(replace(a, at_m=moved(a.at_m)) for a in s.anchors),
        cords_m=tuple(all_moved(c) for c in s.cords_m),
        spans=tuple(replace(p, holds_m=all_moved(p.holds_m)) for p in s.spans),
        holds_at_m=all_moved(s.holds_at_m),
        lines_m=tuple(all_moved(line) for line in s.lines_m),
    )
    return replace(design, structure=structure)
