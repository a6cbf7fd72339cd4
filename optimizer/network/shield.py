"""The record of what the outside of a line carries; `outside` computes it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class ShieldCurrent:
    """Largest current on the outside of the line, and the current that enters the house on it [A rms] at the station's peak power, and the
    feed impedance, without and with the choke; `choke_a`: through the choke itself."""

    without_choke_a: float
    with_choke_a: float
    entering_without_a: float
    entering_with_a: float
    feed_ohm_without: complex
    feed_ohm_with: complex
    choke_a: float = 0.0
