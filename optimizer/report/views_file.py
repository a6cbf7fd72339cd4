"""What gardens do to a design's curves and sky, as plain data for its file: 10 and 90 % quantiles."""

from __future__ import annotations

import numpy as np

from ..evaluate import Evaluation
from ..spread import FAR_DEG, NEAR_DEG, SKY_BEARINGS_DEG, SKY_ELEVATIONS_DEG, CurveBand


def view_object(evaluation: Evaluation, key: str) -> dict:
    """SWR and sky of a segment; nothing where the row was not judged so.

    `radio_swr_low`, `radio_swr_high` in the order of the case; `meter_swr` at the radio's end of the line, no tuner, a little beyond the segment.
    """
    view = evaluation.spread.views.get(key) if evaluation.spread else None
    if view is None:
        return {}
    freq = evaluation.bands[key].solved_hz
    return {
        "radio_swr_low": np.interp(freq, view.radio.freq_hz, view.radio.low).tolist(),
        "radio_swr_high": np.interp(freq, view.radio.freq_hz, view.radio.high).tolist(),
        "meter_swr": curve_object(view.meter),
        "sky": {
            "elevations_deg": SKY_ELEVATIONS_DEG, "bearings_deg": SKY_BEARINGS_DEG, "far_deg": FAR_DEG, "near_deg": NEAR_DEG,
            **{f"{cut}_{end}_dbi": [round(v, 2) for v in row] for cut in ("by_elevation", "far", "near")
               for end, row in zip(("low", "high"), getattr(view, f"{cut}_db"))},
        },
    }  # fmt: skip


def curve_object(band: CurveBand) -> dict:
    """SWR that four of five gardens keep to, and where the dip lies."""
    return {
        "frequencies_mhz": [round(f / 1e6, 6) for f in band.freq_hz], "swr_low": [round(v, 3) for v in band.low],
        "swr_high": [round(v, 3) for v in band.high], "dip_low_mhz": band.dip_hz[0] / 1e6, "dip_high_mhz": band.dip_hz[1] / 1e6,
        **({"swr_typical": [round(v, 3) for v in band.typical]} if band.typical else {}),
    }  # fmt: skip
