"""Return path and closing of end-fed wires.

The return path is a counterpoise of about 0.05 wavelength (common practice, no source) joined to the first point of the wire, or the outside of the
line up to a choke where it enters the house; the port sits at the wire's own beginning, in series between the two.
"""

from __future__ import annotations

from ..wires.model import Port
from .bands import Band
from .common import close, coax_feed, conductor
from .end_fed import Run
from .family import NoPlace
from .line_outside import FEED, RADIO, choke_load, line_finds_its_way, outside_wires
from .outline import bearing_deg
from .rig import Rig
from .standing import POST_MAX_M

RATIOS = (49, 64)
COUNTERPOISE_SHARES = (0.05, 0.03)  # of the lowest wavelength


def counterpoise(rig: Rig, run: Run, low: Band):
    """The return path as a wire, joined to the feed; the shorter one where there is no room for the usual one."""
    away = bearing_deg(run.feed, run.points[1])
    try:
        points = rig.counterpoise(run.feed, COUNTERPOISE_SHARES[0] * low.wavelength_m, away)
    except NoPlace:
        points = rig.counterpoise(run.feed, COUNTERPOISE_SHARES[1] * low.wavelength_m, away)
    return conductor("counterpoise", reversed(points), key="wire_counterpoise", role="counterpoise")


def choke_place(rig: Rig, run: Run, values) -> str:
    """The choice, settled on the feed where the line cannot be a way back."""
    if values.get("choke_at", FEED) == RADIO and line_finds_its_way(rig.site, run.feed):
        return RADIO
    rig.settled["choke_at"] = FEED
    return FEED


def finish_end_fed(family, rig: Rig, run: Run, values, *, low: Band, ratio, trims, loads=(), serves=(), detail=""):
    """Return path, transformer, line and closing."""
    choke_at = choke_place(rig, run, values)
    back = (counterpoise(rig, run, low),) if choke_at == FEED else ()
    feed = coax_feed(rig, values, run.feed, low.low_hz, ratio=ratio, choke_at=choke_at)
    if choke_at == RADIO:
        back = outside_wires(run.feed, rig.site, feed.line, rig.wishes.station)
        loads = (*loads, choke_load(back[0], feed.choke, choke_at))
        detail += ", line as return path"
    rig.buy("strain_relief", "feed point")
    wires = (conductor("main", run.points), *back)
    port = Port(name="feed", wire="main", at_m=0.0)
    return close(family, rig, values, wires, port=port, feed=feed, trims=trims, loads=loads, serves=serves, detail=detail)


def end_reachable(run: Run) -> bool:
    return run.leg.reachable or run.feed[2] <= POST_MAX_M
