"""Plain dipole, flat or as an inverted V: half a wave on one band.

Serves the wished band it is cut for, and wished bands near odd multiples of it, where the middle is a current
maximum again. Among bands the lot holds it takes the one that serves most weight, the lowest of equals.
"""

from __future__ import annotations

from .bands import harmonics, heaviest, names, wished_bands
from .centre_fed import balanced_feed, centre_parameters, hang, one_wire
from .choices import length
from .common import close
from .design import TrimStep
from .family import Family
from .rig import Rig
from .starts import cut_for, sifted


def _served(band, wishes):
    return harmonics(band, wished_bands(wishes), odd_only=True)


def serves(wishes) -> tuple[str, ...]:
    band = heaviest(wished_bands(wishes), lambda b: _served(b, wishes))
    return names(_served(band, wishes)) if band else ()


def _base(site, wishes):
    return cut_for(FAMILY, site, wishes, lambda: wished_bands(wishes), lambda b: b.half_wave_m, lambda b: _served(b, wishes), "no half wave fits")


def parameters(site, wishes):
    base = _base(site, wishes)
    return (*centre_parameters(site, wishes, base.half_wave_m), length("leg_m", base.half_wave_m / 2))


def build(values, site, wishes):
    base = _base(site, wishes)
    rig = Rig(site, wishes)
    legs = (values["leg_m"],) * 2
    hung = hang(rig, values, legs, (base.half_wave_m / 2,) * 2)
    wires, port = one_wire(rig, hung, legs)
    trims = (
        TrimStep(
            element="both legs alike", parameter="leg_m", band=base.key, target_mhz=base.centre_mhz, reachable=hung.reachable,
            disturbs=tuple(b.key for b in _served(base, wishes) if b is not base),
        ),
    )  # fmt: skip
    feed = balanced_feed(rig, values, hung, base.low_hz)
    served = names(_served(base, wishes))
    return close(FAMILY, rig, values, wires, port=port, feed=feed, trims=trims, serves=served, detail=base.name)


def starts(site, wishes):
    return sifted(FAMILY, site, wishes, {"leg_m": 0.49 * _base(site, wishes).half_wave_m})


FAMILY = Family(
    key="dipole",
    title="Dipole",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="One band (and odd multiples); the line's weight hangs in its middle.",
)
