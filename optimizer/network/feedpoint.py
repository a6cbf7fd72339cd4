"""From the wire's port back to the radio's socket: impedance, SWR and where the power goes.

The chain, radio first: tuner (if any) · line · transformer (if any) · port. A choke does nothing to the signal inside
the line; its work is in the field solution, on the outside of the line. Shares are of the power accepted from the
radio: with `delivered` they sum to one, frequency by frequency.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .line import line_type
from .match import RADIO_OHM, swr
from .transformer import transformer_chain
from .tuner import match, tuner
from .twoport import carried_back, uniform_line


@dataclass(frozen=True, kw_only=True)
class Look:
    """All (F,). `swr_radio` is what the radio sees, behind a tuner if there is one; `swr_line` the SWR on
    the line at its far end; `swr_feed` the same load against 50 ohm; `shares` part → lost fraction (line, transformer, tuner)."""

    z_radio_ohm: np.ndarray
    swr_radio: np.ndarray
    swr_feed: np.ndarray
    swr_line: np.ndarray
    shares: dict[str, np.ndarray]
    delivered: np.ndarray
    tuned: np.ndarray


@lru_cache(maxsize=256)
def _line_constants(key: str, freq_bytes: bytes):
    kind, freq_hz = line_type(key), np.frombuffer(freq_bytes)
    return kind.gamma_per_m(freq_hz), kind.impedance_ohm(freq_hz), kind.z0_ohm


def look(freq_hz, z_port_ohm, feed) -> Look:
    """What the radio sees of a port, and the budget on the way.

    freq_hz (F,), z_port_ohm complex (F,); feed: anything with the fields of `families.design.Feed`.
    `feed.compensation_f` of 0 means the capacitor that the transformer is catalogued with. Raises InputError for
    part keys that do not exist.
    """
    freq_hz = np.ascontiguousarray(freq_hz, float)
    z_end = np.asarray(z_port_ohm, complex)
    past_transformer = past_tuner = 1.0
    tuned = np.zeros(freq_hz.shape, bool)
    if feed.transformer:
        chain = transformer_chain(feed.transformer, freq_hz, feed.compensation_f or None)
        z_end, past_transformer = carried_back(chain, z_end)
    gamma, zc, z0 = _line_constants(feed.line, freq_hz.tobytes())
    z, past_line = carried_back(uniform_line(gamma * feed.line_length_m, zc), z_end)
    if feed.tuner:
        tuned_to = match(tuner(feed.tuner), freq_hz, z)
        z, past_tuner, tuned = tuned_to.z_in_ohm, tuned_to.delivered, tuned_to.matched
    at_line = past_tuner + 0.0 * past_line
    shares = {
        "tuner": 1.0 - at_line,
        "line": at_line * (1.0 - past_line),
        "transformer": at_line * past_line * (1.0 - past_transformer),
    }
    return Look(
        z_radio_ohm=z, swr_radio=swr(z), swr_feed=swr(z_end, RADIO_OHM), swr_line=swr(z_end, z0), shares=shares,
        delivered=at_line * past_line * past_transformer, tuned=tuned,
    )  # fmt: skip
