"""What holds for every family, present and future, on every lot where it can stand."""

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from lots import garden, l_shaped, mirrored, moved, narrow, plain, wish

from optimizer.families.catalogue import FAMILIES, by_key
from optimizer.families.family import NoPlace
from optimizer.families.generate import candidates, reasons
from optimizer.families.line_outside import ON_GROUND_M
from optimizer.families.pieces import pieces_of
from optimizer.families.placement import OUT_OF_REACH_M
from optimizer.families.radials import LYING_M
from optimizer.families.wished import as_wished
from optimizer.parts.catalogue import catalogue
from optimizer.site.clearance import margins
from optimizer.wires.model import JOIN_M

SITES = {"plain": plain(), "garden": garden(), "l_shaped": l_shaped(), "large": plain(40.0, 30.0, height_limit_m=12.0), "narrow": narrow()}
WISHES = {
    "three": wish("40m", "20m", "10m"),
    "tuner": wish("80m", "40m", "15m", tuner="external"),
    "one": wish("20m"),
    "sharp": wish("20m", "10m", mast_limit_m=3.6),
}
LIMITS = {
    "lot", "support", "feed point", "height limit", "mast height", "free ground", "overhead line", "guy room", "end height",
    "apex angle", "wire length", "counterpoise room", "building clearance", "tree", "keep-out", "crossing", "coil height",
    "tuner", "mast ground", "bands",
}  # fmt: skip
WHERE = [("plain", "three"), ("garden", "tuner"), ("garden", "one"), ("l_shaped", "three"), ("large", "tuner"), ("narrow", "sharp")]
CASES = [pytest.param(FAMILIES[f], SITES[s], WISHES[w], id=f"{f}-{s}-{w}") for f, (s, w) in product(FAMILIES, WHERE)]
every_case = pytest.mark.parametrize(("family", "site", "wishes"), CASES)


def space(family, site, wishes):
    """Its parameters there; skipped where it says that it cannot stand."""
    if not family.serves(wishes):
        pytest.skip("serves none of the wished bands")
    try:
        return family.parameters(site, wishes)
    except NoPlace as missed:
        assert missed.limit in LIMITS
        pytest.skip(str(missed))


def sample(parameters, rng):
    return {
        p.name: p.choices[rng.integers(len(p.choices))] if p.choices else float(rng.uniform(p.low, p.high))
        for p in parameters
    }


def built(family, site, wishes, count=30, seed=1, starts=True):
    """(values, design) of the samples that stand, and of the family's own starts."""
    parameters, rng = space(family, site, wishes), np.random.default_rng(seed)
    proposals = [*(family.starts(site, wishes) if starts else ()), *(sample(parameters, rng) for _ in range(count))]
    found = []
    for values in proposals:
        try:
            found.append((values, family.build(values, site, wishes)))
        except NoPlace as missed:
            assert missed.limit in LIMITS, missed.limit
            assert math.isfinite(missed.short_by) and missed.short_by > 0
    return found


@pytest.mark.parametrize("key", FAMILIES)
def test_every_family_stands_in_one_of_these_cases_at_least(key):
    """A test that skips where a family cannot stand must not skip it everywhere."""
    standing = [case.id for case in CASES if case.values[0].key == key and _stands(*case.values)]
    assert standing


def _stands(family, site, wishes):
    try:
        return any(min(margins(site, family.build(v, site, wishes).structure).values()) >= 0 for v in family.starts(site, wishes))
    except NoPlace:
        return False


@every_case
def test_bounds_are_ordered_and_names_are_single(family, site, wishes):
    parameters = space(family, site, wishes)
    names = [p.name for p in parameters]
    assert len(names) == len(set(names))
    for p in parameters:
        one_way = p.name == "make" and len(p.choices) == 1  # the wish leaves one way to make; the value is still told
        assert one_way or (len(p.choices) != 1 and (p.choices or p.low < p.high)), p
        assert not p.log or p.low > 0


@every_case
def test_starts_build_and_keep_every_hard_limit_but_the_line_of_power(family, site, wishes):
    space(family, site, wishes)
    for values in family.starts(site, wishes):
        design = family.build(values, site, wishes)
        missed = {k: m for k, m in margins(site, design.structure).items() if m < -0.15 and k != "overhead_power_m"}
        assert not missed


