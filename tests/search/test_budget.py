"""Turns between families, on histories made by hand."""

from collections import Counter
from types import SimpleNamespace

import optuna
import pytest

from optimizer.search.budget import choose
from optimizer.search.study import NOTICED, FamilyStudy


def study(key, solved, best, *, barren=0, scouted=0, spread=0.0, stale=0):
    return SimpleNamespace(
        family=SimpleNamespace(key=key), best=best, solved=solved, barren=barren, turns=solved + barren, scouted=scouted, spread=spread, stale=stale
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


def test_half_of_the_turns_scout_more_where_the_best_is_near():
    had = turns([study("best", 20, 60.0), study("half", 20, 30.0), study("far", 20, 1.0)], 200, 260)
    scouts = {key: had[key, True] for key in ("best", "half", "far")}
    assert 85 <= sum(scouts.values()) <= 110 and 3.0 < scouts["best"] / scouts["half"] < 5.0 and 1 <= scouts["far"] <= 8


def test_evolution_works_where_the_best_of_all_may_be_beaten():
    flat, wide = study("flat", 100, 60.0, scouted=200, spread=0.5), study("wide", 40, 55.0, spread=30.0)
    assert choose([flat, wide], in_flight={}, expected=300) == (flat, False)
    flat.stale = 50  # at its end
    assert choose([flat, wide], in_flight={}, expected=300) == (wide, False)
    wide.spread = 2.0  # never gave anything so good
    assert choose([flat, wide], in_flight={}, expected=300) == (flat, False)


def test_nobody_is_starved():
    had = turns([study("rich", 50, 90.0), study("poor", 50, 1.0)], 2000, 300)
    assert 0.05 * 2000 < sum(n for (key, _), n in had.items() if key == "poor") < 0.15 * 2000


def test_turns_that_found_nothing_count():
    barren, other = study("barren", 0, 0.0, barren=30), study("other", 5, 5.0)
    assert choose([barren, other], in_flight={}, expected=100)[0] is other


def test_a_family_counts_its_turns_since_it_grew_and_how_far_its_best_stands_out():
    family = FamilyStudy(family=None, space={}, given={}, study=optuna.create_study(direction="maximize"))
    for total in (10.0, 30.0, 30.0 + NOTICED / 2, 12.0, 20.0):
        family.tell(family.study.ask(), SimpleNamespace(margins={}, total=total, fits=True))
    family.barren += 1
    assert family.stale == 5 and family.spread == pytest.approx(10.0 + NOTICED / 2)
