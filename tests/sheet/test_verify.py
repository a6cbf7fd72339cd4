"""Measured against expected. Curves to measure are made from the expected ones by closed forms: a shift of frequency, a lossy line
(reflection falls by twice the line's loss), an open end (all is reflected); and by solving the wire with a planted length."""

import json
import re
import shutil
import sys
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import skrf
from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.errors import InputError
from optimizer.field.solver import solve
from optimizer.field.sweep import curve
from optimizer.network.feedpoint import look
from optimizer.sheet.built import read_built
from optimizer.sheet.compare import Predicted, compare, suggests
from optimizer.sheet.measured import Measured, measured
from optimizer.sheet.readings import at_lengths, expected
from optimizer.sheet.solved import solved_bands
from optimizer.sheet.verify import page_of, predicted_of, verified
from optimizer.spread import CurveBand

YARD = Path(__file__).parent / "data" / "yard"


def through(swr, loss_db: float):
    """SWR seen through a line of that loss: |reflection| falls by 10^(-loss/10) (handbooks; exact for a matched line)."""
    gamma = (swr - 1) / (swr + 1) * 10 ** (-loss_db / 10)
    return (1 + gamma) / (1 - gamma)


def bowl(freq_hz, dip_hz, least=1.3, steep=60.0):
    return least * np.exp(steep * np.abs(freq_hz / dip_hz - 1.0))


def predicted(key="40m", middle=7.1e6, least=1.3):
    freq = np.linspace(0.97 * middle, 1.03 * middle, 121)
    rows = [bowl(freq, middle * (1 + s), least * k) for s in np.linspace(-0.002, 0.002, 9) for k in (0.95, 1.05)]
    band = CurveBand(freq_hz=tuple(freq), low=tuple(np.min(rows, axis=0)), high=tuple(np.max(rows, axis=0)), dip_hz=(0.998 * middle, 1.002 * middle))
    return Predicted(key=key, expected=band, element="legs", khz_per_cm=4.0)


def sweep(*pieces):
    freq, swr = (np.concatenate(v) for v in zip(*pieces))
    return Measured(freq_hz=freq, swr=swr)


def read(middle=7.1e6, shift=0.0, least=1.3, loss_db=0.0):
    freq = np.linspace(0.97 * middle, 1.03 * middle, 61)
    return freq, through(bowl(freq, middle * (1 + shift), least), loss_db)


@pytest.mark.parametrize(
    "one, verdict",
    [
        (read(), "agrees"), (read(shift=-0.012), "low"), (read(shift=0.012), "high"), (read(shift=-0.05), "low"), (read(shift=0.05), "high"),
        (read(least=2.6), "worse"), (read(loss_db=4.0), "better"), (read(loss_db=20.0), "flat low"),
        ((read()[0], np.full(61, 30.0)), "flat high"),
    ],
)  # fmt: skip
def test_one_band(one, verdict):
    (found,) = compare((predicted(),), sweep(one))
    assert found.verdict == verdict and found.words.startswith("40m: 61 points")


def test_a_shift_is_told_in_kilohertz_and_centimetres():
    """1.2 % of 7.1 MHz is 85 kHz, 21 cm at 4 kHz a centimetre; read every 7 kHz."""
    (found,) = compare((predicted(),), sweep(read(shift=-0.012)))
    assert found.dip_hz == pytest.approx(0.988 * 7.1e6, abs=4e3) and found.shift == pytest.approx(-0.010, abs=0.001)
    khz, cm = (int(n) for n in re.search(r"(\d+) kHz too low, some (\d+) cm of legs too long", found.words).groups())
    assert khz == pytest.approx(85, abs=4) and cm == pytest.approx(21, abs=1)


@pytest.mark.parametrize("freq", [np.linspace(6.95e6, 7.05e6, 21), np.linspace(7.15e6, 7.25e6, 21)])
def test_a_dip_outside_what_was_measured_is_told_by_its_slope(freq):
    """Measured on one flank only: the wire's dip lies 3.5 % off, beyond the sweep."""
    below = freq.mean() < 7.1e6
    shift = -0.035 if below else 0.035
    (found,) = compare((predicted(),), sweep((freq, bowl(freq, 7.1e6 * (1 + shift), 1.3, 90.0))))
    assert found.verdict == ("low" if below else "high") and found.dip_hz is None


