"""Gardens to hide from the ensemble: another generator, with other shapes and other distributions.

Nothing here comes from `ensemble.unknowns` or its table. Numbers are common practice, no source, set from what they describe:
soil      two layers, each log-normal about the site's; the constants seen are the upper layer's, mixed with the lower one's by the
          wave's decay there and back
metal     gutters in single sides with a pipe at both ends, cables as a frame round a wall, fences of two wires, a washing line of two
trees     a trunk that forks into three boughs
building  masts lean, the ground slopes, spans sag by a Gaussian share; the wire's compound is one of three
parts     Gaussian errors

A garden is drawn alone, or among a set over which every number is spread evenly (`luck.py`).
"""

import math
from itertools import pairwise

import numpy as np
from luck import Alone, Among
from shapely.geometry import Point
from shapely.ops import substring

from optimizer.ensemble.garden import Garden, hung
from optimizer.ensemble.surroundings import kept_off
from optimizer.physics.elements import Capacitor, Coil, Trap
from optimizer.physics.soil import Soil
from optimizer.wires.model import Coating, Ground, Load, Wire

SKIN_M = 4.0  # decay of the wave in average soil at 10 MHz
COMPOUNDS = (3.0, 3.5, 4.0)


def hidden_garden(site, seed: int, among: int = 0) -> Garden:
    """One garden nobody has seen; `among`: one of so many that are drawn together, from a multiple of that number on."""
    luck = Among(seed, among) if among else Alone(seed)
    about = tuple(_houses(site, luck) + _fence(site, luck) + _line_and_pole(site, luck) + _trees(site, luck))
    moved, sag = _moved(luck), abs(luck.normal("sag", 0.015, 0.007))
    compound, wall = luck.one_of("compound", COMPOUNDS), luck.normal("wall", 1.0, 0.07)
    parts = [[luck.normal(f"part {n} {of}", 0.0, 1.0) for of in range(4)] for n in range(8)]

    def coated(coating):
        return Coating(thickness_m=coating.thickness_m * max(0.6, wall), relative_permittivity=float(compound) if coating.relative_permittivity > 2.8 else coating.relative_permittivity)

    return Garden(
        ground=Ground(kind="soil", soil=_soil(site.soil, luck)),
        hung=lambda structure: hung(structure, moved, sag, coated),
        made=lambda load, n: _made(load, parts[n % 8]),
        about=lambda wires: kept_off(about, wires),
    )


def _soil(soil, luck) -> Soil:
    top, low = np.exp(luck.normal("soil above", 0.0, 0.35)), np.exp(luck.normal("soil below", 0.0, 0.5))
    share = math.exp(-2.0 * luck.even("soil's edge", 0.3, 3.0) / SKIN_M)
    wet = top + share * (low - top)
    return Soil(
        relative_permittivity=max(3.0, soil.relative_permittivity * wet**0.5),
        conductivity_s_per_m=soil.conductivity_s_per_m * wet,
    )


def _moved(luck):
    lean, slope = ([luck.normal(f"{name} {axis}", 0.0, deviation) for axis in "xy"] for name, deviation in (("lean", 0.03), ("slope", 0.012)))
    stretch = luck.normal("stretch", -0.01, 0.02)

    def moved(p):
        z = p[2] * (1.0 + stretch) + slope[0] * p[0] + slope[1] * p[1]
        return np.array([p[0] + lean[0] * p[2], p[1] + lean[1] * p[2], p[2] if p[2] < 0.3 else max(0.5, z)])

    return moved


def _made(load: Load, errors) -> Load:
    a, b, c, d = errors
    e = load.element
    q = e.q * min(1.15, max(0.5, 0.87 + 0.13 * c)) if getattr(e, "q", None) else None
    if isinstance(e, Coil):
        e = Coil(inductance_h=e.inductance_h * (1 + 0.025 * a), stray_f=e.stray_f * math.exp(0.18 * b), q=q)
    elif isinstance(e, Trap):
        e = Trap(inductance_h=e.inductance_h * (1 + 0.025 * a), capacitance_f=e.capacitance_f * (1 + 0.025 * d), q=q)
    elif isinstance(e, Capacitor):
        e = Capacitor(capacitance_f=e.capacitance_f * (1 + 0.025 * d))
    return Load(wire=load.wire, at_m=load.at_m, element=e)


