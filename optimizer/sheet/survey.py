"""What a tape survey leaves open, where points are set out: the reading that does not fit, and how every tape fits."""

from __future__ import annotations

import math

from ..site.tape import doubt_words
from .built import SAME_M, Built
from .model import Caution, Section, Table
from .places import Tapes
from .units import Units

BESIDE = 3  # tapes in a row of the table
ON_THE_SIDE = 12  # tapes on the side that is carried outside; where there are more, those that fit worst


def survey_blocks(built: Built, tapes: tuple[Tapes, ...], units: Units):
    """For the set-out side; nothing for a lot from a map."""
    report = built.site.tape_report
    if report is None or not report.readings:
        return
    if report.doubtful is not None:
        points = [_point(name, dict(report.points_m)[name], tapes) for name in (report.doubtful.start, report.doubtful.end)]
        yield Caution(f"Your survey: {doubt_words(report)}. Measure it again before you set out from {' or '.join(points)}.")
    worst = sorted(report.readings, key=lambda r: -abs(r.residual_m))[:ON_THE_SIDE]
    few = "" if len(worst) == len(report.readings) else f"; the worst of {len(report.readings)}, all in the annex"
    yield _table(worst, f"Your tapes: measured less computed{few}", units)


def survey_section(built: Built, units: Units) -> Section:
    """Every tape, for the annex; empty where the first side has them all."""
    readings = built.site.tape_report.readings if built.site.tape_report else ()
    blocks = (_table(readings, "Every tape in the order of the file: measured less computed", units),) if len(readings) > ON_THE_SIDE else ()
    return Section(key="survey", title="Your survey", blocks=blocks)


def _table(readings, caption: str, units: Units) -> Table:
    cells = [(f"{r.start} to {r.end}", units.signed_cut(r.residual_m)) for r in readings]
    rows = [sum(cells[i : i + BESIDE], ()) for i in range(0, len(cells), BESIDE)]
    wide = 2 * min(BESIDE, len(cells))
    return Table(caption, ("tape", "off") * (wide // 2), tuple(row + ("",) * (wide - len(row)) for row in rows))


def _point(name: str, at, tapes: tuple[Tapes, ...]) -> str:
    """A point of the survey, with its letter on the plan where it has one."""
    spots = [(t.place.letter, t.place.at_m) for t in tapes] + [(c.name, c.at_m) for t in tapes for c, _ in t.corners]
    letter = next((letter for letter, there in spots if math.dist(there, at) < SAME_M), "")
    return f"{name} ({letter} on this plan)" if letter and letter != name else name
