"""What the weather does to a design: tension in every span, pull on every pole, guy and stake; margins, signed.

A run is hung in still air at 15 degC with a sag of `SAG_SHARE` of each span and the same tension throughout. Then wind (square
to the wire), ice, cold and heat change it, and poles give way as they bend, which is what saves thin wire from
breaking. Margins are 1 - load/allowed: 0.3 means three tenths in hand, below zero the part is asked too much. They say what
the site's design wind asks of parts that stay up in it; `wind_stood_m_per_s` says when to lower the mast instead.
Allowed: a fifth of the wire's breaking load, a third of the pole's strength, what the stake holds (tables/masts.csv).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .conductors import WireType, wire_type
from .masts import holds_n, pole
from .mechanics import (
    WORKING_SHARE,
    Pole,
    buckling_n,
    catenary_sag_m,
    end_tension_n,
    guy_compression_n,
    guy_tension_n,
    resultant_load_n_per_m,
    tension_after_n,
    wind_drag_n,
    worst_guy_share,
)  # fmt: skip

SAG_SHARE = 0.02  # common practice, no source
COLD_K, HOT_K = -35.0, 35.0  # from the 15 degC of hanging
GUYED_FROM_M = 4.0
GUY_ATTACH_SHARE = 0.65
BUCKLING_SAFETY = 3.0


@dataclass(frozen=True, kw_only=True)
class SpanLoad:
    """One span between two holds. Tensions at the support [N]; `side_n` half the wind on it; sag hot and without wind."""

    span_m: float
    hung_n: float
    cold_n: float
    wind_n: float
    ice_n: float
    side_n: float
    sag_hot_m: float
    allowed_n: float

    @property
    def worst_n(self) -> float:
        return max(self.cold_n, self.wind_n, self.ice_n)

    @property
    def margin(self) -> float:
        return 1.0 - self.worst_n / self.allowed_n


def span_load(
    span_m: float, wire: WireType, *, wind_m_per_s: float, radial_ice_m: float = 0.0, give_m_per_n: float = 0.0,
    point_load_n: float = 0.0, hung_n: float | None = None, sag_share: float = SAG_SHARE,
) -> SpanLoad:  # fmt: skip
    """Tensions of a span in still air, cold, wind and ice. `point_load_n`: a coil's weight at mid-span.

    `hung_n`: horizontal tension on hanging, default the one that gives a sag of `sag_share` of the span. Ice comes with half the
    wind's speed.
    """
    w = wire.weight_n_per_m
    hung = hung_n or (w * span_m / 8.0 + point_load_n / 4.0) / sag_share

    def after(load=w, warming_k=0.0):
        h = tension_after_n(
            span_m, wire, hung, warming_k=warming_k, load_n_per_m=load, point_load_n=point_load_n, give_m_per_n=give_m_per_n
        )
        return h, end_tension_n(span_m, load, h)

    hot = after(warming_k=HOT_K)[0]
    iced = resultant_load_n_per_m(w, wire.outer_m, wind_m_per_s / 2.0, radial_ice_m) if radial_ice_m else w
    return SpanLoad(
        span_m=span_m, hung_n=hung, cold_n=after(warming_k=COLD_K)[1],
        wind_n=after(resultant_load_n_per_m(w, wire.outer_m, wind_m_per_s))[1], ice_n=after(iced, COLD_K / 2.0)[1],
        side_n=wind_drag_n(wire.outer_m, span_m / 2.0, wind_m_per_s), sag_hot_m=catenary_sag_m(span_m, w, hot) + point_load_n * span_m / (4.0 * hot), allowed_n=WORKING_SHARE * wire.breaking_load_n,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class MastLoad:
    """A pole with what pulls at its top."""

    at_m: tuple[float, float]
    pull_n: float
    pull_allowed_n: float
    tip_deflection_m: float
    guy_n: float
    compression_n: float
    stake_allowed_n: float
    buckling_allowed_n: float

    @property
    def margins(self) -> dict[str, float]:
        """pole_bending, guy_stake and mast_compression; a pole that the wind alone bends too far is below -1."""
        bending = 1.0 - self.pull_n / self.pull_allowed_n if self.pull_allowed_n > 0 else -1.0 + self.pull_allowed_n / 100.0
        return {
            "pole_bending": bending,
            "guy_stake": 1.0 - self.guy_n / self.stake_allowed_n,
            "mast_compression": 1.0 - self.compression_n / self.buckling_allowed_n,
        }


def mast_load(mast_pole: Pole, at_m, height_m: float, pull_n: float, down_n: float, *, wind_m_per_s: float, guy_radius_m: float) -> MastLoad:
    """One pole, guyed at `GUY_ATTACH_SHARE` of its height from `GUYED_FROM_M` up, free-standing below."""
    guyed = height_m > GUYED_FROM_M
    attach = GUY_ATTACH_SHARE * height_m
    free = height_m - attach if guyed else height_m
    # moments about the foot: the guys at their height take the pull at the top and the wind on the pole
    at_guys = (pull_n * height_m + mast_pole.wind_moment_nm(wind_m_per_s)) / attach if guyed else 0.0
    worst = worst_guy_share(3) * at_guys
    guy = guy_tension_n(worst, attach, guy_radius_m) if guyed else 0.0
    # between two guys each takes the whole pull in plan, and both press
    press = 2.0 * guy_compression_n(at_guys, attach, guy_radius_m) if guyed else 0.0
    pressed = attach if guyed else 2 * height_m  # Euler's length: pinned at foot and guys, or a free-standing cantilever
    buckling = buckling_n(mast_pole.modulus_pa, mast_pole.second_moment_m4(attach / 2), pressed) / BUCKLING_SAFETY
    return MastLoad(
        at_m=tuple(at_m), pull_n=pull_n, pull_allowed_n=mast_pole.pull_limit_n(free_m=free, wind_m_per_s=wind_m_per_s),
        tip_deflection_m=mast_pole.tip_deflection_m(pull_n, free_m=free, wind_m_per_s=wind_m_per_s), guy_n=guy,
        compression_n=press + down_n, stake_allowed_n=holds_n("stake_guy"), buckling_allowed_n=buckling,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class LoadReport:
    spans: tuple[SpanLoad, ...]
    masts: tuple[MastLoad, ...]

    @property
    def margins(self) -> dict[str, float]:
        """Least margin of each kind; names are the limits that fail below zero."""
        out: dict[str, float] = {}
        if self.spans:
            out["wire_tension"] = min(span.margin for span in self.spans)
        for mast in self.masts:
            for name, value in mast.margins.items():
                out[name] = min(value, out.get(name, math.inf))
        return out

    @property
    def pole_foot_n(self) -> float:
        return max((mast.compression_n for mast in self.masts), default=0.0)


def load_report(
    structure, wire_key: str, mast_key_of, *, wind_m_per_s: float = 25.0, radial_ice_m: float = 0.0, coil_weight_n: float = 0.0,
    sag_share: float = SAG_SHARE,
) -> LoadReport:  # fmt: skip
    """Loads of a structure (fields `spans`, `masts`, `anchors` as in the site's model).

    `mast_key_of`: height → part key of the pole (`catalogue.mast_for`); `coil_weight_n` hangs in the middle of the
    longest span, unless a post takes it (then give 0).
    """
    wire = wire_type(wire_key)
    poles = {tuple(mast.at_m): (mast.height_m, pole(mast_key_of(mast.height_m))) for mast in structure.masts}
    longest = max((math.dist(a, b) for span in structure.spans for a, b in zip(span.holds_m, span.holds_m[1:])), default=0.0)
    spans, pulls, downs, sides = [], {}, {}, {}
    for run in structure.spans:
        for a, b in zip(run.holds_m, run.holds_m[1:]):
            length = math.dist(a, b)
            load = span_load(
                length, wire, wind_m_per_s=wind_m_per_s, radial_ice_m=radial_ice_m, give_m_per_n=_give(a, poles) + _give(b, poles),
                point_load_n=coil_weight_n if length == longest else 0.0, sag_share=sag_share,
            )  # fmt: skip
            spans.append(load)
            for here, there in ((a, b), (b, a)):
                _pull(pulls, downs, here, there, load.worst_n)
                sides[tuple(here[:2])] = sides.get(tuple(here[:2]), 0.0) + load.side_n
    masts = tuple(
        mast_load(
            kind, at, height, math.hypot(*pulls.get(at, (0.0, 0.0))) + sides.get(at, 0.0), downs.get(at, 0.0),
            wind_m_per_s=wind_m_per_s, guy_radius_m=_guy_radius_m(structure, at, height),
        )
        for at, (height, kind) in poles.items()
    )  # fmt: skip
    return LoadReport(spans=tuple(spans), masts=masts)


def _give(hold, poles) -> float:
    """Metres of yield per newton at a hold: a pole's tip, or nothing."""
    found = poles.get(tuple(hold[:2]))
    if not found:
        return 0.0
    height, kind = found
    free = height * (1 - GUY_ATTACH_SHARE) if height > GUYED_FROM_M else height
    return kind.tip_deflection_m(1.0, free_m=free)


def _pull(pulls, downs, here, there, tension_n):
    """Adds a span's tension at one of its ends to the pull in plan and the downward force there."""
    length = math.dist(here, there)
    x, y = pulls.get(tuple(here[:2]), (0.0, 0.0))
    pulls[tuple(here[:2])] = (x + tension_n * (there[0] - here[0]) / length, y + tension_n * (there[1] - here[1]) / length)
    downs[tuple(here[:2])] = downs.get(tuple(here[:2]), 0.0) + tension_n * max(0.0, here[2] - there[2]) / length


def _guy_radius_m(structure, at, height_m: float) -> float:
    """Nearest guy anchor of that mast, within its height; a third of the height where none is."""
    near = [math.dist(a.at_m, at) for a in structure.anchors if a.kind == "guy" and math.dist(a.at_m, at) <= 1.5 * height_m]
    return max(min(near, default=height_m / 3.0), 0.3)


def wind_stood_m_per_s(structure, wire_key: str, mast_key_of, *, most: float = 50.0, **settings) -> float:
    """Largest wind with every margin at or above zero [m/s], to half a metre a second; 0 if not even still air."""
    low, high = 0.0, most
    if min(load_report(structure, wire_key, mast_key_of, wind_m_per_s=0.0, **settings).margins.values(), default=0.0) < 0:
        return 0.0
    while high - low > 0.5:
        middle = (low + high) / 2
        good = min(load_report(structure, wire_key, mast_key_of, wind_m_per_s=middle, **settings).margins.values(), default=0.0) >= 0
        low, high = (middle, high) if good else (low, middle)
    return low
