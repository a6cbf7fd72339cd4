"""One design as the contract's JSON object: parts, trimming, placement, feed, and the wire case per band."""

from __future__ import annotations

from dataclasses import asdict, replace

import numpy as np

from ..evaluate import Evaluation
from ..families.design import BillItem
from ..network.bench import sheets_of
from ..network.feedpoint import look
from ..network.radio import power_share
from ..parts.choke import Choke
from ..parts.prices import bill_for
from ..parts.ready_made import BOUGHT
from ..parts.tools import tools_for
from ..physics.wishes import WishList
from ..search.settings import RankResult
from ..site.model import Site
from ..spread import FIGURES, HIGH, LOW
from ..wires.case_dict import case_to_dict
from ..wires.model import Ground, Load, WireCase
from .budget_words import plain_budget
from .notes import HONEST_NOTE, POWER_LINE_CAUTION, made_with
from .safety_words import cautions_object, safety_needs, safety_object
from .views_file import curve_object, view_object
from .words import needs


def design_object(rank: int, site: Site, wishes: WishList, evaluation: Evaluation, result: RankResult) -> dict:
    """Everything about one row that a builder or a script may ask for."""
    design, structure = evaluation.design, evaluation.design.structure
    rows = bill_for(design.bill, site.currency, wishes)
    tools = bill_for(tools_of(design.bill), site.currency, wishes)
    safety = result.safety[rank - 1]
    return {
        "rank": rank,
        "design": design.title,
        "family": design.family,
        "score": evaluation.total,
        "score_parts": asdict(evaluation.score),
        "needs": needs(evaluation, safety_needs(safety, site, wishes.power_w, bool(structure.masts))),
        "weak_point": design.weak_point,
        "cost": evaluation.cost,
        "currency": site.currency,
        "parts": [_part(r) for r in rows if not r.tool],
        "tools": [_part(r) for r in (*rows, *tools) if r.tool],
        "trimming": trimming_of(evaluation),
        "spread": spread_object(wishes, evaluation),
        "values": evaluation.values,
        "margins": {k: v for k, v in evaluation.margins.items() if np.isfinite(v)},
        "origin": origin_of(site),
        "placement": {
            "masts": [{"at_m": list(m.at_m), "height_m": m.height_m} for m in structure.masts],
            "anchors": [{"at_m": list(a.at_m), "kind": a.kind, "height_m": a.height_m} for a in structure.anchors],
        },
        "feed": {
            "impedance_ratio": design.feed.impedance_ratio,
            "tuner": design.feed.tuner is not None,
            "line": design.feed.line,
            "line_length_m": design.feed.line_length_m,
            "transformer": design.feed.transformer,
            "choke": design.feed.choke,
            "choke_at": design.feed.choke_at,
            "compensation_f": design.feed.compensation_f,
        },
        "bands": {w.key: _with_power(band_object(site, evaluation, w.key), wishes) for w in wishes.bands},
        "build_sheets": sheets_of(design.feed, design.all_loads, bought=design.values.get("make") == BOUGHT),
        "power_limits": [{"name": p.name, "most_w": p.most_w, "band": p.band, "what": p.what} for p in evaluation.power_limits],
        "safety": safety_object(safety, site),
        "cautions": [POWER_LINE_CAUTION],
        "cautions_by_step": cautions_object(site),
        "made_with": made_with(result.versions),
        "note": HONEST_NOTE,
    }


def trimming_of(evaluation: Evaluation) -> list[dict]:
    """Steps in the order to take: as computed over gardens, else the family's own."""
    steps = {t.parameter: asdict(t) for t in evaluation.design.trims}
    if evaluation.spread is None:
        return list(steps.values())
    return [
        steps[p.parameter]
        | {
            "aim_mhz": p.aim_mhz, "end_mhz": p.end_mhz, "computed_m": p.nominal_m, "cut_m": p.cut_m,
            "allowance_m": p.allowance_m, "khz_per_cm": p.khz_per_cm, "before_the_coil_is_hung": p.bare,
            "first_reading": curve_object(p.first) if p.first else None,
        }
        for p in evaluation.spread.order
    ]  # fmt: skip


def spread_object(wishes: WishList, evaluation: Evaluation) -> dict | None:
    """What building and trimming in many gardens came to; None where the row was not judged so."""
    spread = evaluation.spread
    if spread is None:
        return None
    bands = {w.key: {f: list(spread.band(w.key, f)) for f in FIGURES} for w in wishes.bands}
    return {
        "gardens": len(spread.gardens), "quantiles": [LOW, HIGH], "bands": bands, "order": spread.way,
        "orders_tried": spread.tried, "on_target_share": spread.on_target, "trimmable_share": spread.trimmable,
        "trim_moves": spread.moves, "interaction": spread.interaction,
    }  # fmt: skip


def band_object(site: Site, evaluation: Evaluation, key: str) -> dict:
    """The wire case of a segment, the solved feed impedance and the SWR at the radio, in the order of the case."""
    figures, design = evaluation.bands[key], evaluation.design
    freq = np.array(figures.solved_hz)
    z = np.array([complex(*ohm) for ohm in figures.solved_ohm])
    case = WireCase(
        frequencies_mhz=tuple(f / 1e6 for f in figures.solved_hz),
        ground=Ground(kind="soil", soil=site.soil),
        wires=design.structure.wires,
        ports=(design.port,),
        loads=tuple(exported(load, 0.5 * (freq[0] + freq[-1])) for load in design.loads_on(key)),
    )
    return {
        "case": case_to_dict(case),
        "feed_impedance_ohm": [list(ohm) for ohm in figures.solved_ohm],
        "radio_swr": np.asarray(look(freq, z, design.feed).swr_radio, float).tolist(),
        "power_budget": plain_budget(design, key, figures.budget),
        **view_object(evaluation, key),
    }


def _with_power(band: dict, wishes: WishList) -> dict:
    """And the power the radio gives at each SWR, folded back above its limit."""
    return band | {"radio_power_w": (wishes.power_w * power_share(np.array(band["radio_swr"]), wishes.swr_limit)).tolist()}


def exported(load: Load, freq_hz: float) -> Load:
    """The load as a wire case can hold it: a choke becomes the lossy coil that it is in the middle of the segment."""
    return replace(load, element=load.element.coil_at(freq_hz)) if isinstance(load.element, Choke) else load


def tools_of(items) -> tuple[BillItem, ...]:
    """Tools and instruments that the parts ask for, one each."""
    return tuple(BillItem(part=key, quantity=1, use="tool") for key in tools_for(item.part for item in items))


def origin_of(site: Site) -> dict | None:
    """Longitude and latitude of the local origin, None for a lot without a map."""
    if site.origin_lon_lat is None:
        return None
    return dict(zip(("lon", "lat"), site.origin_lon_lat))


def _part(row) -> dict:
    return {
        "item": row.item, "quantity": row.quantity, "unit": row.unit, "unit_price": row.unit_price, "price": row.price,
        "part": row.part, "use": row.use, "on_hand": row.on_hand,
    }  # fmt: skip
