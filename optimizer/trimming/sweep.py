"""A one-port sweep in Touchstone form, from whatever instrument, as a reading: dip, SWR there, SWR at some frequencies about it."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from ..ensemble.yard import read_dip_hz
from ..errors import Fault, InputError

LOOKED_FOR = 0.12  # either side of the aim
AROUND = (-0.02, -0.01, 0.01, 0.02)  # of the dip: where points are taken


def read_sweep(path: Path, target_hz: float) -> dict:
    """{"dip_hz", "swr", "points"} near the aim. InputError where the file cannot be read or does not reach it."""
    freq, reflection = _one_port(path)
    near = np.abs(freq / target_hz - 1) <= LOOKED_FOR
    if near.sum() < 3:
        raise InputError([Fault("trim", "--touchstone", str(path), f"points near {target_hz / 1e6:.3f} MHz")])
    freq, gamma = freq[near], np.minimum(reflection[near], 0.999)
    swr = (1 + gamma) / (1 - gamma)
    dip = read_dip_hz(freq, swr)
    at = [dip * (1 + share) for share in AROUND if freq[0] <= dip * (1 + share) <= freq[-1]]
    return {"dip_hz": dip, "swr": float(swr.min()), "points": tuple((f, float(np.interp(f, freq, swr))) for f in at)}


def _one_port(path: Path) -> tuple[np.ndarray, np.ndarray]:
    """Frequencies, ascending [Hz], and size of the reflection."""
    try:
        import skrf
    except ImportError as missing:
        raise InputError([Fault("trim", "--touchstone", str(path), "scikit-rf installed", "pip install '.[touchstone]'")]) from missing
    try:
        network = skrf.Network(str(path))
        network.renormalize(50.0)
        freq, reflection = np.asarray(network.f, float), np.abs(network.s[:, 0, 0])
    except Exception as bad:  # the reader raises whatever the file makes it
        raise InputError([Fault("trim", "--touchstone", str(path), "a one-port file that can be read", str(bad)[:100])]) from bad
    order = np.argsort(freq, kind="stable")
    return freq[order], reflection[order]
