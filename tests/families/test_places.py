"""Where the trade hangs wires, asked of the families: tails in several directions, feeds near the radio, ends at whatever holds, bent along a fence, over a
roof, round holes, off a balcony rail. Held against shapely, which placing does not use.
"""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from lots import garden, plain, site_of, wish
from shapely.geometry import LineString, Point, Polygon, box

from optimizer.evaluate import COARSE, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
from optimizer.families.outline import bearing_deg
from optimizer.site.clearance import margins
from optimizer.site.model import Building, KeepOut, Radio, Support
from optimizer.site.read import read_site

DROOPED, SLOPED, DIPOLE = (FAMILIES[k] for k in ("end_fed_half_wave_drooped", "end_fed_half_wave_sloped", "dipole"))
FLATS = read_site(Path(__file__).parent / "lots" / "flats.geojson")


def middle(family, site, wishes):
    """Every parameter in the middle of its range, or its first choice."""
    return {p.name: p.choices[0] if p.choices else 0.5 * (p.low + p.high) for p in family.parameters(site, wishes)}


def drawn(family, site, wishes, count, seed=1):
    """Designs of evenly drawn values and of the starts, those that stand."""
    rng, parameters = np.random.default_rng(seed), family.parameters(site, wishes)
    values = [
        {p.name: p.choices[rng.integers(len(p.choices))] if p.choices else float(rng.uniform(p.low, p.high)) for p in parameters} for _ in range(count)
    ]
    found = []
    for v in (*family.starts(site, wishes), *values):
        try:
            found.append(family.build(v, site, wishes))
        except NoPlace:
            continue
    return found


def main_wire(design):
    return next(w for w in design.structure.wires if w.name == "main")


# --- tails -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("feed_at", ["radio", "post"])
def test_a_tail_leads_wherever_it_is_asked_to_as_long_as_the_apex_stays_blunt(feed_at):
    site, wishes = plain(50.0, 50.0, height_limit_m=8.0), wish("20m")
    site = replace(site, radio=Radio(name="shack", at_m=(25.0, 22.0), height_m=2.8))
    wanted = {**middle(DROOPED, site, wishes), "feed_at": feed_at, "end_at": "free", "mast_u": 0.5, "mast_v": 0.56, "turn_deg": 0.0}
    ways = {}
    for asked in range(0, 360, 30):
        points = main_wire(DROOPED.build({**wanted, "bearing_deg": float(asked)}, site, wishes)).points_m
        top = max(points, key=lambda p: p[2])
        ways[asked] = bearing_deg(top, points[-1])
    straight_on = {a for a, way in ways.items() if abs((way - a + 180.0) % 360.0 - 180.0) < 1.0}
    if feed_at == "post":  # its post goes round to the other side
        assert straight_on == set(ways)
    else:  # the wall is south of the mast: on to the north half at least, and nowhere back over the wire
        assert {330, 0, 30} <= straight_on
        assert not straight_on & {150, 180, 210}
        assert len({round(way / 30.0) % 12 for way in ways.values()}) >= 4


def test_an_l_turns_at_its_support():
    site, wishes = plain(50.0, 50.0, height_limit_m=8.0), wish("20m")
    wanted = {**middle(DROOPED, site, wishes), "feed_at": "post", "end_at": "free", "bearing_deg": 90.0, "apex_m": 6.0}
    for turn in (-60.0, 0.0, 60.0):
        points = main_wire(DROOPED.build({**wanted, "turn_deg": turn}, site, wishes)).points_m
        top = max(points, key=lambda p: p[2])
        between = (bearing_deg(top, points[0]) - bearing_deg(top, points[-1])) % 360.0
        assert between == pytest.approx(180.0 + turn, abs=0.5)


