"""A site's obstacles as arrays, made once per site and kept while the site is in use."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from shapely import get_parts
from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry

from .model import Site

KEPT_SITES = 16


@dataclass(frozen=True, kw_only=True)
class Prism:
    name: str
    area: BaseGeometry  # the footprint
    edges: np.ndarray  # (E, 4), its outline
    low_m: float
    high_m: float
    clearance_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Lines:
    """Overhead lines of one kind, all their straight pieces."""

    edges: np.ndarray  # (E, 4)
    heights_m: np.ndarray
    clearances_m: np.ndarray


@dataclass(frozen=True, kw_only=True)
class SiteGeometry:
    usable: np.ndarray  # (E, 4)
    buildings: tuple[Prism, ...]
    keep_outs: tuple[Prism, ...]
    power: Lines
    telecom: Lines
    spot_areas: tuple[np.ndarray, ...]
    spot_points: np.ndarray  # (N, 2)


def ring_edges(coordinates) -> np.ndarray:
    """(E, 4) edges of a closed or open chain (N, 2)."""
    xy = np.asarray(coordinates, float)[:, :2]
    return np.ascontiguousarray(np.hstack([xy[:-1], xy[1:]]))


def polygon_edges(shape) -> np.ndarray:
    """(E, 4) edges of every ring of a polygon or of several."""
    rings = [r.coords for part in get_parts(shape) for r in (part.exterior, *part.interiors)]
    return np.ascontiguousarray(np.vstack([ring_edges(r) for r in rings]))


def _lines(site: Site, kind: str) -> Lines:
    chosen = [(line, ring_edges(line.path.coords)) for line in site.overhead_lines if line.kind == kind]
    repeat = [len(edges) for _, edges in chosen]
    return Lines(
        edges=np.vstack([e for _, e in chosen]) if chosen else np.empty((0, 4)),
        heights_m=np.repeat([float(line.height_m) for line, _ in chosen], repeat),
        clearances_m=np.repeat([float(line.clearance_m) for line, _ in chosen], repeat),
    )


def prepare(site: Site) -> SiteGeometry:
    points = [s.where for s in site.mast_spots if isinstance(s.where, Point)]
    return SiteGeometry(
        usable=polygon_edges(site.usable),
        buildings=tuple(
            Prism(
                name=b.name, area=b.footprint, edges=polygon_edges(b.footprint), low_m=-inf, high_m=b.height_m, clearance_m=b.clearance_m
            )
            for b in site.buildings
        ),
        keep_outs=tuple(
            Prism(
                name=k.name,
                area=k.footprint,
                edges=polygon_edges(k.footprint),
                low_m=-inf if not k.from_m else k.from_m,
                high_m=inf if k.to_m is None else k.to_m,
            )
            for k in site.keep_outs
        ),
        power=_lines(site, "power"),
        telecom=_lines(site, "telecom"),
        spot_areas=tuple(polygon_edges(s.where) for s in site.mast_spots if not isinstance(s.where, Point)),
        spot_points=np.array([[p.x, p.y] for p in points], float).reshape(-1, 2),
    )


_KEPT: dict[int, tuple[Site, SiteGeometry]] = {}


def geometry_of(site: Site) -> SiteGeometry:
    """The prepared geometry of this very site object (the site is kept, so that its identity stays its own)."""
    entry = _KEPT.get(id(site))
    if entry is None or entry[0] is not site:
        while len(_KEPT) >= KEPT_SITES:
            _KEPT.pop(next(iter(_KEPT)), None)
        entry = _KEPT[id(site)] = (site, prepare(site))
    return entry[1]
