"""Wished bands as the families see them, and the lengths the trade starts from.

A `Band` gathers all wished segments of one amateur band. Lengths in metres, frequencies in hertz.
Starting lengths are rules of thumb (half wave 143/f, f in MHz; common practice, no source): they
bound the search, they are not the answer. Loaded lengths follow the open-line picture of a wire: a
wire of length l and electrical length t ends in -j Z0 cot t, Z0 = 60 (ln(2 l / a) - 1) ohm with radius a
(mean characteristic impedance of a straight wire; Schelkunoff, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from ..physics.constants import C0_M_PER_S, TWO_PI

HARMONIC_SLACK = 0.035  # how far a band may lie off a multiple of the lowest one
RADIUS_M = 0.7e-3


@dataclass(frozen=True, kw_only=True)
class Band:
    """One wished band: `key` of its heaviest segment, weighted middle of its segments, summed weight."""

    name: str
    key: str
    low_hz: float
    high_hz: float
    centre_hz: float
    weight: float

    @property
    def centre_mhz(self) -> float:
        return self.centre_hz / 1e6

    @property
    def half_wave_m(self) -> float:
        """Half-wave wire before trimming, 143/f(MHz) [m] (common practice, no source)."""
        return 143.0 / self.centre_mhz

    @property
    def wavelength_m(self) -> float:
        return C0_M_PER_S / self.centre_hz


@lru_cache(maxsize=64)
def wished_bands(wishes) -> tuple[Band, ...]:
    """The wished bands, lowest first; several segments of a band become one."""
    by_name: dict[str, list] = {}
    for wish in wishes.bands:
        by_name.setdefault(wish.band, []).append(wish)
    found = []
    for name, segments in by_name.items():
        weight = sum(s.weight for s in segments)
        shares = [s.weight / weight if weight > 0 else 1.0 / len(segments) for s in segments]
        found.append(
            Band(
                name=name,
                key=max(segments, key=lambda s: s.weight).key,
                low_hz=min(s.low_hz for s in segments),
                high_hz=max(s.high_hz for s in segments),
                centre_hz=sum(p * s.centre_hz for p, s in zip(shares, segments)),
                weight=weight,
            )
        )
    return tuple(sorted(found, key=lambda b: b.centre_hz))


def harmonics(base: Band, bands, *, odd_only: bool = False) -> tuple[Band, ...]:
    """Those of `bands` that lie near a whole (or odd) multiple of `base`, itself included."""
    found = []
    for band in bands:
        multiple = max(1, round(band.centre_hz / base.centre_hz))
        near = abs(band.centre_hz / (multiple * base.centre_hz) - 1.0) <= HARMONIC_SLACK
        if near and not (odd_only and multiple % 2 == 0):
            found.append(band)
    return tuple(found)


def weight_of(bands) -> float:
    return sum(b.weight for b in bands)


def by_weight(options, served) -> list:
    """The options that serve most weight first; of equals the one listed first."""
    return sorted(options, key=lambda o: -weight_of(served(o)))


def heaviest(options, served):
    """The option that serves most weight; the one listed first wins a tie. None without options."""
    return max(options, key=lambda o: weight_of(served(o)), default=None)


def names(bands) -> tuple[str, ...]:
    return tuple(b.name for b in bands)


def loaded_outer_m(*, inner_m: float, low_hz: float, reactance_ohm: float, quarter: bool) -> float:
    """Wire beyond a series reactance that completes resonance at `low_hz` [m], within 0.005..0.25 wavelength.

    `quarter`: a centre-fed leg (inner + outer together resonate as a quarter wave), else an end-fed wire
    (as a half wave). With inner electrical length a: Z0 cot(outer) = X + Zi tan a, or X - Zi cot a.
    Good to some ten per cent; a start for the field solution.
    """
    wave_m = C0_M_PER_S / low_hz
    a = min(TWO_PI * inner_m / wave_m, math.pi / 2 * 0.98 if quarter else math.pi * 0.98)
    inner_ohm = line_z0_ohm(inner_m) * (math.tan(a) if quarter else -1.0 / math.tan(a))
    outer = 0.05 * wave_m
    for _ in range(6):
        angle = math.atan2(1.0, (reactance_ohm + inner_ohm) / line_z0_ohm(outer))
        outer = min(max(angle / TWO_PI, 0.005), 0.25) * wave_m
    return outer


def line_z0_ohm(length_m: float) -> float:
    """Mean characteristic impedance of a straight wire [ohm], see the module."""
    return 60.0 * (math.log(2.0 * length_m / RADIUS_M) - 1.0)
