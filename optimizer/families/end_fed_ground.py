"""What end-fed wires ask of the ground: room for a feed on one side of a support and a tail on the other."""

from __future__ import annotations

import numpy as np

from .choices import Ground, feed_options
from .outline import BINS, DIRECTIONS
from .placement import plot_of
from .rig import APEX_MIN_DEG
from .sharp import run_share


def feed_missing(rig, apex, to_feed):
    """What a feed post at that distance lacks along every bearing."""
    out = to_feed + 0.3 - rig.plot.lot.rooms(apex)
    if len(rig.plot.blocked.array):
        out = np.maximum(out, rig.plot.blocked.depths(np.array(apex[:2]) + DIRECTIONS * to_feed))
    return out


def ground_both(longest, apex_deg) -> Ground:
    """Ground with room for a feed on one side and a tail on the other."""
    run = run_share(apex_deg) * longest

    def missing(points, rooms):
        return np.maximum(0.38 * run - rooms, 0.3 * run - np.roll(rooms, BINS // 2, axis=1)).min(axis=1)

    return Ground(("both sides", run), missing)


def ground_near(feed, longest, apex_deg) -> Ground:
    """Ground that leaves a tail beyond a feed at that place, and room for it."""

    def missing(points, rooms):
        away = np.hypot(points[:, 0] - feed[0], points[:, 1] - feed[1])
        tail = 0.5 * run_share(apex_deg) * (longest - away) - rooms.max(axis=1)
        return np.maximum.reduce([away - 0.78 * longest, 0.15 * longest - away, tail])

    return Ground(("near", feed, longest, apex_deg), missing)


def over_ground(site, wishes, longest, apex_deg=APEX_MIN_DEG) -> Ground:
    """Ground that suits at least one of the feeds."""
    feeds, plot = feed_options(site, wishes), plot_of(site)
    grounds = [ground_both(longest, apex_deg)] if "post" in feeds else []
    grounds += [ground_near(site.radio.at_m, longest, apex_deg)] if "radio" in feeds else []
    grounds += [ground_near(p.at_m, longest, apex_deg) for p in plot.places if p.name in feeds]

    def missing(points, rooms):
        return np.minimum.reduce([g.missing(points, rooms) for g in grounds])

    return Ground(("over", longest, apex_deg), missing)
