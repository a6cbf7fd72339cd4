"""Noise and reach: how strong the wire is for near and far contacts, against a half-wave dipole at the same height, and what noise leaves of it.

The dipole is really solved: straight, level, copper, over the same soil, brought to resonance at the middle of the segment, fed without loss;
with a wished bearing it lies across it. The lead over the noise is the power at the other end after spreading alone (`physics.hop`), into an aerial of
0 dBi, over the median man-made noise of a residential place (ITU-R P.372) in a voice channel. Absorption, fading and the state of the
ionosphere take from it; nothing here says that a band is open.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..criteria.gain import FAR_ELEVATION_DEG, NEAR_ELEVATION_DEG
from ..field.solver import solve
from ..physics.constants import C0_M_PER_S
from ..physics.hop import slant_km, spreading_db
from ..physics.noise import Place, places
from ..physics.wishes import BandWish
from ..wires.model import Ground, Port, Wire
from .built import Built
from .solved import SolvedBand, mean_dbi

WIRE_RADIUS_M, COPPER_S_PER_M = 0.0007, 5.8e7
FIRST_LENGTH = 0.478  # wavelengths
VOICE_HZ = 2400.0
NEAR_KM, FAR_KM = 300.0, 2000.0
NEIGHBOUR = "residential"
RADIO_FIGURE_DB = 15.0  # a receiver's own noise at HF: common practice, no source


@dataclass(frozen=True, kw_only=True)
class Reach:
    """One band. near_db, far_db: against the dipole, as computed; `*_range_db`: over the gardens, None where the row was not judged so;
    `*_lead_db`: over the noise at the other end, before the ionosphere's losses; noise_dbm: median here, without the wire's losses;
    `heard_db`: how far that noise, after the wire's losses, stands over the radio's own."""

    wish: BandWish
    near_db: float
    far_db: float
    near_range_db: tuple[float, float] | None
    far_range_db: tuple[float, float] | None
    near_lead_db: float
    far_lead_db: float
    noise_dbm: float
    heard_db: float


def height_m(built: Built) -> float:
    """Where the dipole hangs: at the tallest mast's top, at the highest wire where there is none."""
    return max([m.height_m for m in built.masts] or [p[2] for w in built.wires for p in w.points_m])


def reaches(built: Built, bands: tuple[SolvedBand, ...], place: str = NEIGHBOUR) -> tuple[Reach, ...]:
    """Every solved band."""
    return tuple(_reach(built, band, places()[place]) for band in bands)


def _reach(built: Built, band: SolvedBand, place: Place) -> Reach:
    near, far = dipole_dbi(height_m(built), band.wish, built.cases[band.wish.key].ground)
    freq, noise = band.wish.centre_hz, float(place.power_dbm(band.wish.centre_hz, VOICE_HZ))
    power_dbm = 10 * math.log10(built.wishes.power_w * 1e3)
    share = float(built.content["bands"][band.wish.key].get("power_budget", {}).get("sky", 1.0))
    return Reach(
        wish=band.wish, near_db=band.near_dbi - near, far_db=band.far_dbi - far,
        near_range_db=_range(built, band, "near", near), far_range_db=_range(built, band, "far", far),
        near_lead_db=power_dbm + band.near_dbi - spreading_db(freq, slant_km(NEAR_KM)) - noise,
        far_lead_db=power_dbm + band.far_dbi - spreading_db(freq, slant_km(FAR_KM)) - noise,
        noise_dbm=noise, heard_db=float(place.figure_db(freq)) + 10 * math.log10(max(share, 1e-6)) - RADIO_FIGURE_DB,
    )  # fmt: skip


def _range(built: Built, band: SolvedBand, way: str, dipole: float) -> tuple[float, float] | None:
    """The file's spread of the gain, against the dipole."""
    ends = [built.row.get(f"{band.wish.key}_gain_{way}_dbi_{end}") for end in ("low", "high")]
    return (ends[0] - dipole, ends[1] - dipole) if all(isinstance(v, (int, float)) for v in ends) else None


def dipole_dbi(height: float, wish: BandWish, ground: Ground) -> tuple[float, float]:
    """(near, far) mean gain of the resonant dipole [dBi]."""
    pattern = dipole(height, wish, ground).pattern(0)
    return mean_dbi(pattern, wish, NEAR_ELEVATION_DEG), mean_dbi(pattern, wish, FAR_ELEVATION_DEG)


def dipole(height: float, wish: BandWish, ground: Ground):
    """Field solution of the half-wave dipole at resonance: two secant steps on its length."""
    a = FIRST_LENGTH * C0_M_PER_S / wish.centre_hz
    b = 1.01 * a
    found = [_level(length, height, wish, ground) for length in (a, b)]
    for _ in range(2):
        xa, xb = (float(np.imag(f.z_ohm[0])) for f in found)
        a, b = b, b - xb * (b - a) / (xb - xa)
        found = [found[1], _level(b, height, wish, ground)]
    return found[1]


def _level(length: float, height: float, wish: BandWish, ground: Ground):
    along = math.radians((wish.bearing_deg or 0.0) + 90.0)
    end = (0.5 * length * math.sin(along), 0.5 * length * math.cos(along))
    wire = Wire(name="dipole", points_m=((-end[0], -end[1], height), (*end, height)), radius_m=WIRE_RADIUS_M, conductivity_s_per_m=COPPER_S_PER_M)
    return solve((wire,), (Port(name="feed", wire="dipole", at_m=0.5 * length),), (), ground, np.array([wish.centre_hz]))
