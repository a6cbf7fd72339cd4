"""Trimming in a results folder: take a reading, keep it, advise, keep what was learned. Command line and service use `told`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from ..ensemble.learned import FILE, kept, learned_object, weights_in
from ..errors import FaultList
from ..physics.bands import band_table
from ..report.write import write_json
from ..sheet.built import read_built
from ..sheet.units import Units
from .advise import ANALYSER, RADIO, Advice, Settings, advise
from .case import Case, case_of
from .faults import KINDS
from .keep import kept_bank, name_of
from .log import FOLDER, Reading, append, check, entries, now, strike
from .sweep import read_sweep
from .words import words_of

USERS = (ANALYSER, RADIO)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What was read, as somebody says it. `band`: of a trimming step; without any reading the advice goes by the log alone."""

    band: str | None = None
    dip_hz: float | None = None
    swr: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    sweep: Path | None = None
    shortened_m: float = 0.0
    length_m: float | None = None
    mended: bool = False
    strike: bool = False


@dataclass(frozen=True, kw_only=True)
class Told:
    """The log and the advice it gives."""

    case: Case
    log: tuple[Reading, ...]
    advice: Advice
    words: str

    def content(self) -> dict:
        """As JSON."""
        plain = asdict(self.advice)
        plain.pop("weights")
        step = self.case.steps[self.case.index(self.advice.step)].step
        last = self.log[-1] if self.log else None
        causes = [{"kind": c.kind, "what": KINDS[c.kind][0], "check": KINDS[c.kind][1], "share": c.share} for c in self.advice.causes]
        return {
            **plain, "causes": causes, "element": step.element, "band": step.band, "aim_mhz": self.advice.aim_hz / 1e6,
            "reading_mhz": last.dip_hz / 1e6 if last and last.dip_hz else None, "readings": len(self.log), "words": self.words,
        }  # fmt: skip


def told(
    folder: Path, rank: int, asked: Asked, *, chance: float = 0.02, user: str = ANALYSER, checked: bool = False, units: Units = Units(),
    solving: Callable[[], None] = lambda: None,
) -> Told:
    """Keep a reading, if there is one, and advise. `solving` is called before the design's gardens are solved. Raises InputError."""
    built = read_built(folder, rank)
    case, name = case_of(built), name_of(built)
    path = folder / FOLDER / f"{name}.jsonl"
    log = entries(path)
    asked = replace(asked, band=asked.band and asked.band.strip().lower())
    _check(case, asked, chance, user)
    reading = _reading(case, asked, log[:-1] if asked.strike else log)
    if asked.strike:
        log = _struck(path, log)
    settings = Settings(chance=chance, user=user, checked=checked, prior=weights_in(folder, without=name))
    bank = kept_bank(folder, case, solving)
    if reading is not None:
        append(path, reading)
        log = entries(path)
    step = next((e.step.parameter for e in case.steps if e.step.band == asked.band), None)
    advice = advise(bank, log, settings, step)
    if any(r.counts for r in log) and advice.verdict != "wrong":
        designs = kept(folder) | {name: {"readings": len(log), "weights": [round(w, 6) for w in advice.weights]}}
        write_json(folder / FILE, learned_object(built.site, designs))
    return Told(case=case, log=log, advice=advice, words=words_of(case, advice, settings, units, log[-1] if log else None))


def log_of(folder: Path, rank: int) -> tuple[Reading, ...]:
    """The log of that design, oldest first."""
    return entries(folder / FOLDER / f"{name_of(read_built(folder, rank))}.jsonl")


def _struck(path: Path, log):
    if log:
        strike(path)
    return entries(path)


def _check(case: Case, asked: Asked, chance: float, user: str) -> None:
    faults = FaultList("trim")
    bands = list(dict.fromkeys(e.step.band for e in case.steps))
    read = [n for n, v in (("--reading-mhz", asked.dip_hz), ("--at", asked.points or None), ("--touchstone", asked.sweep)) if v is not None]
    if read and asked.band is None and len(bands) == 1:
        pass
    elif (read or asked.band) and asked.band not in bands:
        faults.add("--band", asked.band, "a band of the trimming table: " + ", ".join(bands))
    if "--touchstone" in read and len(read) > 1:
        faults.add(", ".join(read), "several", "a sweep alone, or the frequency of lowest SWR and SWR at frequencies")
    if not read and (asked.swr is not None or asked.length_m is not None or asked.shortened_m or asked.mended):
        faults.add("--reading-mhz, --at, --touchstone", None, "a reading that goes with the rest")
    if not 0.0 < chance < 0.5:
        faults.add("--chance", chance, "a number above 0 and below 0.5")
    if user not in USERS:
        faults.add("user", user, " or ".join(USERS))
    if user == RADIO and not faults.faults and read:
        _inside(case, asked, faults, bands)
    faults.raise_if_any()


def _inside(case: Case, asked: Asked, faults: FaultList, bands) -> None:
    """Somebody with the radio alone reads inside the allocation."""
    name, site = case.wish(asked.band or bands[0]).band, case.built.site
    band = band_table(site.itu_region, site.country)[name]
    for hz in [f for f, _ in asked.points] + ([asked.dip_hz] if asked.dip_hz else []):
        if not band.holds(hz, hz):
            edges = ", ".join(f"{low / 1e6:g} to {high / 1e6:g}" for low, high in band.allocations_hz)
            faults.add("--at", f"{hz / 1e6:g}", f"inside the {name} allocation, {edges} MHz", hint="never transmit outside it")


def _reading(case: Case, asked: Asked, log) -> Reading | None:
    if asked.dip_hz is None and not asked.points and asked.sweep is None:
        return None
    e = next(e for e in case.steps if asked.band in (None, e.step.band))
    seen = read_sweep(asked.sweep, e.target_hz) if asked.sweep else {"dip_hz": asked.dip_hz, "swr": asked.swr, "points": asked.points}
    reading = Reading(
        step=e.step.parameter, band=e.step.band, shortened_m=asked.shortened_m, length_m=asked.length_m, bare=case.reads_bare(e, log), mended=asked.mended, at=now(),
        start_m=() if log else tuple((s.step.parameter, round(s.start_m, 4)) for s in case.steps), **seen,
    )  # fmt: skip
    check(reading)
    return replace(reading, points=tuple(sorted(reading.points)))
