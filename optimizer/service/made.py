"""What is made of one design in a run's folder: drawings, curves, sky, sheet. Runs at the desk; kept beside the design until it changes."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from ..sheet.units import Units
from .bodies import compact
from .faults import Refused

if TYPE_CHECKING:
    from ..sheet.built import Built

FOLDER = "made"


def design(folder: Path, rank: int) -> bytes:
    """The design file. Raises OSError where there is none."""
    return (folder / "designs" / f"{rank}.json").read_bytes()


def kept(folder: Path, rank: int, name: str) -> bytes | None:
    """What was made before of the design as it is now."""
    path = folder / FOLDER / f"{rank}-{name}"
    try:
        made, source = path.stat().st_mtime_ns, (folder / "designs" / f"{rank}.json").stat().st_mtime_ns
        return path.read_bytes() if made >= source else None
    except OSError:
        return None


def make(folder: Path, rank: int, name: str) -> bytes:
    """Make it, and keep it."""
    found = MAKERS[name](folder, rank)
    path = folder / FOLDER / f"{rank}-{name}"
    path.parent.mkdir(exist_ok=True)
    fresh = path.with_name(f".{path.name}-{os.getpid()}")
    fresh.write_bytes(found)
    os.replace(fresh, path)
    return found


def read_built(folder: Path, rank: int) -> Built:
    """The design as records; compiled code comes with the reader, which the service's own process does without."""
    from ..sheet import built

    return built.read_built(folder, rank)


def _plan(folder: Path, rank: int) -> bytes:
    """The plan with the ground to keep clear; by the sheet's hand where the design's family no longer builds it."""
    from ..report.drawing import plan_svg
    from ..sheet import views
    from ..sheet.places import places_of, tapes_of
    from ..sheet.zone import zone_of

    built = read_built(folder, rank)
    zone = zone_of(built.content)
    if built.design is not None:
        return plan_svg(built.design, built.site, zone).encode()
    return views.plan(built, tapes_of(built, places_of(built)), Units(), zone).encode()


def _side(folder: Path, rank: int) -> bytes:
    from ..report.drawing import side_svg
    from ..sheet import views
    from ..sheet.places import places_of, tapes_of

    built = read_built(folder, rank)
    if built.design is not None:
        return side_svg(built.design, built.site).encode()
    return views.side(built, tapes_of(built, places_of(built)), Units()).encode()


def _curves(folder: Path, rank: int) -> bytes:
    """SWR by frequency: as planned at the radio over each segment and a little beyond; what four of five gardens keep to, where that was judged."""
    from ..sheet.solved import solved_bands

    built = read_built(folder, rank)
    bands = [
        {
            "key": b.wish.key, "low_hz": b.wish.low_hz, "high_hz": b.wish.high_hz, "freq_hz": [round(f) for f in b.freq_hz],
            "swr": [round(float(s), 4) for s in b.swr], **_gardens(built.content["bands"][b.wish.key]),
        }
        for b in solved_bands(built)
    ]  # fmt: skip
    return compact({"rank": rank, "swr_limit": built.wishes.swr_limit, "bands": bands})


def _gardens(filed: dict) -> dict:
    """SWR over the gardens as the design file holds it: at the radio, and at the meter (no tuner)."""
    radio, meter = None, filed.get("meter_swr")
    if "radio_swr_low" in filed:
        freq = [1e6 * f for f in filed["case"]["frequencies_mhz"]]
        radio = {"freq_hz": freq, "low": filed["radio_swr_low"], "high": filed["radio_swr_high"]}
    if meter is not None:
        freq = [1e6 * f for f in meter["frequencies_mhz"]]
        meter = {"freq_hz": freq, "low": meter["swr_low"], "high": meter["swr_high"], "dip_hz": [1e6 * meter["dip_low_mhz"], 1e6 * meter["dip_high_mhz"]]}
    return {"radio": radio, "meter": meter}


def _sky(folder: Path, rank: int) -> bytes:
    """Gain at each segment's centre [dBi]: as planned, by elevation (mean and extremes over bearings) and by bearing (a far and a near cut);
    `gardens`: low and high of the same over gardens, on angles of their own, where that was judged."""
    import numpy as np

    from ..sheet.solved import BEARINGS_DEG, ELEVATIONS_DEG, FAR_DEG, NEAR_DEG, solved_bands

    def rounded(values) -> list[float]:
        return [round(float(v), 2) for v in values]

    def at(band, elevation: float) -> list[float]:
        return rounded(band.gain_db[int(np.argmin(np.abs(ELEVATIONS_DEG - elevation)))])

    built = read_built(folder, rank)
    bands = [
        {
            "key": b.wish.key, "mean_dbi": rounded(10 * np.log10(np.mean(10 ** (b.gain_db / 10), axis=1))),
            "best_dbi": rounded(b.gain_db.max(axis=1)), "worst_dbi": rounded(b.gain_db.min(axis=1)),
            "far_dbi": at(b, FAR_DEG), "near_dbi": at(b, NEAR_DEG), "gardens": built.content["bands"][b.wish.key].get("sky"),
        }
        for b in solved_bands(built)
    ]  # fmt: skip
    angles = {"elevation_deg": ELEVATIONS_DEG.tolist(), "bearing_deg": BEARINGS_DEG.tolist(), "far_deg": FAR_DEG, "near_deg": NEAR_DEG}
    return compact({"rank": rank, **angles, "bands": bands})


def _sheet(system: str, form: str) -> Callable[[Path, int], bytes]:
    def sheet(folder: Path, rank: int) -> bytes:
        from ..sheet.content import document
        from ..sheet.html import render
        from ..sheet.pdf import NoPdf, pdf_of

        page = document(read_built(folder, rank), Units(system))
        try:
            return render(page).encode() if form == "html" else pdf_of(page)
        except NoPdf as missing:
            raise Refused("not_found", str(missing)) from missing

    return sheet


MAKERS: dict[str, Callable[[Path, int], bytes]] = {
    "plan.svg": _plan, "side.svg": _side, "curves.json": _curves, "sky.json": _sky,
    **{f"sheet-{s}.{f}": _sheet(s, f) for s in ("metric", "imperial") for f in ("html", "pdf")},
}  # fmt: skip
