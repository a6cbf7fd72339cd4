"""What the meter should show at each trimming step, and how far a cut moves it.

The design is built again with the step's length and all later ones as first cut (`cut_lengths`), earlier ones finished, and
solved: the dip (frequency of lowest SWR) then, and at the finished length, give the reading and kilohertz per metre.
What a garden does to the first reading is not known to the design: `GARDEN_SHARE` either side, common practice, no source.
Where the file itself holds a step's allowance, aim and kilohertz per centimetre (found over many gardens), those stand.
Where the family no longer builds the design, lengths and dip are taken as inverse to each other.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..errors import LotwireError
from ..families.catalogue import FAMILIES
from ..families.design import Design, TrimStep
from ..families.pieces import TRIM_SHARE
from ..spread import CurveBand
from ..trim import aimed_hz, dip_hz
from .built import Built
from .filed import curve_filed

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
    bare: bool = False  # read before the coil and what lies beyond it are hung
    first: CurveBand | None = None  # the first reading over many gardens, where the file holds it

    @property
    def start_range_hz(self) -> tuple[float, float]:
        """Where the first reading may lie: over the file's gardens, else by rule of thumb."""
        if self.first:
            return self.first.dip_hz
        return self.start_hz * (1 - GARDEN_SHARE), self.start_hz * (1 + GARDEN_SHARE)


def expected(built: Built) -> tuple[Expected, ...]:
    """Every trimming step of the design, in order."""
    return tuple(_one(built, i) for i in range(len(built.trims)))


def _one(built: Built, i: int) -> Expected:
    step, values, filed = built.trims[i], built.content["values"], built.content["trimming"][i]
    finished, target = float(values[step.parameter]), aimed_hz(step, built.trims, values)
    cut = cut_lengths(built)
    start, solved = cut[step.parameter], False
    start_hz, end_hz = target * finished / start, target
    long = {s.parameter: cut[s.parameter] for s in built.trims[i:]}
    designs = [at_lengths(built, {**long, step.parameter: length}) for length in (start, finished)]
    if all(designs) and start > finished:
        ground = built.cases[step.band].ground
        start_hz, end_hz = (dip_hz(d, ground, target, step.band) for d in designs)
        solved = True
    slope = (end_hz - start_hz) / (start - finished) if start > finished else target / finished
    if filed.get("aim_mhz"):
        end_hz, slope = 1e6 * filed["aim_mhz"], 1e5 * abs(filed.get("khz_per_cm") or slope / 1e5)
        start_hz, solved = end_hz - slope * (start - finished), True
    return Expected(
        step=step, finished_m=finished, start_m=start, start_hz=start_hz, target_hz=end_hz, hz_per_m=slope, solved=solved,
        bare=bool(filed.get("before_the_coil_is_hung")), first=curve_filed(filed.get("first_reading")),
    )  # fmt: skip


def cut_lengths(built: Built) -> dict[str, float]:
    """Every trimmed length as first cut [m]: as the gardens had it and the file holds it, each by its own allowance; else by the usual one."""
    usual = {s.parameter: (1.0 + TRIM_SHARE) * float(built.content["values"][s.parameter]) for s in built.trims}
    return usual | {t["parameter"]: t["cut_m"] for t in built.content["trimming"] if t.get("cut_m")}


def at_lengths(built: Built, lengths: dict[str, float]) -> Design | None:
    """The design with some lengths changed; None where its family does not build it."""
    if built.design is None:
        return None
    try:
        return FAMILIES[built.content["family"]].build({**built.design.values, **lengths}, built.site, built.wishes)
    except (LotwireError, ArithmeticError, LookupError, ValueError):
        return None
