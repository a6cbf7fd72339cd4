"""Wires, ports and loads in space: what the field solver is asked about.

Local metres: x east, y north, z up, flat ground at z = 0. All records are frozen; change by
`dataclasses.replace`. `at_m` is the distance along a wire from its first point. Wires whose vertices
coincide within `JOIN_M` are joined there. A port or load at a wire's end sits in series between that
wire and whatever is joined to its end; one within `JOIN_M` of a vertex sits at the vertex (`places`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ..physics.elements import Capacitor, Coil, FixedImpedance, Trap
from ..physics.soil import Soil

JOIN_M = 1e-3
SURROUNDINGS = "surroundings"  # role of conductors that belong to no aerial

Point3 = tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class Coating:
    """Insulation on a wire."""

    thickness_m: float
    relative_permittivity: float


@dataclass(frozen=True, kw_only=True)
class Wire:
    """A polyline conductor. `role`: radiator, counterpoise, line (outside of the feed line) or surroundings."""

    name: str
    points_m: tuple[Point3, ...]
    radius_m: float
    role: str = "radiator"
    conductivity_s_per_m: float | None = None
    coating: Coating | None = None

    @property
    def length_m(self) -> float:
        return sum(math.dist(a, b) for a, b in zip(self.points_m, self.points_m[1:]))

    def point_at(self, at_m: float) -> Point3:
        """Point at distance `at_m` along the wire (clamped to its ends)."""
        left = at_m
        for a, b in zip(self.points_m, self.points_m[1:]):
            step = math.dist(a, b)
            if left <= step and step > 0:
                t = max(0.0, left / step)
                return tuple(p + t * (q - p) for p, q in zip(a, b))
            left -= step
        return self.points_m[-1]


@dataclass(frozen=True, kw_only=True)
class Port:
    """A place to feed; its current counts positive along the wire's direction."""

    name: str
    wire: str
    at_m: float


@dataclass(frozen=True, kw_only=True)
class Load:
    """A lumped element in series with the wire."""

    wire: str
    at_m: float
    element: Coil | Trap | Capacitor | FixedImpedance


@dataclass(frozen=True, kw_only=True)
class Ground:
    """`kind`: none (free space), perfect, or soil (then `soil` is given)."""

    kind: str
    soil: Soil | None = None


@dataclass(frozen=True, kw_only=True)
class Ask:
    """What else to answer: directions (elevation_deg, bearing_deg) and field points at a power."""

    gain_at: tuple[tuple[float, float], ...] = ()
    fields_at_m: tuple[Point3, ...] = ()
    power_w: float = 1.0


@dataclass(frozen=True, kw_only=True)
class WireCase:
    """Everything the field solver needs, as in a wire case file."""

    frequencies_mhz: tuple[float, ...]
    ground: Ground
    wires: tuple[Wire, ...]
    ports: tuple[Port, ...]
    loads: tuple[Load, ...] = ()
    ask: Ask = field(default_factory=Ask)
