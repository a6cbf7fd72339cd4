"""A rig: what stands and hangs of one design, as hung runs, judged, and closed as a structure.

A `Rig` is filled by a family's `build` and then closed by `structure`. Straight spans until then, see `sag`.
Common practice, no source: no apex sharper than a right angle, unless the values allow it (see `sharp`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ..site.model import Span, Structure
from ..wires.model import Point3
from .family import NoPlace
from .hanging import Hanging, Leg, angle_deg
from .sag import LONGER, Hung

APEX_MIN_DEG = 90.0


def sharper_deg(runs, drops, straight: float, least_deg: float = APEX_MIN_DEG) -> float:
    """How much sharper than `least_deg` an apex is, from plan runs and drops of its two sides; `straight`: cosine of the turn between them.

    Two hundredths to spare for what trimming moves.
    """
    cos = (1.02 * drops[0] * drops[1] - runs[0] * runs[1] * straight) / (math.hypot(runs[0], drops[0]) * math.hypot(runs[1], drops[1]))
    return least_deg - math.degrees(math.acos(max(-1.0, min(1.0, cos))))


def hung_span(holds, straight_m) -> Span:
    """A span of those straight lengths between its holds, with the slack of its sag."""
    lengths = tuple(m + LONGER * math.dist(a[:2], b[:2]) for m, a, b in zip(straight_m, holds, holds[1:]))
    return Span(holds_m=tuple(holds), lengths_m=lengths)


@dataclass
class Rig(Hanging):
    """What stands and hangs so far."""

    spans: list = field(default_factory=list)
    lines: list = field(default_factory=list)  # holding points of what sags between them
    apex_least_deg: float = APEX_MIN_DEG
    apex_deg: float = 180.0  # the sharpest so far

    def span(self, start: Point3, legs_forward) -> None:
        """One hung run from a held start through a leg's holds."""
        holds, lengths = [start], []
        for leg in legs_forward:
            holds += leg.holds
            lengths += leg.lengths
        self.lines.append(tuple(holds))
        self.spans.append(hung_span(holds, lengths))

    def double_span(self, back: Leg, middle: Point3, forward: Leg, starts) -> None:
        """One hung run: the end of `back`, the hold in the middle, the end of `forward`; the legs begin at `starts`."""
        legs = tuple(zip((back, forward), starts))
        self.lines += [(start, *leg.holds) for leg, start in legs]
        lengths = [[leg.lengths[0] + math.dist(middle, start), *leg.lengths[1:]] for leg, start in legs]
        self.spans.append(hung_span((*reversed(back.holds), middle, *forward.holds), (*reversed(lengths[0]), *lengths[1])))

    def follow(self, hung: Hung) -> None:
        """Cords go to the wires' ends where they hang."""
        now = {hung.laid[w.name].points_m[n]: w.points_m[n] for w in hung.wires for n in (0, -1)}
        self.cords = [(now.get(a) or hung.sag.lowered(a), hung.sag.lowered(b)) for a, b in self.cords]

    def blunt_height(self, wanted_m: float, least_m: float, sharp_deg) -> float:
        """The highest apex up to `wanted_m` whose angle is not sharper than allowed. `sharp_deg(height)`: by how much it is, see `sharper_deg`."""
        height, least_deg = wanted_m, math.inf
        while height >= least_m - 1e-9:
            sharp = sharp_deg(height)
            if sharp <= 0:
                return height
            height, least_deg = height - 0.2, min(least_deg, sharp)
        raise NoPlace("apex angle", least_deg, "the wire is too short for a support that high: its apex would be sharp")

    def apex_ok(self, before, apex, after) -> None:
        angle = angle_deg(before, apex, after)
        if self.apex_least_deg - angle > 1e-6:
            raise NoPlace("apex angle", self.apex_least_deg - angle, f"apex of {angle:.0f} degrees, {self.apex_least_deg:.0f} allowed")
        self.apex_deg = min(self.apex_deg, angle)

    def structure(self, wires) -> Structure:
        """The finished structure, checked."""
        self.check([w for w in wires if w.role != "line"])
        return Structure(
            wires=tuple(wires), masts=tuple(self.masts), anchors=tuple(self.anchors), cords_m=(*self.guys, *self.cords),
            spans=tuple(self.spans), holds_at_m=tuple(self.holds), lines_m=tuple(self.lines),
        )  # fmt: skip

    def check(self, wires) -> None:
        """The quick version of what `clearance` judges at length."""
        self.plot.obstacles.check(wires, (*self.guys, *self.cords), self.holds)
