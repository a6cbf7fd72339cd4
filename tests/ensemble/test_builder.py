"""The builder and the plan against closed forms: a wire whose dip is one over its length, and two that pull on each other."""

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from optimizer.criteria.ease import ease
from optimizer.ensemble.builder import CENTIMETRE_M, FOLD_M, LATER_MOVES, MOVES, Builder, PlanStep
from optimizer.ensemble.yard import METER_HZ, least_shown, read_dip_hz
from optimizer.families.design import TrimStep
from optimizer.families.family import NoPlace
from optimizer.search.plain import packed, unpacked
from optimizer.spread import Piece, Spread, quantile_of


@dataclass(frozen=True)
class Lengths:
    """Stands for a design: lengths only."""

    m: dict


class Field:
    """Dips of a made-up aerial: band a hangs on length a, band b on both."""

    def __init__(self, faster=1.0, pull=0.0):
        self.faster, self.pull = faster, pull

    def dip_hz(self, design, key, bare=False):
        a, b = design.m["a"], design.m.get("b", 1.0)
        exact = {"a": 70e6 / a * (1 + self.pull * b), "b": 14e6 / b}[key] * self.faster
        return round(exact / METER_HZ) * METER_HZ

    def swr(self, design, key, bare=False):
        dip = self.dip_hz(design, key, bare)
        freq = np.linspace(0.9 * dip, 1.1 * dip, 41)
        return freq, 1.0 + 100.0 * np.abs(freq / dip - 1.0)


def plan_step(name, start, aim, slope=-1.0, end=None):
    trim = TrimStep(element=name, parameter=name, band=name, target_mhz=aim / 1e6, reachable=True)
    return PlanStep(step=trim, aim_hz=aim, end_hz=end or aim, start_m=start, slope=slope)


@pytest.mark.parametrize("faster", [0.97, 0.99, 1.0, 1.02])
@pytest.mark.parametrize("slope", [-0.7, -1.0, -1.5])
def test_it_ends_on_its_target_by_cutting_only(faster, slope):
    aim = 7.1e6
    got = Builder(Field(faster), Lengths, (plan_step("a", 10.4, aim, slope),)).trimmed()
    exact = 70e6 * faster / aim
    assert got.on_target == {"a": True} and not got.short and got.moves <= MOVES
    assert got.lengths_m["a"] == pytest.approx(exact, abs=0.0011 * exact + CENTIMETRE_M)
    assert all(r.length_m <= 10.4 for r in got.readings)
    assert all(abs(r.length_m / CENTIMETRE_M - round(r.length_m / CENTIMETRE_M)) < 1e-6 for r in got.readings)


def test_too_short_is_said_and_left():
    got = Builder(Field(1.05), Lengths, (plan_step("a", 10.0, 7.1e6),)).trimmed()
    assert got.short == ("a",) and got.lengths_m["a"] == 10.0 and got.on_target == {"a": False}


def test_a_plan_that_is_too_short_itself_is_never_called_trimmed():
    """Its aim is where the meter's range ends, and so is its reading: near enough to each other, and worth nothing."""
    short = replace(plan_step("a", 10.0, 7.0e6), too_short=True)
    got = Builder(Field(), Lengths, (short,)).trimmed()
    assert got.short == ("a",) and got.on_target == {"a": False}


def test_a_dip_above_the_meter_s_range_is_told_from_one_at_its_end():
    freq = np.linspace(6.5e6, 7.4e6, 91)
    assert least_shown(1.0 + 30.0 * np.abs(freq / 7.6e6 - 1.0))[-1]
    assert not least_shown(1.0 + 30.0 * np.abs(freq / 7.2e6 - 1.0))[-1]


def test_wire_cut_off_never_comes_back():
    """A sheet that says three times too much: what is cut is gone, all but the fold."""
    got = Builder(Field(), Lengths, (plan_step("a", 11.0, 7.0e6, slope=-0.3),)).trimmed()
    shortest = min(r.length_m for r in got.readings)
    assert shortest < 9.0 and got.lengths_m["a"] <= shortest + FOLD_M + 1e-9
    assert got.short == ("a",) and not got.on_target["a"]