def test_the_wire_from_an_inverted_l_s_top_leads_where_it_is_asked_to():
    family, site, wishes = FAMILIES["inverted_l"], plain(40.0, 40.0, height_limit_m=7.0), wish("40m")
    wanted = {**middle(family, site, wishes), "mast_u": 0.5, "mast_v": 0.5}
    for asked in range(5, 360, 45):
        points = main_wire(family.build({**wanted, "tail_deg": float(asked)}, site, wishes)).points_m
        assert bearing_deg(points[0], points[-1]) == pytest.approx(asked, abs=1.0)


# --- the line from the radio ----------------------------------------------------------------------------------


@pytest.mark.parametrize("family", [DROOPED, SLOPED], ids=lambda f: f.key)
def test_end_fed_wires_are_tried_from_the_radio_s_wall_wherever_one_leads_off_it(family):
    for site in (plain(30.0, 20.0), garden()):
        lines = [family.build(v, site, wish("20m")).feed.line_length_m for v in family.starts(site, wish("20m")) if v["feed_at"] == "radio"]
        assert lines and max(lines) <= 2.0


@pytest.mark.parametrize("x", [4.0, 15.0, 26.0])
def test_a_dipole_between_two_posts_is_fed_abreast_of_the_radio_as_far_as_its_cords_allow(x):
    posts = tuple(Support(name=n, at_m=(at, 6.0), height_m=8.0, kind="post") for n, at in (("west", 0.5), ("east", 29.5)))
    site = site_of(box(0, 0, 30, 12), supports=posts, radio=Radio(name="shack", at_m=(x, 0.8), height_m=2.8))
    pair = next(c for p in DIPOLE.parameters(site, wish("20m")) if p.name == "apex_at" for c in p.choices if " - " in c)
    design = DIPOLE.build({**middle(DIPOLE, site, wish("20m")), "apex_at": pair}, site, wish("20m"))
    feed = main_wire(design).point_at(design.port.at_m)
    leg = design.values["leg_m"]
    nearest = min(max(x, 0.5 + 0.4 + leg), 29.5 - 0.4 - leg)  # ties of 0.4 m
    assert feed[0] == pytest.approx(nearest, abs=0.2)


def test_a_longer_line_to_the_same_wire_costs_more_and_delivers_less():
    near, far = (replace(plain(60.0, 20.0), radio=Radio(name="shack", at_m=(x, 0.8), height_m=2.8)) for x in (30.0, 2.0))
    wishes, made = wish("20m"), []
    for site in (near, far):
        values = {**middle(DIPOLE, site, wishes), "apex_at": "mast", "mast_u": 0.5, "mast_v": 0.5, "bearing_deg": 90.0}
        made.append(place(site, wishes, DIPOLE, values))
    assert main_wire(made[0].design) == main_wire(made[1].design)
    longer = made[1].design.feed.line_length_m - made[0].design.feed.line_length_m
    assert longer > 15.0
    assert made[1].cost > made[0].cost + 0.5 * longer  # cheap cable is some 0.8 a metre, see the price list
    band = [measure(site, wishes, DIPOLE, m.design, COARSE, trim=False).bands["20m"] for site, m in zip((near, far), made)]
    thin_db_per_m = 0.04  # RG-58 at 14 MHz loses some 5 dB in 100 m (common practice, no source)
    assert band[1].efficiency < band[0].efficiency * 10 ** (-thin_db_per_m * longer / 10)
    assert band[1].budget["line"] > band[0].budget["line"]


# --- ends -----------------------------------------------------------------------------------------------------


HOLDS = {
    "house corner": Support(name="house corner", at_m=(24.0, 4.0), height_m=5.0, kind="gable"),
    "post": Support(name="pergola", at_m=(24.0, 4.0), height_m=3.2, kind="post"),
    "fence": Support(name="long fence", at_m=(24.0, 4.0), height_m=2.6, kind="fence"),
}