@pytest.mark.parametrize("swr", [(9.0, 9.0, 9.0), (9.3, 9.0, 9.2), (9.0, 9.2, 9.5)])
@pytest.mark.parametrize("least", [1.3, 2.6])
def test_a_flat_high_curve_does_not_tell_which_way_a_dip_lies(swr, least):
    """Three points 20 kHz apart, alike within what a meter errs: nothing says too short or too long."""
    (found,) = compare((predicted("20m", 14.1e6, least),), sweep((np.array([14.07e6, 14.09e6, 14.11e6]), np.array(swr))))
    assert found.verdict == "flat high" and "short" not in found.words and "long" not in found.words
    causes = suggests((found,), True, False)
    assert "Nothing reaches the wire" in causes[0] and "transformer" in causes[1] and any("wider" in c for c in causes)


def test_a_flat_curve_of_middling_swr_does_not_tell_either():
    (found,) = compare((predicted("20m", 14.1e6),), sweep((np.array([14.0e6, 14.02e6, 14.04e6]), np.array([3.5, 3.5, 3.5]))))
    assert found.verdict == "no dip" and "short" not in found.words
    assert any("wider" in c for c in suggests((found,), False, False))


def test_what_the_bands_have_in_common_leads():
    both = (predicted(), predicted("20m", 14.2e6))
    whole = suggests(compare(both, sweep(read(shift=-0.015), read(14.2e6, shift=-0.014))), False, False)
    assert "as a whole acts too long" in whole[0]
    one = suggests(compare(both, sweep(read(shift=-0.015), read(14.2e6))), False, True)
    assert one[0].startswith("Only 40m") and "trap" in one[0]
    flat = suggests(compare(both, sweep((read()[0], np.full(61, 30.0)), (read(14.2e6)[0], np.full(61, 40.0)))), True, False)
    assert "Nothing reaches the wire" in flat[0] and any("transformer" in c for c in flat)
    wet = suggests(compare(both, sweep(read(loss_db=20.0), read(14.2e6, loss_db=20.0))), False, False)
    assert "Loss makes the match look good" in wet[0]
    assert len(suggests(compare(both, sweep(read(), read(14.2e6))), False, False)) == 1


def test_bands_that_were_not_measured_are_left_out():
    assert [c.key for c in compare((predicted(), predicted("20m", 14.2e6)), sweep(read()))] == ["40m"]


# ---- the filed loaded tail, solved again with what is planted in it -----------------------------------------------


@pytest.fixture(scope="module")
def tail():
    built = read_built(YARD, 3)
    return built, solved_bands(built), expected(built)


def world(built, lengths, keys=("40m", "20m")):
    """A sweep of the wire with these lengths, on the soil of the plan."""
    design = at_lengths(built, lengths)
    pieces = []
    for key in keys:
        wish = next(w for w in built.wishes.bands if w.key == key)
        nodes = np.linspace(0.95 * wish.centre_hz, 1.05 * wish.centre_hz, 13)
        fine = np.linspace(nodes[0], nodes[-1], 201)
        found = solve(design.structure.wires, (design.port,), design.loads_on(key), built.cases[key].ground, nodes)
        pieces.append((fine, np.asarray(look(fine, curve(nodes, found.z_ohm, fine), replace(design.feed, tuner=None)).swr_radio)))
    return sweep(*pieces)


@pytest.mark.parametrize("off_m", [0.08, -0.08])
def test_a_tail_left_long_or_cut_short_is_named_with_its_centimetres(tail, off_m):
    built, bands, steps = tail
    values = built.content["values"]
    found = verified(built, world(built, {"tail_m": values["tail_m"] + off_m}), bands, steps)
    low = next(c for c in found.bands if c.key == "40m")
    assert low.verdict == ("low" if off_m > 0 else "high")
    assert int(re.search(r"some (\d+) cm of tail", low.words)[1]) == pytest.approx(8, abs=1.5)
    assert "40m" in found.suggests[0]


def test_picture_and_page_show_measured_over_expected(tail):
    built, bands, steps = tail
    values = built.content["values"]
    found = verified(built, world(built, {"tail_m": values["tail_m"]}), bands, steps)
    assert set(found.pictures) == {"40m", "20m"}
    for svg in found.pictures.values():
        assert "rings: measured" in svg and "-bars)" in svg
    words = str(page_of(built, found))
    assert "tuner out of circuit" in words and all(c.words in words for c in found.bands)


