"""Local metres about an origin: x east, y north, no rotation.

Azimuthal equidistant projection on the WGS 84 ellipsoid. Within 2 km of the origin its scale is true to
better than 1e-7, so plan distances are good to a fraction of a millimetre.
Source of the projection: Snyder, Map Projections: A Working Manual, USGS PP 1395 (1987), section 25; computed by PROJ.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from pyproj import Geod, Proj

GEOD = Geod(ellps="WGS84")


@lru_cache(maxsize=64)
def _projection(lon: float, lat: float) -> Proj:
    return Proj(proj="aeqd", lon_0=lon, lat_0=lat, ellps="WGS84", units="m")


def origin_of(lon_lat) -> tuple[float, float]:
    """Middle of the bounding box of positions (N, 2) [deg], rounded to 1e-6 deg: the same for the same lot."""
    low, high = np.min(lon_lat, axis=0), np.max(lon_lat, axis=0)
    lon, lat = 0.5 * (low + high)
    return round(float(lon), 6), round(float(lat), 6)


def to_metres(lon_lat, origin: tuple[float, float]) -> np.ndarray:
    """Local (N, 2) [m] of positions (N, 2) [deg]; infinite where the projection has no answer."""
    lon_lat = np.asarray(lon_lat, float).reshape(-1, 2)
    x, y = _projection(*origin)(lon_lat[:, 0], lon_lat[:, 1])
    return np.column_stack([x, y])


def to_lon_lat(xy_m, origin: tuple[float, float]) -> np.ndarray:
    """Positions (N, 2) [deg] of local (N, 2) [m]."""
    xy_m = np.asarray(xy_m, float).reshape(-1, 2)
    lon, lat = _projection(*origin)(xy_m[:, 0], xy_m[:, 1], inverse=True)
    return np.column_stack([lon, lat])


def origin_for(first_lon_lat: tuple[float, float], first_m: tuple[float, float]) -> tuple[float, float]:
    """Origin (lon, lat) of a local frame in which a point of known position stands at `first_m`."""
    x, y = first_m
    bearing = np.degrees(np.arctan2(-x, -y))
    lon, lat, _ = GEOD.fwd(*first_lon_lat, bearing, float(np.hypot(x, y)))
    return float(lon), float(lat)
