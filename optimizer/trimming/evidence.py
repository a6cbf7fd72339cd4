"""From a log to numbers, and how likely they are in every garden and with every fault.

    y     what was read, as numbers: log dip, log SWR at the dip, size of the reflection at single frequencies
    m_g   the same as garden g would show them;  s: the meter's error and what the responses leave out

The likelihood of a supposition is that of y under the gardens' mean and covariance (S. N. Wood, Nature 466 (2010) 1102, "synthetic
likelihood"), with the heavier tails of Student's t, for the true garden is none of ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import lgamma

import numpy as np

from .bank import Bank
from .log import Reading
from .response import LEFT_OUT, Response

TAILS = 6.0
DIP_SHARE = 0.0005  # standard error of a dip, of the frequency
FLAT_SHARE = 0.12  # and of the half width within which the meter shows the same
SWR_SHARE = 0.10  # of an SWR: meter, and line and contacts that nobody models
REFLECTION = 0.05
SWR_TOP, POINT_TOP = 10.0, 5.0  # a meter tells no more, at the dip and beside it
NO_DIP_SWR, NO_DIP_SHARE = 4.0, 0.03  # above that SWR the least of a curve is no resonance
NOT_TAKEN = 0.15  # chance that something is wrong, before anything is read
KIND_FLOOR = 1e-9
STRAYS = 0.08  # of the frequency: a dip farther than this from all gardens is none that garden, tolerances of the parts and slips of the hand explain


@dataclass(frozen=True, kw_only=True, eq=False)
class Numbers:
    """`y` (R,), `sigma` (R,) of what was read."""

    y: np.ndarray
    sigma: np.ndarray


@dataclass(frozen=True, kw_only=True)
class Likely:
    """A kind of fault with its share of the probability, and its likeliest variant."""

    kind: str
    share: float
    what: str


def states(bank: Bank, log: tuple[Reading, ...]) -> np.ndarray:
    """Lengths u at each reading, (R, k), from the lengths as cut and what was taken off."""
    as_cut, out = dict(log[0].start_m) if log else {}, []
    lengths = np.array([as_cut.get(name, m) for name, m in zip(bank.case.names, bank.case.finished_m * np.exp(bank.case.start))])
    for reading in log:
        lengths = lengths.copy()
        j = bank.case.index(reading.step)
        left = reading.length_m if reading.length_m is not None else lengths[j] - reading.shortened_m
        lengths[j] = max(0.05 * bank.case.finished_m[j], left)
        out.append(np.log(lengths / bank.case.finished_m))
    return np.array(out).reshape(len(log), len(bank.case.names))


def likely_hz(bank: Bank, reading: Reading, u) -> tuple[float, float] | None:
    """Where a dip at these lengths may be read at all [Hz]; None where that of the reading is, or is no dip."""
    if not reading.counts or reading.dip_hz is None:
        return None
    dips = bank.sound[reading.band, reading.bare].log_dip_open(u)
    strays = STRAYS + (3 * NO_DIP_SHARE if _no_dip(reading) else 0.0)
    low, high = (float(np.exp(v)) for v in (dips.min() - strays, dips.max() + strays))
    return None if low <= reading.dip_hz <= high else (low, high)


def _no_dip(reading: Reading) -> bool:
    return (reading.swr or 1.0) > NO_DIP_SWR


def numbers(bank: Bank, log: tuple[Reading, ...], clipped: bool = True) -> Numbers:
    """Everything that was read. `clipped`: as told by somebody who looks only where faults were solved."""
    y, sigma = [], []
    for reading in (r for r in log if r.counts):
        response = bank.sound[reading.band, reading.bare]
        if reading.dip_hz is not None:
            y.append(np.clip(np.log(reading.dip_hz), *response.edges) if clipped else np.log(reading.dip_hz))
            no_dip = NO_DIP_SHARE if _no_dip(reading) else 0.0
            sigma.append(np.linalg.norm([DIP_SHARE, FLAT_SHARE * response.flat, LEFT_OUT, no_dip, reading.dip_share]))
        if reading.swr is not None:
            y.append(np.log(min(reading.swr, SWR_TOP)))
            sigma.append(SWR_SHARE)
        for _, swr in reading.points:
            y.append(reflection(np.log(swr)))
            sigma.append(REFLECTION)
    return Numbers(y=np.array(y), sigma=np.array(sigma))


def shown(responses: dict, log: tuple[Reading, ...], at: np.ndarray, clipped: bool = True) -> np.ndarray:
    """The same numbers as these gardens would show them, (G, R)."""
    out = []
    for reading, u in zip(log, at):
        if not reading.counts:
            continue
        response: Response = responses[reading.band, reading.bare]
        if reading.dip_hz is not None:
            out.append(response.log_dip(u) if clipped else response.log_dip_open(u))
        if reading.swr is not None:
            out.append(np.minimum(response.log_swr(u), np.log(SWR_TOP)))
        out += [reflection(response.log_swr_at(u, f)) for f, _ in reading.points]
    return np.array(out).reshape(len(out), -1).T


def reflection(log_swr):
    """Size of the reflection, as far as a meter tells it beside the dip."""
    swr = np.exp(np.minimum(log_swr, np.log(POINT_TOP)))
    return (swr - 1.0) / (swr + 1.0)


# ---- what is likely ---------------------------------------------------------------------------------------------


def suspicions(bank: Bank, log: tuple[Reading, ...]) -> tuple[float, tuple[Likely, ...]]:
    """(probability that nothing is wrong, kinds of fault, likeliest first)."""
    read, at = numbers(bank, log), states(bank, log)
    sound = shown(bank.sound, log, at)
    rows = [("", "", _log_t(read, sound.mean(axis=0), np.cov(sound.T)))]
    for variant, responses in bank.faulty:
        change = shown(responses, log, at)
        change = change - sound[: len(change)]
        rows.append((variant.kind, variant.what, _log_t(read, sound.mean(axis=0) + change.mean(axis=0), np.cov(sound.T) + np.cov(change.T))))
    for what, other in mistaken(bank, log, at):
        wrong = shown(bank.sound, log, other)
        rows.append(("wrong end trimmed", what, _log_t(read, wrong.mean(axis=0), np.cov(wrong.T))))
    return _shares(rows)


def mistaken(bank: Bank, log: tuple[Reading, ...], at: np.ndarray):
    """(words, lengths) for every way in which the log's cuts may have gone to another piece, one leg of two, or nowhere."""
    for n, reading in enumerate(log):
        if reading.shortened_m <= 0.0 or not reading.counts or any(r.length_m is not None and r.step == reading.step for r in log[n:]):
            continue
        own = bank.case.index(reading.step)
        for target, share, what in [(None, 1.0, "another piece"), (None, 0.5, "one leg only"), *((j, 1.0, name) for j, name in enumerate(bank.case.names) if j != own)]:
            other = np.exp(at) * bank.case.finished_m
            other[n:, own] += share * reading.shortened_m
            if target is not None:
                other[n:, target] = np.maximum(other[n:, target] - reading.shortened_m, 0.05 * bank.case.finished_m[target])
            yield f"{what}, reading {n + 1}", np.log(other / bank.case.finished_m)


