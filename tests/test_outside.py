"""The outside of the line as a wire: the choke changes what it carries, and the station at its end matters."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import LineString, box

from optimizer.evaluate import COARSE, FULL, judge, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.families.line_outside import LINE, entry_point, line_points, station_points
from optimizer.field.solver import solve
from optimizer.figures import port_solution
from optimizer.outside import (
    choke_current_a,
    choke_takes,
    completed,
    fed_at_an_end,
    feed_point,
    is_end_fed,
    shield_current,
    with_outside,
)
from optimizer.parts.choke import choke
from optimizer.parts.ring_transformer import loss_limit_w
from optimizer.physics.elements import FixedImpedance
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.design_file import band_object, exported
from optimizer.safety import safety_of
from optimizer.search.probe import nearest
from optimizer.site.clearance import margins
from optimizer.site.read import read_site
from optimizer.wires.case_dict import case_to_dict
from optimizer.wires.case_json import parse_case
from optimizer.wires.model import Ground, Load, WireCase

SITE = read_site(Path(__file__).parents[1] / "sites" / "l_shape.geojson")
WISHES = read_wishes("40m 20m", SITE)
GROUND = Ground(kind="soil", soil=SITE.soil)
FREQ_HZ = 7.1e6


@pytest.fixture(scope="module")
def design():
    found = nearest(FAMILIES["end_fed_half_wave_drooped"], SITE, WISHES)
    assert found.fits and is_end_fed(found.design)
    return found.design


def z_of(d):
    return complex(solve(d.structure.wires, (d.port,), d.loads, GROUND, [FREQ_HZ]).z_ohm[0])


@pytest.mark.parametrize("station", ["mains", "battery"])
def test_choke_lowers_the_shields_current(design, station):
    found = shield_current(design, SITE, station, GROUND, FREQ_HZ, 100.0)
    assert 0.0 < found.with_choke_a < 0.7 * found.without_choke_a
    assert abs(found.feed_ohm_with - found.feed_ohm_without) > 0.02 * abs(found.feed_ohm_without)


def test_station_changes_the_path(design):
    mains, battery = (shield_current(design, SITE, s, GROUND, FREQ_HZ, 100.0) for s in ("mains", "battery"))
    assert mains.without_choke_a != pytest.approx(battery.without_choke_a, rel=0.05)


def test_shield_current_goes_with_the_root_of_power(design):
    low, high = (shield_current(design, SITE, "mains", GROUND, FREQ_HZ, w).without_choke_a for w in (25.0, 100.0))
    assert high == pytest.approx(2.0 * low)


def test_an_endless_choke_is_a_cut(design):
    """Ten megohms in series with the shield at the feed: the current at the feed's end of it is all but none."""
    plain = with_outside(design, SITE, "mains", choke_key=None)
    closed = replace(plain, loads=(*plain.loads, Load(wire=LINE, at_m=0.0, element=FixedImpedance(ohm=1e7))))
    solution = solve(closed.structure.wires, (closed.port,), closed.loads, GROUND, [FREQ_HZ])
    volts = solution.port_volts(0)[-1]
    assert abs(volts / 1e7) < 1e-3  # of the ampere into the port
    assert abs(z_of(closed) - z_of(plain)) > 0.02 * abs(z_of(plain))


def test_without_choke_and_counterpoise_the_line_is_the_return_path(design):
    bare = replace(design, feed=replace(design.feed, choke=None))
    wires = tuple(w for w in bare.structure.wires if w.role != "counterpoise")
    bare = replace(bare, structure=replace(bare.structure, wires=wires))
    whole = completed(bare, SITE, WISHES)
    assert [w.role for w in whole.structure.wires].count("line") == 2
    z = z_of(whole)
    assert np.isfinite(z) and z.real > 0.0
    battery = completed(bare, SITE, replace(WISHES, station="battery"))
    assert abs(z_of(battery) - z) > 0.01 * abs(z)


