"""What the outside of the line carries: with a choke, without one, and as the return path.

An end-fed wire drives a current back along everything joined to its cold side: the counterpoise, and the shield of the line down to the station
(`families.line_outside`). With the choke at the feed the counterpoise is the way back and the shield is left out of the solution; its current is
computed apart: the choke's heat for every design measured in full, the rest for rows that are offered. With the choke where the line enters the house, or without one, the shield is part of every solution.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np

from .families.design import Design
from .families.line_outside import FEED, LINE, RADIO, choke_load, choke_place_m, outside_wires
from .network.endure import Stands, currents_stood_a, load_currents_a
from .network.shield import ShieldCurrent
from .parts.choke import Choke, choke
from .physics.elements import FixedImpedance
from .site.model import Site
from .wires.model import JOIN_M, Load, Point3

END_FED_RATIO = 9.0
AMMETER_OHM = 1e-3
COLD = "cold half"


def is_end_fed(design: Design) -> bool:
    """Fed at a wire's beginning against whatever is joined there, through a high ratio."""
    return bool(design.feed.transformer) and (design.feed.impedance_ratio or 0.0) >= END_FED_RATIO and design.port.at_m < JOIN_M


def feed_point(design: Design) -> Point3:
    return next(w for w in design.structure.wires if w.name == design.port.wire).point_at(design.port.at_m)


def fed_at_an_end(design: Design) -> Design:
    """The design with its port at a wire's beginning: where it sits within a wire, that is parted there, its first half the cold side."""
    port, wire = design.port, next(w for w in design.structure.wires if w.name == design.port.wire)
    if not JOIN_M < port.at_m < wire.length_m - JOIN_M:
        return design
    middle, at, cold, hot = wire.point_at(port.at_m), 0.0, [wire.points_m[0]], []
    for a, b in pairwise(wire.points_m):
        at += math.dist(a, b)
        (cold if at < port.at_m - JOIN_M else hot).append(b)
    hot = hot[1:] if math.dist(hot[0], middle) < JOIN_M else hot
    halves = (replace(wire, name=COLD, points_m=(*cold, middle)), replace(wire, points_m=(middle, *hot)))

    def moved(load: Load) -> Load:
        if load.wire != wire.name:
            return load
        return replace(load, at_m=load.at_m - port.at_m) if load.at_m > port.at_m else replace(load, wire=COLD)

    wires = tuple(part for w in design.structure.wires for part in (halves if w is wire else (w,)))
    by_band = tuple((key, tuple(map(moved, loads))) for key, loads in design.by_band)
    structure = replace(design.structure, wires=wires)
    return replace(design, structure=structure, port=replace(port, at_m=0.0), loads=tuple(map(moved, design.loads)), by_band=by_band)


def with_outside(design: Design, site: Site, station: str, *, choke_key: str | None, choke_at: str = "feed") -> Design:
    """The design with the outside of its line as a wire, in place of what it may have; `choke_key` in series with it at the `feed` or at the `radio`."""
    design = fed_at_an_end(design)
    own = tuple(w for w in design.structure.wires if w.role != "line")
    names = {w.name for w in own}
    wires = outside_wires(feed_point(design), site, design.feed.line, station)
    chokes = (choke_load(wires[0], choke_key, choke_at),) if choke_key else ()
    structure = replace(design.structure, wires=(*own, *wires))
    return replace(design, structure=structure, loads=(*(v for v in design.loads if v.wire in names), *chokes))


def completed(design: Design, site: Site, wishes) -> Design:
    """The design as it works: an end-fed one without a choke gets the outside of its line as a wire, for that is its return path."""
    if design.feed.choke or not is_end_fed(design) or any(w.role == "line" for w in design.structure.wires):
        return design
    return with_outside(design, site, wishes.station, choke_key=None)


def shield_current(design: Design, site: Site, station: str, ground, freq_hz: float, delivered_w: float, *, key: str = "") -> ShieldCurrent:
    """What shield and station carry with `delivered_w` into the port, without a choke and with the design's own where it sits."""
    without, choked = (
        _carried(with_outside(design, site, station, choke_key=c, choke_at=design.feed.choke_at), ground, freq_hz, delivered_w, key)
        for c in (None, design.feed.choke)
    )
    return ShieldCurrent(
        without_choke_a=without[0], with_choke_a=choked[0], entering_without_a=without[1], entering_with_a=choked[1],
        feed_ohm_without=without[2], feed_ohm_with=choked[2], choke_a=choked[3],
    )  # fmt: skip


def choke_current_a(design: Design, site: Site, station: str, ground, freq_hz: float, delivered_w: float, *, key: str = "") -> float:
    """Current through the choke at the feed with `delivered_w` into the port [A rms]."""
    return _carried(with_outside(design, site, station, choke_key=design.feed.choke), ground, freq_hz, delivered_w, key)[3]


def has_choke_at_feed(design: Design) -> bool:
    return bool(design.feed.choke) and design.feed.choke_at == FEED


def choke_takes(design: Design, site: Site, station: str, ground, freq_hz: float, delivered: float, *, key: str = "") -> tuple[Stands, float]:
    """What the choke at the feed stands as power from the radio, `delivered` of it into the port, and the share of the port's power that warms it: its
    current is solved, for the wire's uneven halves drive it."""
    amps_1w = choke_current_a(design, site, station, ground, freq_hz, delivered, key=key)
    part = choke(design.feed.choke)
    heat_a, peak_a = currents_stood_a(part, freq_hz)
    share = amps_1w**2 * complex(part.impedance_ohm(freq_hz)).real / delivered
    return Stands(heat_w=(heat_a / amps_1w) ** 2, peak_w=(peak_a / amps_1w) ** 2), min(share, 1.0)


def _carried(design, ground, freq_hz, delivered_w, key) -> tuple[float, float, complex, float]:
    """Largest current on the line and where it enters the house [A rms], the feed impedance, and the current through the choke [A rms]."""
    from .field.solver import solve  # compiled code comes with it, which stored figures do without

    loads = design.loads_on(key)
    line = next(w for w in design.structure.wires if w.name == LINE)
    entry = Load(wire=LINE, at_m=choke_place_m(line, RADIO), element=FixedImpedance(ohm=AMMETER_OHM))
    there = [n for n, v in enumerate(loads) if (v.wire, v.at_m) == (entry.wire, entry.at_m)]
    loads = loads if there else (*loads, entry)
    solution = solve(design.structure.wires, (design.port,), loads, ground, np.array([freq_hz]))
    mesh, amps = solution.slot_currents(0)
    z = complex(solution.z_ohm[0])
    rms = math.sqrt(delivered_w / z.real)
    number = [w.name for w in design.structure.wires].index(LINE)
    entering = load_currents_a(solution, there[0] if there else len(loads) - 1)[0]
    chokes = [n for n, v in enumerate(loads) if isinstance(v.element, Choke)]
    through = load_currents_a(solution, chokes[0])[0] if chokes else 0.0
    return float(np.abs(amps[np.repeat(mesh.wire == number, 2)]).max() * rms), float(entering * rms), z, float(through * rms)
