"""What was measured: SWR at frequencies, from typed pairs, a table of two columns, or a one-port file in Touchstone form.

Referred to 50 ohm. A table has MHz first and SWR second, separated by comma, semicolon or blanks; lines that begin with no number are passed over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ..errors import Fault, FaultList, InputError
from ..network.match import RADIO_OHM

LOWEST_MHZ, HIGHEST_MHZ = 1.0, 100.0
MOST_SWR = 99.0
MOST_BYTES = 5_000_000
_PAIR = re.compile(r"^([0-9.]+)[:=]([0-9.]+)$")
_NUMBERS = re.compile(r"[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")


@dataclass(frozen=True, kw_only=True, eq=False)
class Measured:
    """freq_hz (N,) ascending, swr (N,)."""

    freq_hz: np.ndarray
    swr: np.ndarray


def measured(pairs: str | None = None, files: tuple[Path, ...] = (), option: str = "--file") -> Measured:
    """All that was measured, together. Raises InputError with every fault."""
    faults, found = FaultList("verify"), []
    for word in (pairs or "").replace(",", " ").split():
        match = _PAIR.match(word)
        try:
            found.append((float(match[1]), float(match[2])))
        except (TypeError, ValueError):
            faults.add("--at", word, "MHz:SWR, as in 7.05:1.8")
    for path in files:
        try:
            found += _one_port(path, option) if path.suffix.lower() == ".s1p" else _table(path, option)
        except InputError as bad:
            faults.faults += bad.faults
    for mhz, swr in found:
        if not (LOWEST_MHZ <= mhz <= HIGHEST_MHZ and swr >= 1.0):
            faults.add("reading", f"{mhz:g}:{swr:g}", f"{LOWEST_MHZ:g} to {HIGHEST_MHZ:g} MHz and an SWR of 1 or more")
            break
    if not found and not faults.faults:
        faults.add("--at, --file", None, 'something measured, as in --at "7.05:1.8 7.1:1.4"')
    faults.raise_if_any()
    freq, swr = np.array(sorted(found), float).T
    return Measured(freq_hz=1e6 * freq, swr=np.minimum(swr, MOST_SWR))


def _one_port(path: Path, option: str) -> list[tuple[float, float]]:
    """(MHz, SWR) of a one-port sweep in Touchstone form, whatever impedance it is written for. Raises InputError."""
    _text(path, option)
    import skrf  # takes a second

    try:
        network = skrf.Network(str(path))
        network.renormalize(RADIO_OHM)
        if not len(network.f):
            raise ValueError("it holds no points")
        reflection = np.minimum(np.abs(network.s[:, 0, 0]), 0.9999)
        return list(zip((np.asarray(network.f, float) / 1e6).tolist(), ((1 + reflection) / (1 - reflection)).tolist()))
    except Exception as bad:  # the reader raises whatever the file makes it
        raise InputError([Fault("sweep", option, str(path), "a one-port file that can be read", str(bad)[:100])]) from bad


def _table(path: Path, option: str) -> list[tuple[float, float]]:
    """Rows of a text file that begin with two numbers."""
    rows = [_NUMBERS.findall(line)[:2] for line in _text(path, option).splitlines() if _NUMBERS.match(line.strip())]
    if not rows or any(len(row) < 2 for row in rows):
        raise InputError([Fault("sweep", option, str(path), "lines of MHz and SWR, or a .s1p file")])
    return [(float(mhz), float(swr)) for mhz, swr in rows]


def _text(path: Path, option: str) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError(f"larger than {MOST_BYTES} bytes")
        return path.read_text(encoding="utf-8", errors="replace")
    except (OSError, ValueError) as bad:
        raise InputError([Fault("sweep", option, str(path), "a text file that can be read", str(bad)[:100])]) from bad
