"""How a tape survey closes, as plain data and in a line: the residual of every tape."""

from __future__ import annotations

from ..site.model import Site, TapeReport
from ..site.tape import doubt_words


def survey_object(site: Site) -> dict | None:
    """Every tape with its residual (measured less computed), the points they give, and what does not fit; None for a map."""
    report = site.tape_report
    if report is None:
        return None
    readings = [
        {
            "name": r.name, "from": r.start, "to": r.end, "measured_m": r.measured_m, "residual_m": round(r.residual_m, 4),
            "corrected_m": r.corrected_m, "side": r.side,
        }
        for r in report.readings
    ]  # fmt: skip
    return {
        "closing_error_m": round(report.closing_error_m, 4), "spare_tapes": report.spare_tapes, "readings": readings,
        "points_m": {name: [round(c, 3) for c in at] for name, at in report.points_m},
        "doubtful": report.doubtful.name if report.doubtful else None, "suspects": list(report.suspects),
        "warning": doubt_words(report), "given": list(report.given),
        "base_bearing_deg": report.base_bearing_deg, "assumed_bearing_deg": report.assumed_bearing_deg,
    }  # fmt: skip


def largest_words(report: TapeReport | None) -> str:
    """The tape that fits worst; empty where nothing was taped."""
    if report is None or not report.readings:
        return ""
    worst = max(report.readings, key=lambda r: abs(r.residual_m))
    return f"largest residual of {len(report.readings)} tapes: {worst.name} {worst.residual_m:+.3f} m (measured less computed)"