@pytest.mark.parametrize("kind", [*HOLDS, "tree"])
def test_a_wire_ends_at_whatever_holds_one(kind):
    site = plain(26.0, 12.0)
    if kind == "tree":
        site = replace(site, trees=tuple(replace(t, at_m=(24.0, 4.0)) for t in garden().trees))
        name = site.trees[0].name
    else:
        site, name = replace(site, supports=(HOLDS[kind],)), HOLDS[kind].name
    wishes = wish("20m")
    ends = [d for d in drawn(DROOPED, site, wishes, 300) if d.values["end_at"] == name]
    ends = [d for d in ends if any(math.dist(b[:2], (24.0, 4.0)) < 1e-6 for _, b in d.structure.cords_m)]
    assert ends, "none of the wires is tied to it"
    for design in ends:
        cord = next(c for c in design.structure.cords_m if math.dist(c[1][:2], (24.0, 4.0)) < 1e-6)
        assert any(math.dist(cord[0], main_wire(design).points_m[i]) < 1e-6 for i in (0, -1))
        assert 2.5 <= min(p[2] for p in main_wire(design).points_m)
        assert any(f"at {name}" == i.use for i in design.bill)


def test_a_leg_too_long_for_the_lot_is_bent_along_the_fence():
    site, wishes = plain(13.0, 9.0, height_limit_m=7.0), wish("40m")
    bent = [d for d in drawn(DIPOLE, site, wishes, 200) if any(i.use == "post at the bend" for i in d.bill)]
    assert bent
    along_fence = 0
    for design in bent:
        points = main_wire(design).points_m
        assert site.usable.buffer(1e-6).contains(LineString([p[:2] for p in points]))
        assert min(margins(site, design.structure)[k] for k in ("lot_m", "wire_height_m")) >= -1e-6
        along_fence += any(min(abs(a - b) for a, b in zip(points[i][:2], points[j][:2])) < 1e-6 for i, j in ((0, 1), (-1, -2)))
    assert along_fence >= 0.5 * len(bent)  # the others turn off where the fence is too short


# --- over a roof, round holes ------------------------------------------------------------------------------------


def over_house(roof_m, pole_m=8.0):
    poles = tuple(Support(name=n, at_m=(x, 4.0), height_m=pole_m, kind="pole") for n, x in (("west", 0.6), ("east", 25.4)))
    house = Building(name="house", footprint=box(8, 0.2, 18, 7.8), height_m=roof_m, clearance_m=1.0)
    return site_of(box(0, 0, 26, 8), supports=poles, buildings=(house,), radio=Radio(name="shack", at_m=(13.0, 0.2), height_m=3.0), height_limit_m=8.5)


def test_a_wire_hangs_over_a_roof_with_its_clearance_or_not_at_all():
    wishes = wish("40m")
    low, high = over_house(5.0), over_house(7.0)
    values = {**middle(DIPOLE, low, wishes), "apex_at": "west - east"}
    line = LineString([p for p in main_wire(DIPOLE.build(values, low, wishes)).points_m])
    over = [line.interpolate(s) for s in np.arange(0.0, line.length, 0.1)]
    above = [p.z - 5.0 for p in over if 8 <= p.x <= 18]
    assert above and min(above) >= 1.0
    with pytest.raises(NoPlace) as missed:
        DIPOLE.build(values, high, wishes)
    assert missed.value.limit == "building clearance"
    sag = 8.0 - min(p.z for p in over)
    assert missed.value.short_by == pytest.approx(7.0 + 1.0 - (8.0 - sag), abs=0.05)


HOLED = Polygon(
    [(0, 0), (30, 0), (30, 12), (16, 12), (16, 24), (0, 24)], [[(6, 6), (10, 6), (10, 10), (6, 10)], [(20, 4), (24, 4), (24, 7), (20, 7)]]
)


