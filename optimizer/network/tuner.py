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


@cache
def _arrangements(t: Tuner) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """(N, 1) each: shunt at the load?, unit series impedance v, unit shunt admittance u; both roots listed."""
    coil, cap = 1.0 / t.coil_q, 1.0 / t.capacitor_q
    signs = [(1, 1), (1, -1), (-1, 1), (-1, -1)] if t.any_arrangement else [(1, 1)]
    rows = [
        (at_load, (coil if s > 0 else cap) + 1j * s, (cap if p > 0 else coil) + 1j * p)
        for at_load in (True, False) for s, p in signs for _ in (0, 1)
    ]  # fmt: skip
    at_load, v, u = (np.array(column)[:, None] for column in zip(*rows))
    return at_load, v, u


def match(t: Tuner, freq_hz, z_load_ohm, target_ohm: float = RADIO_OHM) -> Match:
    """Coil and capacitor that turn the load (F,) into the target, and what that costs."""
    w = TWO_PI * np.asarray(freq_hz, float)
    z = np.asarray(z_load_ohm, complex)
    at_load, v, u = _arrangements(t)
    load = np.where(at_load, 1.0 / z, z)  # the first element adds to this immittance
    want = np.where(at_load, target_ohm, 1.0 / target_ohm)
    first, second = np.where(at_load, u, v), np.where(at_load, v, u)
    near, far = _solve(load, want, first, second)
    x, y = np.where(at_load, far, near), np.where(at_load, near, far)
    good = _buildable(t, w, x, y, v, u) & (swr(z, target_ohm) <= t.swr_max)
    inner = load + first * near
    with np.errstate(invalid="ignore", divide="ignore"):
        # share past the first element times share past the second: Re(1/inner) / want over Re(inner) / Re(load)
        passed = np.where(good, load.real / np.abs(inner) ** 2 / want, -1.0)
    best = np.argmax(passed, axis=0)
    columns = np.arange(z.size)
    ok = good[best, columns]
    return Match(
        matched=ok, z_in_ohm=np.where(ok, target_ohm, z), delivered=np.where(ok, passed[best, columns], 1.0),
        series_ohm=np.where(ok, (x * v.imag)[best, columns], 0.0),
        shunt_siemens=np.where(ok, (y * u.imag)[best, columns], 0.0), shunt_at_load=at_load[best, 0],
    )  # fmt: skip


def _solve(load, want, first, second):
    """Real a, b with 1/(load + a·first) = want - b·second, both roots in alternating rows.

    Im[(want·|D|² - conj D)·conj(second)] = 0 with D = load + a·first is a quadratic in a.
    """
    s = np.conj(second)
    qa = want * s.imag * np.abs(first) ** 2
    qb = 2.0 * want * s.imag * (np.conj(load) * first).real - (np.conj(first) * s).imag
    qc = want * s.imag * np.abs(load) ** 2 - (np.conj(load) * s).imag
    sign = np.where(np.arange(len(first)) % 2, 1.0, -1.0)[:, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        a = (-qb + sign * np.sqrt(qb * qb - 4.0 * qa * qc)) / (2.0 * qa)
        b = ((want - 1.0 / (load + a * first)) / second).real
    return a, b


def _buildable(t: Tuner, w, x, y, v, u):
    """Both elements wanted with positive size and within the tuner's coil and capacitor."""
    with np.errstate(invalid="ignore"):
        coil_x, least_x = w * t.inductance_max_h, 1.0 / (w * t.capacitance_max_f)
        series_ok = np.where(v.imag > 0, x <= coil_x, x >= least_x)
        shunt_ok = np.where(u.imag > 0, y <= 1.0 / least_x, y >= 1.0 / coil_x)
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
