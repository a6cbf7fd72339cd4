"""A sweep from whatever instrument (Touchstone, or lines of MHz and SWR) as a reading: dip, SWR there, SWR at some frequencies about it."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from ..ensemble.yard import read_dip_hz
from ..errors import Fault, InputError
from ..sheet.measured import measured

LOOKED_FOR = 0.12  # either side of the aim
AROUND = (-0.02, -0.01, 0.01, 0.02)  # of the dip: where points are taken


def read_sweep(path: Path, target_hz: float) -> dict:
    """{"dip_hz", "swr", "points"} near the aim. InputError where the file cannot be read or does not reach it."""
    read = measured(files=(path,), option="--touchstone")
    freq, swr = read.freq_hz, read.swr
    near = np.abs(freq / target_hz - 1) <= LOOKED_FOR
    if near.sum() < 3:
        raise InputError([Fault("trim", "--touchstone", str(path), f"points near {target_hz / 1e6:.3f} MHz")])
    freq, swr = freq[near], swr[near]
    dip = read_dip_hz(freq, swr)
    at = [dip * (1 + share) for share in AROUND if freq[0] <= dip * (1 + share) <= freq[-1]]
    return {"dip_hz": dip, "swr": float(swr.min()), "points": tuple((f, float(np.interp(f, freq, swr))) for f in at)}
