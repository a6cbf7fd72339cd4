"""The sky: strength by angle above the horizon, and by bearing for far and near contacts, as bands over the gardens. Black ink.

Without gardens the band by elevation runs from the weakest to the strongest bearing, and the cuts by bearing are lines. Below
`UNSURE_DEG` the ground far beyond the fence decides: marked as least certain.
"""

from __future__ import annotations

import math

import numpy as np

from ..spread import FAR_DEG, NEAR_DEG
from .canvas import Canvas
from .filed import Sky
from .solved import BEARINGS_DEG, ELEVATIONS_DEG, SolvedBand

RADIUS, FLOOR_DB, RING_DB = 92.0, -15.0, 5.0
WIDTH = 2 * RADIUS + 32  # of both drawings: three stand side by side on paper
UNSURE_DEG = 10.0
TOO_WEAK = f"below {FLOOR_DB:.0f} dBi everywhere"


def elevation_plot(band: SolvedBand, sky: Sky | None = None) -> str:
    """Mean over all bearings as a line in its band."""
    mean = 10 * np.log10(np.mean(10 ** (band.gain_db / 10), axis=1))
    angles, low, high = (sky.elevations_deg, *sky.by_elevation) if sky else (ELEVATIONS_DEG, band.gain_db.min(axis=1), band.gain_db.max(axis=1))
    top = _top_db(band, sky)
    canvas = Canvas(WIDTH, RADIUS + 79, title=f"By elevation {band.wish.key}")
    x0, y0 = 34.0, RADIUS + 34.0

    def at(elevation, db):
        r = _radius(db, top)
        return x0 + r * math.cos(math.radians(elevation)), y0 - r * math.sin(math.radians(elevation))

    canvas.fill([[at(e, v) for e, v in zip(angles, high)] + [at(e, v) for e, v in zip(angles[::-1], low[::-1])]], "bars")
    canvas.fill([[(x0, y0), *(at(e, top) for e in np.linspace(0, UNSURE_DEG, 5))]], "soil")
    for db in np.arange(FLOOR_DB + RING_DB, top + 0.1, RING_DB):
        canvas.path([at(e, db) for e in np.linspace(0, 90, 46)], "thin")
        canvas.text((x0 + _radius(db, top), y0 + 13), f"{db:.0f}", anchor="middle", size=10)
    for elevation in (0, 30, 60, 90):
        canvas.path(((x0, y0), at(elevation, top)), "thin")
        x, y = at(elevation, top + 1.2)
        canvas.text((x, y + (-2 if elevation == 0 else 4)), f"{elevation}°", size=10)
    canvas.path([at(e, v) for e, v in zip(ELEVATIONS_DEG, mean)], "bold")
    if mean.max() < FLOOR_DB:
        canvas.text((x0 + 6, y0 - 12), TOO_WEAK, size=10)
    x, y = at(5, top)
    canvas.text((x + 24, y + 2), "least", size=9.5)
    canvas.text((x + 24, y + 12), "certain", size=9.5)
    canvas.text((4, 14), f"{band.wish.key} by angle above horizon", size=11.5, bold=True)
    canvas.text((4, y0 + 28), "dBi; bars: " + ("four of five gardens" if sky else "weakest to"), size=10)
    if not sky:
        canvas.text((4, y0 + 41), "strongest bearing", size=10)
    return canvas.svg()


def bearing_plot(band: SolvedBand, sky: Sky | None = None) -> str:
    """Far (low angle) as a line, near (high angle) dashed, each in its band."""
    top = _top_db(band, sky)
    canvas = Canvas(WIDTH, 2 * RADIUS + 97, title=f"By bearing {band.wish.key}")
    x0, y0 = 0.5 * WIDTH, RADIUS + 40.0

    def at(bearing, db):
        r = _radius(db, top)
        return x0 + r * math.sin(math.radians(bearing)), y0 - r * math.cos(math.radians(bearing))

    for cut, pattern in ((sky.near, "dots"), (sky.far, "bars")) if sky else ():
        canvas.fill([[at(b, v) for b, v in zip(sky.bearings_deg, end)] for end in cut[::-1]], pattern)
    for db in np.arange(FLOOR_DB + RING_DB, top + 0.1, RING_DB):
        canvas.circle((x0, y0), _radius(db, top), "thin")
        canvas.text((x0 + 2, y0 - _radius(db, top) + 11), f"{db:.0f}", size=10)
    for bearing, word in ((0, "N"), (90, "E"), (180, "S"), (270, "W")):
        canvas.path(((x0, y0), at(bearing, top)), "thin")
        x, y = at(bearing, top + 1.5)
        canvas.text((x, y + 4), word, anchor="middle", size=11, bold=True)
    if band.gain_db.max() < FLOOR_DB:
        canvas.text((x0, y0 + 18), TOO_WEAK, anchor="middle", size=10)
    for elevation, look in ((NEAR_DEG, "dash"), (FAR_DEG, "bold")):
        row = band.gain_db[int(np.argmin(np.abs(ELEVATIONS_DEG - elevation)))]
        canvas.path([at(b, v) for b, v in zip(BEARINGS_DEG, row)], look, closed=True)
    canvas.text((4, 14), f"{band.wish.key} by bearing, dBi", size=11.5, bold=True)
    canvas.text((4, 2 * RADIUS + 66), f"line{', bars' if sky else ''}: far, leaves at {FAR_DEG:.0f}°", size=10)
    canvas.text((4, 2 * RADIUS + 79), f"dashes{', dots' if sky else ''}: near, leaves at {NEAR_DEG:.0f}°", size=10)
    canvas.text((4, 2 * RADIUS + 92), "(above the horizon)", size=10)
    return canvas.svg()


def _top_db(band: SolvedBand, sky: Sky | None) -> float:
    """Outermost ring: the next multiple of 5 dB above the strongest."""
    strongest = max([float(band.gain_db.max()), *(float(cut[1].max()) for cut in (sky.far, sky.near, sky.by_elevation))] if sky else [float(band.gain_db.max())])
    return RING_DB * math.ceil(max(0.0, strongest) / RING_DB + 1e-9)


def _radius(db: float, top: float) -> float:
    return RADIUS * max(0.0, (db - FLOOR_DB) / (top - FLOOR_DB))
