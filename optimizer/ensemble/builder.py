"""The builder at the ground: reads, cuts or folds back a little, reads again.

A step is over when the reading is within `WELL` or the meter's reach of its aim, or `MOVES` are used up. Wire is only ever made shorter;
the last bit is folded back, not cut, and a fold can be let out again (`FOLD_M`), so that going the whole computed way loses
nothing; only a move of more than twice the fold goes three quarters of it first. Lengths go by the centimetre. The first move follows the sheet; later ones the slope of the builder's own readings. After the last step all bands are
read again, and what has moved is set right as far as cutting and folds allow. Common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from itertools import pairwise

from ..families.design import Design, TrimStep
from ..families.family import NoPlace
from ..wires.model import Wire
from .yard import METER_HZ, Yard

MOVES = 4
LATER_MOVES = 2
FOLD_M = 0.25
CENTIMETRE_M = 0.01
CAUTION = 0.75
WELL = 0.001  # of the frequency; nobody cuts for less
ON_TARGET = 0.004  # of the frequency


@dataclass(frozen=True, kw_only=True)
class PlanStep:
    """A trim step with what the sheet says to it.

    `aim_hz`: reading to trim to; `end_hz`: reading when all is done; `start_m`: length as built; `slope`: change of
    log frequency per log length; `bare`: read before what lies beyond the load is hung; `too_short`: the plan's own length
    leaves the dip above all that is read, so nothing can be trimmed.
    """

    step: TrimStep
    aim_hz: float
    end_hz: float
    start_m: float
    slope: float
    bare: bool = False
    too_short: bool = False


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One look at the meter: the length then, and the dip."""

    element: str
    band: str
    length_m: float
    dip_hz: float
    aim_hz: float


@dataclass(frozen=True, kw_only=True)
class Look:
    """The whole curve at a step's first reading, and all lengths then."""

    freq_hz: object
    swr: object
    lengths_m: dict[str, float]


@dataclass(frozen=True, kw_only=True)
class Trimmed:
    """What came of it. `lengths_m`: parameter → length; `short`: parameters that turned out too short to be trimmed by cutting;
    `first`: parameter → the first look at its step."""

    design: Design
    lengths_m: dict[str, float]
    readings: tuple[Reading, ...]
    on_target: dict[str, bool]
    short: tuple[str, ...]
    moves: int
    first: dict[str, Look] = field(default_factory=dict)


class Builder:
    """Trims one design in one yard. `at(lengths)`: the planned design with these lengths."""

    def __init__(self, yard: Yard, at, plan: tuple[PlanStep, ...]):
        self.yard, self.at, self.plan = yard, at, plan
        self.lengths = {p.step.parameter: p.start_m for p in plan}
        self.uncut = dict(self.lengths)  # how long it can be made again by letting out the fold
        self.design = at(self.lengths)
        self.readings: list[Reading] = []
        self.short = {p.step.parameter for p in plan if p.too_short}
        self.first: dict[str, Look] = {}
        self.moves = 0

    def trimmed(self) -> Trimmed:
        for step in self.plan:
            self._work(step, step.aim_hz, MOVES, step.bare)
        if len(self.plan) > 1:
            for step in self.plan:
                self._work(step, step.end_hz, LATER_MOVES, False)
        ends = {p.step.band: self._read(p, p.end_hz, False) for p in self.plan}
        on = {p.step.band: not p.too_short and abs(ends[p.step.band] / p.end_hz - 1.0) <= ON_TARGET for p in self.plan}
        return Trimmed(
            design=self.design, lengths_m=dict(self.lengths), readings=tuple(self.readings), on_target=on,
            short=tuple(sorted(self.short)), moves=self.moves, first=self.first,
        )  # fmt: skip

    def _read(self, step: PlanStep, aim_hz: float, bare: bool) -> float:
        design = bare_of(self.design) if bare else self.design
        dip = self.yard.dip_hz(design, step.step.band, bare)
        if step.step.parameter not in self.first:
            freq, swr = self.yard.swr(design, step.step.band, bare)
            self.first[step.step.parameter] = Look(freq_hz=freq, swr=swr, lengths_m=dict(self.lengths))
        length = self.lengths[step.step.parameter]
        self.readings.append(Reading(element=step.step.element, band=step.step.band, length_m=length, dip_hz=dip, aim_hz=aim_hz))
        return dip

    def _work(self, step: PlanStep, aim_hz: float, moves: int, bare: bool) -> None:
        name, slope, before = step.step.parameter, step.slope, None
        for _ in range(moves):
            dip = self._read(step, aim_hz, bare)
            length = self.lengths[name]
            if before:
                slope = _slope(before, (length, dip), slope)
            change = length * math.expm1(math.log(aim_hz / dip) / slope)
            change *= CAUTION if -change > 2.0 * FOLD_M else 1.0
            if abs(dip - aim_hz) <= max(METER_HZ, WELL * aim_hz) or abs(change) < 0.5 * CENTIMETRE_M:
                return
            if not self._set(name, length + change):
                return
            before = (length, dip)

    def _set(self, name: str, wanted_m: float) -> bool:
        """Make it that long, to the centimetre; False when nothing moves."""
        length = max(CENTIMETRE_M, round(wanted_m / CENTIMETRE_M) * CENTIMETRE_M)
        if length > self.uncut[name] + 1e-9:
            self.short.add(name)
            length = self.uncut[name]
        if abs(length - self.lengths[name]) < 1e-9:
            return False
        try:
            self.design = self.at({**self.lengths, name: length})
        except NoPlace:  # it would not hang any more
            return False
        self.uncut[name] = min(self.uncut[name], length + FOLD_M)
        self.lengths[name] = length
        self.moves += 1
        return True


def _slope(before, now, computed: float) -> float:
    """Slope of two readings, kept within reason of the computed one."""
    moved = math.log(now[0] / before[0])
    found = math.log(now[1] / before[1]) / moved if abs(moved) > 1e-6 else computed
    return min(0.4 * computed, max(2.5 * computed, found))


def bare_of(design: Design) -> Design:
    """The design with its wire ending at the outermost coil: coil and tail not yet hung."""
    last = max((load for load in design.loads if load.wire == design.port.wire), key=lambda load: load.at_m)
    wires = tuple(ended(w, last.at_m) if w.name == last.wire else w for w in design.structure.wires)
    return replace(
        design, structure=replace(design.structure, wires=wires),
        loads=tuple(load for load in design.loads if load is not last),
    )  # fmt: skip


def ended(wire: Wire, at_m: float) -> Wire:
    points, run = [wire.points_m[0]], 0.0
    for a, b in pairwise(wire.points_m):
        run += math.dist(a, b)
        if run >= at_m - 1e-9:
            break
        points.append(b)
    return replace(wire, points_m=(*points, wire.point_at(at_m)))
