"""The safety of a row as plain data for its design file, and in words where it matters."""

from __future__ import annotations

import math

from ..criteria.power import watts
from ..parts.cautions import BY_STEP, cautions_for
from ..safety import Safety
from ..site.model import Site

NEAR_THE_LIMIT = 0.5  # of the power that people's exposure allows


def safety_needs(safety: Safety, site: Site, power_w: float, masts: bool) -> list[str]:
    """Short phrases, only what matters: power near its limit, ground to keep clear, what to fence off, wind to lower it in."""
    words = []
    if power_w > NEAR_THE_LIMIT * safety.most_power_w:
        words.append(f"at most {watts(safety.most_power_w)} W for {safety.worst.place}")
    if safety.zone.keep_m > 0.0:
        words.append(f"nobody within {math.ceil(10 * safety.zone.keep_m) / 10:.1f} m of the low wires while sending")
    words += [f"{point.what} fenced off ({about(point.volts)} V)" for point in safety.within_reach[:1]]
    if safety.weather.to_lower_in(site.wind_m_per_s):
        words.append(f"stands {safety.weather.wind_m_per_s:.0f} m/s, {'lower it' if masts else 'slacken it'} above that")
    return words


def about(volts: float) -> str:
    """Two figures."""
    return f"{float(f'{volts:.1e}'):.0f}"


def safety_object(safety: Safety, site: Site) -> dict:
    """For the design file: exposure with its zone, points under voltage, weather, current on the shield."""
    worst, weather = safety.worst, safety.weather
    return {
        "exposure": {
            "rule": safety.rule,
            "average_power_w": safety.average_w,
            "share": safety.share,
            "power_w": safety.most_power_w,
            "worst": {"place": worst.place, "at_m": list(worst.at_m), "field": worst.field, "band": safety.worst_band} if worst.share else None,
            "zone": {
                "keep_m": safety.zone.keep_m,
                "outline_m": [[list(p) for p in ring] for ring in safety.zone.outline_m],
                "head_share": safety.zone.worst_share,
            },
        },
        "touch": [
            {"what": p.what, "at_m": list(p.at_m), "volts": p.volts, "band": p.band, "within_reach": p.within_reach} for p in safety.hot
        ],
        "parts": [
            {
                "part": p.name, "band": p.band, "current_a": p.stress.current_a, "voltage_v": p.stress.voltage_v,
                "dissipation_w": p.stress.dissipation_w, "warming_k": p.stress.warming_k, "stands": p.stress.stands, "weight_n": p.weight_n,
            }
            for p in safety.parts
        ],
        "weather": {
            "wind_stood_m_per_s": weather.wind_m_per_s,
            "gives_way_first": weather.first,
            "sag_share": weather.sag_share,
            "lower_before_design_wind": weather.to_lower_in(site.wind_m_per_s),
            "design_wind_m_per_s": site.wind_m_per_s,
        },
        "shield": {
            band: {
                "with_choke_a": s.with_choke_a, "without_choke_a": s.without_choke_a, "entering_with_choke_a": s.entering_with_a,
                "entering_without_choke_a": s.entering_without_a,
            }
            for band, s in safety.shield.items()
        },
    }  # fmt: skip


def cautions_object(site: Site) -> dict[str, list[str]]:
    """Cautions by the step of the work they belong to."""
    return {step: list(cautions_for(step, site.country)) for step in BY_STEP}
