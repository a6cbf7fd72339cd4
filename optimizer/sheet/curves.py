"""SWR over frequency: the curve as computed, the band it may lie in, the aim, and what was measured. Black ink, kinds by pattern."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..spread import CurveBand
from .canvas import WIDE, Canvas
from .solved import SolvedBand
from .units import nice_step

LOW_TOP, HIGH_TOP = 5.0, 100.0  # of the scale: for wires that match by themselves, for those that need a tuner
LINES = {LOW_TOP: (1.0, 1.5, 2.0, 3.0, 4.0, 5.0), HIGH_TOP: (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)}
WIDTH, HEIGHT = 340.0, 235.0
BARS_WIDTH, BAR_MOST = 216.0, 100.0  # of the bars of a band, three bands abreast; of a bar for the whole power
LEFT, RIGHT, TOP, BOTTOM = 42.0, 12.0, 42.0, 40.0
MEASURED_SHARE = 0.06  # of the frequency: measured points so far from a segment's middle are still drawn
LIMIT_WIDE, LIMIT_CLEAR = 118.0, 12.0  # units: its words, and what keeps them readable
DOT = "M-2.6 0A2.6 2.6 0 1 0 2.6 0A2.6 2.6 0 1 0-2.6 0"


@dataclass
class Axes:
    """A drawing with MHz to the right and SWR up, both scales logarithmic or nearly so."""

    canvas: Canvas
    low: float
    high: float
    top: float

    def at(self, mhz: float, swr: float) -> tuple[float, float]:
        up = math.log(min(max(swr, 1.0), self.top)) / math.log(self.top)
        along = min(max((mhz - self.low) / (self.high - self.low), 0.0), 1.0)
        return LEFT + along * (WIDTH - LEFT - RIGHT), HEIGHT - BOTTOM - up * (HEIGHT - TOP - BOTTOM)

    def line(self, freq_hz, swr, look: str) -> None:
        self.canvas.path([self.at(f / 1e6, s) for f, s in zip(freq_hz, swr)], look)

    def band(self, band: CurveBand) -> None:
        """Barred, between low and high."""
        outline = [self.at(f / 1e6, s) for f, s in zip(band.freq_hz, band.high)]
        self.canvas.fill([outline + [self.at(f / 1e6, s) for f, s in zip(band.freq_hz[::-1], band.low[::-1])]], "bars")

    def upright(self, mhz: float, look: str) -> None:
        self.canvas.path((self.at(mhz, 1.0), self.at(mhz, self.top)), look)


def swr_curve(band: SolvedBand, limit: float, expected: CurveBand | None = None, measured=None) -> str:
    """SWR of a band at the radio's end of the line, without a tuner.

    expected : what four of five gardens keep to; measured : (freq_hz, swr) read at the wire.
    """
    least = min(float(band.meter.min()), min(expected.low) if expected else math.inf)
    top = LOW_TOP if least < 0.8 * LOW_TOP else HIGH_TOP
    axes = _axes(*_shown_mhz(band, measured), top, f"SWR {band.wish.key}")
    low, high = band.wish.low_hz / 1e6, band.wish.high_hz / 1e6
    axes.canvas.fill([[axes.at(low, 1), axes.at(high, 1), axes.at(high, top), axes.at(low, top)]], "dots")
    if expected:
        axes.band(expected)
    _limit(axes, limit, [(band.freq_hz, band.meter), *([measured] if measured is not None else [])])
    axes.line(band.freq_hz, band.meter, "bold")
    if measured is not None:
        _measured(axes, *measured)
    words = ["line: as computed", *(["bars: 4 of 5 gardens"] if expected else []), *(["rings: measured"] if measured is not None else [])]
    _framed(axes, f"{band.wish.key}: SWR at the radio" + ("" if np.allclose(band.meter, band.swr) else ", before the tuner"), "; ".join(words))
    return axes.canvas.svg()


def step_curve(number: int, element: str, band: str, first: CurveBand, aim_hz: float, limit: float) -> str:
    """What the meter should show when a trimming step begins, and the aim."""
    ends = [first.freq_hz[0], first.freq_hz[-1], 0.995 * aim_hz, 1.005 * aim_hz]
    top = LOW_TOP if min(first.low) < 0.8 * LOW_TOP else HIGH_TOP
    axes = _axes(min(ends) / 1e6, max(ends) / 1e6, top, f"Step {number} {element} {band}")
    axes.band(first)
    _limit(axes, limit, [(first.freq_hz, first.typical)] if first.typical else [])
    if first.typical:
        axes.line(first.freq_hz, first.typical, "bold")
    axes.upright(aim_hz / 1e6, "bold")
    x, y = axes.at(aim_hz / 1e6, top)
    axes.canvas.text((x, y - 3), f"aim {aim_hz / 1e6:.3f}", anchor="middle", size=11, bold=True)
    low, high = (axes.at(f / 1e6, 1.0) for f in first.dip_hz)
    axes.canvas.path(((low[0], low[1] - 4), low, high, (high[0], high[1] - 4)), "wire")
    _framed(axes, f"Step {number}, {band}: {element}", "bars: first reading, line: a typical one; thick foot: its dip")
    return axes.canvas.svg()


def _axes(low: float, high: float, top: float, title: str) -> Axes:
    return Axes(canvas=Canvas(WIDTH, HEIGHT, title=title), low=low, high=high, top=top)


def _shown_mhz(band: SolvedBand, measured) -> tuple[float, float]:
    """From the first to the last frequency drawn: as computed, and measured ones nearby."""
    near = [] if measured is None else [f for f in measured[0] if abs(f / band.wish.centre_hz - 1.0) < MEASURED_SHARE]
    return min([band.freq_hz[0], *near]) / 1e6, max([band.freq_hz[-1], *near]) / 1e6


def _limit(axes: Axes, limit: float, curves) -> None:
    """The limit, its words at whichever end of it the curves leave most room. curves : (freq_hz, swr) each."""
    left, right = axes.at(axes.low, limit), axes.at(axes.high, limit)
    axes.canvas.path((left, right), "dash")
    drawn = np.array([axes.at(f / 1e6, s) for freq, swr in curves for f, s in zip(freq, swr)]).reshape(-1, 2)
    ends = (("end", right[0] - 4, right[0] - LIMIT_WIDE), ("start", left[0] + 4, left[0]))
    spots = [(anchor, x, left[1] + down, begins) for down in (-5, 13) for anchor, x, begins in ends]

    def room(spot) -> float:
        _, _, y, begins = spot
        near = drawn[(drawn[:, 0] >= begins) & (drawn[:, 0] <= begins + LIMIT_WIDE)]
        return float(np.abs(near[:, 1] - y + 4).min(initial=LIMIT_CLEAR))

    anchor, x, y, _ = max(spots, key=room)
    axes.canvas.text((x, y), f"your radio's limit {limit:g}", anchor=anchor, size=11)


def _measured(axes: Axes, freq_hz, swr) -> None:
    inside = [(f, s) for f, s in zip(freq_hz, swr) if axes.low <= f / 1e6 <= axes.high]
    if len(inside) > 1:
        axes.canvas.path([axes.at(f / 1e6, s) for f, s in inside], "ink")
    for f, s in inside[:: max(1, len(inside) // 40)]:
        axes.canvas.mark(axes.at(f / 1e6, s), DOT)


def _framed(axes: Axes, title: str, words: str) -> None:
    """Scales, frame and titles, on top of what is drawn."""
    canvas, low, high = axes.canvas, axes.low, axes.high
    for swr in LINES[axes.top]:
        canvas.path((axes.at(low, swr), axes.at(high, swr)), "thin")
        canvas.text((LEFT - 6, axes.at(low, swr)[1] + 4), f"{swr:g}", anchor="end", size=11)
    step = nice_step(high - low, 5)
    for mhz in np.arange(math.ceil(low / step) * step, high, step):
        x, y = axes.at(mhz, 1)
        canvas.path(((x, y), (x, y + 4)), "ink")
        canvas.text((x, y + 16), f"{mhz:.{max(0, -math.floor(math.log10(step) + 1e-9))}f}", anchor="middle", size=11)
    canvas.path((axes.at(low, axes.top), axes.at(low, 1), axes.at(high, 1)), "ink")
    canvas.text((4, 13), title, size=11.5, bold=True)
    canvas.text((4, 27), words, size=10)
    canvas.text((WIDTH / 2, HEIGHT - 6), "MHz", anchor="middle", size=11)


def bars(shares: list[tuple[str, float]], title: str) -> str:
    """Where the power goes: one bar a share, its number and its name behind it."""
    canvas = Canvas(BARS_WIDTH, 24.0 + 20.0 * len(shares), title=title)
    words = [f"{100 * share:.{0 if share >= 0.095 else 1}f} % {name}" for name, share in shares]
    long = min([BAR_MOST, *((BARS_WIDTH - 14.0 - WIDE * 11 * len(w)) / s for w, (_, s) in zip(words, shares) if s > 0)])
    for i, (_, share) in enumerate(shares):
        y, end = 18.0 + 20.0 * i, 4.0 + long * max(share, 0.0)
        canvas.fill([[(4, y), (end, y), (end, y + 14), (4, y + 14)]], "bars" if i == 0 else "house", "ink")
        canvas.text((end + 6, y + 11), words[i], size=11)
    canvas.text((4, 12), title, size=11)
    return canvas.svg()
