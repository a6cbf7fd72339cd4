"""A site by tape, for people without a map: a TOML file of distances, solved by least squares.

    [site]        as on the map, and base_bearing_deg (clockwise from north, default 90: then reported as assumed),
                  lon and lat of the first point (both or none; without them the site has no origin)
    [points]      optional: a = [0, 0] in metres; a point given so is held fixed
    [drawn]       optional: f = [3, 4]: points set by eye, metres east and north as the survey comes out; no tape ends there
    [[tape]]      from = "a", to = "b", m = 11.00, side = "left" or "right" (optional, of the base line)
    [[feature]]   role, points = ["a", "b", ...] (one for a point, the corners in order for an area), and its properties

The base line runs from the first point mentioned to the second. A point that a tape brings in lies left of it,
looking along it, unless the tape says side = "right"; where spare tapes settle the side they win, save for the first
point after the base line and for sides stated. When two or more [points] are given and base_bearing_deg is
not, the metres are taken as x east, y north; with base_bearing_deg they are turned about the first point.
A reading is doubtful when leaving it out brings the others to fit (see `doubt`).
"""

from __future__ import annotations

import math
from dataclasses import replace

from shapely.geometry import Point

from ..errors import FaultList
from ..physics.documents import read_toml, stem_of
from ..physics.fields import Fields, as_number, clean_text, near_spelling
from .features import SHAPES, Feature, build_site, line_of, polygon_of, read_role
from .frame import origin_for
from .model import Site, TapeReading, TapeReport
from .network import Frame, Net, Tape, leave_one_out, make_frame, point_order, solve_net, unplaced

LONGEST_TAPE_M = 3000.0
MOST_POINTS = 60
TAPE_ERROR_M = 0.03  # what a careful reading may be off by: common practice, no source
TAPE_ERROR_SHARE = 0.002  # and in proportion to its length: common practice, no source
SURE_FIT_M = 0.012  # closing error up to which no reading is questioned: common practice, no source
LEAST_CORNERS = {"Point": 1, "LineString": 2, "Polygon": 3}


def read_tape(path) -> Site:
    """The site of a tape survey. Raises InputError with every fault."""
    faults = FaultList(str(path))
    return site_of_tape(read_toml(path, faults), stem_of(path), faults)


def site_of_tape(document: dict | None, stem: str, faults: FaultList) -> Site:
    """The site of a tape survey already parsed (None: could not be). Raises InputError with every fault."""
    if document is None:
        faults.raise_if_any()
    top = Fields(document, "", faults)
    header = Fields(_table(top, "site", faults), "site", faults)
    bearing = header.number("base_bearing_deg", low=0.0, high=360.0, default=None, unit="degrees")
    first = _first_lon_lat(header, faults)
    fixed = _places(top, "points", faults)
    tapes = _tapes(top, faults)
    drawn = _drawn(top, fixed, tapes, faults)
    drafts = [_draft(item, i, faults) for i, item in enumerate(_tables(top, "feature", faults))]
    top.finish()
    report, positions = _survey(fixed, tapes, bearing, faults)
    positions = positions and positions | drawn
    features = [_feature(d, positions, faults) for d in drafts if d is not None]
    origin = None
    if first is not None and positions:
        origin = origin_for(first, next(iter(positions.values())))
    return build_site(
        stem=stem,
        header=header,
        features=features,
        faults=faults,
        origin=origin,
        warnings=_warnings(report),
        tape_report=report,
    )


# ---- the tables of the file ----


def _table(top: Fields, key: str, faults: FaultList, required: bool = True) -> dict:
    top.asked.add(key)
    value = top.values.get(key, None if required else {})
    if isinstance(value, dict):
        return value
    faults.add(f"[{key}]", value, f"a table [{key}]")
    return {"name": "-", "height_limit_m": 1.0, "itu_region": 1, "currency": "EUR"} if required else {}


def _tables(top: Fields, key: str, faults: FaultList) -> list:
    top.asked.add(key)
    value = top.values.get(key, [])
    if isinstance(value, list):
        return value
    faults.add(f"[[{key}]]", value, f"tables [[{key}]]")
    return []


def _first_lon_lat(header: Fields, faults: FaultList) -> tuple[float, float] | None:
    lon = header.number("lon", low=-180.0, high=180.0, default=None, unit="degrees")
    lat = header.number("lat", low=-90.0, high=90.0, default=None, unit="degrees")
    if ("lon" in header.values) != ("lat" in header.values):
        missing = "lat" if "lon" in header.values else "lon"
        faults.add(f"site.{missing}", "nothing", "both lon and lat of the first point, or neither")
    return None if lon is None or lat is None else (lon, lat)