def _log_t(read: Numbers, mean, cov) -> float:
    """Logarithm of Student's t about the mean, with that covariance and the meter's error."""
    r = len(read.y)
    spread = np.atleast_2d(cov) + np.diag(read.sigma**2)
    size = np.linalg.cholesky(spread * (TAILS - 2) / TAILS)
    z = np.linalg.solve(size, read.y - mean)
    return (
        lgamma((TAILS + r) / 2) - lgamma(TAILS / 2) - 0.5 * r * np.log(TAILS * np.pi) - np.log(np.diag(size)).sum()
        - 0.5 * (TAILS + r) * np.log1p(z @ z / TAILS)
    )  # fmt: skip


def _shares(rows) -> tuple[float, tuple[Likely, ...]]:
    """Probabilities from log likelihoods: kinds share `NOT_TAKEN` evenly, variants of a kind share its part."""
    kinds = sorted({kind for kind, _, _ in rows if kind})
    best = max(value for _, _, value in rows)
    sound = (1.0 - NOT_TAKEN if kinds else 1.0) * np.exp(rows[0][2] - best)
    found = []
    for kind in kinds:
        mine = [(np.exp(value - best), what) for k, what, value in rows if k == kind]
        found.append((NOT_TAKEN / len(kinds) * float(np.mean([v for v, _ in mine])) + KIND_FLOOR, kind, max(mine)[1]))
    total = sound + sum(f[0] for f in found)
    likely = (Likely(kind=kind, share=float(share / total), what=what) for share, kind, what in sorted(found, reverse=True))
    return float(sound / total), tuple(likely)


