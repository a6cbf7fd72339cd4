"""One length to cut for each piece: on the cut list, in the first readings, in the gardens' plan, on the bill, in the trimming advice."""

import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path[:0] = [str(Path(__file__).parents[1] / name) for name in ("trimming", "bench")]
from bench_ensemble import SITES, first_that_stands
from made import content_of_judged

from optimizer.ensemble.spread import in_gardens, summary
from optimizer.evaluate import judge
from optimizer.families.catalogue import FAMILIES
from optimizer.families.common import WIRE
from optimizer.physics.wish_reader import read_wishes
from optimizer.sheet.built import built_from
from optimizer.sheet.cuts import cuts_of
from optimizer.sheet.readings import expected
from optimizer.site.read import read_site
from optimizer.trimming.case import case_of

GARDENS = 4
CM = 0.01
LENGTHS = {  # which length a piece is, by its wire and the joint nearer the feed; by hand from the families' descriptions. None: not trimmed
    "end_fed_loaded_tail": {"feed": "main_m", "coil": "tail_m"},
    "trap_dipole": {"feed": "inner_m", "trap": "outer_m"},
    "linked_dipole": {"feed": "piece_20m_m", "link": "piece_40m_m"},
    "coil_dipole": {"feed": None, "coil": "outer_m"},
    "parallel_dipole": {"40m": "leg_40m_m", "20m": "leg_20m_m", "feed": None, "drop": None},
    "dipole": {"feed": "leg_m"},
    "off_centre_dipole": {"feed": "wire_m"},  # two pieces of one length
}  # fmt: skip


@pytest.fixture(scope="module", params=sorted(LENGTHS))
def planned(request):
    """(family, the gardens' plan, what came of every garden, the sheet's design, the evaluation) on a demo lot."""
    site, family = read_site(SITES / "l_shape.geojson"), FAMILIES[request.param]
    wishes = read_wishes("20m" if request.param == "dipole" else "40m 20m", site)
    found = first_that_stands(family, site, wishes)
    ready, outcomes = in_gardens(site, wishes, family, found.values, members=GARDENS)
    judged = judge(site, wishes, family, replace(found, spread=summary(ready, outcomes)))
    return request.param, ready, outcomes, built_from(content_of_judged(site, wishes, judged), site, wishes), judged


def test_first_readings_are_of_the_lengths_that_the_plan_has_cut(planned):
    _, ready, outcomes, built, _ = planned
    steps = expected(built)
    assert {e.step.parameter for e in steps} == set(ready.start)
    for n, e in enumerate(steps):
        assert e.start_m == pytest.approx(ready.start[e.step.parameter], abs=1e-9) and e.start_m >= 1.03 * e.finished_m - 1e-9
        for outcome in outcomes:  # as solved: this piece and the later ones uncut
            solved = outcome.trimmed.first[e.step.parameter].lengths_m
            assert all(solved[later.step.parameter] == pytest.approx(later.start_m, abs=1e-9) for later in steps[n:])
        looks = [o.trimmed.first[e.step.parameter] for o in outcomes]
        read = [float(look.freq_hz[look.swr.argmin()]) for look in looks]
        assert e.first.dip_hz == pytest.approx((min(read), max(read)))  # of four, ranks over n + 1 end at the outermost (Gumbel)


def test_each_piece_of_the_cut_list_is_as_long_as_the_plan_has_it(planned):
    family, ready, _, built, _ = planned
    seen = set()
    for cut in cuts_of(built):
        long = cut.cut_m - cut.start_m - cut.end_m
        if cut.role == "counterpoise":
            assert long == pytest.approx(cut.finished_m)
            continue
        wire, ends = cut.what.split(": ")
        name = next(p for key, p in LENGTHS[family].items() if key in (*wire.split(), ends.split(" to ")[0]))
        longer = ready.start[name] / ready.drawing.lengths[name] if name else 1.0
        assert long == pytest.approx(longer * cut.finished_m, abs=CM), cut
        if name and family != "off_centre_dipole":
            assert long == pytest.approx(ready.start[name], abs=CM), cut
        seen.add(name)
    assert seen == set(LENGTHS[family].values())


def test_advice_begins_with_the_lengths_of_the_cut_list(planned):
    _, ready, _, built, _ = planned
    case = case_of(built)
    assert {e.step.parameter: e.start_m for e in case.steps} == pytest.approx(ready.start)
    assert {name: case.longest.values[name] for name in ready.start} == pytest.approx(ready.start)


def test_the_bill_buys_what_the_cut_list_takes(planned):
    *_, built, judged = planned
    taken = sum(c.count * c.cut_m for c in cuts_of(built) if c.role != "counterpoise")
    assert sum(i.quantity for i in judged.design.bill if (i.part, i.use) == (WIRE, "radiator")) == pytest.approx(taken, abs=1e-6)


def test_the_wire_before_a_loaded_tail_is_cut_by_its_own_allowance(planned):
    """The tail moves its band by a third of what its length says: it needs several times the share that the wire before it needs."""
    family, _, _, built, _ = planned
    if family == "end_fed_loaded_tail":
        share = {e.step.parameter: e.start_m / e.finished_m - 1.0 for e in expected(built)}
        assert share["tail_m"] > 2.0 * share["main_m"] > 0.05
        wire = next(c for c in cuts_of(built) if " to coil" in c.what)
        assert wire.spare_m / wire.finished_m == pytest.approx(share["main_m"], abs=1e-3)


def test_where_the_uncut_design_does_not_stand_every_piece_has_the_greatest_share(planned):
    """Then it is not known which length a piece is: never too short."""
    *_, built, _ = planned
    most = max(e.start_m / e.finished_m for e in expected(built))
    for cut in cuts_of(replace(built, design=None)):
        assert cut.spare_m == pytest.approx(0.0 if cut.role == "counterpoise" else (most - 1.0) * cut.finished_m)
