"""What the gardens do to the curves and to the sky: bands for the sheet, from the yards that are solved anyway.

    View of a band      SWR after trimming over the segment and a little beyond; the sky by elevation and by bearing
    first of a step     SWR as the builder first meets it at that step

Gardens are built with the lengths that the sheet has cut, so the first look at a step is the builder's own first reading.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..field.sweep import curve
from ..network.feedpoint import look
from ..physics.wishes import BandWish
from ..spread import FAR_DEG, NEAR_DEG, SKY_BEARINGS_DEG, SKY_ELEVATIONS_DEG, CurveBand, View, edges, shown_hz
from .builder import Look
from .yard import read_dip_hz

POINTS = 61
MOST_SWR = 99.0
MIDDLE = 3  # of a yard's nodes: the segment's centre


@dataclass(frozen=True, kw_only=True, eq=False)
class Seen:
    """One band in one garden. meter, radio (F,) SWR at `freq_hz`; sky per watt from the radio [dBi]: mean over bearings (E,), cuts (B,)."""

    freq_hz: np.ndarray
    meter: np.ndarray
    radio: np.ndarray
    by_elevation_db: np.ndarray
    far_db: np.ndarray
    near_db: np.ndarray


def seen(yard, design, wish: BandWish) -> Seen:
    """The trimmed design on one band; its solution is there already."""
    real, found = yard.solution(design, wish.key)
    low, high = shown_hz(wish.low_hz, wish.high_hz)
    freq = np.linspace(max(low, found.freq_hz[0]), min(high, found.freq_hz[-1]), POINTS)
    z = curve(found.freq_hz, found.z_ohm, freq)
    radio = np.asarray(look(freq, z, real.feed).swr_radio)
    meter = np.asarray(look(freq, z, replace(real.feed, tuner=None)).swr_radio) if real.feed.tuner else radio
    delivered = float(np.asarray(look(found.freq_hz, found.z_ohm, real.feed).delivered)[MIDDLE])
    return Seen(freq_hz=freq, meter=meter, radio=radio, **_sky(found.pattern(MIDDLE), delivered))


def _sky(pattern, delivered: float) -> dict:
    """The three cuts; the mean takes every other bearing, enough for wires of two wavelengths."""
    bearings, elevations = np.array(SKY_BEARINGS_DEG), np.array(SKY_ELEVATIONS_DEG)
    mean = pattern.gain(elevations[:, None], bearings[None, ::2]).mean(axis=1)
    cuts = pattern.gain(np.array([FAR_DEG, NEAR_DEG])[:, None], bearings[None, :])
    return {name: 10.0 * np.log10(np.maximum(gain * delivered, 1e-9)) for name, gain in (("by_elevation_db", mean), ("far_db", cuts[0]), ("near_db", cuts[1]))}


def view_of(gardens: list[Seen]) -> View:
    """The band's view over all gardens."""
    return View(
        meter=curve_band(gardens[0].freq_hz, [s.meter for s in gardens]),
        radio=curve_band(gardens[0].freq_hz, [s.radio for s in gardens]),
        by_elevation_db=edges([s.by_elevation_db for s in gardens]),
        far_db=edges([s.far_db for s in gardens]),
        near_db=edges([s.near_db for s in gardens]),
    )


def curve_band(freq_hz, swr_rows) -> CurveBand:
    """Quantiles point by point, and of the dips."""
    rows = np.minimum(np.asarray(swr_rows, float), MOST_SWR)
    low, high = edges(rows)
    dips = edges([[read_dip_hz(freq_hz, row)] for row in rows])
    return CurveBand(freq_hz=tuple(np.asarray(freq_hz, float).tolist()), low=low, high=high, dip_hz=(dips[0][0], dips[1][0]))


def first_band(aim_hz: float, looks: list[Look]) -> CurveBand:
    """The first reading of a step over the gardens, with this step's and the later lengths uncut, as the sheet has them cut; shown up to the aim."""
    dips = [float(np.asarray(one.freq_hz)[np.argmin(one.swr)]) for one in looks]
    ends = tuple(end[0] for end in edges([[d] for d in dips]))
    low, high = min(ends[0], aim_hz), max(ends[1], aim_hz)
    reach = max(0.25 * (high - low), 0.01 * aim_hz)
    shown = np.linspace(low - reach, high + reach, POINTS)
    shapes = [(np.asarray(one.freq_hz) / d, np.minimum(one.swr, MOST_SWR)) for one, d in zip(looks, dips)]
    least, most = _swept(shown, ends, shapes)
    middle = int(np.argsort(dips)[len(dips) // 2])
    typical = np.interp(shown / dips[middle], *shapes[middle])
    return CurveBand(freq_hz=tuple(shown.tolist()), low=least, high=most, dip_hz=ends, typical=tuple(typical.tolist()))


def _swept(freq_hz, dips_hz, shapes):
    """Least and most SWR when the dip lies anywhere between two frequencies. shapes : (frequency over dip, SWR) of each garden; their quantiles
    are taken at equal distance from the dip, so that curves with dips apart do not pass for a comb."""
    away = np.linspace(freq_hz[0] / dips_hz[1], freq_hz[-1] / dips_hz[0], 4 * POINTS)
    low, high = edges([np.interp(away, x, swr) for x, swr in shapes])
    swept = np.array([[np.interp(freq_hz / dip, away, side) for dip in np.linspace(*dips_hz, POINTS)] for side in (low, high)])
    return tuple(swept[0].min(axis=0).tolist()), tuple(swept[1].max(axis=0).tolist())
