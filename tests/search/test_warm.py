"""Where a rerun begins: with what was best, fitted to today's ranges and limits."""

from dataclasses import replace
from pathlib import Path

import pytest
from optuna.distributions import CategoricalDistribution, FloatDistribution

from optimizer.criteria.weights import DEFAULT
from optimizer.evaluate import COARSE, Measurement, Placed, place, priced
from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import Parameter
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.book import Book
from optimizer.search.keys import design_key, placing_key
from optimizer.search.ledger import Entry, Ledger, written
from optimizer.search.refine import refined
from optimizer.search.searching import Searching
from optimizer.search.settings import SearchSettings
from optimizer.search.space import stretched
from optimizer.search.study import STARTUP, WAYS_ASIDE, family_study
from optimizer.search.variety import alike
from optimizer.search.warm import AS_THEY_STOOD, BESIDE_STORED, FAR_BEHIND, MOST, Before, far_behind, mended, warm_starts
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
FAMILY = FAMILIES["end_fed_half_wave_drooped"]
LOW, HIGH = (read_wishes("20m 10m", SITE, mast_limit_m=limit) for limit in (6.0, 9.0))


def test_values_keep_their_share_of_a_range_that_moved_and_all_else():
    number = lambda name, low, high, log=False: Parameter(name=name, low=low, high=high, log=log)  # noqa: E731
    before = (number("apex_m", 3.0, 6.0), number("tail_m", 1.0, 4.0, True), number("cord_m", 1.0, 8.0), Parameter(name="at", choices=("mast", "tree")))
    now = (number("apex_m", 4.0, 9.0), number("tail_m", 2.0, 32.0, True), number("cord_m", 1.0, 8.0), Parameter(name="at", choices=("tree",)))
    values = {"apex_m": 5.0, "tail_m": 2.0, "cord_m": 3.0, "at": "mast", "unknown_m": 7.0}
    found = stretched(values, before, now)
    assert found["apex_m"] == pytest.approx(4.0 + 5.0 * 2 / 3) and found["tail_m"] == pytest.approx(8.0)
    assert {k: found[k] for k in ("cord_m", "at", "unknown_m")} == {"cord_m": 3.0, "at": "mast", "unknown_m": 7.0}


SPACE = {"u": FloatDistribution(0.0, 1.0), "h": FloatDistribution(3.0, 9.0), "at": CategoricalDistribution(("mast", "tree"))}


def test_a_start_is_moved_aside_no_further_than_it_must():
    start = {"u": 0.5, "h": 6.0, "at": "tree", "wire_m": 10.0}
    assert mended(start, SPACE, lambda v: True, 1) == start
    assert mended(start, SPACE, lambda v: False, 1) == start
    near = mended(start, SPACE, lambda v: v["u"] > 0.55, 1)
    assert 0.55 < near["u"] < 0.75 and abs(near["h"] - 6.0) < 1.5 and near["at"] == "tree" and near["wire_m"] == 10.0
    assert mended({"u": 0.5, "h": 12.0}, SPACE, lambda v: True, 1) == {"u": 0.5, "h": 9.0, "at": "mast"}  # as it will be asked


def stood(wishes, count=400):
    """What the family can place among its starts and steps aside, each with a score of its own."""
    study = family_study(FAMILY, SITE, wishes, seed=5)
    found = []
    for _ in range(count):
        trial, values = study.ask()
        placed = place(SITE, wishes, FAMILY, values)
        study.study.tell(trial, 0.0)
        found += [replace(placed, settled=50.0 + len(found))] if placed.fits else []
    return found


@pytest.fixture(scope="module")
def book():
    """A book under the higher limit, with designs of the lower one as they stood."""
    with Ledger() as ledger:
        found = Book(SITE, HIGH, DEFAULT, ledger)
        found.found = {str(i): e for i, e in enumerate(stood(LOW))}
        yield found


def test_a_taller_mast_raises_different_ones_of_the_best(book):
    starts = warm_starts(FAMILY, book, Before(site=SITE, wishes=LOW))
    raised, kept = starts[:-AS_THEY_STOOD], starts[-AS_THEY_STOOD:]
    best = book.best(FAMILY.key)[0]
    assert len(raised) == MOST and kept[0] == best.values
    assert raised[0] == stretched(best.values, FAMILY.parameters(SITE, LOW), FAMILY.parameters(SITE, HIGH)) and raised[0]["apex_m"] > best.values["apex_m"] + 0.5
    by_values = {repr(e.values): e for e in book.found.values()}
    assert not alike(*(by_values[repr(v)] for v in kept))


def test_of_a_family_far_behind_one_stored_design_is_tried(book):
    """Under other limits it may bloom, so its own starts are worth more than what it was."""
    before, best = Before(site=SITE, wishes=LOW), book.best(FAMILY.key)[0]
    assert not far_behind(FAMILY, book)
    with Ledger() as ledger:
        other = Book(SITE, HIGH, DEFAULT, ledger)
        other.found = book.found | {"leader": replace(best, family="another", settled=best.total / FAR_BEHIND + 1.0)}
        assert far_behind(FAMILY, other)
        assert warm_starts(FAMILY, other, before)[1:] == [best.values]
        assert len(warm_starts(FAMILY, other, None)) == MOST  # gone on with under the same limits


