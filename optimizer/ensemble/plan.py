"""From a trimmed design to a plan of trimming: how long to build, in which order to trim, to which readings.

The reading a step has to aim at is not the band's own target when a later step still moves that band: it is what the
nominal design reads at that moment, with all later lengths still uncut ("left long by the computed shift"). `ways` lists the
orders worth trying; which is best is for the ensemble to say.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..families.design import Design
from ..families.family import Family, NoPlace
from ..physics.elements import Coil
from .builder import PlanStep, bare_of
from .yard import Yard

MOST_LONGER = 0.35  # of a length
CHANGES = (0.98, 1.02, 0.99, 1.01)
CM = 0.01
SHARES_TRIED = (1.0, 0.75, 0.5, 0.3, 0.15)  # of what a length is to be longer by, where the lot does not hold all


class Drawing:
    """A design's lengths as numbers to change: family, site and wishes bound once."""

    def __init__(self, design: Design, family: Family, site, wishes):
        self.nominal, self.family, self.site, self.wishes = design, family, site, wishes
        self.lengths = {t.parameter: design.values[t.parameter] for t in design.trims}

    def at(self, lengths: dict[str, float]) -> Design:
        """The design with these lengths. Raises NoPlace where it does not stand."""
        return self.family.build({**self.nominal.values, **lengths}, self.site, self.wishes)

    def at_or_nominal(self, lengths: dict[str, float], done: dict[str, float]) -> Design:
        """The design with these lengths; where that does not stand, with the ones done and the others as computed."""
        try:
            return self.at({**lengths, **done})
        except NoPlace:
            return self.at(done)

    def longest(self, longer: dict[str, float]) -> dict[str, float]:
        """Lengths made longer by these shares, or all by as much of that as the lot holds and then each for itself by what room is left; up to the centimetre."""

        def spared(share):
            return {n: float(np.ceil(m * (1.0 + share * longer[n]) / CM - 1e-9) * CM) for n, m in self.lengths.items()}

        tries = [(share, spared(share)) for share in SHARES_TRIED]
        reached, lengths = next((t for t in tries if self._stands(t[1])), (0.0, dict(self.lengths)))
        for name in lengths:
            more = ({**lengths, name: t[name]} for share, t in tries if share > reached)
            lengths = next((t for t in more if self._stands(t)), lengths)
        return lengths

    def _stands(self, lengths: dict[str, float]) -> bool:
        try:
            self.at(lengths)
        except NoPlace:
            return False
        return True


@dataclass(frozen=True, kw_only=True)
class Way:
    """An order of trimming with its readings, in words for the sheet."""

    name: str
    steps: tuple[PlanStep, ...]


@dataclass(frozen=True, kw_only=True)
class Sensitivity:
    """`slope[parameter][band]`: change of log dip per log length, in the nominal design; `too_high`: bands whose dip lies above all that is read."""

    slope: dict[str, dict[str, float]]
    dips_hz: dict[str, float]
    too_high: tuple[str, ...] = ()


def sensitivity(drawing: Drawing, yard: Yard) -> Sensitivity:
    """Dips of all trimmed bands, and how each length moves each of them (one length 2 % shorter at a time, or what stands)."""
    bands = [t.band for t in drawing.nominal.trims]
    own = {t.parameter: t.band for t in drawing.nominal.trims}
    dips = {b: yard.dip_hz(drawing.nominal, b) for b in bands}
    too_high = tuple(b for b in bands if yard.too_high(drawing.nominal, b))
    slope = {}
    for name, length in drawing.lengths.items():
        changed, factor = _changed(drawing, name, length)
        if changed is None:
            slope[name] = {b: -1.0 if b == own[name] else 0.0 for b in bands}
            continue
        slope[name] = {b: float(np.log(yard.dip_hz(changed, b) / dips[b]) / np.log(factor)) for b in bands}
    return Sensitivity(slope=slope, dips_hz=dips, too_high=too_high)


def _changed(drawing: Drawing, name: str, length: float) -> tuple[Design | None, float]:
    """The design with one length changed as far as it stands, and the factor; None where it stands as it is or not at all."""
    for factor in CHANGES:
        try:
            return drawing.at({name: factor * length}), factor
        except NoPlace:
            continue
    return None, 1.0


def wanted_lengths(drawing: Drawing, found: Sensitivity, dips_hz: dict[str, float]) -> dict[str, float]:
    """Lengths at which all trimmed bands would end right where the nominal design reads these dips: one step by the computed slopes."""
    trims = drawing.nominal.trims
    if not trims:
        return {}
    slopes = np.array([[found.slope[t.parameter][own.band] for t in trims] for own in trims])
    off = np.log([found.dips_hz[own.band] / dips_hz[own.band] for own in trims])
    longer = np.clip(np.linalg.lstsq(slopes, off, rcond=None)[0], -MOST_LONGER, MOST_LONGER)
    return {t.parameter: float(drawing.lengths[t.parameter] * np.exp(x)) for t, x in zip(trims, longer)}


def ways(drawing: Drawing, yard: Yard, found: Sensitivity, start: dict[str, float]) -> tuple[Way, ...]:
    """Orders worth trying, the family's own first. A design with one length has one way."""
    trims = drawing.nominal.trims
    if len(trims) < 2:
        return (Way(name="one length", steps=_steps(drawing, yard, found, start, trims)),)
    out = [
        Way(name="as listed, each to its own target", steps=_plain(_steps(drawing, yard, found, start, trims))),
        Way(name="as listed, left long by the computed shift", steps=_steps(drawing, yard, found, start, trims)),
        Way(name="in reverse, left long by the computed shift", steps=_steps(drawing, yard, found, start, trims[::-1])),
    ]
    if has_tail(drawing.nominal):
        bare = _steps(drawing, yard, found, start, trims, bare=True)
        out.append(Way(name="without the tail, to its own target", steps=_plain(bare)))
        out.append(Way(name="without the tail, left long by the computed shift", steps=bare))
    return tuple({way.steps: way for way in reversed(out)}.values())[::-1]  # where nothing pulls, the computed shift is none: the first of its like


def has_tail(design: Design) -> bool:
    """Does one coil with a piece beyond it end a wire, trimmed by the last step?"""
    loads = [load for load in design.loads if load.wire == design.port.wire]
    coils = [load for load in loads if isinstance(load.element, Coil)]
    return len(coils) == 1 == len(loads) and len(design.trims) == 2 and design.trims[-1].parameter == "tail_m"


def _steps(drawing, yard, found, start, trims, bare=False) -> tuple[PlanStep, ...]:
    """Aims as the nominal design reads them when each step is done, with what comes later uncut."""
    out, done = [], {}
    for trim in trims:
        name, alone = trim.parameter, bare and not out
        done[name] = drawing.lengths[name]
        state = drawing.at_or_nominal(start, done)
        aim = yard.dip_hz(bare_of(state) if alone else state, trim.band, alone)
        out.append(
            PlanStep(
                step=trim, aim_hz=aim, end_hz=found.dips_hz[trim.band], start_m=start[name],
                slope=min(-0.05, found.slope[name][trim.band]), bare=alone, too_short=trim.band in found.too_high,
            )
        )  # fmt: skip
    return tuple(out)


def _plain(steps: tuple[PlanStep, ...]) -> tuple[PlanStep, ...]:
    """The same with every aim at the end reading: what is done without computing the shift."""
    return tuple(replace(s, aim_hz=s.end_hz) for s in steps)
