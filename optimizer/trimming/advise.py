"""The advice: a pure function of a design, its log and some settings.

    log ──► numbers ──► is something wrong? ──► gardens weighed ──► lengths at which all bands end right ──► the next cut
             evidence      evidence               posterior              bank.final_u

`final` is, for every garden, the length of each piece with which all bands end where they should, so a step's cut looks ahead to what
later steps will move. What is read moves the gardens themselves: all that is told (lengths, the next reading, other bands) is of the moved
ones, so it starts from what the meter showed. A cut goes from the present length down to the mean of `final` plus z standard errors, z Student's quantile of the
stated chance: the piece ends too short no more often than that. A fold can be let out again; where only the radio's own SWR can
be read, wire is folded, all the way to the mean, and cut only when it reads right. A piece is never moved against what its last reading
shows; a reading that nothing explains is not followed.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.stats import t as student

from .bank import Bank, final_u
from .case import Look
from .evidence import NO_DIP_SWR, Likely, likely_hz, numbers, shown, states, suspicions
from .log import Reading
from .points import is_dark, is_match, last_of, way_to_look, with_dip
from .posterior import posterior
from .response import Response

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
BENT = 1.0  # standard deviations by which readings may turn a slope: how a dip moves is known better than where it is
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
    error; `aim_hz`: what the step's band shows once its piece is right; `sound`: probability that nothing is wrong; `likely_hz`: where the last reading
    could have been, if it cannot be right; `seeking`: no dip was met, and the move is to find it; `weights`: of the gardens.
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
    likely_hz: tuple[float, float] | None = None
    seeking: bool = False
    weights: tuple[float, ...] = field(default=(), repr=False)


@dataclass(frozen=True, kw_only=True, eq=False)
class Found:
    """The gardens after the readings: `weights` (G,), every look's response `sound` as moved, `final` (G, k) lengths in them; `mean`, `sigma` (k,) of those."""

    weights: np.ndarray
    sound: dict[Look, Response]
    final: np.ndarray
    sigma: np.ndarray

    @property
    def mean(self) -> np.ndarray:
        return self.weights @ self.final


def advise(bank: Bank, log: tuple[Reading, ...], settings: Settings = Settings(), step: str | None = None) -> Advice:
    """What to do next. `step`: the piece that is worked on; without it that of the last reading, or the first."""
    names = bank.case.names
    step = step or (log[-1].step if log else names[0])
    at = states(bank, log)
    u = at[-1] if len(at) else bank.case.start
    strays = [likely_hz(bank, r, lengths) for r, lengths in zip(log, at)]
    log = tuple(r if s is None or n == len(log) - 1 else replace(r, counts=False) for n, (r, s) in enumerate(zip(log, strays)))
    read, log = log, tuple(with_dip(bank.sound[r.band, r.bare], lengths, r) for r, lengths in zip(log, at))
    sound, causes = suspicions(bank, log) if bank.faulty and any(r.counts for r in log) else (1.0, ())
    stray = strays[-1] if log else None
    log = log if stray is None else (*log[:-1], replace(log[-1], counts=False))
    found = _after(bank, log, at, u, settings)
    told = _told(bank, found, u, names.index(step), settings, log)
    if stray:
        shares = tuple(c for c in causes if c.share >= TELLS * (1 - sound)) if sound < WRONG_BELOW else ()
        return replace(told, verdict="wrong", next_step=None, move_m=0.0, wanted_m=0.0, others=(), sound=sound, causes=shares, likely_hz=stray)
    heard = {i: (found.sound[r.band, r.bare], found.weights, u, r) for i, e in enumerate(bank.case.steps) if (r := last_of(read, e.step.band))}
    if settings.user == RADIO and (sound >= WRONG_BELOW or settings.checked) and (move := _looked_for(bank, found, read, at)):
        return _sought(bank, found, u, names.index(log[-1].step), move, told, sound)
    over = heard if told.verdict == "done" else {names.index(step)} & heard.keys() if told.verdict == "stop" else ()
    dark = any(is_dark(*heard[i]) for i in over)
    right = settings.user == RADIO and len(heard) == len(names) and all(is_match(*of, bank.case.built.wishes.swr_limit) for of in heard.values())
    if (sound < WRONG_BELOW and not right or dark) and not settings.checked:
        shares = tuple(c for c in causes if c.share >= TELLS * (1 - sound))
        return replace(told, verdict="wrong", move_m=0.0, others=(), sound=sound, causes=shares)
    return replace(told, sound=sound, causes=())


def _after(bank: Bank, log, at, u, settings: Settings) -> Found:
    """The gardens after the readings. `u`: present lengths, at which each look's dip is known best."""
    read, prior = numbers(bank, log, clipped=False), np.array(settings.prior) if len(settings.prior) else None
    seen = shown(bank.sound, log, at, clipped=False) if len(read.y) else np.zeros((len(bank.final), 0))
    k, looks = len(u), list(bank.sound)
    now = [np.column_stack([r.log_dip_open(u), r.dip[:, 1 : 1 + k]]) for r in bank.sound.values()]
    asked = np.hstack([bank.final, *now])
    left = posterior(asked, seen, read.y, read.sigma, prior)
    change = (left.mean - left.weights @ asked)[k:].reshape(len(looks), 1 + k)
    for n, (band, bare) in enumerate(looks):
        if (band, not bare) in bank.sound and _heard(log, band, not bare) and not _heard(log, band, bare):
            other = looks.index((band, not bare))  # with and without the coil differ by what gardens make of it, wherever the wire itself lies
            apart = now[n][:, 0] - now[other][:, 0]
            mean = left.weights @ apart
            change[n, 0] = change[other, 0] + np.clip(mean + change[n, 0] - change[other, 0], apart.min(), apart.max()) - mean
    sound = {look: _moved(bank.sound[look], u, row[0], row[1:]) for look, row in zip(looks, change)}
    return Found(weights=left.weights, sound=sound, final=_final(bank, left.weights, sound, log), sigma=left.sigma[:k])


