"""Simulated trimming: each trim step of a design moves its length until the best match sits on its target.

A builder cuts wire until the meter's dip stands where it should; so the search need not find lengths by luck. The
dip is the least SWR at the radio with the tuner out of circuit: on a transformer-fed half wave that is the top of
the resistance peak to within the width of the dip, and it exists even where the reactance has no zero. Lengths move
by secant steps on the logarithms of frequency and length, in the design's own order, because later steps are chosen
so as not to disturb earlier ones.

Where a length moves several bands at once, the best compromise need not have the trimmed band on its middle: the
value `aim_share` of a design shifts such a target by that fraction, and the search may choose it.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from .families.design import Design, TrimStep
from .families.family import Family, NoPlace
from .field.sweep import curve
from .figures import port_solution
from .network.feedpoint import look
from .outside import completed
from .wires.model import Ground

WINDOW = (0.935, 0.98, 1.02, 1.07)  # solved frequencies over the target, close enough to share a mesh
NEAR_ENOUGH = 0.001  # of the target frequency
ROUGH = 0.003  # of the target frequency: worth further moves
MORE_MOVES = 2
LARGEST_MOVE = 0.35  # of the length's logarithm in one step
IN_WINDOW = 0.99  # of the way to the window's edge; a dip read beyond is a limit, not a place
AIM = "aim_share"


def dip_hz(design: Design, ground: Ground, target_hz: float, key: str = "") -> float:
    """Frequency of the best match at the radio near the target, clamped to the window [Hz]; `key` as in `loads_on`."""
    nodes = target_hz * np.array(WINDOW)
    fine = np.linspace(nodes[0], nodes[-1], 401)
    z = curve(nodes, port_solution(design, ground, nodes, key).z_ohm, fine)
    mismatch = _reflected_power(look(fine, z, replace(design.feed, tuner=None)).swr_radio)
    i = int(np.argmin(mismatch))
    return float(fine[i] if i in (0, len(fine) - 1) else _vertex(fine[i - 1 : i + 2], mismatch[i - 1 : i + 2]))


def trimmed(design: Design, family: Family, site, wishes, ground: Ground, *, moves: int) -> Design:
    """The design after all its trim steps, at most `moves` moves of a length each, `MORE_MOVES` more while it is still rough."""
    for step in design.trims:
        design = _trim_one(design, step, family, site, wishes, ground, moves)
    return design


def _trim_one(design, step: TrimStep, family, site, wishes, ground, moves):
    """Secant on (log length, log dip); keeps the best length seen."""
    target = math.log(aimed_hz(step, design.trims, design.values))
    tried = [(math.log(design.values[step.parameter]), _error(design, ground, target, step.band), design)]
    for n in range(moves + MORE_MOVES):
        if abs(tried[-1][1]) < (NEAR_ENOUGH if n < moves else ROUGH):
            break
        length = _next(tried, step.slope)
        try:
            design = completed(family.build({**design.values, step.parameter: math.exp(length)}, site, wishes), site, wishes)
        except NoPlace:
            break
        tried.append((length, _error(design, ground, target, step.band), design))
    return min(tried, key=lambda t: abs(t[1]))[2]


def compromises(step: TrimStep, steps) -> bool:
    """Does the step move a band that no step of its own brings back?"""
    return bool(set(step.disturbs) - {s.band for s in steps})


def aimed_hz(step: TrimStep, steps, values: dict) -> float:
    """Frequency to trim to: the step's own, shifted by the design's aim where it is a compromise [Hz]."""
    return step.target_mhz * 1e6 * (1.0 + (values.get(AIM, 0.0) if compromises(step, steps) else 0.0))


def _error(design, ground, log_target: float, key: str) -> float:
    return math.log(dip_hz(design, ground, math.exp(log_target), key)) - log_target


def _next(tried, slope: float) -> float:
    """Next log length: slope of the last two tries, or the one given to begin with and where the try before showed no dip and this one does."""
    length, error, _ = tried[-1]
    if len(tried) > 1 and (_has_dip(tried[-2][1]) or not _has_dip(error)):
        before, error_before, _ = tried[-2]
        moved, shifted = length - before, error - error_before
        slope = min(-0.02, shifted / moved) if abs(moved) > 1e-9 else slope
    return length + min(LARGEST_MOVE, max(-LARGEST_MOVE, -error / slope))


def _has_dip(error: float) -> bool:
    return IN_WINDOW * math.log(WINDOW[0]) < error < IN_WINDOW * math.log(WINDOW[-1])


def _reflected_power(swr) -> np.ndarray:
    swr = np.asarray(swr, float)
    return ((swr - 1.0) / (swr + 1.0)) ** 2


def _vertex(x, y) -> float:
    """Abscissa of the parabola through three points; the middle one where they lie on a line."""
    (x0, x1, x2), (y0, y1, y2) = x, y
    bend = (x1 - x0) * (y1 - y2) - (x1 - x2) * (y1 - y0)
    if abs(bend) < 1e-30:
        return x1
    return x1 - 0.5 * ((x1 - x0) ** 2 * (y1 - y2) - (x1 - x2) ** 2 * (y1 - y0)) / bend