def _wiring(site):
    """Plan of the wiring behind the radio, the line coming from the west."""
    x, y = site.radio.at_m
    return LineString([p[:2] for p in station_points(site, (x, y, 1.0), (x - 10.0, y, 6.0), "mains")])


@pytest.mark.parametrize("begins_m", [None, 0.9, 1.1])
def test_the_wiring_of_the_house_turns_away_from_a_keep_out(begins_m):
    """What stands for the wiring is laid by nobody: no design is refused for it. A keep-out that begins above it is no hindrance."""
    lot = box(-30.0, -30.0, 30.0, 30.0)
    open_site = replace(SITE, lot=lot, usable=lot, keep_outs=(), radio=replace(SITE.radio, at_m=(0.0, 0.0)))
    straight = _wiring(open_site)
    assert straight.coords[-1][0] > 7.0
    shut = replace(SITE.keep_outs[0], footprint=box(2.0, -3.0, 4.0, 3.0), from_m=begins_m)
    laid = _wiring(replace(open_site, keep_outs=(shut,)))
    if begins_m is not None and begins_m > 1.0:
        assert laid.equals(straight)
    else:
        assert laid.length == pytest.approx(straight.length) and laid.distance(shut.footprint) > 0.0


def test_completed_leaves_choked_and_other_designs_alone(design):
    assert completed(design, SITE, WISHES) is design
    other = nearest(FAMILIES["dipole"], SITE, WISHES).design
    assert completed(replace(other, feed=replace(other.feed, choke=None)), SITE, WISHES).structure.wires == other.structure.wires


def test_a_completed_design_is_placed_as_it_works(design, monkeypatch):
    """Evaluation sees the line of a design that has no choke; nothing else of its margins of place is lost."""
    family = FAMILIES["end_fed_half_wave_drooped"]
    unchoked = replace(family, build=lambda v, s, w: replace(d := family.build(v, s, w), feed=replace(d.feed, choke=None)))
    found = place(SITE, WISHES, unchoked, design.values)
    assert LINE in [w.name for w in found.design.structure.wires]
    assert found.margins["building_m"] == pytest.approx(place(SITE, WISHES, family, design.values).margins["building_m"])


def test_a_choke_in_a_wire_case_gives_the_same_feed_impedance(design):
    """The exported case, read back and solved by itself, is what the main job computed (contract: it must come out again)."""
    choked = with_outside(design, SITE, "mains", choke_key="choke_ft240_31_12t", choke_at="radio")
    freq = np.linspace(7.0e6, 7.2e6, 3)
    ours = port_solution(choked, GROUND, freq, "40m").z_ohm
    loads = tuple(exported(load, 7.1e6) for load in choked.loads)
    case = WireCase(frequencies_mhz=tuple(freq / 1e6), ground=GROUND, wires=choked.structure.wires, ports=(choked.port,), loads=loads)
    back = parse_case(json.loads(json.dumps(case_to_dict(case))))
    again = solve(back.wires, back.ports, back.loads, back.ground, 1e6 * np.array(back.frequencies_mhz)).z_ohm
    np.testing.assert_allclose(again, ours, rtol=1e-6)
    free = solve(choked.structure.wires, (choked.port,), choked.loads, GROUND, freq).z_ohm
    np.testing.assert_allclose(again, free, rtol=0.01)  # permeability held over the band against its own slope


@pytest.mark.parametrize("family", ["off_centre_dipole", "trap_dipole", "parallel_dipole"])
def test_a_wire_parted_at_its_feed_is_the_same_wire(family):
    whole = nearest(FAMILIES[family], SITE, WISHES).design
    parted = fed_at_an_end(whole)
    assert parted.port.at_m == 0.0 and len(parted.structure.wires) == len(whole.structure.wires) + 1
    assert sum(w.length_m for w in parted.structure.wires) == pytest.approx(sum(w.length_m for w in whole.structure.wires))
    assert z_of(parted) == pytest.approx(z_of(whole), rel=1e-3)


def test_a_wire_fed_at_its_end_is_left_alone(design):
    assert fed_at_an_end(design) is design


