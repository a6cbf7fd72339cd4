"""What a design's file keeps of its gardens: bands of curves and sky, read back; None where the row was not judged in gardens."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..spread import CurveBand

CUTS = ("by_elevation", "far", "near")


@dataclass(frozen=True, kw_only=True, eq=False)
class Sky:
    """(low, high) of each cut [dBi]: the mean over bearings at `elevations_deg`; far and near at `bearings_deg`."""

    elevations_deg: np.ndarray
    bearings_deg: np.ndarray
    by_elevation: tuple[np.ndarray, np.ndarray]
    far: tuple[np.ndarray, np.ndarray]
    near: tuple[np.ndarray, np.ndarray]


def curve_filed(kept: dict | None) -> CurveBand | None:
    """A band of curves from its object in the file."""
    if not kept:
        return None
    return CurveBand(
        freq_hz=tuple(1e6 * f for f in kept["frequencies_mhz"]), low=tuple(kept["swr_low"]), high=tuple(kept["swr_high"]),
        dip_hz=(1e6 * kept["dip_low_mhz"], 1e6 * kept["dip_high_mhz"]), typical=tuple(kept.get("swr_typical", ())),
    )  # fmt: skip


def meter_filed(band: dict) -> CurveBand | None:
    """The expected SWR of a band of the file at the radio's end of the line, no tuner."""
    return curve_filed(band.get("meter_swr"))


def sky_filed(band: dict) -> Sky | None:
    """The sky of a band of the file."""
    kept = band.get("sky")
    if not kept:
        return None
    ends = {cut: tuple(np.array(kept[f"{cut}_{end}_dbi"], float) for end in ("low", "high")) for cut in CUTS}
    return Sky(elevations_deg=np.array(kept["elevations_deg"], float), bearings_deg=np.array(kept["bearings_deg"], float), **ends)
