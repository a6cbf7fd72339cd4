"""End-fed wire of a length that resonates nowhere in particular, through 9:1, a counterpoise and a tuner.

Serves every wished band, provided the station has a tuner: away from whole half waves its end shows some hundreds of
ohms, which 9:1 brings within a tuner's reach. From a fifth of a wavelength on the lowest band up to what the lot holds.
"""

from __future__ import annotations

import math

from .bands import names, wished_bands
from .choices import fits, lacking_m, remember
from .end_fed import or_free_end
from .end_fed_either import either_parameters, hang_either
from .end_fed_return import finish_end_fed
from .family import Family, NoPlace, Parameter
from .placement import plot_of
from .rig import Rig
from .starts import sifted

RATIO = 9
LOW_SHARE, HIGH_SHARE = 0.2, 0.75  # of the lowest band's wavelength


def serves(wishes) -> tuple[str, ...]:
    return names(wished_bands(wishes)) if wishes.tuner != "none" else ()


def _bounds(site, wishes):
    """Lowest band, and shortest and longest wire [m]."""
    if not serves(wishes):
        raise NoPlace("tuner", 1.0, "a wire of no resonant length needs a tuner")
    plot, low = plot_of(site), wished_bands(wishes)[0]

    def find():
        lengths = [x * 0.5 for x in range(10, 90) if LOW_SHARE <= x * 0.5 / low.wavelength_m <= HIGH_SHARE]
        held = [x for x in lengths if fits(plot, x)]
        return (held[0], held[-1]) if held else None

    found = remember(plot, ("random wire", wishes), find)
    if found is None:
        raise NoPlace("lot", lacking_m(plot, (LOW_SHARE * low.wavelength_m,)), "not even a fifth of a wavelength fits")
    return low, *found


def parameters(site, wishes):
    _, shortest, longest = _bounds(site, wishes)
    return (
        *(p for p in either_parameters(site, wishes, math.sqrt(shortest * longest), shortest) if p.name != "use_tuner"),
        Parameter(name="wire_m", low=shortest, high=longest),
    )


@or_free_end
def build(values, site, wishes):
    low, shortest, longest = _bounds(site, wishes)
    rig = Rig(site, wishes)
    run = hang_either(rig, values, values["wire_m"], values["wire_m"], math.sqrt(shortest * longest))
    return finish_end_fed(
        FAMILY, rig, run, values, low=low, ratio=RATIO, trims=(), serves=serves(wishes), detail=f"{values['wire_m']:.1f} m"
    )


def starts(site, wishes):
    _, shortest, longest = _bounds(site, wishes)
    middle = [x for x in (16.2, 12.5, 8.8, 25.0) if shortest <= x <= longest] or [0.5 * (shortest + longest)]
    return [s for x in middle[:2] for s in sifted(FAMILY, site, wishes, {"wire_m": x}, most=4)]


FAMILY = Family(
    key="end_fed_random",
    title="End-fed wire with 9:1 and tuner",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="The tuner hides the loss: line and transformer work at high SWR, and the line's outside radiates.",
)
