"""The cut list: every piece of wire between joints, how long to cut it, and where to mark it.

A piece ends at a free end, a feed, a coil, trap, capacitor or link. Cut = finished length x trim allowance + what turns
back at an insulator or goes through a joint (common practice, no source). Marks are counted from the cut's first end.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from itertools import groupby, pairwise

from ..families.common import COUNTERPOISE_WIRE, END_TURN_M, WIRE
from .built import Built, kind_of
from .readings import spare_share

JOINT_M = 0.06  # through a strain relief and round a terminal
SAME_LENGTH_M = 0.005
EPS_M = 1e-3
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
    pieces = [piece for wire in built.wires if wire.role != "line" for piece in _pieces(built, wire)]
    pieces.sort(key=lambda p: (p.role, -round(p.finished_m / SAME_LENGTH_M), p.what))
    groups = groupby(pieces, key=lambda p: (p.role, round(p.finished_m / SAME_LENGTH_M), p.what))
    found = []
    for _, alike in groups:
        alike = list(alike)
        found.append(Cut(**{**{k: getattr(alike[0], k) for k in Cut.__dataclass_fields__}, "count": len(alike)}))
    return tuple(found)


def _pieces(built: Built, wire):
    stops = {0.0: _end_word(built, wire, 0), wire.length_m: _end_word(built, wire, -1)}
    inside = [(v.at_m, kind_of(v.element)) for v in built.all_loads if v.wire == wire.name]
    inside += [(built.port.at_m, "feed")] if built.port.wire == wire.name else []
    for at, word in inside:
        near = next((s for s in stops if abs(s - at) < EPS_M), at)
        stops[near] = word
    trimmed = wire.role != "counterpoise"
    for a, b in pairwise(sorted(stops)):
        words = sorted((stops[a], stops[b]), key=lambda w: (w == "insulator", w != "feed"))
        yield Cut(
            count=1, what=f"{_TWIN.sub('', wire.name)}: {words[0]} to {words[1]}", role=wire.role, finished_m=b - a,
            start_m=_turned_m(words[0]), end_m=_turned_m(words[1]), spare_m=spare_share(built) * (b - a) if trimmed else 0.0,
        )  # fmt: skip


def _end_word(built: Built, wire, index: int) -> str:
    point = wire.points_m[index]
    if math.dist(point, built.feed_at) < 0.01:
        return "feed"
    return "insulator" if point in built.free_ends() else "joint"


def _turned_m(word: str) -> float:
    return END_TURN_M if word == "insulator" else JOINT_M


def short_of_wire(built: Built, cuts) -> tuple[tuple[str, float, float], ...]:
    """(item, needed, bought) where the bill buys less wire than the cut list takes."""
    found = []
    for role, key in (("radiator", WIRE), ("counterpoise", COUNTERPOISE_WIRE)):
        need = sum(c.count * c.cut_m for c in cuts if c.role == role)
        rows = [p for p in built.content["parts"] if p.get("part") == key]
        have = sum(p["quantity"] for p in rows)
        if rows and need > have:
            found.append((rows[0]["item"], need, have))
    return tuple(found)
