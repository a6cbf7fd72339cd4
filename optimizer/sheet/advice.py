"""The next cut from one reading of the dip (the frequency of lowest SWR) at a trimming step.

    change wanted   x = (f - f_aim) / s     s: slope [Hz per metre of shortening], computed, or measured where a cut between
                                           two readings tells it
    its spread      sigma_x^2 = (sigma_f / s)^2 + (x SLOPE_SIGMA)^2
    advised         x - z sigma_x, z the normal quantile of the stated chance: the cut overshoots no more often than that

Too short reads high: unfold. Near enough is a share of the segment's width, since the curve is flat there. A reading that no garden
explains, or a cut that moves the dip the wrong way, is a fault to find, not a length to cut. Spreads are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from ..errors import FaultList
from .readings import GARDEN_SHARE, Expected

READING_SHARE = 0.0007  # of the frequency: one standard error of a reading of the dip
SLOPE_SIGMA = 0.10  # one standard error of the computed slope, as a share
NEAR_SHARE = 0.08  # of the segment's width
LEAST_CUT_M = 0.005
FAR_OUT = 2.5  # times the garden's share: beyond it nobody's garden is to blame
SLOPE_BELIEVED = (0.5, 2.0)  # a measured slope over the computed one

TOO_LOW = (
    "a coil or trap with too many turns: measure it alone",
    "the wire touches a branch, gutter or mast: look along it, swing it free, read again",
    "the spare is not folded back tightly, or is longer than listed: measure to the mark",
    "another step's length is not finished: go back in the order of the table",
)
TOO_HIGH = (
    "an open joint or link: pull at every joint, measure from end to end with an ohm meter",
    "the wrong piece was cut: measure all pieces against the cut list",
    "a coil or trap with too few turns: measure it alone",
    "the counterpoise or a radial is not connected: follow it to its terminal",
)
WRONG_WAY = (
    "the wrong end or piece was shortened: compare with the step's name",
    "the dip read is that of another band's wire: look for a second dip nearby",
    "something moved between the readings: line, wet wire, people under it",
)


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One reading at a step; `cut_m`: shortened since the reading before it (0 for none, negative where unfolded)."""

    parameter: str
    dip_hz: float
    cut_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Advice:
    """`verdict`: cut, unfold, stop or wrong. `move_m`: shorten by (negative: lengthen); `wanted_m`, `sigma_m`: what would hit the aim."""

    verdict: str
    move_m: float = 0.0
    wanted_m: float = 0.0
    sigma_m: float = 0.0
    slope_hz_per_m: float = 0.0
    causes: tuple[str, ...] = ()


def advise(step: Expected, readings: tuple[Reading, ...], segment_hz: float, *, chance: float = 0.02) -> Advice:
    """What to do after the last of the readings at this step.

    segment_hz : width of the wished segment; chance : 0 < chance < 0.5, of overshooting. Raises InputError.
    """
    _check(readings, chance)
    now, slope, sigma_share = readings[-1], abs(step.hz_per_m), SLOPE_SIGMA
    measured = _measured_slope(readings)
    if measured is not None:
        value, sigma = measured
        if not SLOPE_BELIEVED[0] * slope <= value + 2 * sigma or value - 2 * sigma > SLOPE_BELIEVED[1] * slope:
            return Advice(verdict="wrong", causes=WRONG_WAY, slope_hz_per_m=value)
        slope, sigma_share = _together(slope, sigma_share * slope, value, sigma)
    off = step.target_hz - now.dip_hz
    wanted = off / slope
    sigma = math.hypot(READING_SHARE * now.dip_hz / slope, wanted * sigma_share)
    known = {"wanted_m": wanted, "sigma_m": sigma, "slope_hz_per_m": slope}
    if now.dip_hz < step.start_hz * (1 - FAR_OUT * GARDEN_SHARE):
        return Advice(verdict="wrong", causes=TOO_LOW, **known)
    if now.dip_hz > step.target_hz * (1 + FAR_OUT * GARDEN_SHARE):
        return Advice(verdict="wrong", causes=TOO_HIGH, **known)
    z = NormalDist().inv_cdf(1.0 - chance)
    if off < 0:
        near = -off < NEAR_SHARE * segment_hz
        return Advice(verdict="stop" if near else "unfold", move_m=0.0 if near else wanted, **known)
    move = wanted - z * sigma
    if off < NEAR_SHARE * segment_hz or move < LEAST_CUT_M:
        return Advice(verdict="stop", **known)
    return Advice(verdict="cut", move_m=move, **known)


def _check(readings, chance: float) -> None:
    faults = FaultList("trim")
    if not readings:
        faults.add("readings", 0, "at least one reading")
    if not 0.0 < chance < 0.5:
        faults.add("--chance", chance, "a number above 0 and below 0.5")
    for reading in readings:
        if not (math.isfinite(reading.dip_hz) and 1e6 < reading.dip_hz < 1e8):
            faults.add("--reading-mhz", reading.dip_hz / 1e6, "a frequency from 1 to 100 MHz")
    faults.raise_if_any()


def _measured_slope(readings) -> tuple[float, float] | None:
    """Slope and its standard error from the first reading to the last, None without a cut between [Hz/m]."""
    cut = sum(r.cut_m for r in readings[1:])
    if abs(cut) < LEAST_CUT_M:
        return None
    moved = readings[-1].dip_hz - readings[0].dip_hz
    return moved / cut, math.sqrt(2) * READING_SHARE * readings[-1].dip_hz / abs(cut)


def _together(a: float, sigma_a: float, b: float, sigma_b: float) -> tuple[float, float]:
    """Weighted mean of two values and its standard error as a share of it."""
    wa, wb = sigma_a**-2, sigma_b**-2
    mean = (a * wa + b * wb) / (wa + wb)
    return mean, (wa + wb) ** -0.5 / mean
