"""The log of what was read and cut at the wire: one line of JSON an entry, only ever added to.

It lies with the results (`readings/DESIGN.jsonl`), named by the design itself, for a later run may rank it otherwise. A line is written and forced to the disk at once, so a kill loses at most
the line being written; a torn last line is left out on reading. `shortened_m` is what was taken off the step's piece since its
reading before (cut or folded back; negative: let out), so the log alone tells every length at every reading.
"""

from __future__ import annotations

import json
import math
import os
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from ..errors import Fault, FaultList, InputError

FOLDER = "readings"
MOST_POINTS = 500


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One reading at a trimming step.

    `step`: parameter of the step whose piece was worked on; `band`: what was read; `dip_hz`: frequency of lowest SWR, `swr`: the SWR there;
    `points`: (Hz, SWR) at single frequencies; `length_m`: the piece as measured now, where that is known better than by the sum of cuts;
    `bare`: read before the coil and what lies beyond it were hung; `mended`: something wrong was found and put right before this
    reading, so that earlier ones tell lengths only; `start_m`: (parameter, length as cut), in the first entry; `counts`: false for
    readings that tell lengths only; `dip_share`: standard error of a dip worked out from points, of the frequency.
    """

    step: str
    band: str
    shortened_m: float = 0.0
    length_m: float | None = None
    dip_hz: float | None = None
    swr: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    bare: bool = False
    mended: bool = False
    start_m: tuple[tuple[str, float], ...] = ()
    at: str = ""
    counts: bool = True
    dip_share: float = 0.0


STRUCK = {"struck": True}  # an entry that takes back the one before it


def now() -> str:
    """Time of an entry, UTC."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def append(path: Path, reading: Reading) -> None:
    """Add one reading and force it to the disk."""
    kept = asdict(reading)
    del kept["counts"], kept["dip_share"]
    _add(path, {k: v for k, v in kept.items() if v not in (None, (), False)})


def strike(path: Path) -> None:
    """Take back the last reading."""
    _add(path, STRUCK)


def _add(path: Path, entry: dict) -> None:
    """A torn line that an earlier kill left is ended first."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with open(path, "ab+") as file:
            line = json.dumps(entry) + "\n"
            if file.tell():
                file.seek(-1, os.SEEK_END)
                line = line if file.read(1) == b"\n" else "\n" + line
            file.write(line.encode())
            file.flush()
            os.fsync(file.fileno())
    except OSError as bad:
        raise InputError([Fault(str(path), "file", str(path), "a log that can be written", str(bad)[:100])]) from bad


def entries(path: Path) -> tuple[Reading, ...]:
    """Everything logged, oldest first; empty where there is no log. A torn line is left out, any other fault is bad input."""
    try:
        lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    except FileNotFoundError:
        return ()
    except OSError as bad:
        raise InputError([Fault(str(path), "file", str(path), "a log of readings", str(bad)[:100])]) from bad
    found, faults = [], FaultList(str(path))
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            kept = json.loads(line)
        except ValueError:
            continue  # torn by a kill
        try:
            if kept == STRUCK:
                found = found[:-1]
                continue
            found.append(reading_from(kept))
        except (TypeError, ValueError, KeyError) as bad:
            faults.add(f"line {number}", line, "an entry as written by trim", hint=str(bad)[:80])
    faults.raise_if_any()
    return counted(found)


def counted(readings) -> tuple[Reading, ...]:
    """Readings before something was put right tell lengths only."""
    first = max((n for n, r in enumerate(readings) if r.mended), default=0)
    return tuple(replace(r, counts=n >= first) for n, r in enumerate(readings))


def reading_from(kept: dict) -> Reading:
    """A reading from its plain data."""
    points, start = kept.get("points", ()), kept.get("start_m", ())
    return Reading(**{**kept, "points": tuple((float(f), float(s)) for f, s in points), "start_m": tuple((str(n), float(m)) for n, m in start)})


def points_from(text: str, source: str = "trim") -> tuple[tuple[float, float], ...]:
    """(Hz, SWR) from "7.005:2.8 7.1:1.9". Raises InputError."""
    faults, found = FaultList(source), []
    for word in text.replace(",", " ").split():
        try:
            mhz, swr = (float(part) for part in word.split(":"))
            found.append((1e6 * mhz, swr))
        except ValueError:
            faults.add("--at", word, "MHz:SWR, as in 7.1:1.8")
    if not found and not faults.faults:
        faults.add("--at", text, "at least one MHz:SWR")
    faults.raise_if_any()
    return tuple(found)


def check(reading: Reading, source: str = "trim") -> None:
    """Raises InputError with every fault of a reading."""
    faults = FaultList(source)
    if reading.dip_hz is None and not reading.points:
        faults.add("reading", None, "a frequency of lowest SWR, SWR at some frequencies, or a sweep")
    if reading.dip_hz is not None and not _in(reading.dip_hz, 1e6, 1e8):
        faults.add("--reading-mhz", reading.dip_hz / 1e6, "a frequency from 1 to 100 MHz")
    if reading.swr is not None and not _in(reading.swr, 1.0, 1e3):
        faults.add("--swr", reading.swr, "an SWR from 1 to 1000")
    if len(reading.points) > MOST_POINTS:
        faults.add("--at", len(reading.points), f"at most {MOST_POINTS} frequencies")
    for hz, swr in reading.points:
        if not (_in(hz, 1e6, 1e8) and _in(swr, 1.0, 1e3)):
            faults.add("--at", f"{hz / 1e6:g}:{swr:g}", "MHz:SWR, from 1 to 100 MHz and from 1 to 1000")
    if reading.length_m is not None and not _in(reading.length_m, 0.02, 1e3):
        faults.add("--length-m", reading.length_m, "a length in metres")
    if not _in(reading.shortened_m, -20.0, 20.0):
        faults.add("--cut-cm", 100 * reading.shortened_m, "a length below 2000 cm")
    faults.raise_if_any()


def _in(value, low, high) -> bool:
    return math.isfinite(value) and low <= value <= high
