"""Is a wire case computable? Every fault at once, each naming the field as the user wrote it.

Geometry is judged on the straight pieces between points: no piece shorter than the wire's radius or than what is joined, no two
pieces touching or crossing unless both have a vertex there, nothing in or below the ground, ports and loads on existing wires and in
series with something, each port with a current of its own.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from ..errors import Fault, FaultList
from ..physics.elements import FixedImpedance
from .model import JOIN_M, WireCase
from .places import SAME_M, Place, places_on, vertices_at_m

LEAST_HEIGHT_M = 0.02
MOST_WAVELENGTHS = 150.0  # of wire in all: half a gigabyte a frequency
FOLD_COSINE = -math.cos(math.radians(2.0))


def piece_gaps(p, d, q, e):
    """Least distances between straight pieces p..p+d and each q..q+e, shapes (3,), (3,), (M,3), (M,3) → (M,).

    Closest points of two segments by clamping (C. Ericson, Real-Time Collision Detection, 2005, sec. 5.1.9).
    """
    r = p - q
    a, ee = d @ d, np.einsum("ij,ij->i", e, e)
    f, c, b = np.einsum("ij,ij->i", e, r), r @ d, e @ d
    den = a * ee - b * b
    s = np.where(den > 1e-12 * a * ee, np.clip((b * f - c * ee) / np.where(den > 0, den, 1), 0, 1), 0.0)
    t = (b * s + f) / ee
    s = np.where(t < 0, np.clip(-c / a, 0, 1), np.where(t > 1, np.clip((b - c) / a, 0, 1), s))
    t = np.clip(t, 0, 1)
    return np.linalg.norm(r + s[:, None] * d - t[:, None] * e, axis=1)


def check_case(case: WireCase, source: str = "case") -> None:
    """Raise InputError with every fault of the case; silent where it is sound."""
    _found(case, source).raise_if_any()


def faults_of(case: WireCase, source: str = "case") -> tuple[Fault, ...]:
    """Every fault of the case."""
    return tuple(_found(case, source).faults)


def _found(case: WireCase, source: str) -> FaultList:
    faults = FaultList(source)
    _frequencies(case, faults)
    _names(case, faults)
    sound = _wires(case, faults)
    _size(case, sound, faults)
    _crossings(case, sound, faults)
    _places(case, sound, faults)
    _asked(case, sound, faults)
    return faults


def _frequencies(case, faults):
    if not case.frequencies_mhz:
        faults.add("frequencies_mhz", [], "at least one frequency")
    for i, f in enumerate(case.frequencies_mhz):
        if not (0 < f < math.inf):
            faults.add(f"frequencies_mhz[{i}]", f, "a frequency above zero in MHz")
        elif not 0.01 <= f <= 3000:
            faults.add(f"frequencies_mhz[{i}]", f, "0.01 to 3000 MHz", "frequencies are in MHz, not Hz")


def _names(case, faults):
    for field, items in (("wires", case.wires), ("ports", case.ports)):
        if not items:
            faults.add(field, [], "at least one")
        seen = {}
        for i, item in enumerate(items):
            if item.name in seen:
                faults.add(f"{field}[{i}].name", item.name, f"a name not used already by {field}[{seen[item.name]}]")
            seen.setdefault(item.name, i)


def _wires(case, faults) -> set[int]:
    """Faults of each wire by itself; returns the wires whose shape is sound enough to be compared with others."""
    sound = set()
    for i, wire in enumerate(case.wires):
        field = f"wires[{i}]"
        if not wire.radius_m > 0:
            faults.add(f"{field}.radius_m", wire.radius_m, "a radius above zero in metres")
        if len(wire.points_m) < 2:
            faults.add(f"{field}.points_m", wire.points_m, "at least two points")
            continue
        pts = np.array(wire.points_m, float)
        if not np.all(np.isfinite(pts)) or np.abs(pts).max() > 1e5:
            faults.add(f"{field}.points_m", wire.points_m, "finite coordinates within 100 km")
            continue
        _heights(case, wire, pts, field, faults)
        pieces = np.diff(pts, axis=0)
        lengths = np.linalg.norm(pieces, axis=1)
        joined = np.abs(pieces).max(axis=1) <= JOIN_M
        if wire.radius_m > 0 and lengths.min() >= max(wire.radius_m, 1e-6) and not joined.any():
            sound.add(i)
        for n, length in enumerate(lengths):
            if length < max(wire.radius_m, 1e-6):
                faults.add(
                    f"{field}.points_m[{n}..{n + 1}]", round(float(length), 6),
                    f"a piece longer than the wire's radius of {wire.radius_m} m", "leave out doubled points",
                )
            elif joined[n]:
                faults.add(
                    f"{field}.points_m[{n}..{n + 1}]", round(float(length), 6),
                    f"a piece that reaches more than {1e3 * JOIN_M:.0f} mm, within which points are joined", "its two ends would be one",
                )
        for n in range(len(pieces) - 1):
            if lengths[n] > 0 and lengths[n + 1] > 0:
                cosine = pieces[n] @ pieces[n + 1] / (lengths[n] * lengths[n + 1])
                if cosine < FOLD_COSINE:
                    faults.add(f"{field}.points_m[{n + 1}]", wire.points_m[n + 1], "a bend that does not fold the wire onto itself")
        usable = [f for f in case.frequencies_mhz if 0.01 <= f <= 3000]
        if wire.radius_m > 0 and usable:
            wavelength = 299.792458 / max(usable)
            if wire.radius_m > wavelength / 30:
                faults.add(f"{field}.radius_m", wire.radius_m, f"a thin wire, under {wavelength / 30:.3g} m at the highest frequency")
    return sound


def _size(case, sound, faults):
    usable = [f for f in case.frequencies_mhz if 0.01 <= f <= 3000]
    if not usable:
        return
    length, wavelength = sum(case.wires[i].length_m for i in sound), 299.792458 / max(usable)
    if length > MOST_WAVELENGTHS * wavelength:
        faults.add("wires", f"{length:.0f} m in all", f"at most {MOST_WAVELENGTHS:.0f} wavelengths of wire, {MOST_WAVELENGTHS * wavelength:.1f} m at {max(usable):g} MHz")


def _heights(case, wire, pts, field, faults):
    if case.ground.kind == "none":
        return
    for n, z in enumerate(pts[:, 2]):
        name = f"{field}.points_m[{n}]"
        if case.ground.kind == "soil" and z <= 0:
            word = "touches" if z == 0 else "is below"
            faults.add(name, wire.points_m[n], f"z of {LEAST_HEIGHT_M} m or more above soil", f"the wire {word} the soil")
        elif case.ground.kind == "soil" and z < LEAST_HEIGHT_M - 1e-9:
            faults.add(name, wire.points_m[n], f"z of {LEAST_HEIGHT_M} m or more above soil")
        elif case.ground.kind == "perfect" and z < 0:
            faults.add(name, wire.points_m[n], "z of 0 or more", "the wire is below the ground")
    if case.ground.kind == "perfect":
        flat = np.maximum(pts[:-1, 2], pts[1:, 2]) <= max(wire.radius_m, JOIN_M)
        for n in np.flatnonzero(flat):
            faults.add(f"{field}.points_m[{n}..{n + 1}]", wire.points_m[n], "a piece that rises from perfect ground", "it lies in the ground plane")


def _crossings(case, sound, faults):
    start, vec, owner = [], [], []
    for i, wire in enumerate(case.wires):
        if i not in sound:
            continue
        pts = np.array(wire.points_m, float)
        start.extend(pts[:-1])
        vec.extend(np.diff(pts, axis=0))
        owner.extend((i, n) for n in range(len(pts) - 1))
    if not start:
        return
    start, vec = np.array(start), np.array(vec)
    ends = np.stack([start, start + vec], axis=1)
    radius = np.array([case.wires[i].radius_m for i, _ in owner])
    for a in range(len(start) - 1):
        rest = slice(a + 1, None)
        gaps = piece_gaps(start[a], vec[a], start[rest], vec[rest])
        for offset in np.flatnonzero(gaps <= np.maximum(radius[a] + radius[rest], JOIN_M)):
            b = a + 1 + int(offset)
            joined = np.abs(ends[a][:, None, :] - ends[b][None, :, :]).max(axis=2) <= JOIN_M
            fa = f"wires[{owner[a][0]}].points_m[{owner[a][1]}..{owner[a][1] + 1}]"
            fb = f"wires[{owner[b][0]}].points_m[{owner[b][1]}..{owner[b][1] + 1}]"
            if not joined.any():
                faults.add(fa, f"meets {fb}", "wires that cross or touch to have a vertex in common there",
                           "add the crossing point to both wires, or move them apart")
            elif joined.sum() > 1:
                faults.add(fa, f"lies on {fb}", "two pieces that do not lie on each other")
            else:
                ia, ib = np.argwhere(joined)[0]
                u, v = (1 - 2 * ia) * vec[a], (1 - 2 * ib) * vec[b]
                if owner[a][0] != owner[b][0] and u @ v > -FOLD_COSINE * np.linalg.norm(u) * np.linalg.norm(v):
                    faults.add(fa, f"lies on {fb}", "joined pieces at an angle of 2 degrees or more")


def _places(case, sound, faults):
    by_name = {w.name: w for w in case.wires}
    shaped = {w.name for i, w in enumerate(case.wires) if i in sound}
    seats = {}  # (kind, number) of those that lie on a wire of sound shape → their place
    for name in shaped:
        mine = [(kind, i, v.at_m) for kind, i, v in _items(case) if v.wire == name]
        seats |= {(kind, i): place for (kind, i, _), place in zip(mine, places_on(by_name[name], [at for _, _, at in mine]))}
    slots = _vertex_slots(case, sound)
    taken = {}
    for kind, i, item in _items(case):
        field = f"{kind}[{i}]"
        wire = by_name.get(item.wire)
        if wire is None:
            faults.add(f"{field}.wire", item.wire, "the name of a wire", "wires: " + ", ".join(by_name)[:80])
            continue
        if item.wire not in shaped:
            continue
        length = wire.length_m
        if not -SAME_M <= item.at_m <= length + SAME_M:
            faults.add(f"{field}.at_m", item.at_m, f"0 to {length:.4f}, the length of wire {item.wire!r}")
            continue
        place = seats[kind, i]
        slot = (item.wire, place)
        around, grounded = {slot}, False
        if place.vertex is not None:
            p = np.array(wire.points_m[place.vertex])
            around = {s for s, q in slots if np.abs(p - q).max() <= JOIN_M}
            grounded = case.ground.kind == "perfect" and abs(p[2]) <= JOIN_M
            if around == {slot} and not grounded:
                faults.add(f"{field}.at_m", item.at_m, "a place with something joined to it",
                           f"nothing is joined to that end of wire {item.wire!r}")
                continue
        if kind == "ports":
            if slot in taken:
                faults.add(f"{field}.at_m", item.at_m, "a place of its own", f"port {taken[slot]!r} is within {1e3 * JOIN_M:.0f} mm of it")
            elif place.vertex is not None and not grounded and around <= {slot, *taken}:
                faults.add(f"{field}.at_m", item.at_m, "a port whose current others do not settle", "every wire at that joint has a port there")
            taken.setdefault(slot, item.name)


def _items(case):
    """Ports and loads: (kind, number, item)."""
    return [("ports", i, v) for i, v in enumerate(case.ports)] + [("loads", i, v) for i, v in enumerate(case.loads)]


def _vertex_slots(case, sound):
    """Where a current enters or leaves a vertex: ((wire, place), point), two for each inner vertex."""
    out = []
    for i in sorted(sound):
        wire = case.wires[i]
        for n, (at, p) in enumerate(zip(vertices_at_m(wire), wire.points_m)):
            sides = (n < len(wire.points_m) - 1) * [True] + (n > 0) * [False]
            out += [((wire.name, Place(at, after, n)), np.array(p)) for after in sides]
    return out


def _asked(case, sound, faults):
    """Loads that give no power, and field points in air."""
    for i, load in enumerate(case.loads):
        if isinstance(load.element, FixedImpedance) and complex(load.element.ohm).real < 0.0:
            faults.add(f"loads[{i}].ohm", [complex(load.element.ohm).real, complex(load.element.ohm).imag], "a resistance of 0 or more")
    pieces = [(case.wires[i].radius_m, np.array(a, float), np.array(b, float)) for i in sorted(sound) for a, b in pairwise(case.wires[i].points_m)]
    points = np.array(case.ask.fields_at_m, float).reshape(-1, 3)
    within = np.zeros(len(points), bool)
    for radius, a, b in pieces:
        way = b - a
        along = np.clip((points - a) @ way / (way @ way), 0.0, 1.0)
        within |= np.linalg.norm(points - a - along[:, None] * way, axis=1) <= radius
    buried = (points[:, 2] < 0.0) & (case.ground.kind != "none")
    for n in np.flatnonzero(within | buried):
        faults.add(f"ask.fields_at_m[{n}]", list(case.ask.fields_at_m[n]), "z of 0 or more: in air, not in the ground" if buried[n] else "a point off the wires by more than their radius")
