"""The transformer at the feed as a circuit over frequency.

    radio ──┬──────┬──── leakage ──── 1 : n ────┬── wire
         C comp  Zm/core                     C winding
            ┴      ┴                            ┴

Zm is the primary's impedance on its ring with the complex permeability: its real admittance is the core loss, its
imaginary one the magnetising current. Leakage is seen from the primary, the winding's capacitance lies across the
secondary. Copper loss (below half a per cent here) and the drive-dependence of ferrite are left out. The ratio is that
of the turns squared, so 2:14 is 49 and 6:15 is 6.25. The 1:1 balun is a short piece of thin line wound as a choke:
the signal sees the line. A ready-made one is taken to be built as the own-wound one of its rating, with more core loss.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

from ..parts.catalogue import pieces_of
from ..parts.choke import choke
from ..parts.ferrite import Ring, ring_in
from ..parts.ready_made import core_loss_factor
from ..parts.ring_transformer import (
    FLUX_SHARE_LIMIT,
    WARMING_LIMIT_K,
    PowerStand,
    bench_check,
    core_loss_share,
    peak_flux_t,
    saturation_t,
    stands,
    warming_k,
    winding_sheet,
)
from ..parts.stress import Stress
from ..parts.tables import facts
from ..physics.constants import TWO_PI
from .line import LineRun, line_type
from .match import RADIO_OHM
from .twoport import cascade, ideal_transformer, input_impedance_ohm, series, shunt


@dataclass(frozen=True, kw_only=True)
class Transformer:
    """An autotransformer on a ring stack; `ratio` in impedance comes from the turns."""

    key: str
    ring: Ring
    primary_turns: float
    secondary_turns: float
    leakage_h: float
    winding_f: float
    compensation_f: float
    wire_m: float = 0.001
    core_loss_factor: float = 1.0  # over what ring and turns give

    @property
    def turns_ratio(self) -> float:
        return self.secondary_turns / self.primary_turns

    @property
    def ratio(self) -> float:
        return self.turns_ratio**2

    def magnetising_ohm(self, freq_hz):
        """Primary impedance on the core, secondary open, complex (F,) [ohm]."""
        z = self.ring.impedance_ohm(freq_hz, self.primary_turns)
        return z if self.core_loss_factor == 1.0 else 1.0 / (1.0 / z + (self.core_loss_factor - 1.0) * (1.0 / z).real)

    def chain(self, freq_hz, compensation_f: float | None = None):
        """Chain matrix (F, 2, 2), port 1 the primary."""
        jw = 1j * TWO_PI * np.asarray(freq_hz, float)
        across = self.compensation_f if compensation_f is None else compensation_f
        return cascade(
            shunt(1.0 / self.magnetising_ohm(freq_hz) + jw * across),
            series(jw * self.leakage_h),
            ideal_transformer(self.turns_ratio),
            shunt(jw * self.winding_f),
        )

    def impedance_ohm(self, freq_hz):
        """At the primary with the load it is made for, complex, shape of `freq_hz`."""
        load = np.full(np.shape(freq_hz), RADIO_OHM * self.ratio + 0j)
        return input_impedance_ohm(self.chain(freq_hz), load)

    def stress(self, current_a: float, *, freq_hz: float, duty: float = 1.0) -> Stress:
        """At a primary current into the rated load; the voltage is the secondary's."""
        volts = current_a * RADIO_OHM
        lost = float(core_loss_share(self.magnetising_ohm(freq_hz))) * current_a * volts * duty
        warm = warming_k(self.ring, lost)
        flux = float(peak_flux_t(self.ring, self.primary_turns, volts, freq_hz))
        weakest = "heat" if warm > WARMING_LIMIT_K else "flux" if flux > FLUX_SHARE_LIMIT * saturation_t(self.ring) else ""
        return Stress(
            current_a=current_a, voltage_v=volts * self.turns_ratio, dissipation_w=lost, warming_k=warm, stands=not weakest, weakest=weakest,
        )  # fmt: skip

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        return ((self.key, 1.0),)

    def sheet(self) -> tuple[str, ...]:
        """Winding sheet; for a ready-made one what to check."""
        if self.key.endswith("_bought"):
            return bench_check(self.ratio)
        return winding_sheet(self.ring, self.primary_turns, self.secondary_turns, self.wire_m, self.compensation_f)

    def stands(self, bands: dict[str, float], modes: dict[str, float]) -> tuple[PowerStand, ...]:
        """Power it stands on every band (name → Hz) in every mode (name → average over peak power)."""
        return stands(self.ring, self.primary_turns, bands, modes, self.core_loss_factor)


@dataclass(frozen=True, kw_only=True)
class LineBalun:
    """1:1 balun: thin coaxial line through a ring. To the signal it is `run`, outside a choke."""

    key: str
    line: str
    length_m: float

    ratio = 1.0

    @property
    def run(self) -> LineRun:
        return LineRun(kind=line_type(self.line), length_m=self.length_m)

    def chain(self, freq_hz, compensation_f: float | None = None):
        return self.run.kind.chain(freq_hz, self.length_m)

    def impedance_ohm(self, freq_hz):
        return input_impedance_ohm(self.chain(freq_hz), np.full(np.shape(freq_hz), RADIO_OHM + 0j))

    def stress(self, current_a: float, *, freq_hz: float, duty: float = 1.0) -> Stress:
        return self.run.stress(current_a, freq_hz=freq_hz, duty=duty)

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        return ((self.key, 1.0),)

    def sheet(self) -> tuple[str, ...]:
        return choke(self.key).sheet()


@cache
def transformer(key: str) -> Transformer | LineBalun:
    """The transformer of that part key; InputError if there is none."""
    own = key.removesuffix("_bought")
    pieces = pieces_of(own)
    data = facts("transformers")[own]
    if "line_length" in data:
        line = next(part for part, _ in pieces if part.startswith("cable_"))
        return LineBalun(key=key, line=line, length_m=data["line_length"])
    return Transformer(
        key=key, ring=ring_in(pieces), primary_turns=data["primary_turns"], secondary_turns=data["secondary_turns"],
        leakage_h=data["leakage"], winding_f=data["winding_capacitance"], compensation_f=data["compensation"],
        wire_m=data["wire_diameter"], core_loss_factor=core_loss_factor(key),
    )  # fmt: skip


@lru_cache(maxsize=512)
def _kept_chain(key: str, freq_bytes: bytes, compensation_f: float | None) -> np.ndarray:
    chain = transformer(key).chain(np.frombuffer(freq_bytes), compensation_f)
    chain.setflags(write=False)
    return chain


def transformer_chain(key: str, freq_hz: np.ndarray, compensation_f: float | None = None) -> np.ndarray:
    """Chain matrix of a catalogued transformer, kept per frequency list (read-only)."""
    return _kept_chain(key, np.ascontiguousarray(freq_hz, float).tobytes(), compensation_f)
