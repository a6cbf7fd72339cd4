"""What hangs between holds: legs with their end cords, folded where room runs out, and counterpoises.

Every method raises `NoPlace` with the limit's name and what is missing. Common practice, no source: the insulator and cord of an end take 0.4 m.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..site.model import Anchor
from ..wires.model import Point3
from .family import NoPlace
from .outline import BEARINGS_DEG, BINS, along, bearing_deg, direction
from .placement import OUT_OF_REACH_M
from .planner import run_m
from .standing import POST_MAX_M, TIE_M, Standing, raised_m

BEND_IN_M = 0.5  # a bend's post stands this far inside
FOLD_LEAST_M = 0.4  # a fold shorter than this is none
FOLD_SHARE = 0.4  # at most this share of a leg is folded
STAKE_RUN_M = 4.0  # longest cord, in plan, down to a stake


@dataclass(frozen=True)
class Leg:
    """Wire points, holding points and lengths between holds, all after the leg's start."""

    points: tuple[Point3, ...]
    holds: tuple[Point3, ...]
    lengths: tuple[float, ...]
    tied: str  # stake, post or the name of a place
    bent: bool = False

    @property
    def end_m(self) -> float:
        return self.points[-1][2]

    @property
    def reachable(self) -> bool:
        """Can its end be let down from the ground?"""
        return self.tied in ("stake", "post") or self.holds[-1][2] <= POST_MAX_M


def nearest_open(wanted_deg: float, open_bins) -> float | None:
    """`wanted_deg` where it is open, else the middle of the nearest open bin; None if all are closed."""
    if open_bins[int(wanted_deg * BINS / 360.0) % BINS]:
        return wanted_deg % 360.0
    found = BEARINGS_DEG[open_bins]
    if not len(found):
        return None
    off = (found - wanted_deg + 180.0) % 360.0 - 180.0
    return float(found[np.argmin(np.abs(off) - 1e-6 * (off > 0))])  # of two as near, the clockwise one


def angle_deg(a, corner, b) -> float:
    """Angle at `corner` between the lines to a and b, in space."""
    u = [p - q for p, q in zip(a, corner)]
    v = [p - q for p, q in zip(b, corner)]
    cos = sum(p * q for p, q in zip(u, v)) / (math.hypot(*u) * math.hypot(*v))
    return math.degrees(math.acos(max(-1.0, min(1.0, cos))))


def step(start: Point3, end: Point3, distance_m: float) -> Point3:
    """The point `distance_m` from `start` towards `end`."""
    t = distance_m / math.dist(start, end)
    return tuple(a + t * (b - a) for a, b in zip(start, end))


