"""The outside of the feed line as a wire, down to the station: the way back of an end-fed wire whose choke sits at the house.

The line runs from the feed down, along the ground and up to the radio (straight over where that is shorter). There it meets the station:

    mains      the safety earth: a wire down to the ground and `MAINS_M` of buried or wall-hugging wiring, coupled to the soil
    battery    floats: nothing but the radio and its leads, `BATTERY_M` of wire

A choke sits in series with the shield, at the feed or where the line enters the house. The signal inside the line does not see any of this. Lengths
of the station's wiring come from memory: no two houses are alike, so the figures tell small from large, not more.
"""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import LineString

from ..parts.choke import choke
from ..parts.tables import facts
from ..physics.constants import COPPER_S_PER_M
from ..site.model import Site
from ..wires.model import JOIN_M, Load, Point3, Wire
from .outline import BEARINGS_DEG, DIRECTIONS, bearing_deg
from .placement import plot_of

LINE = "line"
STATION = "station"
FEED, RADIO = "feed", "radio"  # where the choke sits
ON_GROUND_M = 0.1
MAINS_M = 8.0
BATTERY_M = 1.0
RADIO_FROM_WALL_M = 1.0
CHOKE_FROM_END_M = 0.2
LEAST_M = 0.3
LINE_LEAST_M = 3.0  # as a return path: a few hundredths of a wavelength
MOST_TURN_DEG = 140.0  # the station's wiring does not lie back along the line
KEEP_IN_M = 0.05  # from the lot's edge
STATION_RADIUS_M = 0.0008


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


def station_points(site: Site, entry: Point3, coming_from, station: str) -> tuple[Point3, ...]:
    """What hangs on the line's end inside the house; the earth goes down behind the wall."""
    (x, y), room = _way_in(site, entry, coming_from, BATTERY_M if station == "battery" else MAINS_M)

    def behind(run_m, height_m):
        return entry[0] + run_m * x, entry[1] + run_m * y, height_m

    if station == "battery":
        return entry, behind(room, entry[2])
    wall = min(RADIO_FROM_WALL_M, 0.5 * room)
    return entry, behind(wall, entry[2]), behind(wall, ON_GROUND_M), behind(room, ON_GROUND_M)


def _way_in(site: Site, entry: Point3, coming_from, wanted_m: float) -> tuple[tuple[float, float], float]:
    """Direction as the line came, turned to where the lot has that much room clear of keep-outs, and the room there is [m]."""
    came = bearing_deg(coming_from, entry) if math.dist(coming_from[:2], entry[:2]) > 1e-6 else 0.0
    off = np.abs((BEARINGS_DEG - came + 180.0) % 360.0 - 180.0)
    plot = plot_of(site)
    clear = np.minimum(plot.lot.rooms(entry), plot.keep_outs_up_to(entry[2]).rooms(entry))
    rooms = np.where(off <= MOST_TURN_DEG, clear - KEEP_IN_M, 0.0)
    enough = rooms >= wanted_m
    best = int(np.argmin(np.where(enough, off, np.inf)) if enough.any() else np.argmax(rooms))
    return tuple(DIRECTIONS[best].tolist()), min(wanted_m, max(float(rooms[best]), LEAST_M))


def line_finds_its_way(site: Site, feed: Point3) -> bool:
    """Can the line lie straight on the lot's own ground from the feed to the radio, through no keep-out, long enough to be a return path?"""
    plot = plot_of(site)
    if site.radio is None or not plot.lot.holds(site.radio.at_m):
        return False
    entry = entry_point(site, feed)
    run = math.dist(feed[:2], entry[:2])
    if run < LINE_LEAST_M:
        return False
    if plot.lot.room(feed, (entry[0] - feed[0]) / run, (entry[1] - feed[1]) / run)[0] < run:
        return False
    path = LineString((feed[:2], entry[:2]))
    return not any((k.from_m or 0.0) <= ON_GROUND_M and path.intersects(k.footprint) for k in site.keep_outs)


def entry_point(site: Site, feed: Point3) -> Point3:
    """Where the line enters the house; a line's length away from the feed where the site does not say."""
    if site.radio is not None:
        return (*site.radio.at_m, max(site.radio.height_m, 2 * ON_GROUND_M))
    centre = site.lot.centroid
    away = np.array([feed[0] - centre.x, feed[1] - centre.y])
    if float(np.linalg.norm(away)) < 1.0:
        return (feed[0] + 3.0, feed[1], 1.0)
    return (float(centre.x), float(centre.y), 1.0)


def outside_wires(feed: Point3, site: Site, cable: str, station: str) -> tuple[Wire, ...]:
    """Shield and station as wires joined to the feed's cold side, the first called `LINE`; one wire where the feed is at the entry itself."""
    points = line_points(feed, entry_point(site, feed))
    inside = station_points(site, points[-1], feed, station)
    runs = [(LINE, points, 0.5 * facts("cables")[cable]["diameter"]), (STATION, inside, STATION_RADIUS_M)]
    if len(points) < 2:
        runs = [(LINE, inside, STATION_RADIUS_M)]
    return tuple(
        Wire(name=name, points_m=run, radius_m=radius, role="line", conductivity_s_per_m=COPPER_S_PER_M) for name, run, radius in runs
    )


def choke_load(line: Wire, key: str, choke_at: str) -> Load:
    """The choke in series with the outside of the line, at the `FEED` or at the `RADIO`."""
    return Load(wire=line.name, at_m=choke_place_m(line, choke_at), element=choke(key))


def choke_place_m(line: Wire, choke_at: str) -> float:
    """How far along the line a choke sits [m]."""
    at = CHOKE_FROM_END_M if choke_at == FEED else line.length_m - CHOKE_FROM_END_M
    return min(max(at, 0.0), line.length_m)
