"""The advice: a pure function of a design, its log and some settings.

    log ──► numbers ──► is something wrong? ──► gardens weighed ──► lengths at which all bands end right ──► the next cut
             evidence      evidence               posterior              bank.final_u

`final` is, for every garden, the length of each piece with which all bands end where they should, so a step's cut looks ahead to what
later steps will move. A cut goes from the present length down to the mean of `final` plus z standard errors, z Student's quantile of the
stated chance: the piece ends too short no more often than that. A fold can be let out again; where only the radio's own SWR can
be read, wire is folded, all the way to the mean, and cut only when it reads right.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.stats import t as student

from .bank import Bank
from .evidence import Likely, numbers, shown, states, suspicions
from .log import Reading
from .posterior import Posterior, posterior

ANALYSER, RADIO = "analyser", "radio"
LEAST_CUT_M = 0.005
LEAST_PART = 0.4  # of what is wanted: below it a fold does the rest
MOST_NEAR = 0.003  # nor is more than that left, however flat the curve
NEAR_SHARE = 0.10  # of the wished segment's width
WELL = 0.002  # of the frequency: nobody cuts for less
FLAT_PART = 0.5  # of the half width within which SWR hardly changes
ALONE, TOGETHER = 1.0, 0.6  # of that, for the only length and for one of several
WRONG_BELOW = 0.10  # probability that nothing is wrong
TELLS = 0.02  # a kind less likely is not listed
MODEL_SHARE = 0.0005  # of a length: what the responses leave out
DEGREES = 12.0  # of Student's t, for a spread estimated from some thirty members


@dataclass(frozen=True, kw_only=True)
class Settings:
    """`chance` of a cut too far, at most; `user`: `analyser` reads anywhere, `radio` has the radio's SWR inside the bands alone;
    `checked`: everything was looked at and nothing is wrong, so advise on; `prior`: weights of the gardens from other designs on the site."""

    chance: float = 0.02
    user: str = ANALYSER
    checked: bool = False
    prior: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Moved:
    """What the move does to a band: mean and standard error [Hz]."""

    band: str
    hz: float
    sigma_hz: float


@dataclass(frozen=True, kw_only=True)
class Advice:
    """`verdict`: cut, fold, unfold, stop (this step is good enough), done (all are), read (nothing read here yet) or wrong.

    `step`: parameter it speaks of, `next_step`: the one to go on with after stop; `move_m`: shorten by (negative: let out), `wanted_m`, `sigma_m`: what would end it right, and its standard
    error; `off_hz`: the band's distance from where this step's reading should be now; `sound`: probability that nothing is wrong; `weights`: of the gardens.
    """

    verdict: str
    step: str
    next_step: str | None = None
    move_m: float = 0.0
    wanted_m: float = 0.0
    sigma_m: float = 0.0
    length_m: float = 0.0
    aim_hz: float = 0.0
    others: tuple[Moved, ...] = ()
    sound: float = 1.0
    causes: tuple[Likely, ...] = ()
    weights: tuple[float, ...] = field(default=(), repr=False)


def advise(bank: Bank, log: tuple[Reading, ...], settings: Settings = Settings(), step: str | None = None) -> Advice:
    """What to do next. `step`: the piece that is worked on; without it that of the last reading, or the first."""
    names = bank.case.names
    step = step or (log[-1].step if log else names[0])
    sound, causes = suspicions(bank, log) if bank.faulty and any(r.counts for r in log) else (1.0, ())
    at = states(bank, log)
    u = at[-1] if len(at) else bank.case.start
    found = _after(bank, log, at, settings)
    told = _told(bank, found, u, names.index(step), settings, log)
    if sound < WRONG_BELOW and not settings.checked:
        shares = tuple(c for c in causes if c.share >= TELLS * (1 - sound))
        return replace(told, verdict="wrong", move_m=0.0, others=(), sound=sound, causes=shares)
    return replace(told, sound=sound, causes=())


def _after(bank: Bank, log, at, settings: Settings) -> Posterior:
    """Final lengths after the readings."""
    read, prior = numbers(bank, log), np.array(settings.prior) if len(settings.prior) else None
    seen = shown(bank.sound, log, at) if len(read.y) else np.zeros((len(bank.final), 0))
    return posterior(bank.final, seen, read.y, read.sigma, prior)


def _told(bank: Bank, found: Posterior, u, j: int, settings: Settings, log) -> Advice:
    case, off = bank.case, found.mean - u  # below zero: too long
    lengths = case.finished_m * np.exp(u)
    wanted, error = -lengths * np.expm1(off), lengths * np.hypot(found.sigma, MODEL_SHARE)
    z = float(student.ppf(1.0 - settings.chance, DEGREES))
    sure = -lengths * np.expm1(np.minimum(0.0, off + z * error / lengths))
    moves = [_move(_is_near(bank, i, off[i]), wanted[i], sure[i], settings) for i in range(len(u))]
    verdict, move = moves[j]
    open_steps = [name for name, (v, _) in zip(case.names, moves) if v != "stop"]
    further = next((name for name in open_steps), None) or _unread(case, log)
    if not any(r.step == case.names[j] or r.band == case.steps[j].step.band for r in log if r.counts) and settings.user == ANALYSER:
        verdict, move = "read", 0.0
    elif verdict == "stop" and further is None:
        verdict = "done"
    return Advice(
        verdict=verdict, step=case.names[j], next_step=further if verdict == "stop" else None, move_m=move, wanted_m=float(wanted[j]),
        sigma_m=float(error[j]), length_m=float(lengths[j]), aim_hz=float(np.exp(_aim(bank, found, u, j))),
        others=_others(bank, found, u, j, move), weights=tuple(found.weights.tolist()),
    )  # fmt: skip


def _move(done: bool, wanted: float, sure: float, settings: Settings) -> tuple[str, float]:
    """(verdict, metres to shorten by): cut as far as is sure, fold the rest, for a fold can be let out again."""
    if done or abs(wanted) < LEAST_CUT_M:
        return "stop", 0.0
    if settings.user == ANALYSER and sure >= LEAST_CUT_M and sure >= LEAST_PART * wanted:
        return "cut", float(sure)
    return "fold" if wanted > 0 else "unfold", float(wanted)


def near_share(bank: Bank, i: int) -> float:
    """How far a step's band may end from its aim, in log frequency."""
    band = bank.case.steps[i].step.band
    wish = bank.case.wish(band)
    return min(MOST_NEAR, max(WELL, NEAR_SHARE * (wish.high_hz - wish.low_hz) / wish.centre_hz, FLAT_PART * bank.plan.flat[band, False]))


