"""What the SWR at a few frequencies tells of the dip, where only the radio's own can be read.

A narrow dip leaves most of them at the end of the scale, from which nothing can be worked out by straight lines. So where it is wide enough to be met
by one of them, and narrow enough for another to be off it, the readings are turned into a dip with its standard error: over the gardens, each with its dip
moved to wherever the readings are met best. Where all are high no dip was met; then wire is let out or folded back by as much as the segment is wide, longer first,
for what is folded can be let out. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .case import Case
from .evidence import NO_DIP_SWR, POINT_TOP, REFLECTION, reflection
from .log import Reading
from .response import Response

OFF = np.linspace(-0.06, 0.06, 121)  # of the frequency, from where a garden has its dip
LIKELY_OFF = 0.02
CLEAR = 0.01  # standard error of a dip worth being called one
FAINT_SWR = 3.0  # of a dip just beyond the frequencies that were read
DARK = 1.5  # times what the gardens show is no match
TINY = 1e-4


def with_dip(response: Response, u, reading: Reading) -> Reading:
    """The reading with its points turned into a dip, as it is where they do not show one clearly. u (k,): lengths."""
    levels = [swr for _, swr in reading.points]
    if reading.dip_hz is not None or not levels or max(levels) < POINT_TOP or min(levels) >= NO_DIP_SWR:
        return reading
    dips, still = response.log_dip_open(u), np.zeros(np.shape(u)[-1])
    read = reflection(np.log(levels))
    misfit = np.array([
        sum(((reflection(moved.log_swr_at(u, f)) - y) / REFLECTION) ** 2 for (f, _), y in zip(reading.points, read))
        for moved in (response.moved(off, still) for off in OFF)
    ])  # (OFF, G)
    log = -0.5 * (misfit + (OFF[:, None] / LIKELY_OFF) ** 2)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    at = dips + OFF[:, None]
    mean = float((weight * at).sum())
    error = float(np.sqrt((weight * (at - mean) ** 2).sum()))
    return replace(reading, dip_hz=float(np.exp(mean)), dip_share=error, points=()) if error <= CLEAR else reading


def last_of(log: tuple[Reading, ...], band: str) -> Reading | None:
    return next((r for r in reversed(log) if r.counts and r.band == band), None)


def is_high(reading: Reading) -> bool:
    """Was no dip met? A high SWR everywhere, or hardly less at one end and the end of the scale at all others."""
    levels = [swr for _, swr in reading.points] or [reading.swr or 1.0]
    inner = levels[1:] if levels[0] < levels[-1] else levels[:-1]
    return min(levels) >= NO_DIP_SWR or bool(inner) and min(inner) >= POINT_TOP and min(levels) >= FAINT_SWR


def falls_to(reading: Reading) -> int:
    """Towards which end of the frequencies the SWR falls: -1 the lower, 1 the upper, 0 neither or at neither end below the end of the scale."""
    first, last = (reading.points[0][1], reading.points[-1][1]) if reading.points else (POINT_TOP, POINT_TOP)
    return 0 if first == last or min(first, last) >= POINT_TOP else -1 if first < last else 1


def expected_swr(response: Response, weights, u) -> float:
    """At the dip, in these gardens."""
    return float(np.exp(weights @ response.log_swr(u)))


def is_dark(response: Response, weights, u, reading: Reading) -> bool:
    """Was no dip met where these gardens show a match?"""
    return is_high(reading) and DARK * expected_swr(response, weights, u) < FAINT_SWR


def is_match(response: Response, weights, u, reading: Reading, limit: float) -> bool:
    """Is the lowest SWR that was read, short of the end of the scale, within the limit or as low as the gardens show it?"""
    least = min((swr for _, swr in reading.points), default=np.inf)
    return bool(least < POINT_TOP and least <= max(limit, DARK * expected_swr(response, weights, u)))


def way_to_look(case: Case, response: Response, weights, log: tuple[Reading, ...], at, start, right: float, j: int) -> float | None:
    """By how much to shorten the step's piece [m], below zero to let out, for a dip that was not met by the last reading to come among the frequencies.

    at (R, k), start (k,) : lengths at every reading and as cut; right : where the dip should have been met. None where it was not looked for there yet, or on
    both sides of it already.
    """
    u, last = at[-1], log[-1]
    high = np.array([lengths[j] for r, lengths in zip(log, at) if r.counts and r.band == last.band and is_high(r)])
    wish = case.wish(last.band)
    slope = float(weights @ (response.log_dip_open(u + TINY * np.eye(len(u))[j]) - response.log_dip_open(u))) / TINY
    width = abs(np.log(wish.high_hz / wish.low_hz) / slope)

    def tried(place):
        return bool((np.abs(high - place) < width / 2).any())

    places = [min(right + width, float(start[j])), right - width]
    if falls_to(last) < 0:  # the dip lies below
        places.reverse()
    open_to = [place for place in places if abs(place - right) > width / 2 and not tried(place)]
    if not tried(right) or not open_to:
        return None
    return float(case.finished_m[j] * (np.exp(u[j]) - np.exp(open_to[0])))
