"""Hanging a wire: masts with guys, posts, legs with their end cords, feed points; collects a design's structure.

A `Rig` is filled by a family's `build` and then closed by `structure`. Straight spans. Every method raises
`NoPlace` with the limit's name the moment something cannot stand. Common practice, no source, unless said:
a post to 3.5 m stands in the ground without guys; a mast takes three guys at 0.65 of its height, at a radius
of 0.2 to 0.5 of it; the insulator and cord of an end take 0.4 m; no apex sharper than a right angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from ..parts.loads import SAG_SHARE
from ..site.model import Anchor, Mast, Site, Span, Structure
from ..wires.model import Point3
from .family import NoPlace
from .outline import BEARINGS_DEG, BINS, DIRECTIONS, along, bearing_deg, direction
from .placement import EXEMPT_M, GUY_SHARE, OUT_OF_REACH_M, plot_of
from .planner import run_m
from .sag import LONGER

POST_MAX_M = 3.5
END_M = 3.0
GUYED_FROM_M = 4.0
TIE_M = 0.4  # end insulator and cord
BEND_IN_M = 0.5  # a bend's post stands this far inside
FOLD_LEAST_M = 0.4  # a fold shorter than this is none
FOLD_SHARE = 0.4  # at most this share of a leg is folded
STAKE_RUN_M = 4.0  # longest cord, in plan, down to a stake
FEED_MIN_M = 2.6
APEX_MIN_DEG = 90.0
CROSS_GAP_M = 0.3


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


def raised_m(length_m: float) -> float:
    """Height at which a level wire of that length must be held so that its sag stays out of reach."""
    return OUT_OF_REACH_M + 0.05 + SAG_SHARE * (length_m + 2 * TIE_M)


def nearest_open(wanted_deg: float, open_bins) -> float | None:
    """`wanted_deg` where it is open, else the middle of the nearest open bin; None if all are closed."""
    if open_bins[int(wanted_deg * BINS / 360.0) % BINS]:
        return wanted_deg % 360.0
    found = BEARINGS_DEG[open_bins]
    if not len(found):
        return None
    off = (found - wanted_deg + 180.0) % 360.0 - 180.0
    return float(found[np.argmin(np.abs(off) - 1e-6 * (off > 0))])  # of two as near, the clockwise one


def hung_span(holds, straight_m) -> Span:
    """A span of those straight lengths between its holds, with the slack of its sag."""
    lengths = tuple(m + LONGER * math.dist(a[:2], b[:2]) for m, a, b in zip(straight_m, holds, holds[1:]))
    return Span(holds_m=tuple(holds), lengths_m=lengths)


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


def _cross(a, b, c, d) -> float | None:
    """Vertical gap where segments a-b and c-d cross in plan; None where they do not."""
    rx, ry, sx, sy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    det = rx * sy - ry * sx
    if abs(det) < 1e-12:
        return None
    qx, qy = c[0] - a[0], c[1] - a[1]
    t, u = (qx * sy - qy * sx) / det, (qx * ry - qy * rx) / det
    if not (0.0 <= t <= 1.0 and 0.0 <= u <= 1.0):
        return None
    if min(t, 1.0 - t) < 1e-6 and min(u, 1.0 - u) < 1e-6:
        return None  # one end straight above the other
    return abs(a[2] + t * (b[2] - a[2]) - c[2] - u * (d[2] - c[2]))


@dataclass
class Rig:
    """What hangs and stands so far."""

    site: Site
    wishes: object
    masts: list = field(default_factory=list)
    anchors: list = field(default_factory=list)
    cords: list = field(default_factory=list)
    spans: list = field(default_factory=list)
    lines: list = field(default_factory=list)  # holding points of what sags between them
    holds: list = field(default_factory=list)
    parts: dict = field(default_factory=dict)  # (part, use) -> quantity
    settled: dict = field(default_factory=dict)  # values as they were settled on this lot (height, bearing)

    def __post_init__(self):
        self.plot = plot_of(self.site)

    @property
    def mast_limit_m(self) -> float:
        wished = self.wishes.mast_limit_m
        return self.site.height_limit_m if wished is None else min(wished, self.site.height_limit_m)

    @property
    def end_m(self) -> float:
        """Height of a tied-off end: out of reach, and what a thin post carries."""
        return min(END_M, max(2.6, self.mast_limit_m))

    def buy(self, part: str, use: str, quantity: float = 1.0) -> None:
        self.parts[part, use] = self.parts.get((part, use), 0.0) + quantity

    # --- what stands -----------------------------------------------------------------------------------------

    def stand(self, at, height_m: float, use: str) -> Point3:
        """A post (counted as an anchor that is an end) or a guyed mast on free ground; its top."""
        if height_m > self.mast_limit_m + 1e-9:
            raise NoPlace("mast height", height_m - self.mast_limit_m, f"{use}: {height_m:.1f} m")
        if not self.plot.free(at):
            raise NoPlace("free ground", 0.1, f"{use}: no mast or post can stand there")
        for line, path in self.plot.power_lines:
            short = height_m + line.clearance_m - _distance_m(at, path)
            if short > 0:
                raise NoPlace("overhead line", short, f"{use}: falls within reach of {line.name}")
        if height_m <= POST_MAX_M and use != "mast":
            self.anchors.append(Anchor(at_m=at, kind="end", height_m=height_m))
            self.buy("post_timber", use, height_m + 0.6)
        else:
            self.masts.append(Mast(at_m=at, height_m=height_m))
            self._mast_parts(at, height_m, use)
        return (*at, height_m)

    def _mast_parts(self, at, height_m, use):
        from ..parts.catalogue import mast_for

        self.buy(mast_for(height_m), use)
        self.buy("ground_sleeve", use)
        self.buy("top_guide", use)
        if height_m > GUYED_FROM_M:
            self._guy(at, height_m, use)

    def _guy(self, at, height_m, use):
        """Three guys, turned to where there is most room."""
        thirds = self.plot.guy_rooms(at)
        best = int(np.argmax(thirds))
        radius = min(0.5 * height_m, float(thirds[best]) - 0.1)
        if radius < GUY_SHARE * height_m:
            raise NoPlace("guy room", GUY_SHARE * height_m - radius, f"{use}: guys of {height_m:.1f} m do not fit")
        attach = (*at, 0.65 * height_m)
        for third in range(3):
            foot = along(at, float(BEARINGS_DEG[best + third * BINS // 3]), radius)
            self.anchors.append(Anchor(at_m=foot, kind="guy"))
            self.cords.append((attach, (*foot, 0.0)))
            self.buy("guy_cord_3mm", "guys", math.dist(attach, (*foot, 0.0)) + 0.6)
        self.buy("guy_ring", use)
        self.buy("stake_guy", "guys", 3)
        self.buy("tensioner", "guys", 3)

    def top(self, where: str, at, height_m: float, use: str) -> Point3:
        """Top of a mast at `at`, or of the place called `where` (then not above it), ready for a wire."""
        place = next((p for p in self.plot.places if p.name == where), None)
        if place is None:
            return self.stand(at, height_m, use)
        return self.at_place(place, min(height_m, place.height_m))

    def at_place(self, place, height_m: float | None = None) -> Point3:
        """A hold on a support or tree."""
        height = place.height_m if height_m is None else height_m
        if height < OUT_OF_REACH_M:
            raise NoPlace("end height", OUT_OF_REACH_M - height, f"{place.name} is too low")
        self.holds.append(place.at_m)
        self.anchors.append(Anchor(at_m=place.at_m, kind="end", height_m=height))
        self.buy("tree_fixing" if place.kind == "tree" else "top_guide", f"at {place.name}")
        return (*place.at_m, height)

    def radio_wall(self) -> Point3:
        """Feed point on the wall where the line leaves the house, out of reach."""
        radio = self.site.radio
        if radio is None or not self.plot.lot.holds(radio.at_m):
            raise NoPlace("feed point", 0.1, "no radio entry inside the lot")
        height = max(radio.height_m, FEED_MIN_M)
        if height > self.site.height_limit_m:
            raise NoPlace("height limit", height - self.site.height_limit_m, "feed point")
        self.holds.append(radio.at_m)
        self.anchors.append(Anchor(at_m=radio.at_m, kind="end", height_m=height))
        self.buy("house_bracket", "feed point")
        return (*radio.at_m, height)

    # --- what hangs ------------------------------------------------------------------------------------------

    def missing(self, start: Point3, nominal_m: float, end_m: float, cord_m: float, blunt: float = 1.0) -> np.ndarray:
        """What a leg lacks along every bearing, (BINS,) [m]; not above zero: it probably fits, folded at need.

        Counts the room for the run (less what may be folded), the run that keeps the apex blunt (`blunt` times the
        drop), and, as 0.3 m, free ground for the post and houses below the wire.
        """
        rooms = self.plot.lot.rooms(start) - 0.05
        drop = abs(start[2] - end_m)
        run = math.sqrt(max(nominal_m * nominal_m - drop * drop, 0.0))
        out = max(run * (1.0 - FOLD_SHARE) + BEND_IN_M, blunt * drop) - rooms
        full = np.minimum(rooms, math.sqrt(max((nominal_m + cord_m) ** 2 - drop * drop, 0.01)))
        base = np.array(start[:2])
        if self.plot.blocked.edges:
            out[self.plot.blocked.hold_mask(base + DIRECTIONS * full[:, None]) & (out < 0.3)] = 0.3
        for outline, top, _ in (*self.plot.houses, *self.plot.crowns_clear_of(self.holds)):
            if math.dist(start[:2], outline.middle) > outline.radius_m + float(full.max()):
                continue
            shares = np.array([t for t in (0.35, 0.7, 1.0) if start[2] + t * (end_m - start[2]) < top])
            if len(shares):
                runs = shares[:, None] * full
                over = outline.hold_mask((base + DIRECTIONS * runs[..., None]).reshape(-1, 2)).reshape(runs.shape)
                out[(over & (runs > EXEMPT_M)).any(axis=0) & (out < 0.3)] = 0.3
        return out

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
            raise NoPlace("lot", max(rest - FOLD_SHARE * length, 0.01), "the leg does not fit, folded or not")
        bend = (*along(start, bearing, first_run), end_m)
        x1, y1, x2, y2 = self.plot.lot.edges[edge]
        with_edge = bearing_deg((x1, y1), (x2, y2))
        turns = [(w - bearing + 180.0) % 360.0 - 180.0 for w in (with_edge, with_edge + 180.0)]
        for turn in (*sorted(turns, key=abs), *self._roomy(bend, bearing, (75.0, 95.0, 115.0))):
            side = bearing + turn
            if abs(turn) <= 120.0 and rest + TIE_M + 0.05 <= self.plot.room_m(bend, side):
                tie = along(bend, side, rest + TIE_M)
                if self.plot.free(tie):
                    return self._fold(bend, side, first, rest, end_m, tie)
        raise NoPlace("lot", rest, "no room to fold the leg's end")

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
            if run + 0.1 <= room and self.plot.free(hold) and not self.plot.clash((feed, hold), exempt):
                leg = self.leg(feed, bearing, length, far_m, cord_m=cord)
                self.span(feed, [leg])
                return feed, leg.points[0]
            shortest = min(shortest, run + 0.1 - room)
        raise NoPlace("counterpoise room", max(shortest, 0.1), f"{length:.1f} m of counterpoise find no way out")

    def span(self, start: Point3, legs_forward) -> None:
        """One hung run from a held start through a leg's holds."""
        holds, lengths = [start], []
        for leg in legs_forward:
            holds += leg.holds
            lengths += leg.lengths
        self.lines.append(tuple(holds))
        self.spans.append(hung_span(holds, lengths))

    def double_span(self, back: Leg, middle: Point3, forward: Leg, starts) -> None:
        """One hung run: the end of `back`, the hold in the middle, the end of `forward`; the legs begin at `starts`."""
        legs = tuple(zip((back, forward), starts))
        self.lines += [(start, *leg.holds) for leg, start in legs]
        lengths = [[leg.lengths[0] + math.dist(middle, start), *leg.lengths[1:]] for leg, start in legs]
        self.spans.append(hung_span((*reversed(back.holds), middle, *forward.holds), (*reversed(lengths[0]), *lengths[1])))

    def follow(self, wires, hung, sag) -> None:
        """Cords go to the wires' ends where they hang."""
        now = {w.points_m[n]: h.points_m[n] for w, h in zip(wires, hung) for n in (0, -1)}
        self.cords = [tuple(now.get(p) or sag.lowered(p) for p in cord) for cord in self.cords]

    # --- judging ---------------------------------------------------------------------------------------------

    def blunt_height(self, wanted_m: float, least_m: float, room_to_spare) -> float:
        """The highest apex up to `wanted_m` whose angle is not sharper than 90 degrees.

        `room_to_spare(height)` is not negative where r1 r2 cos(turn) >= d1 d2: runs and drops of the two sides.
        """
        height = wanted_m
        while height >= least_m - 1e-9:
            if room_to_spare(height) >= 0:
                return height
            height -= 0.2
        raise NoPlace("apex angle", 5.0, "the wire is too short for a support that high: its apex would be sharp")

    def apex_ok(self, before, apex, after) -> None:
        sharp = APEX_MIN_DEG - angle_deg(before, apex, after)
        if sharp > 1e-6:
            raise NoPlace("apex angle", sharp, f"apex {sharp:.0f} degrees sharper than a right angle")

    def check(self, wires) -> None:
        """Lot, height, houses, crossings: the quick version of what `clearance` judges at length."""
        lot, limit = self.plot.lot, self.site.height_limit_m
        pieces = []
        for wire in wires:
            low = OUT_OF_REACH_M - min(p[2] for p in wire.points_m)
            if 1e-6 < low < OUT_OF_REACH_M - 1.0:  # what lies close to the soil is meant to
                raise NoPlace("end height", low, f"{wire.name} sags into reach")
            high = max(p[2] for p in wire.points_m) - limit
            if high > 1e-9:
                raise NoPlace("height limit", high, wire.name)
            pieces += [(wire.name, a, b) for a, b in pairwise(wire.points_m)]
        for name, a, b in [*pieces, *(("cord", a, b) for a, b in self.cords)]:
            run = math.hypot(b[0] - a[0], b[1] - a[1])
            if run > 1e-9:
                out = run - lot.room(a, (b[0] - a[0]) / run, (b[1] - a[1]) / run)[0]
                if out > 1e-6:
                    raise NoPlace("lot", out, name)
        for wire in wires:
            found = self.plot.clash(wire.points_m, self.holds)
            if found:
                raise NoPlace(found[0], found[2], f"{wire.name} at {found[1]}")
        for cord in self.cords if self.plot.no_wire else ():
            found = self.plot.clash(cord, cords_only=True)
            if found:
                raise NoPlace(found[0], found[2], f"cord at {found[1]}")
        for i, (name, a, b) in enumerate(pieces):
            for other, c, d in pieces[i + 1 :]:
                gap = None if b == c or a == c or b == d or a == d else _cross(a, b, c, d)
                if gap is not None and gap < CROSS_GAP_M:
                    raise NoPlace("crossing", CROSS_GAP_M - gap, f"{name} and {other}")

    def structure(self, wires) -> Structure:
        """The finished structure, checked."""
        self.check([w for w in wires if w.role != "line"])
        return Structure(
            wires=tuple(wires), masts=tuple(self.masts), anchors=tuple(self.anchors), cords_m=tuple(self.cords),
            spans=tuple(self.spans), holds_at_m=tuple(self.holds), lines_m=tuple(self.lines),
        )  # fmt: skip


def _distance_m(point, path) -> float:
    """Least distance in plan from a point to a polyline."""
    best = math.inf
    for (x1, y1), (x2, y2) in pairwise(path):
        ex, ey = x2 - x1, y2 - y1
        square = ex * ex + ey * ey
        t = max(0.0, min(1.0, ((point[0] - x1) * ex + (point[1] - y1) * ey) / square)) if square else 0.0
        best = min(best, math.hypot(point[0] - x1 - t * ex, point[1] - y1 - t * ey))
    return best
