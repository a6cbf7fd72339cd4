"""What the gardens do to the curves and to the sky: bands for the sheet, from the yards that are solved anyway.

    View of a band      SWR after trimming over the segment and a little beyond; the sky by elevation and by bearing
    first of a step     SWR as the builder first meets it at that step

Gardens are looked at once, with lengths as first built. Where the sheet has another length cut, a curve is moved to it: by the computed slopes,
ln f -> ln f + sum of slope ln(l / l built), shape kept. First order in a few per cent of length; the dip's spread is ten times what that leaves out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..field.sweep import curve
from ..network.feedpoint import look
from ..physics.wishes import BandWish
from ..spread import FAR_DEG, NEAR_DEG, SKY_BEARINGS_DEG, SKY_ELEVATIONS_DEG, CurveBand, View, edges, shown_hz
from .builder import Look, PlanStep
from .yard import read_dip_hz

POINTS = 61
MOST_SWR = 99.0
MIDDLE = 3  # of a yard's nodes: the segment's centre


@dataclass(frozen=True, kw_only=True, eq=False)
class Seen:
    """One band in one garden. meter, radio (F,) SWR at `freq_hz`; sky_db (E, B), per watt from the radio."""

    freq_hz: np.ndarray
    meter: np.ndarray
    radio: np.ndarray
    sky_db: np.ndarray


def seen(yard, design, wish: BandWish) -> Seen:
    """The trimmed design on one band; its solution is there already."""
    real, found = yard.solution(design, wish.key)
    low, high = shown_hz(wish.low_hz, wish.high_hz)
    freq = np.linspace(max(low, found.freq_hz[0]), min(high, found.freq_hz[-1]), POINTS)
    z = curve(found.freq_hz, found.z_ohm, freq)
    radio = np.asarray(look(freq, z, real.feed).swr_radio)
    meter = np.asarray(look(freq, z, replace(real.feed, tuner=None)).swr_radio) if real.feed.tuner else radio
    delivered = float(np.asarray(look(found.freq_hz, found.z_ohm, real.feed).delivered)[MIDDLE])
    gain = found.pattern(MIDDLE).gain(np.array(SKY_ELEVATIONS_DEG)[:, None], np.array(SKY_BEARINGS_DEG)[None, :])
    return Seen(freq_hz=freq, meter=meter, radio=radio, sky_db=10.0 * np.log10(np.maximum(gain * delivered, 1e-9)))


def view_of(gardens: list[Seen]) -> View:
    """The band's view over all gardens."""
    elevations = list(SKY_ELEVATIONS_DEG)
    mean = [10.0 * np.log10(np.mean(10.0 ** (s.sky_db / 10.0), axis=1)) for s in gardens]
    return View(
        meter=curve_band(gardens[0].freq_hz, [s.meter for s in gardens]),
        radio=curve_band(gardens[0].freq_hz, [s.radio for s in gardens]),
        by_elevation_db=edges(mean),
        far_db=edges([s.sky_db[elevations.index(FAR_DEG)] for s in gardens]),
        near_db=edges([s.sky_db[elevations.index(NEAR_DEG)] for s in gardens]),
    )


def curve_band(freq_hz, swr_rows) -> CurveBand:
    """Quantiles point by point, and of the dips."""
    rows = np.minimum(np.asarray(swr_rows, float), MOST_SWR)
    low, high = edges(rows)
    dips = edges([[read_dip_hz(freq_hz, row)] for row in rows])
    return CurveBand(freq_hz=tuple(np.asarray(freq_hz, float).tolist()), low=low, high=high, dip_hz=(dips[0][0], dips[1][0]))


def first_band(step: PlanStep, later: tuple[PlanStep, ...], slope: dict[str, dict[str, float]], looks: list[Look]) -> CurveBand:
    """The first reading of a step over the gardens, with this step's and the later lengths as cut by the sheet.

    slope : [parameter][band], change of log dip per log length.
    """
    moves = [step] if step.bare else [step, *later]

    def shift(one: Look) -> float:
        longer = [np.log(s.start_m / one.lengths_m[s.step.parameter]) * slope[s.step.parameter][step.step.band] for s in moves]
        return float(np.exp(sum(longer)))

    moved = [(np.asarray(one.freq_hz) * shift(one), np.asarray(one.swr)) for one in looks]
    dips = edges([[f[np.argmin(swr)]] for f, swr in moved])
    low, high = min(dips[0][0], step.aim_hz), max(dips[1][0], step.aim_hz)
    reach = max(0.25 * (high - low), 0.01 * step.aim_hz)
    shown = np.linspace(low - reach, high + reach, POINTS)
    band = curve_band(shown, [np.interp(shown, f, swr, left=MOST_SWR, right=MOST_SWR) for f, swr in moved])
    return replace(band, dip_hz=(dips[0][0], dips[1][0]))
