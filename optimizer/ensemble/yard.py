"""One garden with one design in it: solutions there, and what a meter reads.

The same few frequencies a segment serve for trimming and for judging, so that all that has not moved since the last
solve (surroundings, the part of the wire that was not cut) is taken over; see `field.solver.Known`.
The meter is at the radio, tuner out of circuit. It shows SWR in tenths: where several readings show the same least tenth the dip is
taken in their middle, to `METER_HZ`. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..families.design import Design
from ..field.solver import solve
from ..field.sweep import curve
from ..figures import BandFigures, figures_of
from ..network.feedpoint import look
from ..physics.wishes import BandWish
from ..wires.model import Wire
from .garden import Garden, built

LOW, HIGH = 0.925, 1.045  # solved at least so far from the middle of a segment
CLOSEST = 0.004  # solved no closer together than this
METER_HZ = 5e3
METER_SWR = 0.1
DENSE = 481


def nodes_hz(wish: BandWish, lowest: float = LOW) -> np.ndarray:
    """Seven frequencies: the segment's quarter points and middle (numbers 2 to 4, where patterns are taken), both of its
    edges enclosed, and down to where a wire left long shows its dip (`lowest` of the middle)."""
    c = wish.centre_hz
    quarter = max(0.25 * (wish.high_hz - wish.low_hz), CLOSEST * c)
    low, high = min(lowest * c, wish.low_hz), max(HIGH * c, wish.high_hz)
    below, above = c - quarter, c + quarter
    return np.array([low, 0.5 * (low + below), below, c, above, 0.5 * (above + high), high])


def least_shown(swr) -> np.ndarray:
    """Where a meter shows its least SWR, a mask."""
    shown = np.round(np.minimum(swr, 99.0) / METER_SWR)
    return shown == shown.min()


def read_dip_hz(freq_hz, swr) -> float:
    """Where a meter shows the least SWR."""
    flat = np.flatnonzero(least_shown(swr))
    least = flat[np.argmin(np.asarray(swr)[flat])]
    first = last = least
    while first - 1 in flat:
        first -= 1
    while last + 1 in flat:
        last += 1
    return float(round(0.5 * (freq_hz[first] + freq_hz[last]) / METER_HZ) * METER_HZ)


class Yard:
    """Keeps what is solved. `longest`: the design with everything uncut; what stands about keeps off that."""

    def __init__(self, garden: Garden, longest: Design, bands: tuple[BandWish, ...], lowest: float = LOW):
        self.garden, self.bands, self.lowest = garden, {w.key: w for w in bands}, lowest
        self.about: tuple[Wire, ...] = garden.about(built(garden, longest).structure.wires)
        self._last: dict = {}
        self._shown: dict = {}
        self.solved = 0

    def rebuilt(self, longest: Design) -> Yard:
        """The same garden for another beginning; what has not moved need not be solved again."""
        yard = Yard(self.garden, longest, tuple(self.bands.values()), self.lowest)
        yard._last = {place: (None, *solved) for place, (_, *solved) in self._last.items()}
        return yard

    def solution(self, design: Design, key: str, bare: bool = False):
        """(design as built there, its field solution at the nodes of that segment)."""
        last = self._last.get((key, bare))
        if last and last[0] is design:
            return last[1:]
        real = built(self.garden, design)
        known = last[2].known if last else ()
        found = solve(
            real.structure.wires + self.about, (real.port,), real.loads_on(key), self.garden.ground,
            nodes_hz(self.bands[key], self.lowest), known=known, keep=True,
        )  # fmt: skip
        self.solved += 1
        self._last[key, bare] = (design, real, found)
        return real, found

    def swr(self, design: Design, key: str, bare: bool = False):
        """Dense frequencies and SWR at the radio without its tuner."""
        shown = self._shown.get((key, bare))
        if not shown or shown[0] is not design:
            real, found = self.solution(design, key, bare)
            fine = np.linspace(found.freq_hz[0], found.freq_hz[-1], DENSE)
            swr = look(fine, curve(found.freq_hz, found.z_ohm, fine), replace(real.feed, tuner=None)).swr_radio
            shown = self._shown[key, bare] = (design, fine, swr)
        return shown[1:]

    def dip_hz(self, design: Design, key: str, bare: bool = False) -> float:
        """The meter's reading of the best match near that segment."""
        return read_dip_hz(*self.swr(design, key, bare))

    def too_high(self, design: Design, key: str, bare: bool = False) -> bool:
        """Is the least SWR shown at the upper end of what is read, so that the dip is not there yet?"""
        flat = least_shown(self.swr(design, key, bare)[1])
        return bool(flat[-1] and not flat[0])

    def figures(self, design: Design, key: str, swr_limit: float) -> BandFigures:
        """The wished segment judged."""
        real, found = self.solution(design, key)
        return figures_of(found, real, self.bands[key], swr_limit=swr_limit, dense=81, patterns=3)