def test_without_gardens_the_band_is_a_rule_of_thumb():
    built = read_built(YARD, 1)
    bands = solved_bands(built)
    found = predicted_of(built, bands[0], expected(built))
    assert found.assumed and np.all(np.array(found.expected.low) <= bands[0].meter + 1e-9) and np.all(np.array(found.expected.high) >= bands[0].meter - 1e-9)


# ---- what is typed and filed --------------------------------------------------------------------------------------


def test_every_way_in_reads_the_same(tmp_path):
    """Touchstone written by scikit-rf, a general-purpose library, for 75 ohm; a table with a header; typed pairs."""
    freq, swr = np.array([7.0e6, 7.1e6, 7.2e6]), np.array([2.0, 1.25, 3.0])
    z = 50.0 * swr
    skrf.Network(f=freq, f_unit="hz", s=((z - 75) / (z + 75)).reshape(-1, 1, 1), z0=75).write_touchstone("s", dir=str(tmp_path))
    (tmp_path / "t.csv").write_text("MHz;SWR\n7.2;3.0\n7.0;2.0\n7.1;1.25\n", encoding="utf-8")
    ways = (measured(files=(tmp_path / "s.s1p",)), measured(files=(tmp_path / "t.csv",)), measured("7.0:2.0 7.1=1.25, 7.2:3"))
    for way in ways:
        assert way.freq_hz == pytest.approx(freq) and way.swr == pytest.approx(swr, rel=1e-4)


def test_a_sweep_needs_no_more_than_the_plain_installation():
    """The README's install line is enough for its `--file sweep.s1p`."""
    with open(Path(__file__).parents[2] / "pyproject.toml", "rb") as file:
        project = tomllib.load(file)["project"]
    assert any(need.startswith("scikit-rf") for need in project["dependencies"]) and "touchstone" not in project["optional-dependencies"]


@pytest.mark.parametrize("content", [None, "", "! nothing\n", "x y z\n", "# MHz S RI R 50\n", "\0\1\2"])
def test_a_sweep_that_is_none_or_broken_is_told_of_as_a_file(tmp_path, content):
    path = tmp_path / "x.s1p"
    if content is not None:
        path.write_text(content)
    with pytest.raises(InputError) as bad:
        measured(files=(path,))
    (fault,) = bad.value.faults
    assert fault.value == str(path) and "can be read" in fault.allowed and "scikit" not in str(fault)
    assert ("No such file" in fault.hint) == (content is None)


def test_a_missing_sweep_is_told_of_before_anything_is_loaded(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "skrf", None)
    with pytest.raises(InputError) as bad:
        measured(files=(tmp_path / "x.s1p",))
    assert "No such file" in bad.value.faults[0].hint


@pytest.mark.parametrize("pairs, faults", [("7.1", 1), ("7.1:0.5", 1), ("700:2", 1), (None, 1), ("7.1:x 7..2:1.5 7:2", 2)])
def test_bad_readings_are_told_at_once(pairs, faults):
    with pytest.raises(InputError) as bad:
        measured(pairs)
    assert len(bad.value.faults) == faults


def test_a_file_that_is_none(tmp_path):
    (tmp_path / "x.csv").write_text("nothing here\n", encoding="utf-8")
    with pytest.raises(InputError) as bad:
        measured(files=(tmp_path / "x.csv", tmp_path / "y.csv"))
    assert len(bad.value.faults) == 2


def test_command_writes_the_page_and_says_what_it_found(tmp_path):
    folder = Path(shutil.copytree(YARD, tmp_path / "yard"))
    done = CliRunner().invoke(app, ["verify", str(folder), "3", "--at", "7.0:30 7.05:31 7.1:30 7.15:32 7.2:30", "--json"])
    assert done.exit_code == 0
    told = json.loads(done.output)
    assert told["bands"][0]["verdict"] == "flat high" and "Nothing reaches the wire" in told["suggests"][0]
    assert "rings: measured" in Path(told["page"]).read_text(encoding="utf-8")
    assert CliRunner().invoke(app, ["verify", str(folder), "3", "--at", "3.6:2"]).exit_code == 2
    assert CliRunner().invoke(app, ["verify", str(folder), "3"]).exit_code == 2