def test_uneven_legs_drive_more_through_the_choke():
    """Common practice, no source: an off-centre feed stands or falls with its choke; legs alike ask little of it."""
    even, uneven = (nearest(FAMILIES[f], SITE, WISHES).design for f in ("dipole", "off_centre_dipole"))
    amps = [choke_current_a(d, SITE, "battery", GROUND, FREQ_HZ, 100.0, key="40m") for d in (even, uneven)]
    assert amps[1] > 2.0 * amps[0] > 0.0


def test_the_chokes_limit_is_the_power_that_warms_it_by_what_it_may(design):
    """At that power its current makes the loss that the ring gives off at its limit; of a tenth, a tenth of the loss."""
    part, told = choke(design.feed.choke), choke_takes(design, SITE, "mains", GROUND, FREQ_HZ, 1.0)[0]
    for share in (1.0, 0.1):
        amps = choke_current_a(design, SITE, "mains", GROUND, FREQ_HZ, share * told.heat_w)
        stress = part.stress(amps, freq_hz=FREQ_HZ)
        assert stress.dissipation_w == pytest.approx(share * loss_limit_w(part.ring), rel=0.01)
    assert choke_takes(design, SITE, "mains", GROUND, FREQ_HZ, 0.5)[0].heat_w == pytest.approx(2.0 * told.heat_w, rel=0.01)


@pytest.mark.parametrize("family", ["end_fed_half_wave_drooped", "off_centre_dipole"])
def test_a_choke_at_the_feed_limits_the_power(family):
    """Its heat is a hard limit like any other, with the power that would be allowed; its watts stand with the other parts'."""
    small = replace(FULL, nodes=5, people=6)
    plain = measure(SITE, WISHES, FAMILIES[family], nearest(FAMILIES[family], SITE, WISHES).design, small)
    found = judge(SITE, WISHES, FAMILIES[family], plain)
    limit = next(p for p in found.power_limits if p.name == "choke_power")
    assert found.margins["choke_power"] == pytest.approx(1.0 - 100.0 / limit.most_w) and "W (choke on " in limit.text
    for w in WISHES.bands:
        budget = found.bands[w.key].budget
        assert sum(budget.values()) == pytest.approx(1.0, abs=0.01) and budget["sky"] == pytest.approx(found.bands[w.key].efficiency, rel=0.01)
        assert 0.0 < budget["choke"] < 0.3
    loud = replace(WISHES, power_w=1.01 * limit.most_w)
    assert judge(SITE, loud, FAMILIES[family], plain).margins["choke_power"] < 0.0
    told = [p for p in safety_of(SITE, WISHES, found).parts if p.name == "choke, line at the feed"]
    assert [p.band for p in told] == [w.key for w in WISHES.bands] and all(p.stress.dissipation_w > 0.0 for p in told)


def test_line_runs_from_feed_to_radio(design):
    points = line_points(feed_point(design), entry_point(SITE, feed_point(design)))
    assert points[0] == feed_point(design) and points[-1][:2] == pytest.approx(SITE.radio.at_m)
    assert line_points((0.0, 0.0, 2.6), (0.0, 0.0, 2.4)) == ((0.0, 0.0, 2.6), (0.0, 0.0, 2.4))
    assert [p[2] for p in line_points((0.0, 0.0, 2.6), (20.0, 0.0, 2.4))] == [2.6, 0.1, 0.1, 2.4]


@pytest.fixture(scope="module")
def by_line():
    """An end-fed design whose choke sits at the house: the family's first start that stands so."""
    family = FAMILIES["end_fed_half_wave_drooped"]
    placed = (place(SITE, WISHES, family, start | {"choke_at": "radio"}) for start in family.starts(SITE, WISHES))
    return next(p for p in placed if p.fits and p.values["choke_at"] == "radio")


