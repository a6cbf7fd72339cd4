"""The wind a design stands: floors by where a mast can fall, slack against taut, coils with and without a post."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from shapely.geometry import box

from optimizer.criteria.weather import (
    FLOOR_M_PER_S,
    FLOOR_NEAR_OTHERS_M_PER_S,
    STIFFER,
    coil_weight_n,
    floor_m_per_s,
    load_margins,
    pole_keys,
    weather_of,
    wire_key,
)
from optimizer.families.design import BillItem
from optimizer.parts.coil import design_coil
from optimizer.parts.conductors import wire_type
from optimizer.parts.loads import load_report, span_load
from optimizer.physics.elements import Coil
from optimizer.site.model import Anchor, Mast, Site, Span, Structure


def lot(width=60.0):
    square = box(-width / 2, -width / 2, width / 2, width / 2)
    return Site(name="lot", stem="lot", lot=square, usable=square, height_limit_m=12.0, itu_region=1, currency="EUR")


def vee(height_m=9.0, wire="wire_pvc_stranded_1_5mm2", parts=(), loads=(), mast="mast_9m"):
    guys = tuple(Anchor(at_m=at, kind="guy") for at in ((4.0, 0.0), (-2.0, 3.5), (-2.0, -3.5)))
    run = Span(holds_m=((-10.0, 0.0, 3.0), (0.0, 0.0, height_m), (10.0, 0.0, 3.0)), lengths_m=(11.8, 11.8))
    structure = Structure(wires=(), masts=(Mast(at_m=(0.0, 0.0), height_m=height_m),), anchors=guys, spans=(run,))
    bill = (BillItem(part=wire, quantity=24.0, use="radiator"), *(BillItem(part=p, quantity=1, use="mast") for p in (mast, *parts)))
    return SimpleNamespace(structure=structure, bill=bill, loads=loads)


def test_floor_is_higher_where_the_mast_could_fall_beyond_the_lot():
    assert floor_m_per_s(lot(60.0), vee().structure) == FLOOR_M_PER_S
    assert floor_m_per_s(lot(12.0), vee().structure) == FLOOR_NEAR_OTHERS_M_PER_S
    assert floor_m_per_s(lot(12.0), Structure(wires=())) == FLOOR_M_PER_S


def test_wind_stood_is_the_edge_of_the_margins():
    design = vee()
    found = weather_of(design)
    at, above = (
        min(load_report(design.structure, wire_key(design), pole_keys(design), wind_m_per_s=v, sag_share=found.sag_share).margins.values())
        for v in (found.wind_m_per_s, found.wind_m_per_s + 0.5)
    )
    assert at >= 0.0 > above and found.first in STIFFER
    assert found.to_lower_in(25.0) and not found.to_lower_in(found.wind_m_per_s)


def test_twice_the_sag_is_half_the_pull():
    """A parabola's w L^2 / 8 s; a light wire without wind, at the support all but horizontal."""
    taut, slack = (span_load(15.0, wire_type("wire_pvc_stranded_1_5mm2"), wind_m_per_s=0.0, sag_share=s) for s in (0.02, 0.04))
    assert taut.hung_n == pytest.approx(2.0 * slack.hung_n)
    assert slack.worst_n < taut.worst_n


def test_a_stiffer_pole_stands_more():
    assert weather_of(vee(mast="mast_12m")).wind_m_per_s > weather_of(vee(mast="mast_9m")).wind_m_per_s


def test_margins_name_their_limits_and_a_long_thin_pole_misses_them():
    good, bad = load_margins(lot(), vee()), load_margins(lot(12.0), vee(height_m=8.0, mast="mast_8m", wire="wire_bare_copper_2mm"))
    assert set(good) == set(STIFFER) and min(good.values()) > 0.0
    assert min(bad.values()) < min(good.values())


def test_a_post_takes_the_coils_weight():
    """Weight by the winding's own sheet; nothing hangs in the span where a post carries it."""
    load = SimpleNamespace(element=Coil(inductance_h=40e-6))
    weight = design_coil(40e-6, 7.1e6).weight_n
    assert coil_weight_n(vee(loads=(load,))) == pytest.approx(weight) and weight > 0.5
    assert coil_weight_n(vee(loads=(load,), parts=("post_under_coil",))) == 0.0
    light, heavy, posted = (weather_of(d).wind_m_per_s for d in (vee(), vee(loads=(load,)), vee(loads=(load,), parts=("post_under_coil",))))
    assert heavy <= light == posted


def test_the_designs_own_pole_is_the_one_judged():
    key_of = pole_keys(vee(mast="mast_12m"))
    assert key_of(9.0) == "mast_12m" and key_of(13.0) == "mast_15m"


def test_ice_that_the_site_names_is_a_limit():
    """6 mm of ice on this wire weighs several times the wire (row P7-015's law): less margin on its tension, less wind stood."""
    bare, iced = (load_margins(replace(lot(), ice_m=ice), vee())["wire_tension"] for ice in (0.0, 0.006))
    assert iced < bare - 0.1
    assert weather_of(vee(), 0.006).wind_m_per_s <= weather_of(vee()).wind_m_per_s
