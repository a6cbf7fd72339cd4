"""Every point to set out on the lot, with a letter, a height, and how to find it with a tape.

Two corners of house or lot and a distance from each fix a point; the plan shows on which side. Pairs of corners are
taken so that the two tapes meet at an angle between 35 and 145 degrees, where a slip of one tape matters little.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations, count

from ..families.outline import bearing_deg
from ..site.model import Point2, Site
from .built import SAME_M, Built

GOOD_ANGLE_DEG = (35.0, 145.0)
POST_KIND = {"guy": "guy stake", "stake": "stake for an end cord", "end": "post"}


@dataclass(frozen=True, kw_only=True)
class Place:
    """A point of the placement. `stands`: there already (a support, tree or wall)."""

    letter: str
    what: str
    at_m: Point2
    height_m: float
    stands: bool = False


@dataclass(frozen=True, kw_only=True)
class Corner:
    """A corner that a tape can be held to."""

    name: str
    at_m: Point2


@dataclass(frozen=True, kw_only=True)
class Tapes:
    """How a place is found: two corners with their distances, and bearing and distance from the first place."""

    place: Place
    corners: tuple[tuple[Corner, float], ...]
    from_letter: str
    bearing_deg: float
    distance_m: float


def places_of(built: Built) -> tuple[Place, ...]:
    """Masts M1.., guy stakes G1.., stakes S1.., posts P1.., supports that stand there H1.., in that order."""
    masts = [Place(letter=f"M{i}", what="mast", at_m=m.at_m, height_m=m.height_m) for i, m in enumerate(built.masts, 1)]
    counts: dict[str, int] = {}
    found = []
    for anchor in built.anchors:
        name = _standing(built.site, anchor.at_m)
        letter = "H" if name else {"guy": "G", "stake": "S"}.get(anchor.kind, "P")
        counts[letter] = counts.get(letter, 0) + 1
        what = name or POST_KIND.get(anchor.kind, anchor.kind)
        found.append(
            Place(letter=f"{letter}{counts[letter]}", what=what, at_m=anchor.at_m, height_m=anchor.height_m, stands=bool(name))
        )
    order = "MHPSG"
    return tuple(masts + sorted(found, key=lambda p: (order.index(p.letter[0]), int(p.letter[1:]))))


def _standing(site: Site, at: Point2) -> str:
    """Name of what stands at that point anyway, empty where nothing does."""
    things = [*site.supports, *site.trees, *([site.radio] if site.radio else [])]
    return next((t.name for t in things if math.dist(t.at_m, at) < SAME_M), "")


def corners_of(site: Site) -> tuple[Corner, ...]:
    """Corners of the houses, then of the lot: by the names they were taped by, others lettered a, b, c ... without those names."""
    rings = [h.footprint.exterior for h in site.buildings] + [site.lot.exterior]
    points: list[Point2] = []
    for ring in rings:
        points += [c[:2] for c in ring.coords[:-1] if all(math.dist(c[:2], p) > 0.3 for p in points)]
    taped = site.tape_report.points_m if site.tape_report else ()
    taken = {name.lower() for name, _ in taped}
    letters = (letter for i in count() if (letter := _letters(i)) not in taken)
    own = [next((name for name, at in taped if math.dist(at, p) < SAME_M), None) for p in points]
    return tuple(Corner(name=name or next(letters), at_m=p) for name, p in zip(own, points))


def _letters(i: int) -> str:
    return ("" if i < 26 else _letters(i // 26 - 1)) + "abcdefghijklmnopqrstuvwxyz"[i % 26]


def tapes_of(built: Built, places) -> tuple[Tapes, ...]:
    """How to find each place, in the order given."""
    corners = corners_of(built.site)
    first = places[0] if places else None
    return tuple(
        Tapes(
            place=p, corners=_two(p.at_m, corners), from_letter=first.letter,
            bearing_deg=bearing_deg(first.at_m, p.at_m) if p is not first else 0.0, distance_m=math.dist(first.at_m, p.at_m),
        )
        for p in places
    )  # fmt: skip


def _two(at: Point2, corners) -> tuple[tuple[Corner, float], ...]:
    """The two corners with the shortest tapes that meet at a good angle; the nearest two where none do."""
    near = sorted(corners, key=lambda c: math.dist(c.at_m, at))[:12]
    good = [pair for pair in combinations(near, 2) if GOOD_ANGLE_DEG[0] <= _angle(at, *pair) <= GOOD_ANGLE_DEG[1]]
    best = min(good or list(combinations(near, 2)), key=lambda pair: sum(math.dist(c.at_m, at) for c in pair))
    return tuple((c, math.dist(c.at_m, at)) for c in best)


def _angle(at: Point2, a: Corner, b: Corner) -> float:
    turn = abs(bearing_deg(at, a.at_m) - bearing_deg(at, b.at_m)) % 360.0
    return min(turn, 360.0 - turn)
