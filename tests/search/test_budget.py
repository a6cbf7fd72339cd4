"""Turns between families, on histories made by hand."""

from types import SimpleNamespace

from optimizer.search.budget import choose, forecast


def study(key, history, barren=0):
    best = history[-1] if history else 0.0
    return SimpleNamespace(
        family=SimpleNamespace(key=key), history=history, best=best, solved=len(history), barren=barren,
        turns=len(history) + barren,
    )  # fmt: skip


def test_equal_shares_first():
    a, b = study("a", [50.0] * 10), study("b", [10.0] * 3)
    assert choose([a, b], in_flight={}, expected=100) is b
    assert choose([a, b], in_flight={"b": 20}, expected=100) is a


def test_later_the_one_that_is_forecast_highest():
    flat = study("flat", [60.0] * 40)
    rising = study("rising", [30.0] * 20 + [55.0] * 20)
    assert forecast(flat, 100) == 60.0 and forecast(rising, 100) == 80.0
    assert choose([flat, rising], in_flight={}, expected=100) is rising


def test_nobody_is_starved():
    rich, poor = study("rich", list(range(200))), study("poor", [1.0] * 20)
    assert choose([rich, poor], in_flight={}, expected=100) is poor


def test_turns_that_found_nothing_count():
    barren, other = study("barren", [], barren=30), study("other", [5.0] * 5)
    assert choose([barren, other], in_flight={}, expected=100) is other