def _heard(log, band: str, bare: bool) -> bool:
    return any(r.counts and (r.band, r.bare) == (band, bare) for r in log)


def _final(bank: Bank, weights, sound, log) -> np.ndarray:
    """Final lengths in the moved gardens. A piece whose own band was not read yet is told by the others only as far as gardens go: what is off there
    need not be off here."""
    final = final_u(bank.case, sound, bank.ends)
    mean = weights @ final
    beyond = np.clip(mean, bank.final.min(axis=0), bank.final.max(axis=0)) - mean
    heard = {r.band for r in log if r.counts}
    held = np.array([e.step.band not in heard for e in bank.case.steps]) & (beyond != 0.0)
    return final_u(bank.case, sound, bank.ends, held=held, at=final + beyond) if held.any() else final


def _moved(response: Response, u, now: float, slopes: np.ndarray) -> Response:
    """With so much on the dip at lengths u, and on its slopes within what gardens do to them."""
    most = BENT * response.dip[:, 1 : 1 + len(slopes)].std(axis=0)
    turned = np.clip(slopes, -most, most)
    return response.moved(now - float(np.asarray(u) @ turned), turned)


def _told(bank: Bank, found: Found, u, j: int, settings: Settings, log) -> Advice:
    case, off = bank.case, found.mean - u  # below zero: too long
    lengths = case.finished_m * np.exp(u)
    wanted, error = -lengths * np.expm1(off), lengths * np.hypot(found.sigma, MODEL_SHARE)
    z = float(student.ppf(1.0 - settings.chance, DEGREES))
    sure = -lengths * np.expm1(np.minimum(0.0, off + z * error / lengths))
    aims = [_aim(case, found, u, i, log) for i in range(len(u))]
    moves = [_move(_is_near(bank, i, off[i]) or _against(case.steps[i], aims[i], wanted[i], log), wanted[i], sure[i], settings) for i in range(len(u))]
    verdict, move = moves[j]
    open_steps = [name for name, (v, _) in zip(case.names, moves) if v != "stop"]
    further = next((name for name in open_steps), None) or _unread(case, log)
    if not any(r.step == case.names[j] or r.band == case.steps[j].step.band for r in log if r.counts) and settings.user == ANALYSER:
        verdict, move = "read", 0.0
    elif verdict == "stop" and further is None:
        verdict = "done"
    return Advice(
        verdict=verdict, step=case.names[j], next_step=further if verdict == "stop" else None, move_m=move, wanted_m=float(wanted[j]),
        sigma_m=float(error[j]), length_m=float(lengths[j]), aim_hz=float(np.exp(aims[j])),
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


def _aim(case, found: Found, u, j: int, log) -> float:
    """What this step's band should read when its piece is right and the others are as they are now, log frequency: each garden at its own
    length for that, which is the band's end and what the other pieces still take from it."""
    e = case.steps[j]
    then = np.tile(np.asarray(u, float), (len(found.final), 1))
    then[:, j] = found.final[:, j]
    return float(found.weights @ found.sound[e.step.band, case.reads_bare(e, log)].log_dip_open(then))


def _looked_for(bank: Bank, found: Found, log, at) -> float | None:
    """Which way to look for a dip that was not met by the last reading [m]."""
    case, last = bank.case, log[-1] if log else None
    if not last or not last.counts or not last.points or last.band != case.steps[case.index(last.step)].step.band:
        return None
    response, j = found.sound[last.band, last.bare], case.index(last.step)
    if not is_dark(response, found.weights, at[-1], last):
        return None
    return way_to_look(case, response, found.weights, log, at, np.maximum(at.max(axis=0), case.start), float(bank.final[:, j].mean()), j)


def _sought(bank: Bank, found: Found, u, j: int, move: float, told: Advice, sound: float) -> Advice:
    """A move that looks for the dip: how far it is is not known."""
    return replace(
        told, verdict="fold" if move > 0 else "unfold", step=bank.case.names[j], next_step=None, move_m=move, wanted_m=move, sigma_m=abs(move),
        length_m=float(bank.case.finished_m[j] * np.exp(u[j])), aim_hz=float(np.exp(bank.ends[j])), others=_others(bank, found, u, j, move), sound=sound, causes=(), seeking=True,
    )  # fmt: skip


def _against(e, aim: float, wanted: float, log) -> bool:
    """Would the move go against what this band's reading, just taken, shows? What is left then is the meter's error."""
    last = log[-1] if log else None
    if last is None or not last.counts or last.dip_hz is None or last.band != e.step.band or (last.swr or 1.0) > NO_DIP_SWR:
        return False
    return (aim - np.log(last.dip_hz)) * wanted < 0.0


def _others(bank: Bank, found: Found, u, j: int, move: float) -> tuple[Moved, ...]:
    """What the move does to every band."""
    if not move:
        return ()
    length = bank.case.finished_m[j] * np.exp(u[j])
    then, out = np.array(u, float), []
    then[j] = np.log((length - move) / bank.case.finished_m[j])
    for (band, bare), response in found.sound.items():
        if bare:
            continue
        before, after = np.exp(response.log_dip_open(np.asarray(u))), np.exp(response.log_dip_open(then))
        change = after - before
        mean = float(found.weights @ change)
        out.append(Moved(band=band, hz=mean, sigma_hz=float(np.sqrt(found.weights @ (change - mean) ** 2))))
    return tuple(out)