@every_case
def test_samples_keep_the_lot_and_the_height(family, site, wishes):
    for _, design in built(family, site, wishes):
        found = margins(site, design.structure)
        for rule in ("lot_m", "height_limit_m", "mast_spot_m", "wire_height_m", "tree_m"):
            assert found[rule] >= -1e-6, rule
        assert found["building_m"] > -0.2  # sampled every 0.4 m: the last word is the clearance's


@every_case
def test_same_input_same_design(family, site, wishes):
    for values, design in built(family, site, wishes, 10):
        assert family.build(dict(values), site, wishes) == design


@every_case
def test_settled_values_build_the_same_wires(family, site, wishes):
    for _, design in built(family, site, wishes, 20):
        again = family.build(design.values, site, wishes)
        assert again.structure.wires == design.structure.wires


@every_case
def test_wires_are_finite_clear_of_the_ground_and_joined(family, site, wishes):
    for _, design in built(family, site, wishes):
        wires = design.structure.wires
        for wire in wires:
            assert np.isfinite(wire.points_m).all()
            least = LYING_M if "lying" in design.values.get("radials", "") else ON_GROUND_M if wire.role == "line" else OUT_OF_REACH_M
            assert min(p[2] for p in wire.points_m) >= least - 1e-6
            assert all(math.dist(a, b) > 0.01 for a, b in zip(wire.points_m, wire.points_m[1:]))
            assert wire.radius_m > 0 and wire.conductivity_s_per_m > 1e6
        assert len({w.name for w in wires}) == len(wires)
        reached, left = [wires[0]], list(wires[1:])
        while near := [w for w in left if any(_joined(w, r) for r in reached)]:
            reached += near
            left = [w for w in left if w not in near]
        assert not left, [w.name for w in left]


def _joined(a, b):
    return any(math.dist(p, q) <= JOIN_M for p in a.points_m for q in b.points_m)


@every_case
def test_port_and_loads_sit_on_wires(family, site, wishes):
    for _, design in built(family, site, wishes):
        wires = {w.name: w for w in design.structure.wires}
        port = design.port
        assert 0 <= port.at_m <= wires[port.wire].length_m
        if port.at_m == 0:  # in series with what is joined there
            others = [w for w in wires.values() if w.name != port.wire]
            assert any(math.dist(wires[port.wire].points_m[0], p) <= JOIN_M for w in others for p in w.points_m)
        for load in design.loads:
            assert 0.05 < load.at_m < wires[load.wire].length_m - 0.05


@every_case
def test_bill_is_complete_and_of_the_catalogue(family, site, wishes):
    for _, design in built(family, site, wishes, 15):
        parts = {i.part: i.quantity for i in design.bill}
        assert set(parts) <= set(catalogue())
        assert all(q > 0 for q in parts.values())
        used = {design.feed.line, design.feed.transformer, design.feed.choke, design.feed.tuner} - {None}
        assert used <= set(parts)
        assert sum(i.quantity for i in design.bill if i.part.startswith("mast_")) == len(design.structure.masts)
        stakes = sum(i.quantity for i in design.bill if i.part.startswith("stake_"))
        assert stakes == sum(a.kind in ("guy", "stake") for a in design.structure.anchors)
        assert parts[design.feed.line] == pytest.approx(design.feed.line_length_m, abs=1e-3)


@every_case
def test_lengths_are_those_of_the_wire_that_is_solved(family, site, wishes):
    """Every length that trimming changes is, to the millimetre, that of a piece along the sagged wire, or of a whole wire."""
    for _, design in built(family, site, wishes, 15):
        wires = {w.name: w.length_m for w in design.structure.wires}
        lengths = [*wires.values(), *(p.finished_m for p in _pieces(design))]
        for trim in design.trims:
            assert min(abs(m - design.values[trim.parameter]) for m in lengths) < 1e-3, (trim.parameter, lengths)
            if "both" in trim.element and "alike" in trim.element:
                assert sum(abs(m - design.values[trim.parameter]) < 1e-3 for m in lengths) >= 2, (trim.parameter, lengths)
        for load in (design.port, *design.all_loads):
            assert load.at_m <= wires[load.wire] + 1e-9


