"""Quarter-wave wire up a pole over radials, bent over at the top (L).

Serves the wished band it is cut for, the heaviest that must bend and that the lot holds, and wished bands near three, five ... times it;
the lowest of equals.
"""

from __future__ import annotations

from .bands import wished_bands
from .choices import APEX_LEAST_M, end_parameters, fits, lacking_m, length, limit_m
from .family import Family, NoPlace, Parameter
from .placement import plot_of
from .radials import lay, quarter_m, radial_words
from .standing import raised_m
from .upright import bent_radials, finish, held, mast_parameters, serves, starts_of, top_leg, under_a_mast

TAIL_LEAST_M = 0.6


def _base(site, wishes):
    plot, high = plot_of(site), limit_m(site, wishes)

    def to_spare_m(band):
        return high - 1.5 - raised_m(quarter_m(band)) - 0.75 * quarter_m(band)

    found = held(site, wishes, "inverted l", lambda b: to_spare_m(b) < 0 and fits(plot, quarter_m(b) * 1.5))
    if found is None:
        long = [1.5 * quarter_m(b) for b in wished_bands(wishes) if to_spare_m(b) < 0]
        if not long:
            raise NoPlace("mast height", min(map(to_spare_m, wished_bands(wishes))), "high enough for every wished quarter wave to stand straight")
        raise NoPlace("lot", lacking_m(plot, long), "no wished band needs and fits a bent quarter wave")
    return found


def _parameters(site, wishes):
    base = _base(site, wishes)
    highest = min(limit_m(site, wishes), raised_m(quarter_m(base)) + quarter_m(base) - TAIL_LEAST_M)
    return (
        *mast_parameters(site, wishes, base, bent_radials(site, wishes, base)),
        Parameter(name="apex_m", low=min(APEX_LEAST_M, 0.95 * highest), high=highest),
        Parameter(name="tail_deg", low=0.0, high=360.0), *end_parameters(site, wishes),
        length("wire_m", quarter_m(base)),
    )  # fmt: skip


def _build(values, site, wishes):
    base = _base(site, wishes)
    rig, radials, top, foot = under_a_mast(values, site, wishes, base)
    up = top[2] - foot[2]
    tail, nominal = values["wire_m"] - up, quarter_m(base) - up
    if min(tail, nominal) < 0.3:
        raise NoPlace("wire length", 0.3 - min(tail, nominal), "the mast is taller than the wire is long")
    leg = top_leg(rig, values, top, tail, nominal)
    rig.span(foot, [type(leg)((), (top,), (up,), ""), leg])
    wires = lay(rig, values, base, foot, radials)
    points = (foot, top, *leg.points)
    return finish(FAMILY, rig, values, base, points, wires, leg.reachable, f"{base.name}, {radial_words(radials)}")


FAMILY = Family(
    key="inverted_l",
    title="Inverted L over radials",
    serves=serves,
    parameters=_parameters,
    build=_build,
    starts=starts_of(lambda: FAMILY, _base),
    weak_point="Low feed resistance, loss in few or low radials, and radials across the garden at head height.",
)
