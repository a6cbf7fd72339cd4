"""A design as it ends up in one garden: wires hung a little otherwise, parts a little off, conductors about.

`Garden` is all that trimming needs to know; the ensemble's own gardens come from `Member` (`garden_of`), a test may bring others.
The holds move by a smooth displacement field, so that what is joined stays joined; every span sags by that garden's share of it in place
of the plan's; the length of every piece of wire stays what was cut, so that ports and loads keep their places along it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from ..families.design import Design
from ..families.sag import Sag
from ..parts.loads import SAG_SHARE
from ..physics.elements import Capacitor, Coil, Trap
from ..site.model import Structure
from ..wires.model import JOIN_M, Coating, Ground, Load, Wire
from .surroundings import kept_off
from .unknowns import Member

LOWEST_M = 0.3
POST_M = 2.0


@dataclass(frozen=True, kw_only=True)
class Garden:
    """`ground`; `hung`: structure as planned → its wires as built; `made`: a load as planned and its number → as made; `about`: wires of the design → the rest."""

    ground: Ground
    hung: Callable[[Structure], tuple[Wire, ...]]
    made: Callable[[Load, int], Load]
    about: Callable[[tuple[Wire, ...]], tuple[Wire, ...]]


def garden_of(member: Member) -> Garden:
    """The garden of one member of the ensemble."""
    return Garden(
        ground=Ground(kind="soil", soil=member.soil),
        hung=lambda structure: hung(structure, displacement(member), member.sag, _coated(member)),
        made=lambda load, n: replace(load, element=_made(load.element, member.loads[n % len(member.loads)])),
        about=lambda wires: kept_off(member.conductors, wires),
    )


def as_planned(ground: Ground) -> Garden:
    """The open field of the plan: nothing differs."""
    return Garden(ground=ground, hung=lambda structure: structure.wires, made=lambda load, n: load, about=lambda wires: ())


def built(garden: Garden, design: Design) -> Design:
    """The design as that garden has it."""
    structure = replace(design.structure, wires=garden.hung(design.structure))
    pairs = {a.name: (a, b) for a, b in zip(design.structure.wires, structure.wires)}
    loads = tuple(_seated(garden.made(load, n), *pairs[load.wire]) for n, load in enumerate(design.loads))
    return replace(design, structure=structure, loads=loads, port=_seated(design.port, *pairs[design.port.wire]))


def _seated(item, planned: Wire, real: Wire):
    """A port or load where it belongs on a wire that goes from joint to joint and is not as long as planned: the same share of the same piece."""
    before, now = ([math.dist(a, b) for a, b in pairwise(w.points_m)] for w in (planned, real))
    if len(before) != len(now):  # a point more along the way, where something touches: the same share of the whole
        before, now = [sum(before)], [sum(now)]
    if np.allclose(before, now, rtol=0.0, atol=1e-6):
        return item
    return replace(item, at_m=float(np.interp(item.at_m, np.cumsum([0.0, *before]), np.cumsum([0.0, *now]))))


def displacement(member: Member) -> Callable:
    """Where a hold at a point really is. What hangs stays above `LOWEST_M`; what the plan has lower lies, and lies as planned.
    The soil falls away evenly from the lot's middle; below `POST_M` a hold is a post's, which stands on it: the lower it is the less that matters."""
    (east, north), middle = member.fall, member.middle_m

    def moved(p):
        x, y, z = (member.shift_m * math.sin(u * p[0] + v * p[1] + phase) for u, v, phase in member.waves)
        fallen = (east * (p[0] - middle[0]) + north * (p[1] - middle[1])) * min(1.0, p[2] / POST_M)
        high = p[2] * member.height + 0.5 * z + fallen
        return np.array([p[0] + x, p[1] + y, p[2] if p[2] < LOWEST_M else max(LOWEST_M, high)])

    return moved


def _coated(member: Member) -> Callable[[Coating], Coating]:
    def changed(coating):
        return Coating(
            thickness_m=coating.thickness_m * member.coating_thickness,
            relative_permittivity=max(1.0, coating.relative_permittivity * member.coating_permittivity),
        )

    return changed


def _made(element, errors):
    """The part as wound or bought."""
    if isinstance(element, Coil):
        q = element.q * errors.q if element.q else None
        return Coil(inductance_h=element.inductance_h * errors.inductance, q=q, stray_f=element.stray_f * errors.stray)
    if isinstance(element, Trap):
        q = element.q * errors.q if element.q else None
        farad = element.capacitance_f * errors.capacitance
        return Trap(inductance_h=element.inductance_h * errors.inductance, capacitance_f=farad, q=q)
    if isinstance(element, Capacitor):
        return Capacitor(capacitance_f=element.capacitance_f * errors.capacitance)
    return element


# ---- hanging ----------------------------------------------------------------------------------------------------


def hung(structure: Structure, moved, sag: float, coated) -> tuple[Wire, ...]:
    """All wires over displaced holds, sagging by that share of their spans in place of the plan's. A wire with a loose end keeps
    the length of every piece; one that is held at both by others (part of a loop) goes from joint to joint."""
    ends = np.array([p for w in structure.wires for p in (w.points_m[0], w.points_m[-1])])
    planned, out = Sag(structure.lines_m), []
    for wire in structure.wires:
        points = wire.points_m
        places = [_place(p, planned.at(p, hung=True), moved, sag) for p in points]
        lengths = [math.dist(a, b) for a, b in pairwise(points)]
        start = _anchor(wire, points, ends)
        walked = places if start is None else _walked(places, lengths, start)
        coating = coated(wire.coating) if wire.coating else None
        out.append(replace(wire, points_m=tuple(tuple(map(float, p)) for p in walked), coating=coating))
    return tuple(out)


def _place(point, lower_m: float, moved, sag: float):
    """Where a point that the plan hangs `lower_m` below its straight line really is."""
    return moved((point[0], point[1], point[2] + lower_m)) - np.array([0.0, 0.0, lower_m * sag / SAG_SHARE])


def _anchor(wire: Wire, points, ends) -> int | None:
    """Number of the point that stays: the joined end; the middle hold of a wire loose at both ends; None where both are joined."""
    joined = [int((np.abs(ends - np.array(wire.points_m[n])).max(axis=1) <= JOIN_M).sum()) > 1 for n in (0, -1)]
    if all(joined):
        return None
    if any(joined):
        return 0 if joined[0] else len(points) - 1
    return int(np.argmax([p[2] for p in points]))


def _walked(places, lengths, start: int) -> list:
    """From the anchor outward, towards the displaced places, each piece as long as it was cut."""
    out: list = [None] * len(places)
    out[start] = places[start]
    for n in range(start + 1, len(places)):
        out[n] = _towards(out[n - 1], places[n] - places[n - 1], lengths[n - 1])
    for n in range(start - 1, -1, -1):
        out[n] = _towards(out[n + 1], places[n] - places[n + 1], lengths[n])
    return out


def _towards(start, way, length):
    """That far along the way; a piece too long for its new height leans out instead of ending in the ground."""
    end = start + way * (length / float(np.linalg.norm(way)))
    floor_m = min(LOWEST_M, start[2], start[2] + way[2])
    if end[2] >= floor_m:
        return end
    heading = math.atan2(way[1], way[0])
    across_m = math.sqrt(length**2 - (start[2] - floor_m) ** 2)
    return np.array([start[0] + across_m * math.cos(heading), start[1] + across_m * math.sin(heading), floor_m])