def test_a_later_step_that_pulls_needs_the_shifted_aim():
    """Length b, cut from 1.2 to 1.0 m, lowers band a by 1 part in 50: aimed at its end the first wire is too short for good."""
    pull, start = 0.1, {"a": 12.0, "b": 1.2}
    end_a, end_b = 7.0e6, 14e6
    long = 70e6 * (1 + pull) / end_a
    shifted = 70e6 / long * (1 + pull * start["b"])
    second = plan_step("b", start["b"], end_b)
    naive = Builder(Field(pull=pull), Lengths, (plan_step("a", start["a"], end_a), second)).trimmed()
    left_long = Builder(Field(pull=pull), Lengths, (plan_step("a", start["a"], shifted, end=end_a), second)).trimmed()
    assert left_long.on_target == {"a": True, "b": True}
    assert left_long.moves <= naive.moves <= 2 * (MOVES + LATER_MOVES)
    assert left_long.lengths_m["a"] == pytest.approx(long, rel=0.002)


def test_what_does_not_hang_any_more_stays_as_it_was():
    def at(lengths):
        if lengths["a"] < 10.0:
            raise NoPlace("wire length", 0.1)
        return Lengths(lengths)

    got = Builder(Field(1.1), at, (plan_step("a", 10.9, 7.7e6),)).trimmed()
    assert got.lengths_m["a"] >= 10.0


def test_the_first_look_of_a_step_is_kept_with_the_lengths_of_that_moment():
    got = Builder(Field(1.0), Lengths, (plan_step("a", 10.4, 7.1e6), plan_step("b", 1.1, 13.0e6))).trimmed()
    assert got.first["a"].lengths_m == {"a": 10.4, "b": 1.1}
    assert got.first["b"].lengths_m == {"a": got.lengths_m["a"], "b": 1.1}
    assert got.first["a"].freq_hz[np.argmin(got.first["a"].swr)] == pytest.approx(70e6 / 10.4, abs=METER_HZ)


def test_the_meter_reads_the_middle_of_a_flat_dip():
    freq = np.linspace(7.0e6, 7.2e6, 401)
    assert read_dip_hz(freq, 1.2 + 30 * ((freq - 7.103e6) / 7.1e6 * 10) ** 2) == pytest.approx(7.103e6, abs=METER_HZ)
    two = np.minimum(1.5 + np.abs(freq - 7.05e6) / 1e4, 1.2 + np.abs(freq - 7.15e6) / 1e4)
    assert read_dip_hz(freq, two) == pytest.approx(7.15e6, abs=METER_HZ)


# ---- quantiles, ease, records -----------------------------------------------------------------------------------


def test_a_further_draw_falls_between_the_quantiles_four_times_of_five():
    """E. J. Gumbel, Statistics of Extremes, 1958, sec. 1.2.7: expectation of F at rank k of n is k/(n+1), whatever F."""
    rng, inside = np.random.default_rng(3), 0
    for draws in rng.lognormal(0.0, 1.0, (4000, 25)):
        inside += quantile_of(draws[:24], 0.1) <= draws[24] <= quantile_of(draws[:24], 0.9)
    assert inside / 4000 == pytest.approx(0.8, abs=3 * math.sqrt(0.16 / 4000))


def test_ease_is_one_for_nothing_to_do_and_nought_for_the_worst():
    assert ease(reachable_share=1.0, moves=0.0, interaction=0.0) == 1.0
    assert ease(reachable_share=0.0, moves=12.0, interaction=1.0) == 0.0
    assert ease(reachable_share=0.5, moves=7.0, interaction=0.2) == pytest.approx(0.25 + 0.125 + 0.2)  # by hand


def test_a_spread_comes_back_from_plain_data():

    piece = Piece(parameter="a", element="wire", band="40m", nominal_m=10.0, cut_m=10.3, aim_mhz=7.1, end_mhz=7.1, khz_per_cm=7.0, reachable=True)
    spread = Spread(gardens=({"40m": {"swr_best": 1.1}},), way="one length", order=(piece,), on_target=1.0, trimmable=1.0, moves=2.0, interaction=0.0, tried={})
    assert unpacked(packed(spread)) == spread and piece.allowance_m == pytest.approx(0.3)
    assert replace(spread, moves=3.0) != spread
