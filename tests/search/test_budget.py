"""Turns between families, on histories made by hand."""

from collections import Counter
from types import SimpleNamespace

import optuna
import pytest

from optimizer.search.budget import LATE, SCOUTS_BEHIND, choose
from optimizer.search.study import MISSED_COSTS, NOTICED, FamilyStudy
from optimizer.search.surface_sampler import SurfaceSampler


def study(key, solved, best, *, barren=0, scouted=0, promise=None, stale=0, climbed=True, first=0, queued=0):
    promise = best if promise is None else promise
    return SimpleNamespace(
        family=SimpleNamespace(key=key), best=best, solved=solved, barren=barren, turns=solved + barren, scouted=scouted, promise=promise, stale=stale, climbed=climbed, first=first, queued=queued
    )  # fmt: skip


def turns(studies, count, expected, given=lambda study, scouting: None):
    """Who had so many turns, and how."""
    had = Counter()
    for _ in range(count):
        one, scouting = choose(studies, in_flight={}, expected=expected)
        one.turns += 1
        one.scouted += scouting
        given(one, scouting)
        had[one.family.key, scouting] += 1
    return had


def test_a_few_turns_for_everybody_first():
    a, b = study("a", 10, 50.0), study("b", 3, 10.0)
    assert choose([a, b], in_flight={}, expected=100) == (b, False)
    assert choose([a, b], in_flight={"b": 20}, expected=100)[0] is a


def test_promised_starts_are_worked_off_before_the_best_has_its_way():
    """A run that goes on from an earlier one, and a kind whose starts are still to be tried, whatever the others have found."""
    best, new = study("best", 40, 60.0), study("new", 20, 1.0, first=25, queued=5)
    assert choose([best, new], in_flight={}, expected=100) == (new, False)
    new.queued = 0
    assert choose([best, new], in_flight={}, expected=100)[0] is best
    new.first, new.queued = 0, 5  # of a fresh run: they come when its turn comes
    assert choose([best, new], in_flight={}, expected=100)[0] is best


def test_turns_for_promised_starts_are_not_made_up_for_by_scouts():
    had = turns([study("best", 50, 60.0, first=50), study("other", 50, 60.0, first=50)], 20, 100)
    assert sum(count for (_, scouting), count in had.items() if scouting) == pytest.approx(10, abs=1)


def test_half_of_the_turns_scout_more_where_the_best_is_near():
    had = turns([study("best", 64, 60.0), study("behind", 64, 60.0 - SCOUTS_BEHIND), study("far", 64, 1.0)], 125, 640)
    scouts = {key: had[key, True] for key in ("best", "behind", "far")}
    assert 55 <= sum(scouts.values()) <= 70 and 2.2 < scouts["best"] / scouts["behind"] < 3.3 and 1 <= scouts["far"] <= 8


def test_late_in_a_run_scouts_keep_to_the_leading_ones():
    def behind(expected):
        had = turns([study("best", 50, 60.0), study("behind", 50, 60.0 - SCOUTS_BEHIND)], 100, expected)
        return had["behind", True] / sum(n for (_, scouting), n in had.items() if scouting)

    assert behind(150) < 0.7 * behind(200 / LATE)


def test_climbers_work_where_the_best_of_all_may_be_beaten_and_not_where_nothing_grows():
    first, second = study("first", 100, 60.0, scouted=200), study("second", 40, 57.0)
    assert choose([first, second], in_flight={}, expected=200) == (first, False)
    first.stale = 50  # at its end
    assert choose([first, second], in_flight={}, expected=200) == (second, False)
    second.best = second.promise = 40.0  # never gave anything so good
    assert choose([first, second], in_flight={}, expected=200) == (first, False)


def test_never_climbed_to_a_summit_counts_as_half_as_far_behind():
    first, late = study("first", 100, 60.0, scouted=200, stale=30), study("late", 40, 52.0, climbed=False)
    assert choose([first, late], in_flight={}, expected=200) == (late, False)
    late.climbed = True
    assert choose([first, late], in_flight={}, expected=200) == (first, False)


def test_what_only_just_missed_a_limit_is_not_hopeless_and_never_more_than_the_best():
    first, missed, poor = study("first", 40, 60.0, scouted=200), study("missed", 40, 0.0, promise=90.0), study("poor", 40, 0.0)
    assert choose([first, missed, poor], in_flight={}, expected=130)[0] is first
    first.stale = 1
    assert choose([first, missed, poor], in_flight={}, expected=130)[0] is missed
    missed.stale = 5
    assert choose([first, missed, poor], in_flight={}, expected=130)[0] is first


def test_nobody_is_starved():
    had = turns([study("rich", 50, 90.0), study("poor", 50, 1.0)], 2000, 300)
    assert 0.05 * 2000 < sum(n for (key, _), n in had.items() if key == "poor") < 0.15 * 2000


def test_turns_that_found_nothing_count():
    barren, other = study("barren", 0, 0.0, barren=30), study("other", 5, 5.0)
    assert choose([barren, other], in_flight={}, expected=100)[0] is other


def test_a_family_counts_its_turns_since_it_grew_and_what_it_promises():
    family = FamilyStudy(family=None, space={}, given={}, study=optuna.create_study(direction="maximize"))
    for total in (10.0, 30.0, 30.0 + NOTICED / 2, 12.0, 20.0):
        family.tell(family.study.ask(), SimpleNamespace(margins={}, total=total, fits=True))
    family.barren += 1
    assert family.climbed  # a sampler that does not climb has nothing before it
    family.study.sampler = SurfaceSampler({}, 1)
    assert not family.climbed
    family.study.sampler.summits.append(((), ()))
    assert family.climbed
    assert family.stale == 5 and family.best == family.promise == 30.0 + NOTICED / 2
    missed = SimpleNamespace(margins={"exposure": -0.1}, total=30.0 + MISSED_COSTS + 1.0, fits=False, power_limits=())
    family.tell(family.study.ask(), missed)
    assert family.promise == pytest.approx(31.0) and family.best < 31.0 and family.stale == 6
