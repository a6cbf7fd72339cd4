"""What stands: masts with guys, posts, holds on supports and trees, the feed's bracket on the wall.

`Standing` collects masts, anchors, cords and parts of one design. Every method raises `NoPlace` with the limit's name and what is missing
the moment something cannot stand. Common practice, no source, unless said: a post to 3.5 m stands in the ground without guys; a mast takes
three guys at 0.65 of its height, at a radius of 0.2 to 0.5 of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from ..parts.catalogue import TALLEST_MAST_M, mast_for
from ..parts.loads import SAG_SHARE
from ..site.model import Anchor, Mast, Site
from ..wires.model import Point3
from .family import NoPlace
from .outline import BEARINGS_DEG, BINS, along
from .placement import GUY_SHARE, OUT_OF_REACH_M, plot_of

POST_MAX_M = 3.5
END_M = 3.0
GUYED_FROM_M = 4.0
GUY_ATTACH_SHARE = 0.65
TIE_M = 0.4  # end insulator and cord
FEED_MIN_M = 2.6


def raised_m(length_m: float) -> float:
    """Height at which a level wire of that length must be held so that its sag stays out of reach."""
    return OUT_OF_REACH_M + 0.05 + SAG_SHARE * (length_m + 2 * TIE_M)


def limit_m(site: Site, wishes) -> float:
    """Highest mast allowed, and to be had [m]."""
    return min(site.height_limit_m, TALLEST_MAST_M if wishes.mast_limit_m is None else min(TALLEST_MAST_M, wishes.mast_limit_m))


@dataclass
class Standing:
    """What stands so far."""

    site: Site
    wishes: object
    masts: list = field(default_factory=list)
    anchors: list = field(default_factory=list)
    guys: list = field(default_factory=list)
    cords: list = field(default_factory=list)
    holds: list = field(default_factory=list)
    parts: dict = field(default_factory=dict)  # (part, use) -> quantities, one a purchase
    settled: dict = field(default_factory=dict)  # values as they were settled on this lot (height, bearing)

    def __post_init__(self):
        self.plot = plot_of(self.site)

    @property
    def mast_limit_m(self) -> float:
        return limit_m(self.site, self.wishes)

    @property
    def end_m(self) -> float:
        """Height of a tied-off end: out of reach, and what a thin post carries."""
        return min(END_M, max(2.6, self.mast_limit_m))

    def buy(self, part: str, use: str, quantity: float = 1.0) -> None:
        self.parts.setdefault((part, use), []).append(quantity)

    def stand(self, at, height_m: float, use: str) -> Point3:
        """A post (counted as an anchor that is an end) or a guyed mast on free ground; its top."""
        if height_m > self.mast_limit_m + 1e-9:
            raise NoPlace("mast height", height_m - self.mast_limit_m, f"{use}: {height_m:.1f} m")
        if not self.plot.free(at):
            raise NoPlace("free ground", self.plot.unfree_m(at), f"{use}: no mast or post can stand there")
        for line, path in self.plot.power_lines:
            short = height_m + line.clearance_m - _distance_m(at, path)
            if short > 0:
                raise NoPlace("overhead line", short, f"{use}: falls within reach of {line.name}")
        if height_m <= POST_MAX_M and use != "mast":
            self.anchors.append(Anchor(at_m=at, kind="end", height_m=height_m))
            self.buy("post_timber", use, height_m + 0.6)
        else:
            self.masts.append(Mast(at_m=at, height_m=height_m))
            self._mast_parts(at, height_m, use)
        return (*at, height_m)

    def _mast_parts(self, at, height_m, use):
        self.buy(mast_for(height_m), use)
        self.buy("ground_sleeve", use)
        self.buy("top_guide", use)
        if height_m > GUYED_FROM_M:
            self._guy(at, height_m, use)

    def _guy(self, at, height_m, use):
        """Three guys, turned to where there is most room."""
        thirds = self.plot.guy_rooms(at)
        best = int(np.argmax(thirds))
        radius = min(0.5 * height_m, float(thirds[best]) - 0.1)
        if radius < GUY_SHARE * height_m:
            raise NoPlace("guy room", GUY_SHARE * height_m - radius, f"{use}: guys of {height_m:.1f} m do not fit")
        attach = (*at, GUY_ATTACH_SHARE * height_m)
        for third in range(3):
            foot = along(at, float(BEARINGS_DEG[best + third * BINS // 3]), radius)
            self.anchors.append(Anchor(at_m=foot, kind="guy"))
            self.guys.append((attach, (*foot, 0.0)))
            self.buy("guy_cord_3mm", "guys", math.dist(attach, (*foot, 0.0)) + 0.6)
        self.buy("guy_ring", use)
        self.buy("stake_guy", "guys", 3)
        self.buy("tensioner", "guys", 3)

    def top(self, where: str, at, height_m: float, use: str) -> Point3:
        """Top of a mast at `at`, or of the place called `where` (then not above it), ready for a wire."""
        place = next((p for p in self.plot.places if p.name == where), None)
        if place is None:
            return self.stand(at, height_m, use)
        return self.at_place(place, min(height_m, place.height_m))

    def at_place(self, place, height_m: float | None = None) -> Point3:
        """A hold on a support or tree."""
        height = place.height_m if height_m is None else height_m
        if height < OUT_OF_REACH_M:
            raise NoPlace("end height", OUT_OF_REACH_M - height, f"{place.name} is too low")
        self.holds.append(place.at_m)
        self.anchors.append(Anchor(at_m=place.at_m, kind="end", height_m=height))
        self.buy("tree_fixing" if place.kind == "tree" else "top_guide", f"at {place.name}")
        return (*place.at_m, height)

    def radio_wall(self) -> Point3:
        """Feed point on the wall where the line leaves the house, out of reach."""
        radio = self.site.radio
        if radio is None or not self.plot.lot.holds(radio.at_m):
            out = self.plot.lot.edge_m(radio.at_m) if radio else self.plot.reach_m
            raise NoPlace("feed point", out, "no radio entry inside the lot")
        height = max(radio.height_m, FEED_MIN_M)
        if height > self.site.height_limit_m:
            raise NoPlace("height limit", height - self.site.height_limit_m, "feed point")
        self.holds.append(radio.at_m)
        self.anchors.append(Anchor(at_m=radio.at_m, kind="end", height_m=height))
        self.buy("house_bracket", "feed point")
        return (*radio.at_m, height)


def _distance_m(point, path) -> float:
    """Least distance in plan from a point to a polyline."""
    best = math.inf
    for (x1, y1), (x2, y2) in pairwise(path):
        ex, ey = x2 - x1, y2 - y1
        square = ex * ex + ey * ey
        t = max(0.0, min(1.0, ((point[0] - x1) * ex + (point[1] - y1) * ey) / square)) if square else 0.0
        best = min(best, math.hypot(point[0] - x1 - t * ex, point[1] - y1 - t * ey))
    return best
