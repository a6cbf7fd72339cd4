"""End-fed wires that hang either way: over a support and on, or straight up to one. Shared by those with coils and the non-resonant one.

`hung`: "over" or "straight", a choice where the lot allows both.
"""

from __future__ import annotations

from dataclasses import replace

from .common import BEARING, anywhere, apex_parameters, choice, chosen, feed_options, line_parameters, remember
from .end_fed import Run, choke_parameters, drooped_parameters, hang_over
from .end_fed_sloped import hang_sloped
from .family import NoPlace, Parameter
from .rig import Rig

OVER, STRAIGHT = "over", "straight"


def either_parameters(site, wishes, wire_m: float) -> list[Parameter]:
    """Placement of a wire of at most `wire_m`, whichever way it hangs. Raises NoPlace where it hangs neither way."""
    over, missed = _asked(drooped_parameters, site, wishes, wire_m)
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
    ways = remember(rig.plot, ("hung", rig.wishes, longest_m), lambda: _ways(rig, longest_m))
    if chosen(values, "hung", ways) == STRAIGHT:
        return hang_sloped(rig, values, wire_m, nominal_m)
    return hang_over(rig, values, wire_m, nominal_m, longest_m)


def _ways(rig: Rig, longest_m: float) -> tuple[str, ...]:
    over, _ = _asked(drooped_parameters, rig.site, rig.wishes, longest_m)
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