class Hanging(Standing):
    """Legs on what stands."""

    def missing(self, start: Point3, nominal_m: float, end_m: float, cord_m: float, blunt: float = 1.0) -> np.ndarray:
        """What a leg lacks along every bearing, (BINS,) [m]; not above zero: it probably fits, folded at need.

        Counts the room for the run (less what may be folded), the run that keeps the apex blunt (`blunt` times the drop), free ground for
        the post, and houses and crowns below the wire.
        """
        drop = abs(start[2] - end_m)
        run = math.sqrt(max(nominal_m * nominal_m - drop * drop, 0.0))
        least = max(run * (1.0 - FOLD_SHARE) + BEND_IN_M, blunt * drop)
        line = math.sqrt(max((nominal_m + cord_m) ** 2 - drop * drop, 0.01))
        return self.plot.obstacles.leg_missing(start, end_m, least, line, self.holds)

    def leg(self, start: Point3, bearing: float, length: float, end_m: float, *, nominal_m=None, cord_m=TIE_M) -> Leg:
        """A leg from `start` straight to a hold at `end_m`, a cord of about `cord_m` between wire and hold.

        The hold's place hangs on the nominal length; where room runs out the cord is shortened, and then the wire's
        end is folded along the lot's edge.
        """
        if end_m < OUT_OF_REACH_M - 1e-9:
            raise NoPlace("end height", OUT_OF_REACH_M - end_m)
        drop = start[2] - end_m
        room, edge = self.plot.lot.room(start, *direction(bearing))
        longest, shortest = math.hypot(room - 0.05, drop), length + TIE_M
        if shortest > longest:
            return self._folded(start, bearing, length, end_m, room, edge)
        wanted = min(max((nominal_m or length) + cord_m, shortest), longest)
        for share in (1.0, 0.5, 0.0):
            line = shortest + share * (wanted - shortest)
            run = run_m(line, drop)
            if self.plot.free(along(start, bearing, run)):
                break
        hold = (*along(start, bearing, run), end_m)
        end = step(start, hold, length)
        hold, tied = self._tie_off(end, hold, bearing, room - run)
        return Leg((end,), (hold,), (math.dist(start, hold),), tied)

    def _folded(self, start, bearing, length, end_m, room, edge) -> Leg:
        drop = start[2] - end_m
        first = min(math.hypot(room - BEND_IN_M, drop), length - FOLD_LEAST_M)
        rest, first_run = length - first, math.sqrt(max(first * first - drop * drop, 0.0))
        if room <= BEND_IN_M or first_run <= 0.3 or rest > FOLD_SHARE * length:
            least = math.sqrt(max(((1.0 - FOLD_SHARE) * length) ** 2 - drop * drop, 0.3**2)) + BEND_IN_M
            raise NoPlace("lot", max(least - room, 1e-3), "the leg does not fit, folded or not")
        bend = (*along(start, bearing, first_run), end_m)
        x1, y1, x2, y2 = self.plot.lot.array[edge]
        with_edge = bearing_deg((x1, y1), (x2, y2))
        short = []
        turns = [(w - bearing + 180.0) % 360.0 - 180.0 for w in (with_edge, with_edge + 180.0)]
        for turn in (*sorted(turns, key=abs), *self._roomy(bend, bearing, (75.0, 95.0, 115.0))):
            side = bearing + turn
            if abs(turn) > 120.0:
                continue
            tie = along(bend, side, rest + TIE_M)
            short.append(max(rest + TIE_M + 0.05 - self.plot.room_m(bend, side), self.plot.unfree_m(tie)))
            if short[-1] <= 0:
                return self._fold(bend, side, first, rest, end_m, tie)
        raise NoPlace("lot", min(short), "no room to fold the leg's end")

    def _roomy(self, at, bearing, turns):
        """Every turn to both sides, the roomier side first."""
        for turn in turns:
            yield from sorted((turn, -turn), key=lambda t: -self.plot.room_m(at, bearing + t))

    def _fold(self, bend, side, first, rest, end_m, tie) -> Leg:
        post = self.stand(bend[:2], end_m, "post at the bend")
        end = (*along(bend, side, rest), end_m)
        self.buy("insulator_end", "bend")
        hold, tied = self._tie_off(end, (*tie, end_m), side, 0.0)
        return Leg((bend, end), (post, hold), (first, math.dist(bend, hold)), tied, bent=True)

    def _tie_off(self, end, hold, bearing, left) -> tuple[Point3, str]:
        """Cord beyond a wire's end: in line with it down to a stake, else to a post at `hold`."""
        fall = (end[2] - hold[2]) / max(math.dist(end[:2], hold[:2]), 1e-9)
        down = hold[2] / fall if fall > 1e-6 else math.inf
        stake = along(hold, bearing, down) if down <= min(STAKE_RUN_M, left - 0.05) else None
        self.buy("insulator_end", "wire end")
        if stake is not None and self.plot.free(stake):
            hold, tied = (*stake, 0.0), "stake"
            self.anchors.append(Anchor(at_m=stake, kind="stake"))
            self.buy("stake_end", "wire end")
        else:
            self.stand(hold[:2], hold[2], "post at the wire end")
            tied = "post"
        self.cords.append((end, hold))
        self.buy("cord_2mm", "wire end", math.dist(end, hold) + (hold[2] + 1.0 if tied == "post" else 1.0))
        return hold, tied

    def leg_to(self, start: Point3, hold: Point3, length: float, name: str) -> Leg:
        """A straight leg towards a hold already made; a cord takes what the wire leaves over."""
        distance = math.dist(start, hold)
        if length + TIE_M > distance:
            raise NoPlace("wire length", length + TIE_M - distance, f"{name} is nearer than the wire is long")
        end = step(start, hold, length)
        if end[2] < OUT_OF_REACH_M - 1e-9:
            raise NoPlace("end height", OUT_OF_REACH_M - end[2])
        self.cords.append((end, hold))
        self.buy("insulator_end", "wire end")
        self.buy("cord_2mm", "wire end", distance - length + hold[2] + 1.0)
        return Leg((end,), (hold,), (distance,), name)

    def counterpoise(self, feed: Point3, length: float, away_from: float) -> tuple[Point3, Point3]:
        """A wire from the feed's cold side, off the bearing `away_from`, to a post, out of reach all along."""
        exempt, shortest = [feed[:2]], math.inf
        far_m = raised_m(length)
        drop = feed[2] - far_m
        cord = max(TIE_M, 1.25 * drop - length)
        run = math.sqrt((length + cord) ** 2 - drop * drop)
        for off in (0.0, *self._roomy(feed, away_from + 180.0, (30.0, 60.0, 90.0, 120.0))):
            bearing = away_from + 180.0 + off
            room = self.plot.room_m(feed, bearing)
            hold = (*along(feed, bearing, run), far_m)
            met = self.plot.obstacles.clash((feed, hold), exempt)
            short = max(run + 0.1 - room, self.plot.unfree_m(hold), met[2] if met else 0.0)
            if short <= 0:
                leg = self.leg(feed, bearing, length, far_m, cord_m=cord)
                self.span(feed, [leg])
                return feed, leg.points[0]
            shortest = min(shortest, short)
        raise NoPlace("counterpoise room", shortest, f"{length:.1f} m of counterpoise find no way out")
