"""Doublet: as long a dipole as fits, on balanced line with a balanced tuner at the radio.

Serves every wished band from where it is 0.35 of a wavelength long, provided there is an external tuner: balanced line
keeps the loss of a high SWR low, so no resonance is needed. It is not trimmed; a length where the tuner is content is
found by the search.
"""

from __future__ import annotations

from ..parts.catalogue import tuner_for
from .bands import names, wished_bands
from .centre_fed import centre_parameters, hang, one_wire
from .choices import fits, lacking_m, remember
from .common import close, line_length_m
from .design import Feed
from .family import Family, NoPlace, Parameter
from .placement import plot_of
from .rig import Rig
from .starts import sifted

LINE = "cable_window_400"
LEAST_SHARE, MOST_SHARE = 0.35, 1.2  # of a wavelength on the lowest band served


def serves(wishes) -> tuple[str, ...]:
    return names(wished_bands(wishes)) if wishes.tuner == "external" else ()


def _bounds(site, wishes):
    """Shortest and longest wire [m]; as many bands as the lot lets be served."""
    if not serves(wishes):
        raise NoPlace("tuner", 1.0, "balanced line needs an external tuner")
    plot = plot_of(site)

    def find():
        for band in wished_bands(wishes):
            low, high = LEAST_SHARE * band.wavelength_m, MOST_SHARE * band.wavelength_m
            if fits(plot, low):
                return low, min(high, max(1.05 * low, plot.reach_m))
        return None

    found = remember(plot, ("doublet", wishes), find)
    if found is None:
        raise NoPlace("lot", lacking_m(plot, (LEAST_SHARE * b.wavelength_m for b in wished_bands(wishes))), "no doublet fits")
    return found


def parameters(site, wishes):
    shortest, longest = _bounds(site, wishes)
    placement = (p for p in centre_parameters(site, wishes, shortest) if p.name not in ("use_tuner", "cable", "make"))
    return (*placement, Parameter(name="wire_m", low=shortest, high=longest))


def build(values, site, wishes):
    shortest, _ = _bounds(site, wishes)
    rig = Rig(site, wishes)
    wire = values["wire_m"]
    legs = (wire / 2,) * 2
    hung = hang(rig, values, legs, legs, longest=(shortest / 2,) * 2)
    wires, port = one_wire(rig, hung, legs)
    run, tuner = line_length_m(site, hung.centre), tuner_for(wishes.tuner, wishes.power_w, balanced=True)
    rig.buy(LINE, "line from the radio", run)
    rig.buy("terminal_pair", "line from the radio", 2)
    rig.buy(tuner, "at the radio")
    served = names(b for b in wished_bands(wishes) if wire >= LEAST_SHARE * b.wavelength_m)
    feed = Feed(line=LINE, line_length_m=run, tuner=tuner)
    return close(FAMILY, rig, values, wires, port=port, feed=feed, serves=served, detail=f"{wire:.1f} m")


def starts(site, wishes):
    shortest, longest = _bounds(site, wishes)
    return sifted(FAMILY, site, wishes, {"wire_m": min(longest, 1.3 * shortest)})


FAMILY = Family(
    key="doublet",
    title="Doublet on balanced line",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="Needs a balanced tuner, and a line that hangs clear of everything and suffers when wet or iced.",
)
