"""Curves of our own: SWR over each wished segment, and the sky by elevation and by bearing. Black ink, kinds by pattern."""

from __future__ import annotations

import math

import numpy as np

from .canvas import Canvas
from .solved import BEARINGS_DEG, ELEVATIONS_DEG, FAR_DEG, NEAR_DEG, SolvedBand
from .units import nice_step

SWR_TOP = 5.0
SWR_LINES = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0)
WIDTH, HEIGHT = 340.0, 235.0
LEFT, RIGHT, TOP, BOTTOM = 42.0, 12.0, 26.0, 40.0
RADIUS, FLOOR_DB, RING_DB = 100.0, -15.0, 5.0
UNSURE_DEG = 10.0


def swr_curve(band: SolvedBand, limit: float, spread=None) -> str:
    """SWR at the radio; `spread`: (freq_hz, low, high) of the gardens it may meet, where they were computed."""
    canvas, low, high = Canvas(WIDTH, HEIGHT, title=f"SWR {band.wish.key}"), band.freq_hz[0] / 1e6, band.freq_hz[-1] / 1e6

    def at(mhz, swr):
        up = math.log(min(max(swr, 1.0), SWR_TOP)) / math.log(SWR_TOP)
        return LEFT + (mhz - low) / (high - low) * (WIDTH - LEFT - RIGHT), HEIGHT - BOTTOM - up * (HEIGHT - TOP - BOTTOM)

    edges = band.wish.low_hz / 1e6, band.wish.high_hz / 1e6
    canvas.fill([[at(edges[0], 1), at(edges[1], 1), at(edges[1], SWR_TOP), at(edges[0], SWR_TOP)]], "dots")
    for swr in SWR_LINES:
        canvas.path((at(low, swr), at(high, swr)), "thin")
        canvas.text((LEFT - 6, at(low, swr)[1] + 4), f"{swr:g}", anchor="end", size=11)
    step = nice_step(high - low, 5)
    for mhz in np.arange(math.ceil(low / step) * step, high, step):
        canvas.path((at(mhz, 1), (at(mhz, 1)[0], HEIGHT - BOTTOM + 4)), "ink")
        canvas.text((at(mhz, 1)[0], HEIGHT - BOTTOM + 16), f"{mhz:.{max(0, -math.floor(math.log10(step) + 1e-9))}f}", anchor="middle", size=11)
    if spread is not None:
        f, worst, best = spread
        outline = [at(x / 1e6, y) for x, y in zip(f, best)] + [at(x / 1e6, y) for x, y in zip(f[::-1], worst[::-1])]
        canvas.fill([outline], "bars")
    canvas.path((at(low, limit), at(high, limit)), "dash")
    canvas.text((at(high, limit)[0] - 4, at(high, limit)[1] - 5), f"your radio's limit {limit:g}", anchor="end", size=11)
    canvas.path([at(f / 1e6, s) for f, s in zip(band.freq_hz, band.swr)], "bold")
    canvas.path((at(low, SWR_TOP), at(low, 1), at(high, 1)), "ink")
    canvas.text((LEFT, 15), f"{band.wish.key}: SWR at the radio; dotted: the part you asked for", size=11)
    canvas.text((WIDTH / 2, HEIGHT - 6), "MHz", anchor="middle", size=11)
    return canvas.svg()