def _wire(points, radius_m, sigma=1e6):
    return Wire(name="", points_m=tuple(tuple(map(float, p)) for p in points), radius_m=float(radius_m), role="surroundings", conductivity_s_per_m=float(sigma))


def _houses(site, luck):
    out = []
    for n, house in enumerate(site.buildings):
        if house.footprint.distance(site.lot) > 10.0:
            continue
        corners = list(house.footprint.exterior.coords)
        eaves = house.height_m * luck.beta(f"eaves {n}", 6.0, 2.5)
        for m, (a, b) in enumerate(pairwise(corners)):
            if luck.even(f"gutter {n} {m}") < 0.35:
                pipe_a, pipe_b = luck.even(f"first pipe {n} {m}") < 0.4, luck.even(f"last pipe {n} {m}") < 0.4
                run = [(*a[:2], eaves), (*b[:2], eaves)]
                run = [(*a[:2], 0.15)] * pipe_a + run + [(*b[:2], 0.15)] * pipe_b
                out.append(_wire(run, luck.one_of(f"gutter's radius {n} {m}", (0.025, 0.035, 0.045))))
        inner = house.footprint.buffer(-0.2)
        if house.occupied and not inner.is_empty and luck.even(f"cable {n}") < 0.65:
            ring = inner.exterior
            start, size = luck.even(f"cable's start {n}", 0, 0.6) * ring.length, luck.even(f"cable's length {n}", 2.5, 6.0)
            path = [p[:2] for p in substring(ring, start, min(start + size, ring.length)).coords]
            low, high = luck.even(f"cable's foot {n}", 0.2, 0.6), luck.even(f"cable's top {n}", 1.8, max(2.0, house.height_m - 1.0))
            frame = [*((x, y, low) for x, y in path), *((x, y, high) for x, y in reversed(path))]
            out.append(_wire(frame, 1.2e-3, 5.8e7))
    return out


def _fence(site, luck):
    if luck.even("fence") > 0.55:
        return []
    ring = site.lot.exterior
    size = min(0.6, luck.gamma("fence's share", 2.0, 0.12)) * ring.length
    start = luck.even("fence's start", 0.0, ring.length - size)
    path = [p[:2] for p in substring(ring, start, start + size).coords]
    return [_wire([(x, y, h) for x, y in path], 1.2e-3) for h in (0.5, 1.1)]


def _line_and_pole(site, luck):
    out = []
    west, south, east, north = site.lot.bounds
    for n in range(20):
        x, y = luck.even(f"east {n}", west, east), luck.even(f"north {n}", south, north)
        if site.lot.contains(Point(x, y)) and not any(b.footprint.contains(Point(x, y)) for b in site.buildings):
            break
    if luck.even("line") < 0.4:
        turn, size = luck.even("line's turn", 0, math.pi), luck.even("line's length", 3.0, 8.0)
        dx, dy = size * math.cos(turn), size * math.sin(turn)
        for off in (0.0, 0.4):
            out.append(_wire([(x + off, y, 1.9), (x + dx + off, y + dy, 1.9)], 1.5e-3))
    if luck.even("pole") < 0.4:
        out.append(_wire([(x - 0.8, y, 0.1), (x - 0.8, y, luck.even("pole's top", 1.8, 2.6))], 0.02))
    return out


def _trees(site, luck):
    out = []
    for k, tree in enumerate(site.trees):
        fork, sap = luck.even(f"fork {k}", 0.25, 0.5) * tree.height_m, math.exp(luck.normal(f"sap {k}", math.log(0.06), 0.5))
        thick = luck.even(f"trunk {k}", 0.06, 0.14)
        out.append(_wire([(*tree.at_m, 0.1), (*tree.at_m, fork)], thick, sap))
        for n in range(3):
            turn = 2 * math.pi * n / 3 + luck.even(f"bough's turn {k} {n}", 0, 1)
            spread = luck.even(f"bough's reach {k} {n}", 0.3, 0.8) * tree.crown_radius_m
            tip = (tree.at_m[0] + spread * math.cos(turn), tree.at_m[1] + spread * math.sin(turn), luck.even(f"bough's tip {k} {n}", 0.7, 0.95) * tree.height_m)
            out.append(_wire([(*tree.at_m, fork + 0.25 * (n + 1)), tip], 0.4 * thick, sap))
    return out
