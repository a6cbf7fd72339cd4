"""What stands under voltage, and whether somebody can touch it: the wires' open ends, coils and traps, the transformer's high side.

Volts are rms at the station's peak envelope power, from the solved currents. At a feed and across a coil they come out of the circuit; a wire's end
has the potential of all charges on the wires, retarded and uniform along each segment, and of their images in the soil, -q (e-1)/(e+1): good
to some 10 %, for a caution. Within reach is below `REACH_M` above the ground (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..network.endure import load_currents_a
from ..physics.constants import C0_M_PER_S, EPS0_F_PER_M, TWO_PI
from ..physics.elements import Coil, Trap
from ..wires.model import JOIN_M, Point3

REACH_M = 2.5
WORTH_NAMING_V = 50.0


@dataclass(frozen=True, kw_only=True)
class HotPoint:
    """`what` in plain words, where, and the most volts rms there over the wished bands, on which of them."""

    what: str
    at_m: Point3
    volts: float
    band: str

    @property
    def within_reach(self) -> bool:
        return self.at_m[2] < REACH_M


def open_ends(wires) -> tuple[tuple[str, Point3], ...]:
    """Wire name and place of every end where nothing is joined."""
    ends = [(wire.name, end) for wire in wires for end in (wire.points_m[0], wire.points_m[-1])]
    vertices = [(wire.name, n, p) for wire in wires for n, p in enumerate(wire.points_m)]

    def joined(name, end):
        return sum(math.dist(end, p) <= JOIN_M for _, _, p in vertices) > 1

    return tuple((name, end) for name, end in ends if not joined(name, end))


def hot_points(solution, i: int, port, transformer: bool, band: str, delivered_w: float) -> list[HotPoint]:
    """All points of one band for `delivered_w` into the port."""
    z = complex(solution.z_ohm[i])
    amps = math.sqrt(delivered_w / z.real)
    wires = {wire.name: wire for wire in solution.wires}
    name = "transformer's high side" if transformer else "feed"
    found = [HotPoint(what=name, at_m=wires[port.wire].point_at(port.at_m), volts=amps * abs(z), band=band)]
    for n, load in enumerate(solution.loads):
        if isinstance(load.element, (Coil, Trap)):
            ohm = abs(complex(load.element.impedance_ohm(float(solution.freq_hz[i]))))
            kind = "trap" if isinstance(load.element, Trap) else "coil"
            volts = amps * float(load_currents_a(solution, n)[i]) * ohm
            found.append(HotPoint(what=f"{kind} in {load.wire}", at_m=wires[load.wire].point_at(load.at_m), volts=volts, band=band))
    for wire, end in open_ends(solution.wires):
        if wires[wire].role == "line":  # wiring of the house
            continue
        volts = amps * abs(end_potential_v(solution, i, end, wires[wire].radius_m))
        found.append(HotPoint(what=f"end of {wire}", at_m=end, volts=volts, band=band))
    return found


def worst_of(points) -> tuple[HotPoint, ...]:
    """One entry a place, the band with most volts; what is worth naming, most volts first."""
    most: dict[tuple, HotPoint] = {}
    for point in points:
        key = (point.what, point.at_m)
        if key not in most or point.volts > most[key].volts:
            most[key] = point
    return tuple(sorted((p for p in most.values() if p.volts >= WORTH_NAMING_V), key=lambda p: -p.volts))


def end_potential_v(solution, i: int, end_m, radius_m: float) -> complex:
    """Potential of a wire's end for 1 A into the first port [V]: that of the middle of its last segment.

    At the very tip a mesh does not resolve how charge piles up, and its potential would come out a third too low.
    """
    mesh, _ = solution.slot_currents(i)
    middles = mesh.start_m + 0.5 * mesh.tangent * mesh.length_m[:, None]
    gap = np.linalg.norm(middles - np.asarray(end_m, float), axis=1) - 0.5 * mesh.length_m
    return potential_v(solution, i, middles[int(np.argmin(gap))], radius_m)


def potential_v(solution, i: int, at_m, radius_m: float) -> complex:
    """Scalar potential on a wire's surface at a point, for 1 A into the first port [V]."""
    mesh, amps = solution.slot_currents(i)
    freq = float(solution.freq_hz[i])
    charge_per_m = -(amps[1::2] - amps[0::2]) / (1j * TWO_PI * freq) / mesh.length_m
    k = TWO_PI * freq / C0_M_PER_S
    own = _inverse_distance(mesh, np.asarray(at_m, float), radius_m, k)
    mirrored = _inverse_distance(mesh, np.asarray(at_m, float) * (1.0, 1.0, -1.0), radius_m, k)
    return complex(np.sum(charge_per_m * (own - _image(solution.ground, freq) * mirrored)) / (2.0 * TWO_PI * EPS0_F_PER_M))


def _image(ground, freq_hz: float) -> complex:
    if ground.kind == "none":
        return 0.0
    if ground.kind == "perfect":
        return 1.0
    e = complex(ground.soil.complex_permittivity(freq_hz))
    return (e - 1.0) / (e + 1.0)


def _inverse_distance(mesh, at, radius_m, k):
    """Integral of exp(-jkr)/r along every segment, (N,): that of 1/r in closed form, the phase that of the middle."""
    away = at[None] - mesh.start_m
    along = (away * mesh.tangent).sum(axis=1)
    off = np.sqrt(np.maximum((away**2).sum(axis=1) - along**2, 0.0) + radius_m**2)
    middle = np.hypot(off, along - 0.5 * mesh.length_m)
    return (np.arcsinh((mesh.length_m - along) / off) + np.arcsinh(along / off)) * np.exp(-1j * k * middle)
