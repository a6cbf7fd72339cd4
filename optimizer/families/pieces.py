"""Pieces of wire: what is cut, between which joints, how long.

A piece ends at a loose end, a feed, a coil, trap, capacitor or link, or where wires meet. It is cut as long as it is finished, longer
by what is there to trim, and by what turns back at an insulator or goes through a joint (common practice, no source). Finished
lengths are those of the conductor along the sagged wire, as it is solved. Counterpoises and radials are not trimmed.

What is there to trim follows from the design with its lengths as first cut (`spares_m`), so that a piece has the spare of its own length,
whatever part of that length it is. Where that design is not known, every piece has the share of the length that needs most.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from typing import NamedTuple

from ..parts.choke import Choke
from ..physics.elements import FixedImpedance
from ..wires.model import JOIN_M, Load, Port, Wire

TRIM_SHARE = 0.03  # cut longer to trim, of the finished length
END_TURN_M = 0.15  # turned back through an insulator
JOINT_M = 0.06  # through a strain relief and round a terminal
EPS_M = 1e-3
OPEN_OHM = 1e5
_ORDER = {"feed": 0, "insulator": 2}  # of a piece's ends, all else between


class Piece(NamedTuple):
    """`ends`: what the piece ends at, the end to begin measuring from first: feed, coil, trap, link, joint ..., insulator."""

    wire: str
    role: str
    ends: tuple[str, str]
    finished_m: float

    @property
    def ties_m(self) -> tuple[float, float]:
        """Wire beyond the finished length at both ends."""
        return _tie_m(self.ends[0]), _tie_m(self.ends[1])

    def share_m(self, share: float = TRIM_SHARE) -> float:
        return 0.0 if self.role == "counterpoise" else share * self.finished_m

    def cut_m(self, spare_m: float) -> float:
        return self.finished_m + spare_m + sum(self.ties_m)


def _tie_m(end: str) -> float:
    return END_TURN_M if end == "insulator" else JOINT_M


def pieces_of(wires: tuple[Wire, ...], port: Port, loads: tuple[Load, ...]) -> tuple[Piece, ...]:
    """All pieces; the outside of the feed line is none."""
    wires = [w for w in wires if w.role != "line"]
    met = Counter(p for w in wires for p in w.points_m)
    inside = {w.name: [] for w in wires}
    for load in loads:
        if load.wire in inside:
            inside[load.wire].append((load.at_m, kind_of(load.element)))
    inside[port.wire].append((port.at_m, "feed"))
    feed = next(w for w in wires if w.name == port.wire).point_at(port.at_m)
    return tuple(piece for wire in wires for piece in _pieces(wire, inside[wire.name], met, feed))


def spares_m(pieces: tuple[Piece, ...], uncut: tuple[Piece, ...], most_share: float) -> tuple[float, ...]:
    """What each piece is cut longer by to trim. `uncut`: the pieces of the design with its lengths as first cut; where it has others than
    these, `most_share` of each."""
    if [(p.wire, p.ends) for p in pieces] != [(p.wire, p.ends) for p in uncut]:
        return tuple(p.share_m(most_share) for p in pieces)
    return tuple(0.0 if p.role == "counterpoise" else max(0.0, long.finished_m - p.finished_m) for p, long in zip(pieces, uncut))


def most_share(cut_m: dict[str, float], finished_m: dict) -> float:
    """What the length that needs most is cut longer by, as a share. Both by parameter."""
    return max((m / finished_m[name] - 1.0 for name, m in cut_m.items()), default=0.0)


def kind_of(element) -> str:
    """The element in a plain word."""
    if is_open_link(element):
        return "link"
    if isinstance(element, Choke):
        return "choke"
    if hasattr(element, "inductance_h"):
        return "trap" if hasattr(element, "capacitance_f") else "coil"
    return "capacitor" if hasattr(element, "capacitance_f") else "load"


def is_open_link(element) -> bool:
    return isinstance(element, FixedImpedance) and abs(complex(element.ohm)) >= OPEN_OHM


def _end(point, met, feed) -> str:
    return "feed" if math.dist(point, feed) < 10 * JOIN_M else "joint" if met[point] > 1 else "insulator"


def _pieces(wire: Wire, inside, met, feed):
    length = wire.length_m
    stops = {0.0: _end(wire.points_m[0], met, feed), length: _end(wire.points_m[-1], met, feed)}
    for at, word in inside:
        stops[next((s for s in stops if abs(s - at) < EPS_M), at)] = word
    if len(stops) > 2 and _round(wire, met):
        del stops[0.0], stops[length]
        first = min(stops)
        stops[length + first] = stops[first]
    for a, b in pairwise(sorted(stops)):
        ends = (stops[b], stops[a]) if _ORDER.get(stops[b], 1) < _ORDER.get(stops[a], 1) else (stops[a], stops[b])
        yield Piece(wire=wire.name, role=wire.role, ends=ends, finished_m=b - a)


def _round(wire: Wire, met) -> bool:
    """Does it close on itself, and on nothing else?"""
    return wire.points_m[0] == wire.points_m[-1] and met[wire.points_m[0]] == 2
