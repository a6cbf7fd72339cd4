"""What the meter should show at each trimming step, and how far a cut moves it.

The design is built again with the step's length and all later ones at their trim allowance, earlier ones finished, and
solved: the dip (frequency of lowest SWR) then, and at the finished length, give the reading and kilohertz per metre.
What a garden does to the first reading is not known to the design: `GARDEN_SHARE` either side, common practice, no source.
Where the family no longer builds the design, lengths and dip are taken as inverse to each other.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..errors import LotwireError
from ..families.catalogue import FAMILIES
from ..families.common import TRIM_ALLOWANCE
from ..families.design import Design, TrimStep
from ..trim import aimed_hz, dip_hz
from .built import Built

GARDEN_SHARE = 0.02


@dataclass(frozen=True, kw_only=True)
class Expected:
    """One trimming step. `hz_per_m`: how far the dip falls for a metre more; `solved`: computed, not by rule of thumb."""

    step: TrimStep
    finished_m: float
    start_m: float
    start_hz: float
    target_hz: float
    hz_per_m: float
    solved: bool

    @property
    def start_range_hz(self) -> tuple[float, float]:
        return self.start_hz * (1 - GARDEN_SHARE), self.start_hz * (1 + GARDEN_SHARE)


def expected(built: Built) -> tuple[Expected, ...]:
    """Every trimming step of the design, in order."""
    return tuple(_one(built, i) for i in range(len(built.trims)))


def _one(built: Built, i: int) -> Expected:
    step, values = built.trims[i], built.content["values"]
    finished, target = float(values[step.parameter]), aimed_hz(step, built.trims, values)
    start, solved = TRIM_ALLOWANCE * finished, False
    start_hz, end_hz = target / TRIM_ALLOWANCE, target
    long = {s.parameter: TRIM_ALLOWANCE * values[s.parameter] for s in built.trims[i:]}
    designs = [at_lengths(built, {**long, step.parameter: length}) for length in (start, finished)]
    if all(designs):
        ground = built.cases[step.band].ground
        start_hz, end_hz = (dip_hz(d, ground, target, step.band) for d in designs)
        solved = True
    slope = (end_hz - start_hz) / (start - finished)
    return Expected(
        step=step, finished_m=finished, start_m=start, start_hz=start_hz, target_hz=target if not solved else end_hz,
        hz_per_m=slope, solved=solved,
    )  # fmt: skip


def at_lengths(built: Built, lengths: dict[str, float]) -> Design | None:
    """The design with some lengths changed; None where its family does not build it."""
    if built.design is None:
        return None
    try:
        return FAMILIES[built.content["family"]].build({**built.design.values, **lengths}, built.site, built.wishes)
    except (LotwireError, ArithmeticError, LookupError, ValueError):
        return None
