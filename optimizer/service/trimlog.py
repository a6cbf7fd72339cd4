"""What was read at a built wire, at the desk: the trim log and its advice, and the check at the end; the same functions as the command's."""

from __future__ import annotations

import re
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from ..errors import InputError
from ..sheet.units import Units
from .faults import Refused


def log(folder: Path, rank: int) -> list[dict]:
    """Readings, oldest first."""
    from ..trimming.command import log_of

    return [
        {
            "parameter": r.step, "band": r.band, "dip_hz": r.dip_hz, "swr": r.swr, "points": [list(p) for p in r.points], "cut_m": r.shortened_m,
            "length_m": r.length_m, "mended": r.mended, "counts": r.counts, "at": r.at,
        }
        for r in log_of(folder, rank)
    ]  # fmt: skip


def advise(folder: Path, rank: int, asked: dict, most: int) -> dict:
    """Keep a reading, if one is given, and say what to do next. Raises InputError, Refused where the log is full."""
    from ..trimming.command import Asked, told

    if len(log(folder, rank)) >= most:
        raise Refused("too_many", f"at most {most} readings are kept for a design")
    how = {"chance": asked["chance"], "user": "radio" if asked["radio"] else "analyser", "checked": asked["checked"], "units": Units(asked["lengths"])}
    with _as_file(asked["sweep"]) as sweep:
        return told(folder, rank, Asked(**_read(asked), sweep=sweep), **how).content()


def verify(folder: Path, rank: int, asked: dict) -> dict:
    """What was measured at the finished wire over what was expected; `pictures`: an SVG a band. Raises InputError."""
    from ..report.write import strict
    from ..sheet.measured import measured
    from ..sheet.verify import verified
    from .made import read_built

    pairs = " ".join(f"{p['mhz']}:{p['swr']}" for p in asked["points"])
    with _as_file(asked["sweep"]) as sweep:
        found = verified(read_built(folder, rank), measured(pairs, (sweep,) if sweep else ()))
    return strict(found.content() | {"words": found.words, "pictures": found.pictures})


def strike(folder: Path, rank: int) -> list[dict]:
    """Take the last reading back; the log then."""
    from ..trimming import log as kept
    from ..trimming.keep import name_of
    from .made import read_built

    path = folder / kept.FOLDER / f"{name_of(read_built(folder, rank))}.jsonl"
    if kept.entries(path):
        kept.strike(path)
    return log(folder, rank)


def _read(asked: dict) -> dict:
    """What was read, in SI."""
    mhz = asked["reading_mhz"]
    return {
        "band": asked["band"], "dip_hz": None if mhz is None else 1e6 * mhz, "swr": asked["swr"], "shortened_m": asked["cut_cm"] / 100,
        "points": tuple((1e6 * p["mhz"], p["swr"]) for p in asked["points"]), "length_m": asked["length_m"], "mended": asked["mended"],
    }  # fmt: skip


@contextmanager
def _as_file(text: str | None):
    """A sweep's text as the file its reader wants: Touchstone where it has an option line, else a table. Faults speak of the sweep, not of the file."""
    if text is None:
        yield None
        return
    with TemporaryDirectory() as place:
        path = Path(place) / ("sweep.s1p" if re.search(r"^\s*#", text, re.MULTILINE) else "sweep.txt")
        path.write_text(text, encoding="utf-8")
        try:
            yield path
        except InputError as bad:
            raise InputError([replace(f, value="sweep") if place in str(f.value) else f for f in bad.faults]) from None
