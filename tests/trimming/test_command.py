"""The command on a filed design: readings in, advice out, all kept."""

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
import skrf
from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.ensemble.learned import DRAWN, kept, narrowed, weights_in
from optimizer.ensemble.unknowns import GARDENS_VERSION, draw
from optimizer.errors import InputError
from optimizer.sheet.built import read_built

YARD = Path(__file__).parents[1] / "sheet" / "data" / "yard"


@pytest.fixture(scope="module")
def solved(tmp_path_factory):
    """The folder with its gardens solved, once."""
    folder = Path(shutil.copytree(YARD, tmp_path_factory.mktemp("once") / "yard"))
    assert run(folder, "--json").exit_code == 0
    return folder


@pytest.fixture
def folder(solved, tmp_path):
    return Path(shutil.copytree(solved, tmp_path / "yard"))


def run(folder, *more):
    return CliRunner().invoke(app, ["trim", str(folder), "2", *more])


def told(folder, *more):
    done = run(folder, *more, "--json")
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def log_in(folder):
    return [json.loads(line) for path in (folder / "readings").glob("*.jsonl") for line in path.read_text().splitlines()]


def test_without_a_reading_it_asks_for_one_and_keeps_nothing(folder):
    assert told(folder)["verdict"] == "read" and not log_in(folder)


def test_a_low_reading_is_cut_not_the_whole_way_and_kept(folder):
    first = told(folder, "--band", "20m", "--reading-mhz", "13.9", "--swr", "1.2")
    assert first["verdict"] == "cut" and 0 < first["move_m"] < first["wanted_m"]
    own = next(m for m in first["others"] if m["band"] == "20m")
    assert own["hz"] == pytest.approx(first["aim_hz"] - 13.9e6, rel=0.25)  # nearly the whole way up
    second = told(folder, "--band", "20m", "--reading-mhz", "14.2", "--swr", "1.2", "--cut-cm", "25")
    assert second["length_m"] == pytest.approx(first["length_m"] - 0.25, abs=1e-6)
    assert [e["dip_hz"] for e in log_in(folder)] == [13.9e6, 14.2e6] and log_in(folder)[1]["shortened_m"] == 0.25


def test_a_smaller_chance_cuts_less(folder):
    cuts = [told(folder, "--band", "20m", "--reading-mhz", "13.9", "--strike", "--chance", c)["move_m"] for c in ("0.001", "0.02", "0.3")]
    assert cuts[0] < cuts[1] < cuts[2]


def test_a_reading_that_replaces_the_first_is_the_first(folder):
    """With the lengths as cut, as the first one has them; and of a step read before the other was touched."""
    told(folder, "--band", "40m", "--reading-mhz", "7.0")
    told(folder, "--strike", "--band", "20m", "--reading-mhz", "13.9")
    struck, _, taken = log_in(folder)
    assert taken["start_m"] == struck["start_m"] and len(taken["start_m"]) > 1
    fresh = told(folder, "--strike", "--band", "20m", "--reading-mhz", "13.9")
    assert log_in(folder)[-1] | {"at": ""} == taken | {"at": ""} and fresh["readings"] == 1


def test_the_later_step_knows_the_earlier_readings(folder):
    """Where the upper band said that the wire is slow, the tail is looked for shorter before it was ever read."""
    tails = []
    for mhz in ("13.75", "14.05"):
        told(folder, "--strike")
        told(folder, "--band", "20m", "--reading-mhz", mhz)
        tails.append(told(folder, "--radio", "--band", "40m"))
    assert tails[0]["wanted_m"] > tails[1]["wanted_m"]


def test_no_dip_at_all_is_a_fault_with_checks_and_mending_clears_it(folder):
    wrong = told(folder, "--band", "20m", "--reading-mhz", "13.2", "--swr", "9")
    assert wrong["verdict"] == "wrong" and wrong["move_m"] == 0.0 and len(wrong["causes"]) >= 1
    assert all(c["check"] and c["what"] for c in wrong["causes"]) and wrong["sound"] < 0.1
    assert [c["share"] for c in wrong["causes"]] == sorted((c["share"] for c in wrong["causes"]), reverse=True)
    assert told(folder, "--checked", "--band", "20m")["verdict"] != "wrong"
    assert told(folder, "--band", "20m", "--reading-mhz", "13.9", "--swr", "1.2", "--mended")["verdict"] == "cut"


@pytest.mark.parametrize("band, wide", [("20m", 0.04), ("40m", 0.03)])
def test_the_advice_goes_the_way_of_the_reading(folder, band, wide):
    """From below the aim to above it: shorten below the printed reading, let out above, and that reading stays the plan's."""
    plan = told(folder, "--band", band)["aim_mhz"]
    for off in np.linspace(-wide, wide, 7):
        read = round(plan * np.exp(off), 3)
        got = told(folder, "--strike", "--band", band, "--reading-mhz", str(read), "--checked")
        assert got["aim_mhz"] == pytest.approx(plan, rel=0.006)
        if abs(off) > 0.008:
            assert got["verdict"] in (("cut", "fold") if read < got["aim_mhz"] else ("unfold",)), (read, got["words"])
            assert (got["move_m"] > 0) == (off < 0)