def _drawn(top: Fields, fixed, tapes: list[Tape], faults: FaultList) -> dict[str, tuple[float, float]]:
    """Points that are on the drawing only; a name that is surveyed too is a fault."""
    drawn = _places(top, "drawn", faults)
    for name in sorted(drawn.keys() & set(point_order(fixed, tapes))):
        faults.add(f"drawn.{name}", name, "a name that no tape and none of [points] has")
    return drawn


def _places(top: Fields, table: str, faults: FaultList) -> dict[str, tuple[float, float]]:
    found = {}
    for name, value in _table(top, table, faults, required=False).items():
        numbers = [as_number(n) for n in value] if isinstance(value, list) else []
        if len(numbers) != 2 or any(n is None or abs(n) > 1e5 for n in numbers):
            faults.add(f"{table}.{name}", value, "[x, y] in metres, two finite numbers")
        else:
            found[name] = (numbers[0], numbers[1])
    return found


def _tapes(top: Fields, faults: FaultList) -> list[Tape]:
    tapes = []
    for i, item in enumerate(_tables(top, "tape", faults)):
        where = f"tape[{i}]"
        if not isinstance(item, dict):
            faults.add(where, item, "a table with from, to and m")
            continue
        fields = Fields(item, where, faults)
        start, end = fields.text("from", allowed="a point's name"), fields.text("to", allowed="a point's name")
        length = fields.number("m", above=0.0, high=LONGEST_TAPE_M, unit="m")
        side = fields.word("side", ("left", "right"), default=None)
        fields.finish(("note",))
        if start is not None and start == end:
            faults.add(f"{where}.to", end, f"another point than from, {start}")
        elif None not in (start, end, length):
            tapes.append(Tape(start=start, end=end, length_m=length, side=side))
    return tapes


def _draft(item, index: int, faults: FaultList):
    where = f"feature[{index}]"
    if not isinstance(item, dict):
        faults.add(where, item, "a table with a role and points")
        return None
    fields = Fields(item, where, faults)
    role = read_role(fields)
    fields.asked.add("points")
    return None if role is None else (where, role, fields)


def _feature(draft, positions, faults: FaultList) -> Feature:
    where, role, fields = draft
    shape = _shape(fields, role, positions, faults)
    return Feature(where=where, geometry_field=f"{where}.points", shape=shape, role=role, fields=fields)


def _shape(fields: Fields, role: str, positions, faults: FaultList):
    field, names = fields.name("points"), fields.values.get("points")
    least = min(LEAST_CORNERS[k] for k in SHAPES[role])
    if not isinstance(names, list) or len(names) < least or not all(clean_text(n) for n in names):
        faults.add(field, names, f"a list of at least {least} names of points")
        return None
    names = [n.strip() for n in names]
    if positions is None:
        return None
    unknown = [n for n in names if n not in positions]
    for name in unknown:
        faults.add(field, name, "the name of a point that is taped or given", near_spelling(name, positions))
    if unknown:
        return None
    if len(names) > 1 and names[0] == names[-1]:
        names = names[:-1]
    places = [positions[n] for n in names]
    if "Point" in SHAPES[role] and len(places) == 1:
        return Point(places[0])
    if "LineString" in SHAPES[role] and len(places) >= 2:
        return line_of(places, field, faults)
    if "Polygon" in SHAPES[role] and len(places) >= 3:
        return polygon_of([places], field, faults)
    wanted = {"Point": "one point", "LineString": "two points or more", "Polygon": "three corners or more"}
    faults.add(field, names, " or ".join(wanted[k] for k in SHAPES[role]))
    return None


# ---- solving ----


def _survey(fixed, tapes, bearing, faults: FaultList):
    """(report, positions), or (None, None) with the fault noted."""
    names = point_order(fixed, tapes)
    if len(names) < 2:
        if not faults.faults:
            faults.add("[[tape]]", names, "tapes, or [points] in metres, for at least two points")
        return None, None
    if len(names) > MOST_POINTS and tapes:
        faults.add("[[tape]]", f"{len(names)} points", f"at most {MOST_POINTS} points", "use a map for more")
        return None, None
    angle = math.radians(90.0 if bearing is None else bearing)
    frame = make_frame(fixed, tapes, (math.sin(angle), math.cos(angle)))
    loose = unplaced(frame, tapes)
    for name in loose:
        faults.add("[[tape]]", name, "at least two tapes from this point to points placed before it")
    net = None if loose else solve_net(frame, tapes)
    if net is None:
        if not loose:
            faults.add("[[tape]]", [t.side for t in tapes if t.side], "sides that agree with the tapes")
        return None, None
    given = len(fixed) >= 2
    assumed = None if bearing is not None or given else 90.0
    positions = {n: net.points_m[n] for n in names}
    if given and bearing is not None:
        positions = _turned(positions, frame.base, frame.direction)
    report = _report(net, positions, tapes, doubt(net, frame, tapes))
    return replace(report, given=tuple(fixed), base_bearing_deg=bearing, assumed_bearing_deg=assumed), positions


