"""Nothing finished is lost: killed outright at random moments, the disk full, the folder closed, the store damaged."""

import os
import random
import resource
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from nothing_lost import SITE, WISHES

from optimizer.search.keys import problem_key
from optimizer.search.ledger import Ledger

HERE = Path(__file__).parent
ENV = {**os.environ, "PYTHONPATH": f"{HERE.parents[1]}", "OMP_NUM_THREADS": "1"}
COMMAND = [sys.executable, str(HERE / "nothing_lost.py")]


def stored(path):
    with Ledger(path) as ledger:
        return {e.key for e in ledger.load(problem_key(SITE, WISHES)) if e.storey == "coarse"}


def start(path, trials=10_000, **more):
    return subprocess.Popen([*COMMAND, str(path), str(trials)], env=ENV, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **more)


def told(text):
    """(tried, reused) of the last whole line."""
    lines = [line.split() for line in text.splitlines(keepends=True) if line.endswith("\n")]
    return tuple(map(int, lines[-1])) if lines else (0, 0)


def killed_again_and_again(path, times, seed):
    rng, before = random.Random(seed), set()
    for n in range(times):
        child = start(path)
        first = child.stdout.readline()  # it has begun; the moments before are covered by what is drawn below
        assert first, child.stderr.read()
        time.sleep(rng.choice((0.0, 0.05, 0.3, 1.2)) * rng.random())
        child.send_signal(signal.SIGKILL)
        tried, reused = told(first + child.communicate()[0])
        with sqlite3.connect(path) as link:
            assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        now = stored(path)
        assert before <= now, "what was there is gone"
        assert tried - reused <= len(now - before) + 2, f"{n}: told of {tried - reused} solved, {len(now - before)} more are kept"
        before = now
    return before


def test_killed_at_random_moments(tmp_path):
    kept = killed_again_and_again(tmp_path / "l.sqlite", 4, seed=1)
    again = start(tmp_path / "l.sqlite")
    while (counts := told(again.stdout.readline())) and counts[0] < len(kept):
        pass
    again.kill()
    again.communicate()
    assert counts[1] >= len(kept) - 1, "the same search meets its earlier work again, all of it"


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2, 5))
def test_killed_at_random_moments_many_times(tmp_path, seed):
    killed_again_and_again(tmp_path / "l.sqlite", 25, seed)


@pytest.mark.slow
def test_killed_while_it_starts(tmp_path):
    path, rng = tmp_path / "l.sqlite", random.Random(9)
    for _ in range(15):
        child = start(path)
        threading.Timer(rng.uniform(0.0, 6.0), child.kill).start()
        child.communicate()
    assert not list(tmp_path.glob("*.damaged*")) and subprocess.run([*COMMAND, str(path), "3"], env=ENV, check=False).returncode == 0


def test_a_full_disk_says_so_and_what_was_written_is_kept(tmp_path):
    path, room = tmp_path / "l.sqlite", 250_000

    def narrow():
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))

    child = start(path, preexec_fn=narrow)
    out, err = child.communicate(timeout=300)
    assert child.returncode == 2, err
    assert "ledger" in err and "room" in err and "kept" in err and "Traceback" not in err
    tried, _ = told(out)
    kept = stored(path)
    assert 0 < tried <= len(kept) + 2
    assert subprocess.run([*COMMAND, str(path), "5"], env=ENV, check=False).returncode == 0 and kept <= stored(path)


def test_a_damaged_ledger_is_told_and_its_good_part_taken_over(tmp_path):
    path = tmp_path / "l.sqlite"
    subprocess.run([*COMMAND, str(path), "40"], env=ENV, check=True, capture_output=True)
    kept = stored(path)
    raw = bytearray(path.read_bytes())
    middle = len(raw) // 2 // 4096 * 4096
    raw[middle : middle + 8192] = random.Random(3).randbytes(8192)
    path.write_bytes(raw)
    with Ledger(path) as ledger:
        again = {e.key for e in ledger.load(problem_key(SITE, WISHES))}
        assert "damaged" in ledger.note and "taken over" in ledger.note
    assert again & kept and len(list(tmp_path.glob("*.damaged-*-done"))) == 1
    done = subprocess.run([*COMMAND, str(path), "40"], env=ENV, check=True, capture_output=True, text=True)
    assert told(done.stdout)[1] >= 1
