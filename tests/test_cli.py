"""The command as a user meets it: statuses, outputs, quickness, and being killed."""

import csv
import io
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from typer.testing import CliRunner

from optimizer import cli
from optimizer.search.ledger import ROWS

SITES = Path(__file__).parents[1] / "sites"
ENV = {**os.environ, "OMP_NUM_THREADS": "1", "COLUMNS": "100"}


def lotwire(*arguments, cwd, **more):
    command = [sys.executable, "-m", "optimizer.cli", *map(str, arguments)]
    return subprocess.run(command, check=False, cwd=cwd, env=ENV, capture_output=True, text=True, timeout=300, **more)


@pytest.fixture(scope="module")
def ranked(tmp_path_factory):
    """A finished run of twelve designs and its folder."""
    cwd = tmp_path_factory.mktemp("cli")
    run = lotwire("rank", SITES / "terrace.geojson", "--bands", "20m 10m:voice", "--trials", 12, "--workers", 1, cwd=cwd)
    assert run.returncode == 0, run.stderr
    return cwd, run


def test_help_loads_nothing_heavy():
    """What makes `--help` slow is imports; the time itself is for tests/bench."""
    code = (
        "import sys; from optimizer import cli\n"
        "try: sys.argv = ['lotwire', '--help']; cli.main()\n"
        "except SystemExit: pass\n"
        "print(sorted({'numpy', 'scipy', 'numba', 'pandas', 'shapely', 'optuna', 'sqlalchemy'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "rank" in run.stdout and run.stdout.strip().endswith("[]")


def test_rank_prints_a_table_of_100_columns_with_the_note(ranked):
    _, run = ranked
    assert max(map(len, run.stdout.splitlines())) <= 100
    flat = " ".join(run.stdout.split())
    assert "score" in flat and "computed estimates for planning" in flat.lower() and "ground:" in flat


def test_the_same_command_goes_on_and_prints_the_same_table_as_csv_and_json(ranked):
    cwd, _ = ranked
    command = ["rank", SITES / "terrace.geojson", "--bands", "20m 10m:voice", "--trials", 12, "--workers", 1]
    as_csv = lotwire(*command, "--csv", cwd=cwd)
    as_json = lotwire(*command, "--json", cwd=cwd)
    assert "going on" in as_csv.stderr
    told = list(csv.DictReader(io.StringIO(as_csv.stdout)))
    content = json.loads(as_json.stdout)
    assert as_csv.stdout == (cwd / "results/terrace/ranked.csv").read_text()
    assert [float(r["score"]) for r in told] == [r["score"] for r in content["rows"]]
    assert content["run"]["reused"] == content["run"]["tried"] == 12


def test_solve_gives_a_design_its_impedance_again(ranked):
    cwd, _ = ranked
    design = json.loads((cwd / "results/terrace/designs/1.json").read_text())
    band = design["bands"]["20m"]
    (cwd / "case.json").write_text(json.dumps(band["case"]))
    run = lotwire("solve", "case.json", cwd=cwd)
    assert run.returncode == 0, run.stderr
    told = [r["ports"][0]["impedance_ohm"] for r in json.loads(run.stdout)["results"]]
    for (re, im), (re_again, im_again) in zip(band["feed_impedance_ohm"], told, strict=True):
        assert abs(complex(re - re_again, im - im_again)) <= 1e-6 * abs(complex(re, im))


def test_rerun_says_what_moved(ranked):
    cwd, _ = ranked
    shutil.copytree(cwd / "results/terrace", cwd / "again/terrace")
    table = (cwd / "again/terrace/ranked.csv").read_text()
    costs = [float(r["cost"]) for r in csv.DictReader(io.StringIO(table))]
    run = lotwire("rerun", "again/terrace", "--budget", sorted(costs)[len(costs) // 2], "--workers", 1, cwd=cwd)
    assert run.returncode == 0, run.stderr
    flat = " ".join(run.stdout.split())
    assert "What changed" in flat and "left (was" in flat


def test_bad_input_is_status_2_with_one_line_for_each_fault(tmp_path):
    broken = json.loads((SITES / "terrace.geojson").read_text())
    broken["site"]["height_limit_m"] = "tall"
    broken["site"]["itu_region"] = 7
    (tmp_path / "broken.geojson").write_text(json.dumps(broken))
    run = lotwire("rank", "broken.geojson", "--bands", "20m", cwd=tmp_path)
    assert run.returncode == 2 and not run.stdout
    lines = run.stderr.strip().splitlines()
    assert len(lines) == 2 and any("height_limit_m" in t for t in lines) and any("itu_region" in t for t in lines)


@pytest.mark.parametrize(
    "arguments, words",
    [
        (["--bands", "41m"], ["41m"]),
        (["--bands", "20m", "--power-w", "-4", "--swr-limit", "0.5"], ["--power-w", "--swr-limit"]),
        ([], ["--bands"]),
        (["--bands", "missing.toml"], ["missing.toml"]),
    ],
)
def test_bad_wishes_are_status_2_and_named(tmp_path, arguments, words):
    run = lotwire("rank", SITES / "terrace.geojson", *arguments, cwd=tmp_path)
    assert run.returncode == 2 and all(w in run.stderr for w in words)


def test_a_folder_that_was_never_ranked_is_bad_input(tmp_path):
    run = lotwire("rerun", "nowhere", "--budget", 5, cwd=tmp_path)
    assert run.returncode == 2 and "DIR" in run.stderr


def test_nothing_fits_is_status_3_with_reasons_and_a_relaxation(tmp_path):
    run = lotwire("rank", SITES / "terrace.geojson", "--bands", "20m", "--budget", 3, "--workers", 1, cwd=tmp_path)
    assert run.returncode == 3, run.stderr
    assert "nothing fits" in run.stderr and "more to spend" in run.stderr


def test_several_sites_at_once_and_one_bad_among_them(tmp_path):
    (tmp_path / "bad.geojson").write_text("{}")
    run = lotwire("rank", "bad.geojson", SITES / "terrace.geojson", "--bands", "20m", "--trials", 6, "--workers", 1,
                  "--csv", cwd=tmp_path)  # fmt: skip
    assert run.returncode == 2 and "bad.geojson" in run.stderr
    assert (tmp_path / "results/terrace/ranked.csv").exists()


def start_long_run(cwd):
    command = [sys.executable, "-m", "optimizer.cli", "rank", str(SITES / "terrace.geojson"), "--bands", "20m",
               "--seconds", "120", "--workers", "2"]  # fmt: skip
    return subprocess.Popen(command, cwd=cwd, env=ENV, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def stored(cwd):
    import sqlite3

    path = cwd / "results/terrace/ledger.sqlite"
    if not path.exists():
        return 0
    link = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
    try:
        return link.execute(f"SELECT count(*) FROM {ROWS.name}").fetchone()[0]
    except sqlite3.OperationalError:
        return 0
    finally:
        link.close()


def wait_for(condition, seconds):
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if condition():
            return True
        time.sleep(0.1)
    return False


def children_of(pid):
    return [int(p) for p in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="needs /proc to see the workers")
def test_killed_outright_leaves_no_worker_and_the_next_start_goes_on(tmp_path):
    run = start_long_run(tmp_path)
    try:
        assert wait_for(lambda: stored(tmp_path) >= 4, 100)
        workers = children_of(run.pid)
    finally:
        run.send_signal(signal.SIGKILL)
        run.communicate()
    assert workers and wait_for(lambda: not any(Path(f"/proc/{w}").exists() for w in workers), 10)
    kept = stored(tmp_path)
    again = lotwire("rank", SITES / "terrace.geojson", "--bands", "20m", "--trials", 3, "--workers", 2, "--json", cwd=tmp_path)
    assert again.returncode == 0 and "going on" in again.stderr
    assert json.loads(again.stdout)["rows"] and stored(tmp_path) >= kept >= 4


def test_stopped_by_the_keyboard_writes_its_rows_and_is_status_0(tmp_path):
    run = start_long_run(tmp_path)
    try:
        assert wait_for(lambda: stored(tmp_path) >= 4, 100)
        run.send_signal(signal.SIGINT)
        out, err = run.communicate(timeout=180)  # a busy machine may need long
    finally:
        run.kill()
    assert run.returncode == 0, err
    assert (tmp_path / "results/terrace/ranked.csv").exists() and "score" in out


def test_two_sites_of_one_name_are_refused_before_anything_runs(tmp_path):
    (tmp_path / "b").mkdir()
    shutil.copy(SITES / "terrace.geojson", tmp_path / "b")
    shutil.copy(SITES / "terrace.geojson", tmp_path / "b/other.geojson")
    run = lotwire("rank", SITES / "terrace.geojson", "b/other.geojson", "b/terrace.geojson", "--bands", "20m", "--trials", 3, "--workers", 1, cwd=tmp_path)
    assert run.returncode == 2 and not (tmp_path / "results").exists()
    line = run.stderr.strip()
    assert "\n" not in line and f"{SITES / 'terrace.geojson'}" in line and "b/terrace.geojson" in line and "other" not in line


FAULTY = '''
bands = "20m"
power_w = -3
[on_hand]
cable_rg59 = 3
mast_6m = 1
[prices]
gold = 2
'''


def test_unknown_parts_of_a_wish_file_are_told_with_their_table_beside_all_other_faults(tmp_path):
    (tmp_path / "wish.toml").write_text(FAULTY)
    run = lotwire("rank", SITES / "terrace.geojson", "--bands", "wish.toml", cwd=tmp_path)
    lines = run.stderr.strip().splitlines()
    assert run.returncode == 2 and len(lines) == 3 and all(t.startswith("wish.toml: ") for t in lines)
    assert any("on_hand.cable_rg59" in t and "cable_rg58" in t for t in lines) and any("prices.gold" in t for t in lines) and any("power_w" in t for t in lines)


@pytest.mark.parametrize("command", [["rank", SITES / "terrace.geojson", "--bands", "41m"], ["rerun", "nowhere"]], ids=["rank", "rerun"])
def test_faults_of_lists_weights_and_wishes_are_told_together(tmp_path, command):
    run = lotwire(*command, "--weights", "loudness=1 nice=2", "--prices", "no.csv", "--rates", "none.csv", cwd=tmp_path)
    assert run.returncode == 2 and len(run.stderr.strip().splitlines()) == 5
    assert all(words in run.stderr for words in ("loudness", "nice", "no.csv", "none.csv")) and ("41m" in run.stderr or "nowhere" in run.stderr)


def test_a_currency_without_rate_is_one_line(tmp_path):
    site = json.loads((SITES / "terrace.geojson").read_text())
    site["site"]["currency"] = "NZD"
    (tmp_path / "lot.geojson").write_text(json.dumps(site))
    run = lotwire("rank", "lot.geojson", "--bands", "20m", "--trials", 3, "--workers", 1, cwd=tmp_path)
    faults = [t for t in run.stderr.splitlines() if "NZD" in t]
    assert run.returncode == 2 and len(faults) == 1 and "--rates" in faults[0]


@pytest.mark.parametrize("command", [["rank", SITES / "terrace.geojson", "--bands", "20m"], ["rerun", "nowhere"]], ids=["rank", "rerun"])
def test_no_time_to_search_is_a_fault_of_the_option(tmp_path, command):
    run = lotwire(*command, "--seconds", 0, cwd=tmp_path)
    assert run.returncode == 2 and "--seconds" in run.stderr and "more than 0" in run.stderr


def test_stopped_before_any_row_says_so_and_leaves_an_earlier_table(ranked, tmp_path, monkeypatch):
    """The stop comes before the first candidate: no empty table is printed or written over one that is there."""
    shutil.copytree(ranked[0] / "results/terrace", tmp_path / "results/terrace")
    table = (tmp_path / "results/terrace/ranked.csv").read_text()
    monkeypatch.setattr(cli._Bar, "__enter__", lambda bar: bar.stop.set() or bar)
    monkeypatch.setattr(cli._Bar, "__exit__", lambda *_: None)
    asked = ["rank", SITES / "terrace.geojson", "--bands", "40m", "--trials", 5, "--workers", 1, "--out", tmp_path / "results"]
    run = CliRunner().invoke(cli.app, list(map(str, asked)))
    assert run.exit_code == 130 and "stopped before anything was found" in run.stderr and not run.stdout
    assert (tmp_path / "results/terrace/ranked.csv").read_text() == table