def _pieces(design):
    return pieces_of(design.structure.wires, design.port, design.all_loads)


@every_case
def test_the_bill_buys_the_pieces_as_they_are_cut(family, site, wishes):
    """3 % to trim (not on counterpoises), 15 cm back at an insulator, 6 cm through a joint: common practice, no source."""
    for _, design in built(family, site, wishes, 10):
        pieces = _pieces(design)
        assert sum(p.finished_m for p in pieces) == pytest.approx(sum(w.length_m for w in design.structure.wires if w.role != "line"))
        for use, share in (("radiator", 0.03), ("counterpoise", 0.0)):
            mine = [p for p in pieces if (p.role == "counterpoise") == (use == "counterpoise")]
            ends = [end for p in mine for end in p.ends]
            wanted = sum((1 + share) * p.finished_m for p in mine) + 0.15 * ends.count("insulator")
            wanted += 0.06 * (len(ends) - ends.count("insulator"))
            assert sum(i.quantity for i in design.bill if i.use == use) == pytest.approx(wanted, abs=1e-3)


@every_case
def test_cords_begin_where_the_wires_end(family, site, wishes):
    for _, design in built(family, site, wishes, 10):
        tops = {(*m.at_m, 0.65 * m.height_m) for m in design.structure.masts}
        for a, b in design.structure.cords_m:
            if a not in tops and "fan_deg" not in design.values:  # spreaders hang from the wire between its ends
                assert any(math.dist(a, p) < 1e-9 for w in design.structure.wires for p in w.points_m)
                assert math.dist(a, b) > 0.05


@every_case
def test_trims_name_lengths_and_bands(family, site, wishes):
    names = {p.name for p in space(family, site, wishes)}
    keys = {b.key for b in wishes.bands}
    for values, design in built(family, site, wishes, 15):
        assert design.serves and set(design.serves) <= {b.band for b in wishes.bands}
        assert len({t.parameter for t in design.trims}) == len(design.trims)
        for trim in design.trims:
            assert trim.parameter in names and trim.parameter.endswith("_m")
            assert trim.band in keys and set(trim.disturbs) <= keys - {trim.band}
            low, high = next((b.low_hz, b.high_hz) for b in wishes.bands if b.key == trim.band)
            assert low <= trim.target_mhz * 1e6 <= high
            assert _length_change(family, site, wishes, design, trim) != 0


def _length_change(family, site, wishes, design, trim):
    """Metres of radiator that a small trim adds or takes."""
    try:
        other = family.build({**design.values, trim.parameter: 0.99 * design.values[trim.parameter]}, site, wishes)
    except NoPlace:
        return math.nan
    return sum(w.length_m for w in other.structure.wires) - sum(w.length_m for w in design.structure.wires)


@every_case
def test_trimming_leaves_masts_and_feed_where_they_are(family, site, wishes):
    for _, design in built(family, site, wishes, 15):
        for trim in design.trims:
            try:
                cut = family.build({**design.values, trim.parameter: 0.995 * design.values[trim.parameter]}, site, wishes)
            except NoPlace:
                continue
            if family.key != "vertical":  # its mast is as tall as its wire
                assert cut.structure.masts == design.structure.masts
            assert cut.feed.line_length_m == pytest.approx(design.feed.line_length_m, abs=0.3)


@every_case
def test_every_parameter_at_both_bounds_builds_or_names_the_limit(family, site, wishes):
    parameters = space(family, site, wishes)
    base = next(iter(family.starts(site, wishes)), None) or sample(parameters, np.random.default_rng(0))
    for p in parameters:
        for value in p.choices or (p.low, p.high):
            try:
                family.build({**base, p.name: value}, site, wishes)
            except NoPlace as missed:
                assert missed.limit in LIMITS, missed.limit
                assert str(missed)


@every_case
def test_moving_the_site_moves_the_wires(family, site, wishes):
    there = moved(site, 130.0, -70.0)
    for values, design in built(family, site, wishes, 15):
        other = _again(family, values, there, wishes)
        if other is not None:
            _same_points(design, other, lambda p: (p[0] + 130.0, p[1] - 70.0, p[2]), 1e-4)