def _turned(positions, base, direction):
    """All points turned about the first, so that the base line runs in `direction`."""
    ax, ay = positions[base[0]]
    bx, by = positions[base[1]]
    turn = math.atan2(direction[1], direction[0]) - math.atan2(by - ay, bx - ax)
    c, s = math.cos(turn), math.sin(turn)
    return {n: (ax + c * (x - ax) - s * (y - ay), ay + s * (x - ax) + c * (y - ay)) for n, (x, y) in positions.items()}


def allowed_error_m(length_m: float) -> float:
    return TAPE_ERROR_M + TAPE_ERROR_SHARE * length_m


def doubt(net: Net, frame: Frame, tapes: list[Tape]) -> list[tuple[int, float]]:
    """Readings that do not fit, likeliest first: (index, what the others say it should be [m]).

    Each tape is left out in turn. A reading is suspect when the others then fit at least twice as well and say
    a length that differs from it by more than twice what a careful tape may be off. Without a spare tape the
    worst residual is named, where it is too large.
    """
    if net.spare < 1:
        off = [abs(r) - allowed_error_m(t.length_m) for r, t in zip(net.residuals_m, tapes)]
        worst = max(range(len(tapes)), key=off.__getitem__, default=None)
        if worst is None or off[worst] <= 0.0:
            return []
        return [(worst, tapes[worst].length_m - net.residuals_m[worst])]
    whole = math.sqrt(net.misfit_m2)
    if whole <= SURE_FIT_M * math.sqrt(net.spare):
        return []
    suspects = []
    for i, other in enumerate(leave_one_out(frame, tapes)):
        if other is None:
            continue
        tape, rest = tapes[i], math.sqrt(other.misfit_m2)
        should = math.dist(other.points_m[tape.start], other.points_m[tape.end])
        if rest <= 0.5 * whole and abs(should - tape.length_m) > 2.0 * allowed_error_m(tape.length_m):
            suspects.append((round(rest, 3), -abs(net.residuals_m[i]), i, should))
    if not suspects:
        return []
    least = min(suspects)[0]
    return [(i, should) for rest, _, i, should in sorted(suspects) if rest <= max(1.5 * least, TAPE_ERROR_M)]


def _report(net: Net, positions, tapes, doubts) -> TapeReport:
    should = dict(doubts)
    readings = tuple(
        TapeReading(
            name=f"tape[{i}] {t.start}-{t.end}", start=t.start, end=t.end, measured_m=t.length_m, residual_m=r, corrected_m=should.get(i), side=t.side
        )
        for i, (t, r) in enumerate(zip(tapes, net.residuals_m))
    )
    return TapeReport(
        readings=readings,
        closing_error_m=math.sqrt(net.misfit_m2 / net.spare) if net.spare > 0 else 0.0,
        spare_tapes=max(net.spare, 0),
        points_m=tuple(positions.items()),
        doubtful=readings[doubts[0][0]] if doubts else None,
        suspects=tuple(readings[i].name for i, _ in doubts),
    )


def _warnings(report: TapeReport | None) -> list[str]:
    if report is None:
        return []
    notes = []
    if report.assumed_bearing_deg is not None:
        notes.append(f"base_bearing_deg is not given: {report.assumed_bearing_deg:g} degrees (east) is assumed")
    if report.doubtful is not None:
        notes.append(doubt_words(report))
    elif report.readings and not report.spare_tapes:
        notes.append("no tape is spare: a wrong reading would not be noticed; add a diagonal")
    return notes


def doubt_words(report: TapeReport) -> str:
    """Which reading does not fit, and what else would explain it; empty where all fit."""
    d = report.doubtful
    if d is None:
        return ""
    text = f"{d.name} reads {d.measured_m:.2f} m and does not fit: the other tapes say {d.corrected_m:.2f} m"
    others = [s for s in report.suspects if s != d.name]
    if others:
        text += f"; a wrong reading of {', '.join(others)} would explain it as well: one more tape would tell"
    return text