@pytest.mark.parametrize("key", FAMILIES)
def test_on_a_bent_lot_with_holes_and_a_setback_all_stays_on_it(key):
    """Every wire, mast, guy and stake, by shapely: the lot less its setback, holes as much as the outside; nothing driven into the pond."""
    family, pond = FAMILIES[key], box(2, 14, 6, 18)
    site = site_of(HOLED, setback_m=0.6, keep_outs=(KeepOut(name="pond", footprint=pond, to_m=1.0),), radio=Radio(name="shack", at_m=(14.5, 1.2), height_m=2.8))
    wishes = wish("10m") if key == "loop_flat" else wish("40m", "20m", "10m", tuner="external")  # four masts want room
    designs = drawn(family, site, wishes, 60)
    assert designs
    allowed = HOLED.buffer(-0.6, join_style="mitre").buffer(1e-6)
    for design in designs:
        for wire in design.structure.wires:
            plan = [p[:2] for p in wire.points_m]
            inside = allowed.contains(LineString(plan)) if math.dist(plan[0], plan[-1]) > 1e-6 or len(plan) > 2 else allowed.contains(Point(plan[0]))
            assert inside or wire.role == "line", wire.name
        for foot in (*(m.at_m for m in design.structure.masts), *(a.at_m for a in design.structure.anchors)):
            assert allowed.contains(Point(foot))
            assert not pond.buffer(-1e-6).contains(Point(foot))


# --- a balcony rail --------------------------------------------------------------------------------------------------


def test_a_balcony_rail_as_the_only_support_carries_several_kinds_of_wire():
    wishes, rail = wish("20m", "15m", "10m", mast_limit_m=4.0), FLATS.supports[0]
    assert len(FLATS.supports) == 1 and not FLATS.trees
    hung = set()
    for family in FAMILIES.values():
        if not family.serves(wishes):
            continue
        for design in drawn(family, FLATS, wishes, 40) if _space(family, FLATS, wishes) else ():
            if any(math.dist(h, rail.at_m) < 1e-6 for h in design.structure.holds_at_m) and min(margins(FLATS, design.structure).values()) >= 0:
                hung.add(family.key)
                assert max(p[2] for w in design.structure.wires for p in w.points_m) <= rail.height_m + 1e-6
    assert {"end_fed_half_wave_sloped", "end_fed_half_wave_drooped", "end_fed_loaded_tail"} <= hung


def test_with_no_post_allowed_at_all_the_rail_still_carries_a_wire():
    wishes = wish("20m", "15m", "10m", mast_limit_m=2.0)
    standing = [d for d in drawn(DROOPED, FLATS, wishes, 60) if min(margins(FLATS, d.structure).values()) >= 0]
    assert standing
    assert all(not d.structure.masts and not any(i.part == "post_timber" for i in d.bill) for d in standing)


def _space(family, site, wishes):
    try:
        return family.parameters(site, wishes)
    except NoPlace:
        return ()


@pytest.mark.parametrize("key", ["vertical", "inverted_l", "top_loaded_vertical"])
def test_every_return_path_of_a_vertical_can_be_had(key):
    """Two to four elevated radials, a single elevated counterpoise, four or eight lying ones: as many wires as they say, at the height they say."""
    family, site = FAMILIES[key], plain(30.0, 30.0, height_limit_m=9.0)
    wishes = wish("20m") if key == "vertical" else wish("40m")
    offered = next(p.choices for p in family.parameters(site, wishes) if p.name == "radials")
    assert {"1 raised", "2 raised", "4 raised", "4 lying", "8 lying"} <= set(offered)
    for choice in offered:
        design = family.build({**next(iter(family.starts(site, wishes))), "radials": choice}, site, wishes)
        paths = [w for w in design.structure.wires if w.role == "counterpoise"]
        assert len(paths) == int(choice.split()[0])
        lowest = min(p[2] for w in paths for p in w.points_m)
        assert lowest >= 2.5 if choice.endswith("raised") else lowest < 0.1
        assert all(w.points_m[0] == pytest.approx(design.structure.wires[0].points_m[0]) for w in paths)
