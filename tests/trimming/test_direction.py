"""The advice goes the way that the reading shows, in gardens of closed form: log dip = c + e_g - s_g . u, so every expected value is worked by hand.

A shorter wire has the higher dip; what is printed as the next reading is where this piece is right; a reading that nothing explains is not followed.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from optimizer.trimming.advise import RADIO, WELL, Settings, advise
from optimizer.trimming.bank import Bank, final_u
from optimizer.trimming.case import Case
from optimizer.trimming.log import Reading
from optimizer.trimming.response import Plan, Response, terms

GARDENS = 96
MOVES = {"shorten": ("cut", "fold"), "let out": ("unfold",)}
SPREAD = 0.003  # of the gardens' dips


def gardens_of(slopes, end_mhz, *, spread=SPREAD, start=0.03, flat=0.004, seed=3, bare=()):
    """A bank without a solver. `slopes` (bands, pieces): how far a band's log dip falls with each piece's log length; `bare`: the same read before the coil is hung."""
    rng, looks, slopes = np.random.default_rng(seed), [f"b{n}" for n in range(len(end_mhz))], np.atleast_2d(slopes)
    k, ends = slopes.shape[1], np.log(1e6 * np.array(end_mhz))
    own, common = rng.normal(0, 0.2 * spread, (GARDENS, len(looks))), rng.normal(0, spread, GARDENS)
    coefficients = [_rows(end + common + own[:, n], -row * rng.normal(1, 0.01, (GARDENS, 1))) for n, (end, row) in enumerate(zip(ends, slopes))]
    edges = [(float(end + np.log(0.92)), float(end + np.log(1.05))) for end in ends]
    zero = np.zeros((GARDENS, len(terms(np.zeros(k)))))
    sound = {(name, False): _response(dip, zero, edge, flat) for name, dip, edge in zip(looks, coefficients, edges)}
    plan_dip = {(name, False): np.r_[end, -row, np.zeros(zero.shape[1] - 1 - k)] for name, end, row in zip(looks, ends, slopes)}
    for n, row in bare:
        sound[looks[n], True] = _response(_rows(ends[n] + 0.02 + common, -np.array(row) * np.ones((GARDENS, 1))), zero, edges[n], flat)
    steps = tuple(SimpleNamespace(step=SimpleNamespace(parameter=f"p{n}_m", band=name, element=f"piece {n}"), bare=any(b == n for b, _ in bare)) for n, name in enumerate(looks))
    wishes = {n: SimpleNamespace(low_hz=0.99 * f, high_hz=1.01 * f, centre_hz=f) for n, f in zip(looks, np.exp(ends))}
    built = SimpleNamespace(wishes=SimpleNamespace(swr_limit=2.0))
    case = SimpleNamespace(
        built=built, names=tuple(s.step.parameter for s in steps), steps=steps, finished_m=np.full(k, 10.0), start=np.full(k, start), wish=wishes.__getitem__,
    )  # fmt: skip
    case.index = case.names.index
    case.reads_bare = lambda e, log: Case.reads_bare(case, e, log)
    plan = Plan(nodes=np.zeros((1, k)), dip=plan_dip, swr={}, matters={}, flat=dict.fromkeys(sound, flat))
    return Bank(case=case, plan=plan, sound=sound, faulty=(), ends=ends, final=final_u(case, sound, ends))


def _rows(first, linear):
    k = linear.shape[1]
    return np.column_stack([first, linear, np.zeros((len(first), len(terms(np.zeros(k))) - 1 - k))])


def _response(dip, swr, edges, flat):
    return Response(dip=dip, swr=swr, curve=np.zeros((len(dip), 181)), flat=flat, edges=edges)


BANKS = {
    "one wire": gardens_of([[0.9]], [14.1]),
    "flat curve": gardens_of([[1.0]], [7.0], start=0.005, flat=0.016),
    "gardens all alike": gardens_of([[0.95]], [14.1], spread=0.001),
    "wire and tail": gardens_of([[0.9, 0.0], [0.6, 0.12]], [14.1, 7.1]),
    "each pulls the other": gardens_of([[0.8, 0.15], [0.3, 0.6]], [14.1, 7.1]),
    "read before the coil": gardens_of([[0.9, 0.1], [0.6, 0.2]], [14.1, 7.1], bare=[(0, (0.9, 0.0))]),
}


@pytest.fixture(params=BANKS)
def bank(request):
    return BANKS[request.param]


def reading(bank, mhz, j=0, **more):
    e = bank.case.steps[j]
    return Reading(step=e.step.parameter, band=e.step.band, dip_hz=1e6 * mhz, bare=e.bare and j == 0, **more)


def own_aims(bank, j=0):
    """What the piece reads in each garden with its own final length there, the others as cut."""
    u = np.tile(bank.case.start, (GARDENS, 1))
    u[:, j] = bank.final[:, j]
    return bank.sound[bank.case.steps[j].step.band, bank.case.steps[j].bare].log_dip_open(u)


@pytest.mark.parametrize("off", np.linspace(-0.04, 0.04, 17).round(4))
def test_the_advice_follows_the_reading(bank, off):
    aims = own_aims(bank)
    read = np.exp(aims.mean() + off)
    told = advise(bank, (reading(bank, read / 1e6),), Settings(checked=True))
    aim = np.log(told.aim_hz)
    assert aims.min() - WELL <= aim <= aims.max() + WELL  # the plan's aim, within what gardens make of it
    assert told.verdict in (*MOVES["shorten"], *MOVES["let out"], "stop", "done")
    if told.verdict in MOVES["shorten"]:
        assert read < told.aim_hz and told.move_m > 0
    if told.verdict in MOVES["let out"]:
        assert read > told.aim_hz and told.move_m < 0
    if abs(off) >= 0.01:
        assert told.verdict in MOVES["shorten" if off < 0 else "let out"]
    slope = bank.sound[bank.case.steps[0].step.band, bank.case.steps[0].bare].dip[:, 1]
    after = np.log(read) + slope.mean() * np.log1p(-told.wanted_m / told.length_m)
    error = np.hypot(0.0006, 0.12 * bank.plan.flat["b0", False])  # the meter's
    assert after == pytest.approx(aim, abs=max(1.7 * error, WELL, 0.03 * abs(off)))  # the reading plus slope times the whole way


@pytest.mark.parametrize("off", [-0.04, -0.03, -0.015, 0.015, 0.03, 0.04])
def test_what_a_move_does_to_its_band_is_its_slope(off):
    bank = BANKS["one wire"]
    read = 14.1 * np.exp(off)
    told = advise(bank, (reading(bank, read),), Settings(checked=True))
    (moved,) = told.others
    assert moved.hz == pytest.approx(1e6 * read * ((1 - told.move_m / told.length_m) ** -0.9 - 1), rel=0.04)
    assert told.aim_hz == pytest.approx(14.1e6, rel=1e-4)


@pytest.mark.parametrize("off", [-0.03, -0.02, 0.02])
def test_two_readings_on_the_way_to_the_aim(bank, off):
    """Half the way is done, read as the slope has it: the rest is asked for, not more."""
    aim = own_aims(bank).mean()
    first = reading(bank, np.exp(aim + off) / 1e6)
    told = advise(bank, (first,), Settings(checked=True))
    half, slope = 0.5 * told.wanted_m, bank.sound[first.band, first.bare].dip[:, 1].mean()
    second = reading(bank, np.exp(np.log(first.dip_hz) + slope * np.log1p(-half / told.length_m)) / 1e6, shortened_m=half)
    then = advise(bank, (first, second), Settings(checked=True))
    assert then.wanted_m == pytest.approx(half, rel=0.15, abs=0.012)
    assert np.log(then.aim_hz) == pytest.approx(aim, abs=0.003 + WELL)  # within the gardens' spread


def test_the_piece_before_a_tail_is_left_where_the_tail_brings_it_right():
    """Each pulls the other: with the tail uncut by 3 % the first band's aim lies 0.15 x 3 % below its end; read exactly there, nothing is cut."""
    bank = BANKS["each pulls the other"]
    told = advise(bank, (reading(bank, 14.1 * np.exp(-0.15 * 0.03), length_m=10.0),), Settings())
    assert told.verdict == "stop" and np.log(told.aim_hz / 14.1e6) == pytest.approx(-0.0045, abs=0.001)


