"""End-fed half waves: one wire half a wave long on its lowest band, fed at its end through 49:1 or 64:1.

Serves the wished band it is cut for and every wished band near a whole multiple of it, where the wire is two, three
... half waves long and its end is a voltage maximum again. Cut for the lowest wished band that the lot holds. The
upper bands lie above the multiples: `harmonic_cure` says why and what the search may do about it.
"""

from __future__ import annotations

import math

from .bands import Band, harmonics, names, wished_bands
from .choices import (
    BEARING,
    FIT_SHARE,
    anywhere,
    apex_parameters,
    choice,
    feed_options,
    length,
    limit_m,
    line_parameters,
    make_of,
    remember,
)
from .design import TrimStep
from .end_fed import choke_parameters, drooped_parameters, hang_over, or_free_end
from .end_fed_return import RATIOS, end_reachable, finish_end_fed
from .end_fed_sloped import hang_sloped, straight_m
from .family import Family, NoPlace, Parameter
from .harmonic_cure import cure_loads, cure_parameters, cured_starts
from .placement import plot_of
from .rig import Rig
from .standing import FEED_MIN_M
from .starts import first_standing, sifted

STRAIGHT = "straight half wave"


def served_by_lowest(wishes) -> tuple[str, ...]:
    """Band names served when cut for the lowest wished band that serves most weight."""
    bands = wished_bands(wishes)
    return max((names(harmonics(b, bands)) for b in bands), key=len, default=())


def _base(site, wishes) -> Band:
    """The lowest wished band whose half wave the lot holds, folded and drooped."""
    return _lowest(site, wishes, "half wave", lambda plot, band: FIT_SHARE * band.half_wave_m - plot.reach_m)


def _straight_base(site, wishes) -> Band:
    """The lowest wished band whose half wave finds a straight line up to the highest mast."""
    rise = max(0.0, limit_m(site, wishes) - FEED_MIN_M)
    return _lowest(site, wishes, STRAIGHT, lambda plot, band: straight_m(band.half_wave_m) - math.hypot(plot.reach_m, rise))


def _lowest(site, wishes, key, lacking) -> Band:
    plot, bands = plot_of(site), wished_bands(wishes)
    if not bands:
        raise NoPlace("bands", 1.0, "nothing wished")

    def find():
        family = SLOPED if key == STRAIGHT else DROOPED
        return first_standing((key, wishes), [b for b in bands if lacking(plot, b) <= 0], family, site, wishes)

    found = remember(plot, (key, wishes), find)
    if found is None:
        raise NoPlace("lot", max(0.0, lacking(plot, bands[-1])), "no half wave fits")
    return found


def _drooped_parameters(site, wishes):
    base = _base(site, wishes)
    return (*drooped_parameters(site, wishes, base.half_wave_m), length("wire_m", base.half_wave_m), *_extras(base, wishes))


def _sloped_parameters(site, wishes):
    base = _straight_base(site, wishes)
    placement = (*apex_parameters(site, wishes, anywhere()), *choice("feed_at", feed_options(site, wishes)), BEARING, *line_parameters(wishes), *choke_parameters(site))
    return (*placement, length("wire_m", base.half_wave_m), *_extras(base, wishes))


def _several(base, wishes) -> bool:
    return len(harmonics(base, wished_bands(wishes))) > 1


def _extras(base, wishes):
    """The upper bands show less resistance: 49:1 where some are served, a choice of ratios where not."""
    return cure_parameters() if _several(base, wishes) else [Parameter(name="ratio", choices=RATIOS)]


def _builder(hang, family_of, base_of):
    def build(values, site, wishes):
        base = base_of(site, wishes)
        rig = Rig(site, wishes)
        run = hang(rig, values, values["wire_m"], base.half_wave_m)
        loads = cure_loads(rig, values.get("cure_ohm", 0.0), base, values["wire_m"], make_of(values))
        serves = names(harmonics(base, wished_bands(wishes)))
        trims = (
            TrimStep(
                element="wire", parameter="wire_m", band=base.key, target_mhz=base.centre_mhz, reachable=end_reachable(run),
                disturbs=tuple(b.key for b in harmonics(base, wished_bands(wishes)) if b is not base),
                note="fold back before cutting; the upper bands move with it, a little above the multiples",
            ),
        )  # fmt: skip
        return finish_end_fed(
            family_of(), rig, run, values, low=base, ratio=values.get("ratio", RATIOS[0]), trims=trims, loads=loads, serves=serves,
            detail=f"{base.name} half wave",
        )

    return build


def _starts_of(family_of, base_of):
    def starts(site, wishes):
        base = base_of(site, wishes)
        found = sifted(family_of(), site, wishes, {"wire_m": 0.985 * base.half_wave_m})
        return cured_starts(found) if _several(base, wishes) else found

    return starts


SLOPED = Family(
    key="end_fed_half_wave_sloped",
    title="Sloping end-fed half wave",
    serves=served_by_lowest,
    parameters=_sloped_parameters,
    build=_builder(hang_sloped, lambda: SLOPED, _straight_base),
    starts=_starts_of(lambda: SLOPED, _straight_base),
    weak_point="Needs a straight line as long as the wire, and stands or falls with its transformer and counterpoise.",
)

DROOPED = Family(
    key="end_fed_half_wave_drooped",
    title="End-fed half wave over one support",
    serves=served_by_lowest,
    parameters=_drooped_parameters,
    build=or_free_end(_builder(hang_over, lambda: DROOPED, _base)),
    starts=_starts_of(lambda: DROOPED, _base),
    weak_point="High voltage at both ends, low ends lose in the soil, and the upper bands sit above the multiples.",
)
