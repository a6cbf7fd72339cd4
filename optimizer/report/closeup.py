"""What part of a lot a plan shows: all of it, or the surroundings of an aerial that takes little of it, with the whole lot small beside them.

Frames are pairs of corners, south-west and north-east, in local metres.
"""

from __future__ import annotations

SMALL = 0.25  # of the whole frame's longer side: an aerial with less has the plan for itself
AROUND_M = 1.5
AROUND_SHARE = 0.1  # of the aerial's longer side


def around(points, room_m: float):
    """The frame of points (x, y) with so much room about them."""
    xs, ys = zip(*points)
    return (min(xs) - room_m, min(ys) - room_m), (max(xs) + room_m, max(ys) + room_m)


def longest(frame) -> float:
    """Its longer side [m]."""
    return max(h - lo for lo, h in zip(*frame))


def close_frame(choices, whole):
    """The frame about the first of several sets of points that is small against the whole; None where none is."""
    for points in choices:
        frame = around(points, AROUND_M + AROUND_SHARE * longest(around(points, 0.0)))
        if longest(frame) < SMALL * longest(whole):
            return frame
    return None
