"""Off-centre-fed dipole: half a wave on its lowest band, fed about a third from one end through 2:1, 4:1 or 1:1.

Serves the lowest wished band the lot holds and wished bands near its multiples, except every third one, where the
feed meets a current minimum. Fed at a third, a wire high up shows a few times the resistance of its middle; low over soil
it is 70 to 180 ohm on all of these, which 2:1 suits best.
"""

from __future__ import annotations

from .bands import harmonics, heaviest, names, wished_bands
from .centre_fed import balanced_feed, centre_parameters, hang, one_wire
from .choices import length
from .common import close
from .design import TrimStep
from .family import Family, Parameter
from .rig import Rig
from .starts import cut_for, sifted

RATIOS = (2, 4, 1)
SHARE = (0.28, 0.38)


def _served(base, wishes):
    def third(band):
        return round(band.centre_hz / base.centre_hz) % 3 == 0

    return tuple(b for b in harmonics(base, wished_bands(wishes)) if not third(b))


def serves(wishes) -> tuple[str, ...]:
    base = heaviest(wished_bands(wishes), lambda b: _served(b, wishes))
    return names(_served(base, wishes)) if base else ()


def _base(site, wishes):
    return cut_for(FAMILY, site, wishes, lambda: wished_bands(wishes), lambda b: b.half_wave_m, lambda b: _served(b, wishes), "no half wave fits")


def _longest(base):
    return SHARE[1] * base.half_wave_m, (1 - SHARE[0]) * base.half_wave_m


def parameters(site, wishes):
    base = _base(site, wishes)
    return (
        *centre_parameters(site, wishes, base.half_wave_m, _longest(base)),
        length("wire_m", base.half_wave_m),
        Parameter(name="feed_share", low=SHARE[0], high=SHARE[1]),
        Parameter(name="ratio", choices=RATIOS),
    )


def build(values, site, wishes):
    base, share = _base(site, wishes), values["feed_share"]
    rig = Rig(site, wishes)
    legs, nominal = ((share * w, (1 - share) * w) for w in (values["wire_m"], base.half_wave_m))
    hung = hang(rig, values, legs, nominal, longest=_longest(base))
    wires, port = one_wire(rig, hung, legs)
    trims = (
        TrimStep(
            element="both ends, in proportion", parameter="wire_m", band=base.key, target_mhz=base.centre_mhz,
            reachable=hung.reachable, disturbs=tuple(b.key for b in _served(base, wishes) if b is not base),
        ),
    )  # fmt: skip
    feed = balanced_feed(rig, values, hung, base.low_hz, ratio=values["ratio"])
    served = names(_served(base, wishes))
    return close(FAMILY, rig, values, wires, port=port, feed=feed, trims=trims, serves=served, detail=base.name)


def starts(site, wishes):
    found = sifted(FAMILY, site, wishes, {"wire_m": 0.98 * _base(site, wishes).half_wave_m, "feed_share": 0.335})
    return [{**s, "ratio": RATIOS[i % len(RATIOS)]} for i, s in enumerate(found)]


FAMILY = Family(
    key="off_centre_dipole",
    title="Off-centre-fed dipole",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="The uneven legs push current onto the line: it stands or falls with its choke.",
)
