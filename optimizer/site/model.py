"""A surveyed lot in local metres: x east, y north, z up, flat ground at z = 0.

Shapes are shapely geometries in plan. `Structure` is what somebody wants to put up there: wires,
masts, anchors and guys, judged by `optimizer.site.clearance`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..physics.soil import Soil
from ..wires.model import Point3, Wire

Point2 = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Building:
    name: str
    footprint: Polygon
    height_m: float
    clearance_m: float = 1.0
    occupied: bool = True


@dataclass(frozen=True, kw_only=True)
class KeepOut:
    name: str
    footprint: Polygon
    from_m: float | None = None  # None, None: all heights
    to_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class OverheadLine:
    name: str
    path: LineString
    height_m: float
    kind: str = "power"  # or "telecom"
    clearance_m: float = 3.0


@dataclass(frozen=True, kw_only=True)
class Tree:
    name: str
    at_m: Point2
    height_m: float
    crown_radius_m: float
    holds_wire_at_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class Support:
    """A thing that can hold a wire: post, gable, pole, fence ..."""

    name: str
    at_m: Point2
    height_m: float
    kind: str


@dataclass(frozen=True, kw_only=True)
class MastSpot:
    name: str
    where: Point | Polygon


@dataclass(frozen=True, kw_only=True)
class People:
    name: str
    footprint: Polygon
    height_m: float = 2.0


@dataclass(frozen=True, kw_only=True)
class Radio:
    """Where the line leaves the house."""

    name: str
    at_m: Point2
    height_m: float


@dataclass(frozen=True, kw_only=True)
class TapeReading:
    """One tape: `residual_m` is measured less computed; `corrected_m` what the other tapes say it should read."""

    name: str  # "tape[4] a-c"
    start: str
    end: str
    measured_m: float
    residual_m: float
    corrected_m: float | None = None
    side: str | None = None  # of the base line, as stated


@dataclass(frozen=True, kw_only=True)
class TapeReport:
    """How well a tape survey closes.

    `closing_error_m`: standard error of one tape, root of the sum of squared residuals over the number of spare
    tapes (0 when none is spare). `doubtful`: the reading that does not fit, or None; `suspects`: all readings that
    explain the misfit as well (one only when the survey can tell). `given`: points known otherwise, in the order of the file;
    `base_bearing_deg`: as given; `assumed_bearing_deg`: set when not given.
    """

    readings: tuple[TapeReading, ...]
    closing_error_m: float
    spare_tapes: int
    points_m: tuple[tuple[str, Point2], ...]
    doubtful: TapeReading | None = None
    suspects: tuple[str, ...] = ()
    given: tuple[str, ...] = ()
    base_bearing_deg: float | None = None
    assumed_bearing_deg: float | None = None


@dataclass(frozen=True, kw_only=True)
class Site:
    """A lot with everything surveyed on it. `stem` names its results folder."""

    name: str
    stem: str
    lot: Polygon
    usable: BaseGeometry  # the lot less its setback
    height_limit_m: float
    itu_region: int
    currency: str
    setback_m: float = 0.0
    soil: Soil = Soil(relative_permittivity=13.0, conductivity_s_per_m=0.005)
    wind_m_per_s: float = 25.0
    ice_m: float = 0.0  # radial, on wires, to be stood
    country: str | None = None
    origin_lon_lat: tuple[float, float] | None = None
    buildings: tuple[Building, ...] = ()
    keep_outs: tuple[KeepOut, ...] = ()
    overhead_lines: tuple[OverheadLine, ...] = ()
    trees: tuple[Tree, ...] = ()
    supports: tuple[Support, ...] = ()
    mast_spots: tuple[MastSpot, ...] = ()
    people: tuple[People, ...] = ()
    radio: Radio | None = None
    warnings: tuple[str, ...] = ()
    tape_report: TapeReport | None = None


@dataclass(frozen=True, kw_only=True)
class Mast:
    at_m: Point2
    height_m: float


@dataclass(frozen=True, kw_only=True)
class Anchor:
    """A point at or near the ground (or on a support): kind guy, stake or end."""

    at_m: Point2
    kind: str
    height_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Span:
    """One hung run from the first to the last holding point, with everything between.

    `holds_m` are the points that hold it, in order along the run (a mast top, a house corner, a tied-off
    end); `lengths_m[i]` is the length of wire plus cord between hold i and hold i+1. The fall rule of
    overhead lines is judged on this.
    """

    holds_m: tuple[Point3, ...]
    lengths_m: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class Structure:
    """What is to be put up: the wires in the air and all that holds them.

    `cords_m`: guys and halyard tails, straight pieces that must also stay inside the lot.
    `holds_at_m`: support and radio points in use (plan), near which building clearance is not applied.
    `lines_m`: holding points, in order, of everything that sags between them.
    """

    wires: tuple[Wire, ...]
    masts: tuple[Mast, ...] = ()
    anchors: tuple[Anchor, ...] = ()
    cords_m: tuple[tuple[Point3, Point3], ...] = ()
    spans: tuple[Span, ...] = ()
    holds_at_m: tuple[Point2, ...] = field(default=())
    lines_m: tuple[tuple[Point3, ...], ...] = ()
