"""The gardens of one design: what would be read in each of them, sound or with something wrong.

`MEMBERS` gardens are drawn for the site, the same for every design on it, so that what readings teach about them holds for the next
design too. A fault is simulated in the first `PAIRED` of them; what it changes there is taken to change in all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..ensemble.garden import as_planned, garden_of
from ..ensemble.learned import DRAWN, SEED
from ..ensemble.unknowns import draw
from ..errors import LotwireError
from ..wires.model import Ground
from .case import Case, Look
from .faults import Variant, variants_of
from .response import Plan, Response, in_gardens, plan_of

PAIRED = 8


@dataclass(frozen=True, kw_only=True, eq=False)
class Bank:
    """`sound`: look → response in all gardens; `faulty`: per variant the response in the first few of them; `ends`: log frequency each step's band
    is to end at; `final`: (G, k) lengths u that get there."""

    case: Case
    plan: Plan
    sound: dict[Look, Response]
    faulty: tuple[tuple[Variant, dict[Look, Response]], ...]
    ends: np.ndarray
    final: np.ndarray


def bank_of(case: Case, *, members: int = DRAWN, faults: bool = True) -> Bank:
    """Solve everything; some twenty seconds of one core for two bands."""
    site = case.built.site
    plan = plan_of(case, case.yard(as_planned(Ground(kind="soil", soil=site.soil))))
    gardens = [garden_of(m) for m in draw(site, members, SEED)]
    variants = variants_of(case.longest) if faults else ()
    sound = in_gardens(case, plan, gardens)
    faulty = []
    for variant in variants:
        try:
            faulty.append((variant, _with_fault(case, plan, gardens[:PAIRED], variant, sound)))
        except (LotwireError, ArithmeticError, LookupError, ValueError):  # this design cannot have it
            continue
    ends = ends_of(case, plan)
    return Bank(case=case, plan=plan, sound=sound, faulty=tuple(faulty), ends=ends, final=final_u(case, sound, ends))


def _with_fault(case: Case, plan: Plan, gardens, variant: Variant, sound: dict[Look, Response]) -> dict[Look, Response]:
    """Responses with the fault: its own at the finished lengths, moving with them as they do without it."""
    finished = replace(plan, matters={look: rows[:1] for look, rows in plan.matters.items()})
    found = in_gardens(case, finished, [variant.garden(g) for g in gardens], variant.design)
    return {look: response.moving_as(sound[look]) for look, response in found.items()}


def ends_of(case: Case, plan: Plan) -> np.ndarray:
    """Where each step's band is to end: as filed with the design, else where the plan has it, (k,) log frequency."""
    out = []
    for n, e in enumerate(case.steps):
        filed = case.built.content["trimming"][n].get("end_mhz")
        out.append(np.log(1e6 * filed) if filed else plan.dip[e.step.band, False][0])
    return np.array(out)


def final_u(case: Case, sound: dict[Look, Response], ends: np.ndarray, rounds: int = 6, held: np.ndarray | None = None, at: np.ndarray | None = None) -> np.ndarray:
    """Lengths at which every step's band ends where it should, by Newton's rule on the responses, (G, k); those `held` (k,) stay `at` (G, k), whatever their bands do."""
    bands = [(e.step.band, False) for e in case.steps]
    k, count = len(bands), len(next(iter(sound.values())).dip)
    u, tiny = np.zeros((count, k)), 1e-4
    for _ in range(rounds):
        off = np.stack([sound[b].log_dip_open(u) - end for b, end in zip(bands, ends)], axis=-1)
        slopes = np.empty((count, k, k))
        for j in range(k):
            moved = u + tiny * np.eye(k)[j]
            slopes[:, :, j] = (np.stack([sound[b].log_dip_open(moved) for b in bands], axis=-1) - off - ends) / tiny
        slopes -= 1e-3 * np.eye(k)  # a length that moves nothing stays
        if held is not None:
            off[:, held], slopes[:, held] = (u - at)[:, held], np.eye(k)[held]
        u = np.clip(u - np.linalg.solve(slopes, off[..., None])[..., 0], -0.3, 0.3)
    return u
