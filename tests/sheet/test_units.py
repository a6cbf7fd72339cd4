"""Lengths in words. Source of the conversions: NIST SP 811 (2008), appendix B.8: 1 ft = 0.3048 m, 1 in = 25.4 mm, exactly."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.errors import InputError
from optimizer.sheet.units import Units, feet_inches, nice_step


def test_the_ground_is_never_told_as_minus_nought():
    assert Units("metric").height(-1e-9) == "0.0 m"


def back(words: str) -> float:
    """Metres from feet, inches and a fraction."""
    feet = re.search(r"(\d+) ft", words)
    inches = re.search(r"(\d+)(?: (\d+/\d+))? in", words)
    total = Fraction(inches[1]) + (Fraction(inches[2]) if inches[2] else 0) + (12 * Fraction(feet[1]) if feet else 0)
    return float(total * Fraction(254, 10000))


@pytest.mark.parametrize(
    "metres, words",
    [(0.3048, "1 ft 0 in"), (0.0254, "1 in"), (3.048, "10 ft 0 in"), (0.0254 / 8, "0 1/8 in"), (1.8288 - 0.0254 / 4, "5 ft 11 3/4 in")],
)
def test_exact_feet_and_inches(metres, words):
    assert feet_inches(metres, 8) == words


@given(st.floats(0.0, 60.0))
def test_feet_and_inches_come_back_within_half_a_tick(metres):
    assert abs(back(feet_inches(metres, 8)) - metres) <= 0.0254 / 16 + 1e-9


def test_a_rounding_never_leaves_twelve_inches():
    assert feet_inches(0.3048 - 1e-5, 8) == "1 ft 0 in"


def test_metric_words_become_imperial_and_band_names_stay():
    imperial = Units("imperial")
    assert imperial.words("cut 3.048 m on 61 mm for 40m, wind 24 m/s, 1.5 mm2") == "cut 10 ft 0 in on 2.40 in for 40m, wind 24 m/s, 1.5 mm2"
    assert imperial.words("ring 61 × 35.56 mm") == "ring 2.40 in × 1.40 in"
    assert Units().words("cut 3.05 m") == "cut 3.05 m"


def test_words_become_no_finer_than_they_were():
    """15 m is 49.2 ft, 8.0 m is 26 ft 3.0 in, 2 m is 6 ft 6.7 in, 0.40 m is 15.75 in (NIST SP 811)."""
    assert Units("imperial").words("15 m line, mast 8.0 m, pipe of 2 m, 0.40 m") == "49 ft line, mast 26 ft 3 in, pipe of 6 ft 7 in, 1 ft 3 3/4 in"


def test_slope_is_per_centimetre_or_per_inch():
    assert Units().slope(-1e6) == "10 kHz per cm" and Units("imperial").slope(1e6) == "25 kHz per in"


def test_another_system_is_a_fault():
    with pytest.raises(InputError, match="--units.*metric or imperial"):
        Units("cubits")


@given(st.floats(0.01, 1e4))
def test_steps_are_round_and_few(span):
    assert 2 <= span / nice_step(span, 5) <= 10.001
