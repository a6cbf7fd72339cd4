"""The outside of the line as a wire: what its shield carries, with a choke, without one, and as the return path.

An end-fed wire drives a current back along everything joined to its cold side: the counterpoise, and the shield of the line down to the station. The line
runs from the feed down, along the ground and up to the radio (straight over where that is shorter). There it meets the station:

    mains      the safety earth: a wire down to the ground and `MAINS_M` of buried or wall-hugging wiring, coupled to the soil
    battery    floats: nothing but the radio and its leads, `BATTERY_M` of wire

A choke sits in series with the shield, at the feed or where the line enters the house. The signal inside the line does not see any of this. Lengths
of the station's wiring come from memory: no two houses are alike, so the figures tell small from large, not more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from .families.design import Design
from .network.choke import choke
from .network.line import line_type
from .physics.constants import COPPER_S_PER_M
from .site.model import Site
from .wires.model import JOIN_M, Load, Point3, Wire

LINE = "line"
STATION = "station"
ON_GROUND_M = 0.1
MAINS_M = 8.0
BATTERY_M = 1.0
CHOKE_FROM_END_M = 0.2
LEAST_M = 0.3
STATION_RADIUS_M = 0.0008
END_FED_RATIO = 9.0


@dataclass(frozen=True, kw_only=True)
class ShieldCurrent:
    """Largest current on the outside of the line [A rms] at the station's peak power, and the feed impedance, without and with the choke."""

    without_choke_a: float
    with_choke_a: float
    feed_ohm_without: complex
    feed_ohm_with: complex


def is_end_fed(design: Design) -> bool:
    """Fed at a wire's beginning against whatever is joined there, through a high ratio."""
    return bool(design.feed.transformer) and (design.feed.impedance_ratio or 0.0) >= END_FED_RATIO and design.port.at_m < JOIN_M


def feed_point(design: Design) -> Point3:
    return next(w for w in design.structure.wires if w.name == design.port.wire).point_at(design.port.at_m)


def line_points(feed: Point3, entry: Point3) -> tuple[Point3, ...]:
    """The line's run from the feed to the radio's entry."""
    run = math.dist(feed[:2], entry[:2])
    over = math.dist(feed, entry) <= entry[2] + feed[2]
    path = (feed, entry) if over or run < LEAST_M else (feed, (*feed[:2], ON_GROUND_M), (*entry[:2], ON_GROUND_M), entry)
    kept = [path[0]]
    for point in path[1:]:
        if math.dist(point, kept[-1]) > 10 * JOIN_M:
            kept.append(point)
    return tuple(kept)


def station_points(entry: Point3, coming_from, station: str) -> tuple[Point3, ...]:
    """What hangs on the line's end inside the house, leading on the way the line came."""
    away = np.subtract(entry[:2], coming_from[:2])
    size = float(np.linalg.norm(away))
    x, y = (away / size) if size > 1e-6 else (1.0, 0.0)
    if station == "battery":
        return entry, (entry[0] + BATTERY_M * x, entry[1] + BATTERY_M * y, entry[2])
    foot = (*entry[:2], ON_GROUND_M)
    return entry, foot, (entry[0] + MAINS_M * x, entry[1] + MAINS_M * y, ON_GROUND_M)


def entry_point(site: Site, design: Design) -> Point3:
    """Where the line enters the house; a line's length away from the feed where the site does not say."""
    if site.radio is not None:
        return (*site.radio.at_m, max(site.radio.height_m, 2 * ON_GROUND_M))
    feed, centre = feed_point(design), site.lot.centroid
    away = np.array([feed[0] - centre.x, feed[1] - centre.y])
    if float(np.linalg.norm(away)) < 1.0:
        return (feed[0] + 3.0, feed[1], 1.0)
    return (float(centre.x), float(centre.y), 1.0)


def outside_wires(design: Design, site: Site, station: str) -> tuple[Wire, ...]:
    """Shield and station as wires joined to the feed's cold side, the first called `LINE`; one wire where the feed is at the entry itself."""
    feed, entry = feed_point(design), entry_point(site, design)
    points = line_points(feed, entry)
    inside = station_points(points[-1], feed, station)
    runs = [(LINE, points, 0.5 * line_type(design.feed.line).diameter_m), (STATION, inside, STATION_RADIUS_M)]
    if len(points) < 2:
        runs = [(LINE, inside, STATION_RADIUS_M)]
    return tuple(
        Wire(name=name, points_m=run, radius_m=radius, role="line", conductivity_s_per_m=COPPER_S_PER_M) for name, run, radius in runs
    )


def with_outside(design: Design, site: Site, station: str, *, choke_key: str | None, choke_at: str = "feed") -> Design:
    """The design with the outside of its line as a wire; `choke_key` in series with it at the `feed` or at the `radio`."""
    wires = outside_wires(design, site, station)
    at = CHOKE_FROM_END_M if choke_at == "feed" else wires[0].length_m - CHOKE_FROM_END_M
    chokes = (Load(wire=LINE, at_m=min(max(at, 0.0), wires[0].length_m), element=choke(choke_key)),) if choke_key else ()
    structure = replace(design.structure, wires=(*design.structure.wires, *wires))
    return replace(design, structure=structure, loads=(*design.loads, *chokes))


def completed(design: Design, site: Site, wishes) -> Design:
    """The design as it works: an end-fed one without a choke gets the outside of its line as a wire, for that is its return path."""
    if design.feed.choke or not is_end_fed(design) or any(w.role == "line" for w in design.structure.wires):
        return design
    return with_outside(design, site, wishes.station, choke_key=None)


def shield_current(design: Design, site: Site, station: str, ground, freq_hz: float, delivered_w: float, *, key: str = "") -> ShieldCurrent:
    """What the shield carries with `delivered_w` into the port, without a choke and with the design's own at the feed."""
    (without, z0), (with_it, z1) = (
        _largest_on_line(with_outside(design, site, station, choke_key=c), ground, freq_hz, delivered_w, key) for c in (None, design.feed.choke)
    )
    return ShieldCurrent(without_choke_a=without, with_choke_a=with_it, feed_ohm_without=z0, feed_ohm_with=z1)


def _largest_on_line(design, ground, freq_hz, delivered_w, key):
    from .field.solver import solve  # compiled code comes with it, which stored figures do without

    solution = solve(design.structure.wires, (design.port,), design.loads_on(key), ground, np.array([freq_hz]))
    mesh, amps = solution.slot_currents(0)
    line = [w.name for w in design.structure.wires].index(LINE)
    on_line = np.repeat(mesh.wire == line, 2)
    z = complex(solution.z_ohm[0])
    return float(np.abs(amps[on_line]).max() * math.sqrt(delivered_w / z.real)), z
