"""The power that every part of a design stands, from the solved currents: for heat on average, for voltage at the peak.

    heat_w    average power from the radio at which the part gets as warm as it may
    peak_w    peak envelope power from the radio at which it flashes over or saturates

Both are properties of design and frequency alone; the station's power, mode duty and transmit share come in when a design is judged. What a part
stands as a current is found by halving on its own answer (`stress`), once per part and frequency. The line's heating and voltage rise with the SWR
on it. Frequencies at which even the last radio of the trade folds back (`FOLD_BACK_SWR`, common practice, no source) are not sent on and set no limit. Coils are judged as wound on the standard former (see `bench`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..parts.choke import Choke
from ..parts.stress import Stress
from ..parts.winding import winding_of
from ..physics.elements import Coil
from .line import COAX_POWER_REFERENCE_HZ, line_type
from .match import RADIO_OHM, reflection_of_swr
from .radio import accepted_share
from .transformer import transformer
from .tuner import tuner

FOLD_BACK_SWR = 3.0
HEAT_WORDS = ("heat", "warming", "power")
MOST_A = 1e3
LEAST_A = 1e-4


@dataclass(frozen=True, kw_only=True)
class Stands:
    """What a part stands, as power from the radio [W]: `heat_w` on average, `peak_w` at the peak; inf where it sets no limit."""

    heat_w: float = math.inf
    peak_w: float = math.inf

    def most_peak_w(self, average_over_peak: float) -> float:
        """Peak envelope power it stands at that mode duty times transmit share [W]."""
        return min(self.peak_w, self.heat_w / average_over_peak)

    def least(self, other: Stands) -> Stands:
        return Stands(heat_w=min(self.heat_w, other.heat_w), peak_w=min(self.peak_w, other.peak_w))


@lru_cache(maxsize=20_000)
def currents_stood_a(part, freq_hz: float) -> tuple[float, float]:
    """Currents [A rms] up to which a part (anything that answers `stress`) stands heat at full duty, and voltage."""
    return (
        _up_to(lambda a: part.stress(a, freq_hz=freq_hz, duty=1.0).weakest not in HEAT_WORDS),
        _up_to(lambda a: part.stress(a, freq_hz=freq_hz, duty=1e-12).stands),
    )


def _up_to(good) -> float:
    """Largest current for which `good` holds, to a thousandth; inf above `MOST_A`."""
    if good(MOST_A):
        return math.inf
    low, high = math.log(LEAST_A), math.log(MOST_A)
    while high - low > 1e-3:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if good(math.exp(middle)) else (low, middle)
    return math.exp(low)


def accepted(seen) -> np.ndarray:
    """Power that enters the tuner or line over the radio's rated power, (F,)."""
    return accepted_share(seen.swr_radio, FOLD_BACK_SWR)


def stands_of(solution, seen, feed) -> dict[str, Stands]:
    """By part (line, transformer, tuner, coil, trap, choke): the least it stands over the solved frequencies in match, empty if there are none.

    solution : a field solution; seen : the `Look` at the same frequencies; feed : as in `feedpoint.look`.
    """
    sent = np.flatnonzero(np.asarray(seen.swr_radio) <= FOLD_BACK_SWR)
    if not len(sent):
        return {}
    freq_hz = solution.freq_hz[sent]
    found: dict[str, Stands] = {"line": _line(freq_hz, seen, feed, sent)}
    if feed.tuner:
        found["tuner"] = Stands(heat_w=float(tuner(feed.tuner).power_w))
    for driven in driven_parts(solution, seen.delivered, feed):
        _take(found, driven.kind, driven.part, freq_hz, driven.amps_1w[sent])
    return found


@dataclass(frozen=True, kw_only=True)
class Driven:
    """A part with the current through it (the primary's, of a transformer) for one watt from the radio, (F,) [A]; `where` on which wire."""

    kind: str
    where: str
    part: object
    amps_1w: np.ndarray


def driven_parts(solution, delivered, feed):
    """Everything that is wound and carries the solved current. delivered (F,): share of the radio's power that reaches the port."""
    port_a = np.sqrt(np.asarray(delivered) / np.maximum(solution.z_ohm.real, 1e-9))
    if feed.transformer:
        part = transformer(feed.transformer)
        primary_v = port_a * np.abs(solution.z_ohm) / math.sqrt(part.ratio)
        yield Driven(kind="transformer", where="feed", part=part, amps_1w=primary_v / RADIO_OHM)
    for n, load in enumerate(solution.loads):
        found = _part_of(load.element)
        if found is not None:
            where = f"{load.wire} at {load.at_m:.1f} m"
            yield Driven(kind=found[0], where=where, part=found[1], amps_1w=port_a * load_currents_a(solution, n))


@dataclass(frozen=True, kw_only=True)
class PartStress:
    """What the station's power does to a part on one band; weight 0 where it does not hang in the wire."""

    name: str
    band: str
    weight_n: float
    stress: Stress


def stresses_of(solution, delivered, feed, *, band: str, power_w: float, duty: float) -> list[PartStress]:
    """At the first solved frequency, for that peak power from the radio; warming by its average."""
    freq = float(solution.freq_hz[0])
    return [
        PartStress(
            name=f"{d.kind}, {d.where}", band=band, weight_n=getattr(d.part, "weight_n", 0.0),
            stress=d.part.stress(float(d.amps_1w[0]) * math.sqrt(power_w), freq_hz=freq, duty=duty),
        )
        for d in driven_parts(solution, delivered, feed)
    ]  # fmt: skip


def load_currents_a(solution, n: int) -> np.ndarray:
    """Current through load n for 1 A into the port, (F,) [A]."""
    z = np.asarray(solution.loads[n].element.impedance_ohm(solution.freq_hz))
    volts = np.array([solution.port_volts(i)[len(solution.ports) + n] for i in range(len(solution.freq_hz))])
    return np.abs(volts / z)


def _take(found, name, part, freq_hz, amps_1w) -> None:
    for freq, amps in zip(np.asarray(freq_hz).tolist(), np.asarray(amps_1w).tolist()):
        heat_a, peak_a = currents_stood_a(part, freq)
        here = Stands(heat_w=(heat_a / amps) ** 2, peak_w=(peak_a / amps) ** 2)
        found[name] = here.least(found[name]) if name in found else here


def _part_of(element):
    """Kind and winding of a lumped element; None for what has no power limit here."""
    if isinstance(element, Choke):
        return "choke", element
    winding = winding_of(element)
    return ("coil" if isinstance(element, Coil) else "trap", winding) if winding else None


def _line(freq_hz, seen, feed, sent) -> Stands:
    """Hottest at the radio's end or at the far end: power there times the SWR there."""
    kind = line_type(feed.line)
    far = np.maximum(np.asarray(seen.swr_line)[sent], 1.0)
    into = 1.0 - np.asarray(seen.shares["tuner"])[sent]
    past = into - np.asarray(seen.shares["line"])[sent]
    loss = 10.0 ** (-kind.matched_loss_db_per_100m(freq_hz) * feed.line_length_m / 1000.0)
    gamma = reflection_of_swr(far) * loss
    near = (1.0 + gamma) / (1.0 - gamma)
    hottest = np.maximum(into * near, past * far)
    heat = kind.power_at_10mhz_w * np.sqrt(COAX_POWER_REFERENCE_HZ / freq_hz) / hottest
    return Stands(heat_w=float(heat.min()), peak_w=float((kind.voltage_v**2 / kind.z0_ohm / hottest).min()))