@pytest.mark.parametrize("mhz", ["16.0", "7.05", "28.2", "12.2"])
def test_a_reading_that_cannot_be_right_is_called_so(folder, mhz):
    got = told(folder, "--band", "20m", "--reading-mhz", mhz, "--checked")
    assert got["verdict"] == "wrong" and got["move_m"] == 0.0 and got["likely_hz"][0] < 13.9e6 < got["likely_hz"][1]
    for word in ("Do not cut", mhz, "mistyped", "another band", "step", "coil", "joint", "--strike"):
        assert word in got["words"], word
    assert weights_in(folder) == ()
    good = told(folder, "--band", "20m", "--reading-mhz", "13.9", "--swr", "1.2")
    assert good["verdict"] == "cut" and good["likely_hz"] is None


def test_a_band_is_known_in_any_case(folder):
    assert told(folder, "--band", "20M", "--reading-mhz", "13.9")["band"] == "20m" and log_in(folder)[0]["band"] == "20m"


def test_the_radio_alone_folds_and_never_leaves_the_allocation(folder):
    assert run(folder, "--radio", "--band", "40m", "--at", "6.99:3 7.1:2").exit_code == 2  # Region 1: 7.0 to 7.2 MHz, Radio Regulations art. 5
    assert not log_in(folder)
    first = told(folder, "--radio")
    assert first["verdict"] == "fold" and first["move_m"] > 0 and "allocation" in first["words"]
    words = told(folder, "--radio", "--band", "20m", "--at", "14.01:1.5 14.175:1.3 14.34:1.3", "--cut-cm", str(100 * first["move_m"]))["words"]
    assert "MHz" in words


def test_a_sweep_in_touchstone_form_is_read(folder, tmp_path):
    """A series R, L, C about 13.9 MHz, written by scikit-rf, a general-purpose library; in 75 ohm form."""
    freq = np.linspace(13e6, 15e6, 801)
    z = 60 + 2j * np.pi * 8e-6 * (freq - 13.9e6**2 / freq)
    skrf.Network(f=freq, f_unit="hz", s=((z - 75) / (z + 75)).reshape(-1, 1, 1), z0=75).write_touchstone("dip", dir=str(tmp_path))
    got = told(folder, "--band", "20m", "--touchstone", str(tmp_path / "dip.s1p"))
    assert got["reading_mhz"] == pytest.approx(13.9, abs=0.01) and log_in(folder)[0]["swr"] == pytest.approx(1.2, abs=0.01)


@pytest.mark.parametrize(
    "more",
    [
        ("--band", "10m", "--reading-mhz", "28.5"), ("--band", "40m", "--touchstone", "none.s1p"), ("--reading-mhz", "7"),
        ("--band", "40m", "--reading-mhz", "7", "--chance", "2"), ("--band", "40m", "--swr", "2"), ("--band", "40m", "--at", "seven"),
        ("--band", "40m", "--reading-mhz", "7000"), ("--units", "cubits"),
    ],
)  # fmt: skip
def test_bad_options_have_status_two_and_leave_no_trace(folder, more):
    assert run(folder, *more).exit_code == 2
    assert not log_in(folder)


# ---- what is learned --------------------------------------------------------------------------------------------


def test_readings_narrow_the_sites_gardens(folder):
    assert weights_in(folder) == ()
    told(folder, "--band", "20m", "--reading-mhz", "13.8")
    weights = np.array(weights_in(folder))
    assert len(weights) == DRAWN and weights.sum() == pytest.approx(1.0) and 1 / (weights**2).sum() < 0.7 * DRAWN
    name = next(iter(kept(folder)))
    assert weights_in(folder, without=name) == ()


def test_a_narrowed_ensemble_holds_what_the_weights_favour():
    site = read_built(YARD, 1).site
    drawn, weights = draw(site, DRAWN, 1), [0.0] * DRAWN
    weights[3], weights[5] = 0.75, 0.25
    some = narrowed(site, 8, 1, tuple(weights))
    assert sum(m.conductors == drawn[3].conductors for m in some) == 6 and sum(m.soil == drawn[5].soil for m in some) >= 2
    assert len({m.loads for m in some}) == 8  # coils are wound anew
    assert narrowed(site, 8, 1, ()) == draw(site, 8, 1)


def test_a_broken_file_is_bad_input(tmp_path):
    (tmp_path / "learned.json").write_text(json.dumps({"gardens": GARDENS_VERSION, "designs": {"a": {"weights": [1, 2]}}}))
    with pytest.raises(InputError):
        weights_in(tmp_path)


def test_weights_of_gardens_drawn_otherwise_teach_nothing(tmp_path):
    designs = {"a": {"weights": [1.0] * DRAWN}}
    for version, taught in (({"gardens": "0"}, 0), ({}, 0), ({"gardens": GARDENS_VERSION}, DRAWN)):
        (tmp_path / "learned.json").write_text(json.dumps({**version, "designs": designs}))
        assert len(weights_in(tmp_path)) == taught