@every_case
def test_mirroring_the_site_mirrors_the_wires(family, site, wishes):
    there, tried, same = mirrored(site), 0, 0
    for _, design in built(family, site, wishes, 40, starts=False):  # starts lie on ties: no side is the nearer one
        other = _again(family, _mirrored_values(design.values), there, wishes)
        tried += 1
        same += other is not None and _matches(design, other, lambda p: (-p[0], p[1], p[2]))
    assert same >= 0.8 * tried  # a tie, or room to a rounding error, may fall otherwise


def _mirrored_values(values):
    swapped = dict(values)
    for name in ("bearing_deg", "tail_deg"):
        if name in values:
            swapped[name] = (360.0 - values[name]) % 360.0
    if "turn_deg" in values:
        swapped["turn_deg"] = -values["turn_deg"]
    if "fan_deg" in values:
        swapped["fan_deg"] = -values["fan_deg"]
    if "mast_u" in values:
        swapped["mast_u"] = 1.0 - values["mast_u"]
    return swapped


def _again(family, values, site, wishes):
    try:
        return family.build(values, site, wishes)
    except NoPlace:
        return None  # a margin of rounding error


def _matches(design, other, move):
    """Is every wire, moved, one of the other design's? Their order, and which way they run, may differ."""
    there = [np.array(w.points_m)[::way] for w in other.structure.wires for way in (1, -1)]
    here = [np.array([move(p) for p in w.points_m]) for w in design.structure.wires]
    return all(any(a.shape == b.shape and np.allclose(a, b, atol=2e-3) for b in there) for a in here)


def _same_points(design, other, move, atol):
    for a, b in zip(design.structure.wires, other.structure.wires):
        assert np.allclose([move(p) for p in a.points_m], b.points_m, atol=atol)


@every_case
def test_spans_hold_what_hangs(family, site, wishes):
    """Every span is as long as its holds are apart or longer, and every wire's ends hang in one."""
    for _, design in built(family, site, wishes, 15):
        for span in design.structure.spans:
            assert len(span.lengths_m) == len(span.holds_m) - 1
            for a, b, length in zip(span.holds_m, span.holds_m[1:], span.lengths_m):
                assert length >= math.dist(a, b) - 1e-6
        assert design.structure.spans


def test_duplicate_key_is_an_error():
    family = next(iter(FAMILIES.values()))
    with pytest.raises(ValueError, match=family.key):
        by_key([family, family])


def test_generator_gives_families_or_reasons():
    site, wishes = SITES["plain"], WISHES["three"]
    usable, refused = {f.key for f, _ in candidates(site, wishes)}, reasons(site, wishes)
    assert usable | set(refused) == set(FAMILIES)
    assert not usable & set(refused)
    assert {"end_fed_half_wave_drooped", "end_fed_loaded_tail", "trap_dipole", "dipole", "parallel_dipole"} <= usable
    assert "tuner" in refused["end_fed_random"] or "serves none" in refused["end_fed_random"]


def test_tiny_yard_gives_reasons_with_limits():
    refused = reasons(plain(2.0, 2.0), wish("80m"))
    assert {"dipole", "end_fed_half_wave_drooped"} <= set(refused)
    assert all(refused.values())


@pytest.mark.parametrize("family", FAMILIES.values(), ids=lambda f: f.key)
def test_what_is_built_is_as_wished_and_of_another_tuner_or_make_it_is_not(family):
    """What the search may choose today is what stored work may stand by today (`families/wished.py`)."""
    for tuner, parts in product(("none", "radio", "external"), ("own", "bought", "either")):
        wishes = wish("80m", "40m", "20m", tuner=tuner, parts=parts)
        if not family.serves(wishes):
            continue
        designs = [design for _, design in built(family, SITES["large"], wishes, count=12)]
        assert all(as_wished(design, wishes) for design in designs)
        assert not any(as_wished(design, replace(wishes, tuner="radio")) for design in designs if design.feed.tuner != "tuner_in_radio")
        bought = [design for design in designs if design.values.get("make") == "bought"]
        assert not any(as_wished(design, replace(wishes, parts="own")) for design in bought)
        assert not any(as_wished(design, replace(wishes, parts="bought")) for design in designs if design not in bought and "make" in design.values)
