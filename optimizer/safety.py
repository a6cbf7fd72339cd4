"""The safety side of one row of the table: computed once for a design that is offered, with its final lengths, at the station's power.

    zone       ground to keep people off while sending          hot      what stands under voltage, and whether it is within reach
    weather    wind stood, sag to hang with                     shield   what the outside of the line carries, without and with the choke
    parts      volts, amperes, watts and warming of all that is wound, band by band

Hard limits (people where they stay, parts' power, floor of wind) are margins of the evaluation itself; this is what they leave to be told.
One frequency a band is solved, the one that takes most of the radio's power.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from .criteria.exposure import NOBODY, Worst
from .criteria.power import EXPOSURE, average_over_peak
from .criteria.touch import HotPoint, hot_points, worst_of
from .criteria.weather import Weather, weather_of
from .criteria.zone import Zone, zone_of
from .evaluate import Evaluation
from .figures import loudest, port_solution
from .network.endure import PartStress, stresses_of
from .network.shield import ShieldCurrent
from .parts.choke import choke
from .physics.exposure import rule_for
from .physics.wishes import WishList
from .site.model import Site
from .wires.model import Ground


@dataclass(frozen=True, kw_only=True)
class Safety:
    """`worst`: the worst place where people stay, on band `worst_band`; `share`: field over level there at the station's average power;
    `most_power_w`: peak power that just meets it, inf where nobody is exposed; `rule`: title of the levels."""

    rule: str
    average_w: float
    share: float
    most_power_w: float
    worst: Worst
    worst_band: str
    zone: Zone
    hot: tuple[HotPoint, ...]
    weather: Weather
    shield: dict[str, ShieldCurrent] = field(default_factory=dict)
    parts: tuple[PartStress, ...] = ()

    @property
    def within_reach(self) -> tuple[HotPoint, ...]:
        return tuple(point for point in self.hot if point.within_reach)


def safety_of(site: Site, wishes: WishList, evaluation: Evaluation) -> Safety:
    """Everything that a sheet has to say about people, voltage and weather."""
    # compiled code comes with it, which a stored record does without
    from .outside import choke_current_a, has_choke_at_feed, is_end_fed, shield_current

    design, rule = evaluation.design, rule_for(site.country)
    ground = Ground(kind="soil", soil=site.soil)
    average_w = wishes.power_w * average_over_peak(wishes)
    solved, hot, shield, parts = [], [], {}, []
    for wish in wishes.bands:
        solution, i, delivered = _loudest(design, ground, wish, evaluation.bands[wish.key])
        solved.append((solution, i, delivered))
        hot += hot_points(solution, i, design.port, bool(design.feed.transformer), wish.key, wishes.power_w * delivered)
        parts += stresses_of(solution, delivered, design.feed, band=wish.key, power_w=wishes.power_w, duty=average_over_peak(wishes))
        there = (design, site, wishes.station, ground, float(solution.freq_hz[i]), wishes.power_w * delivered)
        if is_end_fed(design) and design.feed.choke:
            shield[wish.key] = shield_current(*there, key=wish.key)
        if has_choke_at_feed(design):
            amps = shield[wish.key].choke_a if wish.key in shield else choke_current_a(*there, key=wish.key)
            stress = choke(design.feed.choke).stress(amps, freq_hz=float(solution.freq_hz[i]), duty=average_over_peak(wishes))
            parts.append(PartStress(name="choke, line at the feed", band=wish.key, weight_n=0.0, stress=stress))
    band, worst = max(((w.key, evaluation.bands[w.key].exposure) for w in wishes.bands), key=lambda item: item[1].share, default=("", NOBODY))
    limit = next((limit for limit in evaluation.power_limits if limit.name == EXPOSURE), None)
    return Safety(
        rule=rule.title, average_w=average_w, share=worst.share * math.sqrt(average_w), most_power_w=limit.most_w if limit else math.inf,
        worst=worst, worst_band=band, zone=zone_of(site, solved, rule, average_w), hot=worst_of(hot), weather=weather_of(design, site.ice_m), shield=shield,
        parts=tuple(parts),
    )  # fmt: skip


def _loudest(design, ground, wish, figures):
    """Solution at the solved frequency that takes most of the radio's power, and the share of it that reaches the port."""
    freq_hz, reaches = loudest(figures, design.feed)
    return port_solution(design, ground, [freq_hz], wish.key), 0, reaches