def test_once_the_tail_hangs_its_aim_is_that_with_the_tail():
    bank = BANKS["read before the coil"]
    log = (
        reading(bank, 14.1 * np.exp(0.02), length_m=10.0), reading(bank, 7.1 * np.exp(-0.2 * 0.03), 1),
        Reading(step="p0_m", band="b0", dip_hz=14.1e6 * np.exp(-0.1 * 0.03)),
    )  # fmt: skip
    assert np.log(advise(bank, log[:1], Settings()).aim_hz / 14.1e6) == pytest.approx(0.02, abs=0.004)
    assert np.log(advise(bank, log, Settings(), "p0_m").aim_hz / 14.1e6) == pytest.approx(-0.003, abs=0.004)


# ---- what cannot be right -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.25, 0.5, 0.8, 0.87, 1.14, 1.3, 2.0])
@pytest.mark.parametrize("checked", [False, True])
def test_a_reading_that_nothing_explains_is_not_followed(bank, share, checked):
    aim = np.exp(own_aims(bank).mean()) / 1e6
    told = advise(bank, (reading(bank, share * aim),), Settings(checked=checked))
    assert told.verdict == "wrong" and told.move_m == 0.0 and not told.others
    low, high = told.likely_hz
    assert low < 1e6 * aim < high * 1.001 and not low <= 1e6 * share * aim <= high


def test_a_reading_that_nothing_explains_teaches_nothing():
    bank = BANKS["one wire"]
    good = reading(bank, 13.8)
    alone, after = advise(bank, (good,)), advise(bank, (reading(bank, 28.2), good))
    assert after.verdict == alone.verdict and after.move_m == pytest.approx(alone.move_m, rel=1e-9)


def test_a_high_swr_is_no_dip_and_no_reason_to_doubt_the_typing():
    """Above an SWR of 4 the least of a curve is no resonance: its frequency says little, wherever it lies."""
    bank = BANKS["one wire"]
    assert advise(bank, (reading(bank, 12.4, swr=12.0),), Settings(checked=True)).likely_hz is None


@pytest.mark.parametrize("swr, verdict", [(5.0, "wrong"), (1.5, "done")])
def test_a_band_in_which_only_a_high_swr_was_read_is_not_done(swr, verdict):
    """A radio's own readings, level over the band: low ones are a match, high ones tell that the dip is somewhere else. Lengths are those of the mean garden."""
    bank = gardens_of([[0.9]], [7.1], start=0.0)
    (name,), (wish,) = bank.case.names, (bank.case.wish("b0"),)
    read = Reading(step=name, band="b0", points=tuple((f, swr) for f in (wish.low_hz, wish.centre_hz, wish.high_hz)))
    assert (advise(bank, (read,), Settings(user=RADIO)).verdict == "done") == (verdict == "done")
    level = replace(read, points=(), dip_hz=wish.centre_hz, swr=swr)
    assert (advise(bank, (level,)).verdict == "wrong") == (verdict == "wrong")
    assert advise(bank, (level,), Settings(checked=True)).verdict != "wrong"
