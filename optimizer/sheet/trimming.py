"""Readings at the wire, kept with the design (`readings/RANK.jsonl`), and what they advise, in words."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from ..errors import Fault, FaultList, InputError
from .advice import Advice, Reading, advise
from .built import Built, read_built
from .readings import Expected, expected
from .units import Units

FOLDER = "readings"
LOOKED_FOR = 0.12  # either side of the aim, in a sweep


@dataclass(frozen=True, kw_only=True)
class Told:
    """A step, all its readings, and the advice."""

    step: Expected
    readings: tuple[Reading, ...]
    advice: Advice
    words: str

    def content(self) -> dict:
        return {
            "step": self.step.step.element, "band": self.step.step.band, "aim_mhz": self.step.target_hz / 1e6,
            "reading_mhz": self.readings[-1].dip_hz / 1e6, "words": self.words, **asdict(self.advice),
        }  # fmt: skip


def next_cut(folder: Path, rank: int, band: str, *, reading_hz: float | None, sweep: Path | None, cut_m: float, chance: float, units: Units) -> Told:
    """Take a reading at the band's trimming step, keep it, and advise. Raises InputError."""
    built = read_built(folder, rank)
    step = step_of(built, band)
    dip = _one_of(reading_hz, sweep, step.target_hz)
    kept = folder / FOLDER / f"{rank}.jsonl"
    readings = (*readings_in(kept, step.step.parameter), Reading(parameter=step.step.parameter, dip_hz=dip, cut_m=cut_m))
    wish = next(w for w in built.wishes.bands if w.key == band)
    advice = advise(step, readings, wish.high_hz - wish.low_hz, chance=chance)
    _keep(kept, readings[-1])
    return Told(step=step, readings=readings, advice=advice, words=words_of(step, advice, units, chance))


def step_of(built: Built, band: str) -> Expected:
    """The trimming step that watches the band."""
    faults = FaultList("trim")
    found = next((e for e in expected(built) if e.step.band == band), None)
    if found is None:
        faults.add("--band", band, "a band of the trimming table: " + ", ".join(dict.fromkeys(t.band for t in built.trims)))
    faults.raise_if_any()
    return found


def _one_of(reading_hz, sweep, target_hz: float) -> float:
    if (reading_hz is None) == (sweep is None):
        raise InputError([Fault("trim", "--reading-mhz, --touchstone", (reading_hz, sweep), "exactly one of the two")])
    return reading_hz if sweep is None else dip_of_sweep(sweep, target_hz)


def dip_of_sweep(path: Path, target_hz: float) -> float:
    """Frequency of the least reflection near the aim in a one-port sweep in Touchstone form [Hz]."""
    try:
        import skrf
    except ImportError as missing:
        raise InputError([Fault("trim", "--touchstone", str(path), "scikit-rf installed", "pip install scikit-rf")]) from missing
    try:
        network = skrf.Network(str(path))
        freq, reflection = np.asarray(network.f), np.abs(network.s[:, 0, 0])
    except Exception as bad:  # the reader raises whatever the file makes it
        raise InputError([Fault("trim", "--touchstone", str(path), "a one-port file that can be read", str(bad)[:100])]) from bad
    near = np.abs(freq / target_hz - 1) <= LOOKED_FOR
    if near.sum() < 3:
        raise InputError([Fault("trim", "--touchstone", str(path), f"points near {target_hz / 1e6:.3f} MHz")])
    return float(freq[near][np.argmin(reflection[near])])


def readings_in(path: Path, parameter: str) -> tuple[Reading, ...]:
    """Readings kept for a step, oldest first."""
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except OSError:
        return ()
    try:
        found = [Reading(**json.loads(line)) for line in lines if line.strip()]
    except (ValueError, TypeError) as bad:
        raise InputError([Fault(str(path), "line", str(bad)[:80], "readings as written by trim", "move the file away")]) from bad
    return tuple(r for r in found if r.parameter == parameter)


def _keep(path: Path, reading: Reading) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with open(path, "a", encoding="utf-8") as file:
        file.write(json.dumps(asdict(reading)) + "\n")


def words_of(step: Expected, advice: Advice, units: Units, chance: float) -> str:
    """The advice in plain words."""
    aim, what = f"aim {step.target_hz / 1e6:.3f} MHz", step.step.element
    others = f" This moves {', '.join(step.step.disturbs)} too." if step.step.disturbs else ""
    if advice.verdict == "cut":
        return (
            f"Shorten {what} by {units.cut(advice.move_m)} ({aim}): fold first, read again, cut when it reads right. The whole way is "
            f"{units.cut(advice.wanted_m)} ± {units.cut(advice.sigma_m)}; this much overshoots in at most {100 * chance:g} of 100 cases.{others}"
        )
    if advice.verdict == "unfold":
        return f"Too short: let out {units.cut(-advice.move_m)} ± {units.cut(advice.sigma_m)} of {what} ({aim}).{others}"
    if advice.verdict == "stop":
        return f"Stop, good enough ({aim}): what is left, {units.cut(abs(advice.wanted_m))}, is within what a reading can tell."
    causes = "\n".join(f"  {i}. {cause}" for i, cause in enumerate(advice.causes, 1))
    return f"Do not cut: something is wrong ({aim}). Transmitter off, line unplugged, then look in this order:\n{causes}"
