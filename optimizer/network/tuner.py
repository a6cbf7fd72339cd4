"""Matching network of one coil and one capacitor with real Q, solved exactly.

Series element x·v (v = j + 1/Q for a coil, -j + 1/Q for a capacitor; x > 0 in ohm) and shunt element y·u, the shunt
on the load's side or the radio's. Asking for the target impedance is one complex bilinear equation; dropping the
series unknown leaves a real quadratic for the other, so the match, losses included, is closed form. Of all arrangements
whose coil and capacitor the tuner has, the least lossy is taken; without one, the tuner stays out of the way.
Source of the lossless L network: any radio handbook (Q = sqrt(Rhi/Rlo - 1)); the lossy form is that algebra with
complex v, u.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from ..errors import FaultList
from ..parts.stress import Stress
from ..parts.tables import facts
from ..physics.constants import TWO_PI
from .match import RADIO_OHM, swr

CASE_K_PER_W = 1.5  # inside a closed case, common practice, no source


@dataclass(frozen=True, kw_only=True)
class Tuner:
    """`any_arrangement`: coil or capacitor in either place; else series coil and shunt capacitor only."""

    key: str
    inductance_max_h: float
    capacitance_max_f: float
    coil_q: float
    capacitor_q: float
    any_arrangement: bool = False
    swr_max: float = 1000.0
    power_w: float = 100.0
    voltage_v: float = 1000.0


@dataclass(frozen=True, kw_only=True)
class Match:
    """What the tuner makes of a load, all (F,). Where `matched` is false it is bypassed.

    `series_ohm`, `shunt_siemens`: signed element values (positive reactance: coil; positive susceptance:
    capacitor); `shunt_at_load` tells on which side the shunt sits; `delivered` the share that passes.
    """

    matched: np.ndarray
    z_in_ohm: np.ndarray
    delivered: np.ndarray
    series_ohm: np.ndarray
    shunt_siemens: np.ndarray
    shunt_at_load: np.ndarray


@cache
def tuner(key: str) -> Tuner:
    """The tuner of that part key; InputError if there is none."""
    table = facts("tuners")
    if key not in table:
        faults = FaultList("catalogue")
        faults.add("tuner", key, "one of " + ", ".join(table))
        faults.raise_if_any()
    data = table[key]
    return Tuner(
        key=key, inductance_max_h=data["inductance_max"], capacitance_max_f=data["capacitance_max"], coil_q=data["coil_q"],
        capacitor_q=data["capacitor_q"], any_arrangement=bool(data["any_arrangement"]), swr_max=data["swr_max"],
        power_w=data["power"], voltage_v=data["voltage"],
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class _Ways:
    """Every arrangement and root as a row, (N, 1): is the shunt at the load; coil or capacitor in series, in shunt;
    the unit immittances of the first element (next to the load) and of the second; which root."""

    at_load: np.ndarray
    series_sign: np.ndarray
    shunt_sign: np.ndarray
    first: np.ndarray
    second: np.ndarray
    root: np.ndarray


@cache
def _ways(t: Tuner) -> _Ways:
    coil, cap = 1.0 / t.coil_q, 1.0 / t.capacitor_q
    signs = ((1, 1), (1, -1), (-1, 1), (-1, -1)) if t.any_arrangement else ((1, 1),)
    rows = [(at_load, s, p, root) for at_load in (True, False) for s, p in signs for root in (-1.0, 1.0)]
    at_load, s, p, root = (np.array(column)[:, None] for column in zip(*rows))
    v = np.where(s > 0, coil, cap) + 1j * s
    u = np.where(p > 0, cap, coil) + 1j * p
    first, second = np.where(at_load, u, v), np.where(at_load, v, u)
    return _Ways(at_load=at_load, series_sign=s, shunt_sign=p, first=first, second=second, root=root)


def match(t: Tuner, freq_hz, z_load_ohm, target_ohm: float = RADIO_OHM) -> Match:
    """Coil and capacitor that turn the load (F,) into the target, and what that costs."""
    w = TWO_PI * np.asarray(freq_hz, float)
    z = np.asarray(z_load_ohm, complex)
    ways = _ways(t)
    load = np.where(ways.at_load, 1.0 / z, z)  # the first element adds to this immittance
    want = np.where(ways.at_load, target_ohm, 1.0 / target_ohm)
    with np.errstate(invalid="ignore", divide="ignore"):
        a, b, inner = _solve(load, want, ways)
        x, y = np.where(ways.at_load, b, a), np.where(ways.at_load, a, b)
        good = _buildable(t, w, x, y, ways) & (swr(z, target_ohm) <= t.swr_max)
        # share past the first element, Re(load)/Re(inner), times share past the second, Re(1/inner)/want
        passed = np.where(good, load.real / (inner.real**2 + inner.imag**2) / want, -1.0)
    best = passed.argmax(axis=0)
    at = (best, np.arange(z.size))
    ok = good[at]
    return Match(
        matched=ok, z_in_ohm=np.where(ok, target_ohm, z), delivered=np.where(ok, passed[at], 1.0),
        series_ohm=np.where(ok, x[at] * ways.series_sign[best, 0], 0.0),
        shunt_siemens=np.where(ok, y[at] * ways.shunt_sign[best, 0], 0.0), shunt_at_load=ways.at_load[best, 0],
    )  # fmt: skip


def _solve(load, want, ways: _Ways):
    """Real a, b with 1/D = want - b·second, D = load + a·first, for every way; and D.

    Im[(want·|D|² - conj D)·conj(second)] = 0 is a quadratic in a.
    """
    first, second = ways.first, ways.second
    ws = -want * second.imag
    qa = ws * (first.real**2 + first.imag**2)
    qb = 2.0 * ws * (load.real * first.real + load.imag * first.imag) + (first * second).imag
    qc = ws * (load.real**2 + load.imag**2) + (load * second).imag
    a = (ways.root * np.sqrt(qb * qb - 4.0 * qa * qc) - qb) / (2.0 * qa)
    inner = load + a * first
    return a, ((want - 1.0 / inner) / second).real, inner


def _buildable(t: Tuner, w, x, y, ways: _Ways):
    """Both elements wanted with positive size and within the tuner's coil and capacitor."""
    most_l, most_c = w * t.inductance_max_h, w * t.capacitance_max_f
    if not t.any_arrangement:
        return (x >= 0.0) & (y >= 0.0) & (x <= most_l) & (y <= most_c)
    series_ok = np.where(ways.series_sign > 0, x <= most_l, x * most_c >= 1.0)
    shunt_ok = np.where(ways.shunt_sign > 0, y <= most_c, y * most_l >= 1.0)
    return (x >= 0.0) & (y >= 0.0) & series_ok & shunt_ok