def test_a_line_through_a_keep_out_is_no_return_path():
    family = FAMILIES["end_fed_half_wave_drooped"]
    space = {p.name: p for p in family.parameters(SITE, WISHES)}
    assert set(space["choke_at"].choices) == {"feed", "radio"}
    rng, seen = np.random.default_rng(2), 0
    for _ in range(600):
        values = {n: p.choices[rng.integers(len(p.choices))] if p.choices else rng.uniform(p.low, p.high) for n, p in space.items()}
        placed = place(SITE, WISHES, family, values)
        if placed.design is not None and placed.values["choke_at"] == "radio":
            seen += 1
            structure = placed.design.structure
            line = replace(structure, wires=tuple(w for w in structure.wires if w.name == LINE), masts=(), anchors=(), cords_m=(), spans=(), holds_at_m=(), lines_m=())
            assert margins(SITE, line)["keep_out_m"] >= -0.01
    assert seen > 20


def test_choke_at_the_house_makes_the_line_the_return_path(by_line):
    """Its outside is in the case, the choke at its far end, and there is no counterpoise to buy."""
    design = by_line.design
    roles = [w.role for w in design.structure.wires]
    assert roles.count("line") == 2 and "counterpoise" not in roles and by_line.fits
    line = next(w for w in design.structure.wires if w.name == LINE)
    at_radio = next(v for v in design.loads if v.wire == LINE)
    assert at_radio.at_m == pytest.approx(line.length_m - 0.2) and design.feed.choke_at == "radio"
    assert line.points_m[-1][:2] == pytest.approx(SITE.radio.at_m)
    parts = [i.part for i in design.bill]
    assert "wire_counterpoise" not in parts and design.feed.choke in parts
    own = place(SITE, WISHES, FAMILIES["end_fed_half_wave_drooped"], {**by_line.values, "choke_at": "feed"})
    assert by_line.cost < own.cost or not own.fits


def test_choke_at_the_house_keeps_current_out_of_it(by_line):
    """The line carries the return current on purpose; what goes on into the house falls, by Ohm's law for some kilohms in series."""
    found = shield_current(by_line.design, SITE, "mains", GROUND, FREQ_HZ, 100.0)
    assert found.entering_with_a < 0.2 * found.entering_without_a
    assert found.with_choke_a > 10.0 * found.entering_with_a


def test_station_supply_changes_the_line_as_return_path(by_line):
    family = FAMILIES["end_fed_half_wave_drooped"]
    battery = place(SITE, replace(WISHES, station="battery"), family, by_line.values).design
    assert battery.structure.wires[-1].length_m < by_line.design.structure.wires[-1].length_m
    assert abs(z_of(battery) - z_of(by_line.design)) > 1e-3 * abs(z_of(by_line.design))


def test_row_with_the_line_as_return_path_is_whole(by_line):
    """Measured, its budget names the choke and sums to one; the choke has a power limit; the case on file gives the feed impedance again."""
    family = FAMILIES["end_fed_half_wave_drooped"]
    found = judge(SITE, WISHES, family, measure(SITE, WISHES, family, by_line.design, COARSE))
    for w in WISHES.bands:
        told = band_object(SITE, found, w.key)
        assert sum(told["power_budget"].values()) == pytest.approx(1.0, abs=0.01)
        assert 0.0 < told["power_budget"]["choke"] < 0.5
        back = parse_case(json.loads(json.dumps(told["case"])))
        z = solve(back.wires, back.ports, back.loads, back.ground, 1e6 * np.array(back.frequencies_mhz)).z_ohm
        solved = np.array([complex(*ohm) for ohm in told["feed_impedance_ohm"]])
        assert np.abs(z - solved).max() <= 1e-6 * np.abs(solved).max()
    assert {limit.name for limit in found.power_limits} >= {"choke_power", "line_power", "transformer_power"}


def test_a_feed_on_the_radios_wall_keeps_its_counterpoise():
    family = FAMILIES["end_fed_half_wave_drooped"]
    start = next((s for s in family.starts(SITE, WISHES) if s.get("feed_at") == "radio"), None)
    if start is None:
        pytest.skip("no start at the radio's wall on this lot")
    built = family.build({**start, "choke_at": "radio"}, SITE, WISHES)
    assert built.values["choke_at"] == "feed" and "counterpoise" in [w.role for w in built.structure.wires]
