"""The cut list: every piece of wire between joints, how long to cut it, and where to mark it.

Each piece is as long as in the design with its lengths as first cut, those of the first readings (`readings.cut_lengths`); where the family
builds that no more, longer by the share of the length that needs most. Marks are counted from the cut's first end.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import groupby

from ..families.pieces import Piece, most_share, pieces_of, spares_m
from .built import Built
from .plain_words import plain_wire
from .readings import at_lengths, cut_lengths

SAME_LENGTH_M = 0.005
_TWIN = re.compile(r"( \d+| [ab])$")  # wires alike are numbered or lettered: "radial 3", "20m b"


@dataclass(frozen=True, kw_only=True)
class Cut:
    """`count` pieces alike. `spare_m`: left over for trimming; `start_m`: from the cut to the first mark."""

    count: int
    what: str
    role: str
    finished_m: float
    start_m: float
    end_m: float
    spare_m: float

    @property
    def cut_m(self) -> float:
        return self.start_m + self.finished_m + self.spare_m + self.end_m


def cuts_of(built: Built) -> tuple[Cut, ...]:
    """All pieces, equal ones together, longest first."""
    found = pieces_of(built.wires, built.port, built.all_loads)
    pieces = [_cut(piece, spare) for piece, spare in zip(found, _spares(built, found))]
    pieces.sort(key=lambda p: (p.role, -round(p.finished_m / SAME_LENGTH_M), p.what))
    groups = (list(alike) for _, alike in groupby(pieces, key=lambda p: (p.role, round(p.finished_m / SAME_LENGTH_M), p.what)))
    return tuple(replace(alike[0], count=len(alike)) for alike in groups)


def _spares(built: Built, pieces: tuple[Piece, ...]) -> tuple[float, ...]:
    cut = cut_lengths(built)
    uncut = at_lengths(built, cut)
    longer = pieces_of(uncut.structure.wires, uncut.port, uncut.all_loads) if uncut else ()
    return spares_m(pieces, longer, most_share(cut, built.content["values"]))


def _cut(piece: Piece, spare_m: float) -> Cut:
    start, end = piece.ties_m
    what = f"{plain_wire(_TWIN.sub('', piece.wire))}: {piece.ends[0]} to {piece.ends[1]}"
    return Cut(count=1, what=what, role=piece.role, finished_m=piece.finished_m, start_m=start, end_m=end, spare_m=spare_m)