def _is_near(bank: Bank, i: int, off: float) -> bool:
    """Is a piece so nearly right that all bands it moves are, whatever the others leave?"""
    steps, share = bank.case.steps, ALONE if len(bank.case.steps) == 1 else TOGETHER
    moved = [abs(off * bank.plan.dip[e.step.band, False][1 + i]) / near_share(bank, b) for b, e in enumerate(steps)]
    return max(moved) <= share


def _unread(case, log) -> str | None:
    """The first step whose band was not read since anything was last cut."""
    last = max((n for n, r in enumerate(log) if r.shortened_m), default=0)
    seen = {(r.band, r.bare) for r in log[last:] if r.counts}
    return next((e.step.parameter for e in case.steps if (e.step.band, False) not in seen), None)


def _aim(bank: Bank, found: Posterior, u, j: int) -> float:
    """What this step's band should read when its piece is right and the others are as they are now, log frequency."""
    e = bank.case.steps[j]
    then = np.array(u, float)
    then[j] = found.mean[j]
    return float(found.weights @ bank.sound[e.step.band, e.bare and (e.step.band, True) in bank.sound].log_dip(then))


def _others(bank: Bank, found: Posterior, u, j: int, move: float) -> tuple[Moved, ...]:
    """What the move does to every band."""
    if not move:
        return ()
    length = bank.case.finished_m[j] * np.exp(u[j])
    then, out = np.array(u, float), []
    then[j] = np.log((length - move) / bank.case.finished_m[j])
    for (band, bare), response in bank.sound.items():
        if bare:
            continue
        before, after = np.exp(response.log_dip_open(np.asarray(u))), np.exp(response.log_dip_open(then))
        change = after - before
        mean = float(found.weights @ change)
        out.append(Moved(band=band, hz=mean, sigma_hz=float(np.sqrt(found.weights @ (change - mean) ** 2))))
    return tuple(out)