def elevation_plot(band: SolvedBand) -> str:
    """Strength by angle above the horizon: mean over all bearings as a line, weakest to strongest bearing as a band."""
    mean = 10 * np.log10(np.mean(10 ** (band.gain_db / 10), axis=1))
    best, worst = band.gain_db.max(axis=1), band.gain_db.min(axis=1)
    top = _top_db(band)
    canvas = Canvas(RADIUS + 110, RADIUS + 62, title=f"By elevation {band.wish.key}")
    x0, y0 = 34.0, RADIUS + 34.0

    def at(elevation, db):
        r = _radius(db, top)
        return x0 + r * math.cos(math.radians(elevation)), y0 - r * math.sin(math.radians(elevation))

    outline = [at(e, v) for e, v in zip(ELEVATIONS_DEG, best)] + [at(e, v) for e, v in zip(ELEVATIONS_DEG[::-1], worst[::-1])]
    canvas.fill([outline], "bars")
    unsure = [at(e, top) for e in np.linspace(0, UNSURE_DEG, 5)]
    canvas.fill([[(x0, y0), *unsure]], "soil")
    for db in np.arange(FLOOR_DB + RING_DB, top + 0.1, RING_DB):
        canvas.path([at(e, db) for e in np.linspace(0, 90, 46)], "thin")
        canvas.text((x0 + _radius(db, top), y0 + 13), f"{db:.0f}", anchor="middle", size=10)
    for elevation in (0, 30, 60, 90):
        canvas.path(((x0, y0), at(elevation, top)), "thin")
        x, y = at(elevation, top + 1.2)
        canvas.text((x, y + 4), f"{elevation}°", size=10)
    canvas.path([at(e, v) for e, v in zip(ELEVATIONS_DEG, mean)], "bold")
    canvas.text((4, 14), f"{band.wish.key} by angle above the horizon", size=11.5)
    canvas.text((x0, y0 + 26), "dBi; slanted wedge: least certain", size=10)
    return canvas.svg()


def bearing_plot(band: SolvedBand) -> str:
    """Strength by bearing: far (low angle) as a line, near (high angle) dashed."""
    top = _top_db(band)
    canvas = Canvas(2 * RADIUS + 56, 2 * RADIUS + 72, title=f"By bearing {band.wish.key}")
    x0, y0 = RADIUS + 28.0, RADIUS + 40.0

    def at(bearing, db):
        r = _radius(db, top)
        return x0 + r * math.sin(math.radians(bearing)), y0 - r * math.cos(math.radians(bearing))

    for db in np.arange(FLOOR_DB + RING_DB, top + 0.1, RING_DB):
        canvas.circle((x0, y0), _radius(db, top), "thin")
        canvas.text((x0 + 2, y0 - _radius(db, top) + 11), f"{db:.0f}", size=10)
    for bearing, word in ((0, "N"), (90, "E"), (180, "S"), (270, "W")):
        canvas.path(((x0, y0), at(bearing, top)), "thin")
        x, y = at(bearing, top + 1.5)
        canvas.text((x, y + 4), word, anchor="middle", size=11, bold=True)
    for elevation, look in ((NEAR_DEG, "dash"), (FAR_DEG, "bold")):
        row = band.gain_db[int(np.argmin(np.abs(ELEVATIONS_DEG - elevation)))]
        canvas.path([at(b, v) for b, v in zip(BEARINGS_DEG, row)], look, closed=True)
    canvas.text((4, 14), f"{band.wish.key} by bearing, dBi", size=11.5)
    canvas.text((4, 2 * RADIUS + 68), f"line: {FAR_DEG:.0f}° up (far), dashes: {NEAR_DEG:.0f}° up (near)", size=10)
    return canvas.svg()


def bars(shares: list[tuple[str, float]], title: str) -> str:
    """Where the power goes: one bar a share, with its number."""
    canvas = Canvas(WIDTH, 24.0 + 20.0 * len(shares), title=title)
    for i, (name, share) in enumerate(shares):
        y = 18.0 + 20.0 * i
        canvas.text((134, y + 11), name, anchor="end", size=11)
        long = (WIDTH - 190) * max(share, 0.0)
        pattern = "bars" if i == 0 else "house"
        canvas.fill([[(140, y), (140 + long, y), (140 + long, y + 14), (140, y + 14)]], pattern, "ink")
        canvas.text((146 + long, y + 11), f"{100 * share:.{0 if share >= 0.095 else 1}f} %", size=11)
    canvas.text((4, 12), title, size=11.5)
    return canvas.svg()


def _top_db(band: SolvedBand) -> float:
    """Outermost ring: the next multiple of 5 dB above the strongest."""
    return RING_DB * math.ceil(max(0.0, float(band.gain_db.max())) / RING_DB + 1e-9)


def _radius(db: float, top: float) -> float:
    return RADIUS * max(0.0, (db - FLOOR_DB) / (top - FLOOR_DB))
