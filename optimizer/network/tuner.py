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
    """`any_arrangement`: coil or capacitor in either place; else series coil and shunt capacitor only. `retune_s`: time at the desk for a change of band."""

    key: str
    inductance_max_h: float
    capacitance_max_f: float
    coil_q: float
    capacitor_q: float
    any_arrangement: bool = False
    swr_max: float = 1000.0
    power_w: float = 100.0
    voltage_v: float = 1000.0
    retune_s: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Match:
    """What the tuner makes of a load, all (F,). Where `matched` is false it is bypassed.

    `delivered`: the share that passes. `way`: row of the arrangement in `ways`; `a`, `b`: sizes of its first element (next to the
    load) and its second, signless.
    """

    matched: np.ndarray
    z_in_ohm: np.ndarray
    delivered: np.ndarray
    way: np.ndarray
    a: np.ndarray
    b: np.ndarray
    ways: _Ways

    @property
    def shunt_at_load(self) -> np.ndarray:
        """On which side the shunt sits."""
        return self.ways.at_load[self.way, 0]

    @property
    def series_ohm(self) -> np.ndarray:
        """Signed reactance in series: above zero a coil, below a capacitor."""
        size = np.where(self.shunt_at_load, self.b, self.a)
        return np.where(self.matched, size * self.ways.series_sign[self.way, 0], 0.0)

    @property
    def shunt_siemens(self) -> np.ndarray:
        """Signed susceptance across: above zero a capacitor, below a coil."""
        size = np.where(self.shunt_at_load, self.a, self.b)
        return np.where(self.matched, size * self.ways.shunt_sign[self.way, 0], 0.0)


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
        power_w=data["power"], voltage_v=data["voltage"], retune_s=data["retune"],
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class _Ways:
    """Every arrangement and root as a row, (N, 1): is the shunt at the load; coil or capacitor in series, in shunt;
    the unit immittances of the first element (next to the load) and of the second, and products of them; which root.

    `least`, `most`: of each element's size, as factors: size >= least/w and size <= most w, with w = 2 pi f.
    """

    at_load: np.ndarray
    series_sign: np.ndarray
    shunt_sign: np.ndarray
    first: np.ndarray
    second: np.ndarray
    first_square: np.ndarray
    product: np.ndarray
    root: np.ndarray
    least: tuple[np.ndarray, np.ndarray]
    most: tuple[np.ndarray, np.ndarray]


@cache
def _ways(t: Tuner) -> _Ways:
    coil, cap = 1.0 / t.coil_q, 1.0 / t.capacitor_q
    signs = ((1, 1), (1, -1), (-1, 1), (-1, -1)) if t.any_arrangement else ((1, 1),)
    rows = [(at_load, s, p, root) for at_load in (True, False) for s, p in signs for root in (-1.0, 1.0)]
    at_load, s, p, root = (np.array(column)[:, None] for column in zip(*rows))
    v = np.where(s > 0, coil, cap) + 1j * s
    u = np.where(p > 0, cap, coil) + 1j * p
    first, second = np.where(at_load, u, v), np.where(at_load, v, u)
    coil_f, cap_f = 1.0 / t.inductance_max_h, 1.0 / t.capacitance_max_f
    x_least, x_most = np.where(s > 0, 0.0, cap_f), np.where(s > 0, t.inductance_max_h, np.inf)
    y_least, y_most = np.where(p > 0, 0.0, coil_f), np.where(p > 0, t.capacitance_max_f, np.inf)
    return _Ways(
        at_load=at_load, series_sign=s, shunt_sign=p, first=first, second=second, first_square=np.abs(first) ** 2,
        product=(first * second).imag, root=root,
        least=(np.where(at_load, y_least, x_least), np.where(at_load, x_least, y_least)),
        most=(np.where(at_load, y_most, x_most), np.where(at_load, x_most, y_most)),
    )  # fmt: skip


def match(t: Tuner, freq_hz, z_load_ohm, target_ohm: float = RADIO_OHM) -> Match:
    """Coil and capacitor that turn the load (F,) into the target, and what that costs."""
    w = TWO_PI * np.asarray(freq_hz, float)
    z = np.asarray(z_load_ohm, complex)
    ways = _ways(t)
    load = np.where(ways.at_load, 1.0 / z, z)  # the first element adds to this immittance
    want = np.where(ways.at_load, target_ohm, 1.0 / target_ohm)
    with np.errstate(invalid="ignore", divide="ignore"):
        a, b, inner = _solve(load, want, ways)
        good = _buildable(w, a, b, ways) & (swr(z, target_ohm) <= t.swr_max)
        # share past the first element, Re(load)/Re(inner), times share past the second, Re(1/inner)/want
        passed = np.where(good, load.real / (inner.real**2 + inner.imag**2) / want, -1.0)
    best = passed.argmax(axis=0)
    at = (best, np.arange(z.size))
    ok, share = good[at], passed[at]
    return Match(
        matched=ok, z_in_ohm=np.where(ok, target_ohm, z), delivered=np.where(ok, share, 1.0), way=best, a=a[at], b=b[at], ways=ways,
    )  # fmt: skip


def _solve(load, want, ways: _Ways):
    """Real a, b with 1/D = want - b·second, D = load + a·first, for every way; and D.

    Im[(want·|D|² - conj D)·conj(second)] = 0 is a quadratic in a.
    """
    re, im = load.real, load.imag
    ws = -want * ways.second.imag
    qa = ws * ways.first_square
    qb = 2.0 * ws * (re * ways.first.real + im * ways.first.imag) + ways.product
    qc = ws * (re * re + im * im) + (load * ways.second).imag
    a = (ways.root * np.sqrt(qb * qb - 4.0 * qa * qc) - qb) / (2.0 * qa)
    inner = load + a * ways.first
    return a, ((want - 1.0 / inner) / ways.second).real, inner


def _buildable(w, a, b, ways: _Ways):
    """Both elements wanted with positive size and within the tuner's coil and capacitor."""
    (a_least, b_least), (a_most, b_most) = ways.least, ways.most
    return (a >= a_least / w) & (b >= b_least / w) & (a <= a_most * w) & (b <= b_most * w)


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
