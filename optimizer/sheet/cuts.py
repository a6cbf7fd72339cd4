"""The cut list: every piece of wire between joints, how long to cut it, and where to mark it.

Pieces and what they are cut longer by: `families.pieces`. Marks are counted from the cut's first end.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import groupby

from ..families.pieces import Piece, pieces_of
from .built import Built
from .plain_words import plain_wire
from .readings import spare_share

SAME_LENGTH_M = 0.005
_TWIN = re.compile(r"( \d+| [ab])$")  # wires alike are numbered or lettered: "radial 3", "20m b"


@dataclass(frozen=True, kw_only=True)
class Cut:
    """`count` pieces alike. `spare_m`: left over for trimming, folded back; `start_m`: from the cut to the first mark."""

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
    share = spare_share(built)
    pieces = [_cut(p, share) for p in pieces_of(built.wires, built.port, built.all_loads)]
    pieces.sort(key=lambda p: (p.role, -round(p.finished_m / SAME_LENGTH_M), p.what))
    groups = groupby(pieces, key=lambda p: (p.role, round(p.finished_m / SAME_LENGTH_M), p.what))
    found = []
    for _, alike in groups:
        alike = list(alike)
        found.append(Cut(**{**{k: getattr(alike[0], k) for k in Cut.__dataclass_fields__}, "count": len(alike)}))
    return tuple(found)


def _cut(piece: Piece, share: float) -> Cut:
    start, end = piece.ties_m
    what = f"{plain_wire(_TWIN.sub('', piece.wire))}: {piece.ends[0]} to {piece.ends[1]}"
    return Cut(count=1, what=what, role=piece.role, finished_m=piece.finished_m, start_m=start, end_m=end, spare_m=piece.spare_m(share))