@dataclass(frozen=True, kw_only=True)
class TunedLoad:
    """A tuner with a load on it, for what its parts have to stand."""

    tuner: Tuner
    load_ohm: complex

    def impedance_ohm(self, freq_hz):
        """At the radio, complex, shape of `freq_hz`."""
        freq = np.atleast_1d(np.asarray(freq_hz, float))
        z_in = match(self.tuner, freq, np.full(freq.shape, complex(self.load_ohm))).z_in_ohm
        return z_in.reshape(np.shape(freq_hz))

    def stress(self, current_a: float, *, freq_hz: float, duty: float = 1.0) -> Stress:
        """At a current from the radio; the voltage is the higher of both sides'."""
        found = match(self.tuner, np.array([freq_hz]), np.array([complex(self.load_ohm)]))
        power = current_a**2 * RADIO_OHM
        passed = float(found.delivered[0])
        out_v = np.sqrt(power * passed / self.load_ohm.real) * abs(self.load_ohm)
        volts = float(max(current_a * RADIO_OHM, out_v))
        lost = power * (1.0 - passed) * duty
        weakest = "power" if power * duty > self.tuner.power_w else "voltage" if volts > self.tuner.voltage_v else ""
        return Stress(
            current_a=current_a, voltage_v=volts, dissipation_w=lost, warming_k=lost * CASE_K_PER_W, stands=not weakest, weakest=weakest,
        )  # fmt: skip

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        return ((self.tuner.key, 1.0),)

    def sheet(self) -> tuple[str, ...]:
        return ()  # bought