def test_where_nothing_moved_they_begin_as_they_stood(book):
    best = book.best(FAMILY.key)[0].values
    for before in (None, Before(site=SITE, wishes=HIGH)):
        starts = warm_starts(FAMILY, book, before)
        assert len(starts) == MOST and starts[0] == best


def test_where_the_book_holds_none_the_rows_of_the_earlier_run_are_taken():
    with Ledger() as ledger:
        empty = Book(SITE, HIGH, DEFAULT, ledger)
        values = stood(LOW)[0].values
        starts = warm_starts(FAMILY, empty, Before(site=SITE, wishes=LOW, rows={FAMILY.key: [values]}))
        assert len(starts) == 2 and starts[1] == values and starts[0]["apex_m"] > values["apex_m"]
        assert warm_starts(FAMILY, empty, Before(site=SITE, wishes=LOW)) == warm_starts(FAMILY, empty, None) == []


def test_stored_starts_come_first_and_cost_no_turn_where_they_are_known(book):
    stands = lambda values: place(SITE, HIGH, FAMILY, values).fits  # noqa: E731
    aside = [v for values in warm_starts(FAMILY, book, Before(site=SITE, wishes=LOW)) for share in (0.0, 0.5, 1.0) if not stands(v := values | {"mast_u": share})]
    kept = [aside[0], book.best(FAMILY.key)[0].values]
    study = family_study(FAMILY, SITE, HIGH, seed=1, stored=kept, stands=stands, own=BESIDE_STORED)
    own = list(FAMILY.starts(SITE, HIGH))
    ways = WAYS_ASIDE + 1  # one steps aside in different ways, the other stands
    assert study.study.sampler.startup == study.queued == ways + min(BESIDE_STORED, len(own))
    assert family_study(FAMILY, SITE, HIGH, seed=1).study.sampler.startup == STARTUP + len(own)
    for known in (True, *[False] * (ways - 1)):
        trial, values = study.ask()
        assert stands(values)
        placed = replace(place(SITE, HIGH, FAMILY, values), settled=50.0)
        if known:
            study.give_back(trial)
        study.tell(trial, placed)
    assert study.solved == ways and study.turns == ways - 1
    trial, values = study.ask()  # the first hand-made one
    study.give_back(trial)
    study.tell(trial, replace(place(SITE, HIGH, FAMILY, values), settled=50.0))
    assert study.turns == ways and study.queued == min(BESIDE_STORED, len(own)) - 1


def test_a_taller_mast_asks_for_no_second_placing(monkeypatch):
    """What stood with the lower mast stands with the taller one allowed, and the other way round only where its own mast is low enough."""
    assert placing_key(SITE, LOW) == placing_key(SITE, HIGH)
    tall = next(e for e in stood(HIGH) if max((m.height_m for m in e.design.structure.masts), default=0.0) > 6.5)
    kept = Placed(design=tall.design, margins=tall.margins)
    assert priced(SITE, HIGH, FAMILY.key, tall.values, kept).margins == tall.margins
    low = priced(SITE, LOW, FAMILY.key, tall.values, kept)
    assert not low.fits and [name for name, margin in low.margins.items() if margin < 0] == ["mast_m"]


def test_values_that_lack_something_today_mean_no_design_and_what_stood_stands_on(book):
    """Another limit may let a family stand on another set of bands: then the old values lack a length."""
    one = book.best(FAMILY.key)[0]
    lacking = {k: v for k, v in one.values.items() if k != "apex_m"}
    found = Measurement(family=FAMILY.key, values=lacking, bands={}, storey="coarse")
    entry = Entry(key="k", problem="p", family=FAMILY.key, storey="coarse", asked={}, placing="of another lot", measured=written(found))
    assert book.judged(entry) is None and not book.rebuilds(replace(one, values=lacking))
    held_on = book._placed(replace(entry, design=design_key(one.design), placed=Placed(design=one.design, margins=one.margins)))
    assert held_on.fits and design_key(held_on.design) == design_key(one.design)


def test_a_leader_whose_values_mean_another_design_here_is_measured_as_it_stands(monkeypatch):
    jobs = []
    monkeypatch.setattr("optimizer.search.refine.worked_off", lambda left, *_: jobs.extend(left))
    same = stood(HIGH)[0]
    other = replace(same, design=replace(same.design, structure=replace(same.design.structure, wires=same.design.structure.wires[:1])))
    with Ledger() as ledger:
        refined([same, other], Book(SITE, HIGH, DEFAULT, ledger), None, None, type("S", (), {"full": COARSE}), lambda: None)
    assert [job.design for job in jobs] == [None, other.design]


@pytest.mark.parametrize(("settings", "before", "promised", "whole"), [
    (SearchSettings(seconds=9.0), True, True, False),
    (SearchSettings(seconds=9.0), False, False, True),  # the same job taken up again: what was cut off by a kill is still tried
    (SearchSettings(trials=9), True, False, True),  # replays itself
])  # fmt: skip
def test_hand_made_starts_are_left_out_only_under_other_limits(book, settings, before, promised, whole):
    run = Searching(book, None, None, settings, Before(site=SITE, wishes=LOW) if before else None, None)
    study = run._opened(FAMILY, 1)
    own = [t for t in study.study.get_trials(deepcopy=False) if not t.user_attrs["stored"]]
    assert len(own) == (len(FAMILY.starts(SITE, HIGH)) if whole else BESIDE_STORED)
    assert study.first == (study.queued if promised else 0)
