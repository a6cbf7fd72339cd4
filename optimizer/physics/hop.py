"""One hop by way of the ionosphere, as geometry, and what spreading alone takes. The ionosphere's own losses are not in it.

    slant r      r^2 = R^2 + (R + h)^2 - 2 R (R + h) cos(d / 2R), twice; mirror at height h, ground distance d, Earth's radius R
    elevation e  tan(e) = ((R + h) cos(d / 2R) - R) / ((R + h) sin(d / 2R))
    loss         32.4 + 20 log10(f / MHz) + 20 log10(2r / km) [dB]     ITU-R P.525, free space
    S steps      S9 = -73 dBm below 30 MHz, 6 dB each                  IARU Region 1 Technical Recommendation R.1, from memory
"""

from __future__ import annotations

import math

EARTH_KM = 6371.0
MIRROR_KM = 300.0  # usual height of the F layer: common practice, no source
S9_DBM, S_STEP_DB = -73.0, 6.0


def slant_km(ground_km: float, mirror_km: float = MIRROR_KM) -> float:
    """Length of the way up and down."""
    half = ground_km / (2 * EARTH_KM)
    return 2 * math.sqrt(EARTH_KM**2 + (EARTH_KM + mirror_km) ** 2 - 2 * EARTH_KM * (EARTH_KM + mirror_km) * math.cos(half))


def elevation_deg(ground_km: float, mirror_km: float = MIRROR_KM) -> float:
    """Angle above the horizon at which it leaves; negative beyond one hop."""
    half, out = ground_km / (2 * EARTH_KM), EARTH_KM + mirror_km
    return math.degrees(math.atan2(out * math.cos(half) - EARTH_KM, out * math.sin(half)))


def spreading_db(freq_hz: float, way_km: float) -> float:
    """Free-space loss between isotropic aerials."""
    return 32.4 + 20 * math.log10(freq_hz / 1e6) + 20 * math.log10(way_km)


def s_words(dbm: float) -> str:
    """A level as a signal meter shows it: S0 to S9, then decibels over."""
    if dbm >= S9_DBM + 3:
        return f"S9+{round((dbm - S9_DBM) / 5) * 5:.0f} dB"
    return f"S{max(0, round(9 + (dbm - S9_DBM) / S_STEP_DB)):d}"
