"""Tables on the way, and the clock: made-up evaluations and times, nothing searched."""

from threading import Event
from types import SimpleNamespace

import pytest

from optimizer.search.clock import FIRST_ANSWER_S, MOST_COMPILING_S, Clock
from optimizer.search.settings import SearchSettings
from optimizer.search.showing import FAMILIES, FIRST_S, LONGER, Showing


def book(**totals):
    """Family → best total."""
    wire = SimpleNamespace(points_m=((0.0, 0.0, 3.0), (10.0, 0.0, 7.0)))
    design = SimpleNamespace(structure=SimpleNamespace(wires=(wire,)))
    return SimpleNamespace(found={k: SimpleNamespace(family=k, total=t, design=design) for k, t in totals.items()})


def test_the_first_table_comes_with_four_kinds_or_after_a_while():
    few, enough = book(a=50.0, b=40.0), book(a=50.0, b=40.0, c=45.0, d=30.0)
    assert len(enough.found) == FAMILIES
    assert Showing().rows(few, 2.0) == [] and Showing().rows(book(), 60.0) == []
    assert [e.family for e in Showing().rows(enough, 2.0)] == ["a", "c", "b", "d"]
    assert [e.family for e in Showing().rows(few, FIRST_S)] == ["a", "b"]


def test_later_tables_come_rarely_and_only_when_better():
    showing, first = Showing(), book(a=50.0, b=40.0, c=45.0, d=30.0)
    assert showing.rows(first, 4.0)
    better = book(a=55.0, b=40.0, c=45.0, d=30.0)
    assert showing.rows(better, 4.0 * LONGER - 0.1) == []
    assert showing.rows(first, 20.0) == []
    assert showing.rows(better, 20.0)[0].total == 55.0
    assert showing.rows(book(a=55.0, b=40.0, c=45.0, d=30.0, e=29.0), 40.0)


@pytest.fixture()
def now(monkeypatch):
    """Sets what time it is."""
    at = [100.0]
    monkeypatch.setattr("optimizer.search.clock.now", lambda: at[0])
    return at


def test_compiling_before_the_first_answer_is_not_counted(now):
    clock = Clock(SearchSettings(seconds=60.0))
    now[0] += 25.0
    clock.answered()
    assert clock.elapsed_s == FIRST_ANSWER_S
    now[0] += 25.0
    clock.answered()
    assert clock.elapsed_s == FIRST_ANSWER_S + 25.0


def test_compiling_on_a_busy_machine_uses_up_no_time(now):
    """A minute to place the first candidate and two to answer it: the search has not begun to be over."""
    clock = Clock(SearchSettings(seconds=20.0))
    now[0] += 60.0
    assert not (clock.used_up(0) or clock.over() or clock.late())
    clock.placed()
    clock.asked()
    now[0] += 120.0
    assert not (clock.used_up(0) or clock.over() or clock.late()) and clock.elapsed_s == FIRST_ANSWER_S
    clock.answered()
    clock.asked()
    now[0] += 14.0
    assert clock.elapsed_s == FIRST_ANSWER_S + 14.0 and clock.over()


def test_time_counts_where_nothing_ever_stands_and_where_no_answer_comes(now):
    clock = Clock(SearchSettings(seconds=20.0))
    clock.placed()
    now[0] += 20.0
    assert clock.over()
    dead = Clock(SearchSettings(seconds=20.0))
    dead.asked()
    now[0] += MOST_COMPILING_S
    assert dead.late()


def test_a_quick_first_answer_changes_nothing(now):
    clock = Clock(SearchSettings(seconds=60.0))
    now[0] += 3.0
    clock.answered()
    assert clock.elapsed_s == 3.0


def test_an_event_from_outside_ends_everything(now):
    stop = Event()
    clock = Clock(SearchSettings(seconds=60.0), stop)
    assert not (clock.stopped() or clock.used_up(0) or clock.over() or clock.late() or clock.enough(0))
    stop.set()
    assert clock.stopped() and clock.used_up(0) and clock.over() and clock.late() and clock.enough(0)
