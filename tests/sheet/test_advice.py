"""The next cut. Truth: a thin half wave whose dip is at c/2L (closed form), readings and slopes with the errors stated."""

import json
import math
import shutil
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.errors import InputError
from optimizer.families.design import TrimStep
from optimizer.sheet.advice import READING_SHARE, SLOPE_SIGMA, Reading, advise
from optimizer.sheet.readings import Expected

YARD = Path(__file__).parent / "data" / "yard"
C = 299_792_458.0  # m/s, exact (SI)
AIM_HZ, SEGMENT_HZ = 7.1e6, 0.2e6
LONG = 1.03


def half_wave_step() -> Expected:
    finished = C / (2 * AIM_HZ)
    start = LONG * finished
    step = TrimStep(element="wire", parameter="wire_m", band="40m", target_mhz=7.1, reachable=True)
    slope = (AIM_HZ - C / (2 * start)) / (start - finished)
    return Expected(
        step=step, finished_m=finished, start_m=start, start_hz=C / (2 * start), target_hz=AIM_HZ, hz_per_m=slope, solved=True,
    )  # fmt: skip


def read(dip_hz, cut_m=0.0):
    return Reading(parameter="wire_m", dip_hz=dip_hz, cut_m=cut_m)


def test_following_the_advice_on_a_half_wave_lands_near_the_aim_from_below():
    length, readings = LONG * C / (2 * AIM_HZ), ()
    cut = 0.0
    for _ in range(6):
        readings = (*readings, read(C / (2 * length), cut))
        advice = advise(half_wave_step(), readings, SEGMENT_HZ)
        if advice.verdict == "stop":
            break
        assert advice.verdict == "cut"
        cut = advice.move_m
        length -= cut
        assert C / (2 * length) <= AIM_HZ
    assert advice.verdict == "stop" and abs(C / (2 * length) - AIM_HZ) < 0.1 * SEGMENT_HZ and len(readings) <= 4


@pytest.mark.parametrize("chance", [0.02, 0.1])
def test_a_cut_overshoots_no_more_often_than_stated(chance):
    """Gardens with another slope, meters with an error: 4000 draws, three standard errors of a share allowed."""
    rng = np.random.default_rng(8)
    step, overshot, draws = half_wave_step(), 0, 4000
    for true_slope, error in zip(step.hz_per_m * (1 + SLOPE_SIGMA * rng.standard_normal(draws)), READING_SHARE * rng.standard_normal(draws)):
        dip = 6.92e6
        advice = advise(step, (read(dip * (1 + error)),), SEGMENT_HZ, chance=chance)
        overshot += dip + advice.move_m * true_slope > AIM_HZ
    assert overshot / draws <= chance + 3 * math.sqrt(chance * (1 - chance) / draws)
    assert overshot > 0


def test_a_smaller_chance_cuts_less():
    cuts = [advise(half_wave_step(), (read(6.95e6),), SEGMENT_HZ, chance=c).move_m for c in (0.001, 0.02, 0.3)]
    assert 0 < cuts[0] < cuts[1] < cuts[2]


def test_a_measured_slope_takes_over():
    """Two readings 20 cm apart say 1.3 times the computed slope: the next cut gets shorter than by computation alone."""
    step = half_wave_step()
    second = 6.90e6 + 0.2 * 1.3 * step.hz_per_m
    with_both = advise(step, (read(6.90e6), read(second, 0.2)), SEGMENT_HZ)
    alone = advise(step, (read(second),), SEGMENT_HZ)
    assert with_both.slope_hz_per_m > 1.05 * step.hz_per_m and with_both.wanted_m < alone.wanted_m


@pytest.mark.parametrize(
    "readings, verdict, first_cause",
    [
        ((read(6.4e6),), "wrong", "too many turns"),
        ((read(7.8e6),), "wrong", "open joint"),
        ((read(6.95e6), read(6.93e6, 0.2)), "wrong", "wrong end"),
        ((read(7.09e6),), "stop", None),
        ((read(7.11e6),), "stop", None),
        ((read(7.2e6),), "unfold", None),
    ],
)  # fmt: skip
def test_verdicts(readings, verdict, first_cause):
    advice = advise(half_wave_step(), readings, SEGMENT_HZ)
    assert advice.verdict == verdict
    assert first_cause is None or first_cause in advice.causes[0]
    assert verdict != "unfold" or advice.move_m < 0


def test_bad_input_is_all_told_at_once():
    with pytest.raises(InputError) as bad:
        advise(half_wave_step(), (read(7.1e9),), SEGMENT_HZ, chance=0.9)
    assert len(bad.value.faults) == 2


@pytest.fixture
def folder(tmp_path):
    return Path(shutil.copytree(YARD, tmp_path / "yard"))


def run(folder, *more):
    return CliRunner().invoke(app, ["trim", str(folder), "1", "--band", "40m", *more])


def test_command_advises_and_keeps_the_readings(folder):
    first = run(folder, "--reading-mhz", "6.93", "--json")
    assert first.exit_code == 0
    told = json.loads(first.output)
    assert told["verdict"] == "cut" and 0 < told["move_m"] < told["wanted_m"]
    assert "shorten" in run(folder, "--reading-mhz", "7.0", "--cut-cm", f"{100 * told['move_m']:.1f}").output.lower()
    kept = [json.loads(line) for line in (folder / "readings" / "1.jsonl").read_text().splitlines()]
    assert [r["dip_hz"] for r in kept] == [6.93e6, 7.0e6] and kept[1]["cut_m"] == pytest.approx(told["move_m"], abs=1e-3)


def test_a_sweep_in_touchstone_form_reads_the_dip(folder):
    """A series R, L, C about 6.95 MHz, written by scikit-rf, a general-purpose library."""
    skrf = pytest.importorskip("skrf")
    freq = np.linspace(6.5e6, 7.5e6, 501)
    z = 60 + 1j * 2 * np.pi * 20e-6 * (freq - 6.95e6**2 / freq)
    skrf.Network(f=freq, f_unit="hz", s=((z - 50) / (z + 50)).reshape(-1, 1, 1), z0=50).write_touchstone("dip", dir=str(folder))
    done = run(folder, "--touchstone", str(folder / "dip.s1p"), "--json")
    assert done.exit_code == 0 and json.loads(done.output)["reading_mhz"] == pytest.approx(6.95, abs=0.003)


@pytest.mark.parametrize("more", [(), ("--reading-mhz", "7", "--touchstone", "x.s1p"), ("--touchstone", "none.s1p"), ("--reading-mhz", "7", "--chance", "2")])
def test_bad_options_have_status_two(folder, more):
    assert run(folder, *more).exit_code == 2
    assert not (folder / "readings").exists()


def test_a_band_without_a_step_is_named(folder):
    done = CliRunner().invoke(app, ["trim", str(folder), "1", "--band", "10m", "--reading-mhz", "28.5"])
    assert done.exit_code == 2
