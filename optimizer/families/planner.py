"""Space planner: what a wire over one support takes up, in closed form. No search, no lot.

A wire of `length_m` passes a support of height `apex_m`; `first_share` of it lies on one side. Straight
spans, lengths in metres, angles in degrees. Triangles only; sag is `with_sag`.

Source: plane trigonometry; parabola of a light cord, dip = w l^2 / (8 T).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..errors import FaultList
from ..parts.loads import SAG_SHARE
from .family import OUT_OF_REACH_M, NoPlace


@dataclass(frozen=True, kw_only=True)
class Room:
    """What a two-legged wire takes: plan run and end height of either leg, span, apex angle."""

    runs_m: tuple[float, float]
    ends_m: tuple[float, float]
    span_m: float
    apex_deg: float
    left_m: float = math.inf
    wire_m: float = math.nan
    drops_m: tuple[float, float] = (math.nan, math.nan)

    def numbers(self) -> dict:
        """As a plain record; `left_m` is None where no room was given."""
        left = self.left_m if math.isfinite(self.left_m) else None
        return {
            "wire_m": self.wire_m, "span_m": self.span_m, "apex_deg": self.apex_deg, "runs_m": list(self.runs_m),
            "ends_m": list(self.ends_m), "sag_m": [SAG_SHARE * r for r in self.runs_m], "left_m": left,
        }  # fmt: skip


def run_m(length_m: float, drop_m: float) -> float:
    """Plan run of a straight wire between two heights [m]; NoPlace where it cannot reach."""
    if length_m <= abs(drop_m):
        raise NoPlace("wire length", abs(drop_m) - length_m, "the wire is shorter than its difference in height")
    return math.sqrt(length_m * length_m - drop_m * drop_m)


def vee_from_apex_angle(*, leg_m: float, apex_m: float, apex_deg: float) -> Room:
    """Equal legs at a given angle between them."""
    half = math.radians(apex_deg) / 2
    run, end = leg_m * math.sin(half), apex_m - leg_m * math.cos(half)
    return Room(runs_m=(run, run), ends_m=(end, end), span_m=2 * run, apex_deg=apex_deg)


def vee_from_span(*, leg_m: float, apex_m: float, span_m: float) -> Room:
    """Equal legs whose ends are `span_m` apart in plan."""
    if not 0 < span_m <= 2 * leg_m:
        raise NoPlace("wire length", span_m - 2 * leg_m, "the legs are shorter than half the span")
    half = math.asin(span_m / (2 * leg_m))
    return vee_from_apex_angle(leg_m=leg_m, apex_m=apex_m, apex_deg=2 * math.degrees(half))


def over_support(
    *, length_m: float, apex_m: float, first_share: float = 0.5, ends_m=(2.5, 2.5), turn_deg: float = 0.0, available_m=math.inf
) -> Room:
    """A wire over one support, the two ends at given heights, its legs `turn_deg` off a straight line in plan.

    `left_m` is the span still free of `available_m` (negative: too long).
    """
    legs = (first_share * length_m, (1 - first_share) * length_m)
    drops = tuple(apex_m - e for e in ends_m)
    runs = tuple(run_m(leg, drop) for leg, drop in zip(legs, drops))
    across = math.cos(math.radians(180.0 - turn_deg))
    span = math.sqrt(runs[0] ** 2 + runs[1] ** 2 - 2 * runs[0] * runs[1] * across)
    cos_apex = (runs[0] * runs[1] * across + drops[0] * drops[1]) / (legs[0] * legs[1])
    return Room(
        runs_m=runs,
        ends_m=tuple(ends_m),
        span_m=span,
        apex_deg=math.degrees(math.acos(max(-1.0, min(1.0, cos_apex)))),
        left_m=available_m - span,
        wire_m=length_m,
        drops_m=drops,
    )


def longest_over_support(*, available_m: float, apex_m: float, first_share: float = 0.5, ends_m=(2.5, 2.5)) -> float:
    """Longest wire over one support whose straight span is `available_m`: the reverse of `over_support` [m].

    The span grows steadily with the length, so a bisection on it is exact to a tenth of a millimetre.
    """
    drops = [abs(apex_m - e) for e in ends_m]
    low = max(drops[0] / first_share, drops[1] / (1 - first_share)) + 1e-9
    high = low + 2 * (available_m + sum(drops)) / min(first_share, 1 - first_share)

    def span(length):
        return over_support(length_m=length, apex_m=apex_m, first_share=first_share, ends_m=ends_m).span_m

    if span(low) > available_m:
        raise NoPlace("lot", span(low) - available_m, "no wire over this support is that narrow")
    while high - low > 1e-4:
        mid = 0.5 * (low + high)
        low, high = (mid, high) if span(mid) <= available_m else (low, mid)
    return low


def longest_above_right_angle(*, available_m: float, apex_m: float, ends_m=(2.5, 2.5)) -> float:
    """Length of the equal-legged wire in `available_m` [m], or NoPlace when its apex is sharper than 90 degrees."""
    length = longest_over_support(available_m=available_m, apex_m=apex_m, ends_m=ends_m)
    sharp = 90.0 - over_support(length_m=length, apex_m=apex_m, ends_m=ends_m).apex_deg
    if sharp > 1e-6:
        raise NoPlace("apex angle", sharp, f"{sharp:.0f} degrees sharper than a right angle")
    return length


def planned(*, wire_m, mast_m, first_share, ends_m, turn_deg=0.0, room_m=None) -> Room:
    """The room a wire takes, or without `wire_m` the longest wire for `room_m` (legs in one line).

    Raises InputError with every fault, NoPlace where the wire cannot hang so.
    """
    _check(wire_m, mast_m, first_share, ends_m, turn_deg, room_m)
    if wire_m is None:
        wire_m = longest_over_support(available_m=room_m, apex_m=mast_m, first_share=first_share, ends_m=ends_m)
    available = math.inf if room_m is None else room_m
    return over_support(
        length_m=wire_m, apex_m=mast_m, first_share=first_share, ends_m=ends_m, turn_deg=turn_deg, available_m=available
    )


def _check(wire_m, mast_m, first_share, ends_m, turn_deg, room_m):
    faults = FaultList("option")
    for name, value in (("--wire-m", wire_m), ("--mast-m", mast_m), ("--room-m", room_m), ("--ends-m", ends_m[0]), ("--far-end-m", ends_m[1])):
        if value is not None and not 0 < value < 1000:
            faults.add(name, value, "metres above 0, below 1000")
    if not 0.02 <= first_share <= 0.98:
        faults.add("--first-share", first_share, "0.02 to 0.98", hint="0.5 is the middle")
    if not 0 <= turn_deg <= 170:
        faults.add("--turn-deg", turn_deg, "0 to 170 degrees")
    if wire_m is None and room_m is None:
        faults.add("--wire-m", None, "a length, or --room-m to ask for the longest that fits")
    if wire_m is None and turn_deg:
        faults.add("--turn-deg", turn_deg, "0 where the longest wire is asked for")
    faults.raise_if_any()


def words(room: Room) -> list[str]:
    """The plan for reading, one thing a line."""
    sharp = f", {90 - room.apex_deg:.0f} degrees sharper than a right angle: not the trade's way" if room.apex_deg < 89.95 else ""
    low = [e for e in room.ends_m if e < OUT_OF_REACH_M]
    lines = [
        f"wire {room.wire_m:.2f} m, legs {' and '.join(f'{math.hypot(r, d):.2f}' for r, d in zip(room.runs_m, room.drops_m))} m",
        f"span {room.span_m:.2f} m between the ends, {room.runs_m[0]:.2f} and {room.runs_m[1]:.2f} m from the support",
        f"angle at the support {room.apex_deg:.0f} degrees{sharp}",
        f"ends {room.ends_m[0]:.2f} and {room.ends_m[1]:.2f} m up" + (f": within reach, below {OUT_OF_REACH_M} m" if low else ""),
        f"sag in the middle of the legs about {SAG_SHARE * room.runs_m[0]:.2f} and {SAG_SHARE * room.runs_m[1]:.2f} m",
    ]
    if math.isfinite(room.left_m):
        lines.append(f"room left {room.left_m:.2f} m" if room.left_m >= 0 else f"too long by {-room.left_m:.2f} m")
    return lines


def with_sag(start, end, *, weight_n_per_m: float, tension_n: float, pieces: int = 6):
    """Points of a hung span with its dip w l^2/(8T), `pieces` + 1 of them, (x, y, z) [m]. Small dips only."""
    length = math.dist(start, end)
    dip = weight_n_per_m * length * length / (8 * tension_n)
    points = []
    for i in range(pieces + 1):
        t = i / pieces
        x, y, z = (a + t * (b - a) for a, b in zip(start, end))
        points.append((x, y, z - 4 * dip * t * (1 - t)))
    return tuple(points)
