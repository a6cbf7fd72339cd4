"""End-fed wires that hang either way: over a support and on, or straight up to one. Shared by those with coils and the non-resonant one.

`hung`: "over" or "straight", a choice where the lot allows both.
"""

from __future__ import annotations

from dataclasses import replace

from .choices import BEARING, anywhere, apex_parameters, choice, chosen, feed_options, line_parameters, remember
from .common import conductor
from .end_fed import Run, choke_parameters, hang_over, or_free_end, placed_over
from .end_fed_sloped import hang_sloped
from .family import NoPlace, Parameter
from .rig import Rig
from .sharp import least_deg, sharp_at_need

OVER, STRAIGHT = "over", "straight"


def either_parameters(site, wishes, wire_m: float, least_m: float | None = None) -> list[Parameter]:
    """Placement of a wire of `least_m` to `wire_m`, whichever way it hangs. Raises NoPlace where it hangs neither way."""
    shortest = least_m or wire_m

    def structure(values):
        rig = Rig(site, wishes)
        return rig.structure((conductor("main", hang_either(rig, values, shortest, shortest, wire_m).points),))

    return sharp_at_need(site, ("either", wire_m, least_m, wishes), lambda deg: _placed(site, wishes, wire_m, deg), or_free_end(structure))


def _placed(site, wishes, wire_m, apex_deg) -> list[Parameter]:
    """Placement with apexes down to that angle."""
    over, missed = _asked(placed_over, site, wishes, wire_m, apex_deg)
    straight, missed_too = _asked(_straight_parameters, site, wishes)
    if not over and not straight:
        raise missed or missed_too
    ways = [way for way, parameters in ((OVER, over), (STRAIGHT, straight)) if parameters]
    merged = {p.name: p for p in over}
    for p in straight:
        merged[p.name] = _both(merged[p.name], p) if p.name in merged else p
    return [*choice("hung", ways), *merged.values()]


def hang_either(rig: Rig, values, wire_m: float, nominal_m: float, longest_m: float) -> Run:
    """The wire as `values` say; `longest_m`: what `either_parameters` was asked with."""
    apex_deg = least_deg(values)
    ways = remember(rig.plot, ("hung", rig.wishes, longest_m, apex_deg), lambda: _ways(rig, longest_m, apex_deg))
    if chosen(values, "hung", ways) == STRAIGHT:
        return hang_sloped(rig, values, wire_m, nominal_m)
    return hang_over(rig, values, wire_m, nominal_m, longest_m)


def _ways(rig: Rig, longest_m: float, apex_deg: float) -> tuple[str, ...]:
    over, _ = _asked(placed_over, rig.site, rig.wishes, longest_m, apex_deg)
    return (OVER, STRAIGHT) if over else (STRAIGHT,)


def _straight_parameters(site, wishes) -> list[Parameter]:
    feeds = choice("feed_at", feed_options(site, wishes))
    return [*apex_parameters(site, wishes, anywhere()), *feeds, BEARING, *line_parameters(wishes), *choke_parameters(site)]


def _asked(parameters, *given) -> tuple[list[Parameter], NoPlace | None]:
    try:
        return parameters(*given), None
    except NoPlace as missed:
        return [], missed


def _both(a: Parameter, b: Parameter) -> Parameter:
    """One parameter with the choices or the range of both."""
    if a.choices:
        return replace(a, choices=tuple(dict.fromkeys((*a.choices, *b.choices))))
    return replace(a, low=min(a.low, b.low), high=max(a.high, b.high))
