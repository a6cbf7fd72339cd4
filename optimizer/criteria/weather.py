"""What wind a design stands, and the wind below which it may not be put up at all.

A telescopic pole is lowered before a storm and a wire on cords hangs as slack as one likes, so the site's design wind is no limit: the table says up to
which wind the design stands, and the sheet to lower it above that. Hard limits are the margins of `parts.loads` (wire_tension, pole_bending,
guy_stake, mast_compression) at a wind that comes any day, hung slack: `FLOOR_M_PER_S`, the lower edge of Beaufort 4 (WMO-No. 306, code table 1100, from
memory); where a mast's full length could fall beyond the lot `FLOOR_NEAR_OTHERS_M_PER_S`, that of Beaufort 5. A heavy coil hangs in its span unless a post takes it.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Point

from ..parts.catalogue import catalogue, mast_for
from ..parts.loads import load_report
from ..parts.winding import winding_of
from ..site.model import Site

FLOOR_M_PER_S = 5.5
FLOOR_NEAR_OTHERS_M_PER_S = 8.0
TAUT, SLACK = 0.02, 0.04  # sag over span, common practice, no source
MOST_M_PER_S = 50.0
WIND_STEP_M_PER_S = 0.5
DEFAULT_WIRE = "wire_pvc_stranded_1_5mm2"

STIFFER = {
    "wire_tension": "a stronger wire or shorter spans",
    "pole_bending": "a stiffer pole, or less height on it",
    "guy_stake": "guys further out, or stakes that hold more",
    "mast_compression": "a stiffer pole, or guys further out",
}


@dataclass(frozen=True, kw_only=True)
class Weather:
    """Wind stood [m/s], the sag to hang with (share of the span), and what gives way first."""

    wind_m_per_s: float
    sag_share: float
    first: str

    def to_lower_in(self, site_wind_m_per_s: float) -> bool:
        """Must it be lowered, or let go, before the site's design wind comes?"""
        return self.wind_m_per_s < site_wind_m_per_s


def floor_m_per_s(site: Site, structure) -> float:
    """Wind that a design has to stand whatever is lowered later [m/s]."""
    beyond = any(site.lot.boundary.distance(Point(m.at_m)) < m.height_m for m in structure.masts)
    return FLOOR_NEAR_OTHERS_M_PER_S if beyond else FLOOR_M_PER_S


def load_margins(site: Site, design) -> dict[str, float]:
    """Margins of `parts.loads` at the floor's wind, hung slack; below zero is a limit missed."""
    return _margins(design, floor_m_per_s(site, design.structure), SLACK, site.ice_m)


def weather_of(design, ice_m: float = 0.0) -> Weather:
    """The wind a design stands, taut where that is as good, else slack; with half of it on wires iced by `ice_m` all around."""
    taut, slack = (_stood(design, sag, ice_m) for sag in (TAUT, SLACK))
    sag, stood = (TAUT, taut) if taut >= slack else (SLACK, slack)
    above = _margins(design, stood + WIND_STEP_M_PER_S, sag, ice_m)
    return Weather(wind_m_per_s=stood, sag_share=sag, first=min(above, key=above.get, default=""))


def _stood(design, sag_share: float, ice_m: float) -> float:
    """Largest wind with every margin kept, to half a metre a second; 0 where not even still air is stood."""
    steps = int(MOST_M_PER_S / WIND_STEP_M_PER_S)
    low, high = 0, steps + 1
    if not _keeps(design, 0.0, sag_share, ice_m):
        return 0.0
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if _keeps(design, middle * WIND_STEP_M_PER_S, sag_share, ice_m) else (low, middle)
    return low * WIND_STEP_M_PER_S


def _keeps(design, wind_m_per_s, sag_share, ice_m) -> bool:
    return min(_margins(design, wind_m_per_s, sag_share, ice_m).values(), default=0.0) >= 0.0


def _margins(design, wind_m_per_s: float, sag_share: float, ice_m: float = 0.0) -> dict[str, float]:
    return load_report(
        design.structure, wire_key(design), pole_keys(design), wind_m_per_s=wind_m_per_s, coil_weight_n=coil_weight_n(design),
        sag_share=sag_share, radial_ice_m=ice_m,
    ).margins


def wire_key(design) -> str:
    """The radiator's wire as bought."""
    keys = [item.part for item in design.bill if item.part.startswith("wire_") and item.use == "radiator"]
    return keys[0] if keys else DEFAULT_WIRE


def pole_keys(design):
    """Height → the design's own pole that reaches it, else the catalogue's."""
    own = sorted({int(i.part[5:-1]): i.part for i in design.bill if i.part in catalogue() and i.part.startswith("mast_")}.items())

    def key_of(height_m: float) -> str:
        return next((key for reach, key in own if height_m <= reach + 1e-9), None) or mast_for(height_m)

    return key_of


def coil_weight_n(design) -> float:
    """The heaviest coil or trap that hangs in a span [N]; nothing where a post takes it."""
    if any(item.part == "post_under_coil" for item in design.bill):
        return 0.0
    return max((weight_n(load.element) for load in design.loads), default=0.0)


def weight_n(element) -> float:
    """Weight of the winding that gives a lumped element [N]."""
    winding = winding_of(element)
    return winding.weight_n if winding else 0.0
