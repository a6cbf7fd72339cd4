"""The ledger: what is committed is never lost, what is damaged is set aside, what cannot be written says so."""

import os
import random
import signal
import subprocess
import sys
import time

import pytest
import sqlalchemy as sa

from optimizer.errors import InputError
from optimizer.evaluate import Measurement
from optimizer.figures import BandFigures
from optimizer.search.ledger import STEPS, Entry, Ledger, written


def entry(n, problem="p"):
    band = BandFigures(
        covered_share=0.5, swr_best=1.1, swr_worst=2.5, efficiency=0.4, gain_near_dbi=1.0, gain_far_dbi=-7.0,
        freq_hz=(7.0e6, 7.2e6), swr=(1.1, 2.5), solved_hz=(7.0e6,), solved_ohm=((50.0, -3.25),), budget={"soil": 0.6},
    )  # fmt: skip
    found = Measurement(family="f", values={"a": n, "at": (1.0, 2.0)}, bands={"40m": band}, storey="coarse")
    return Entry(key=f"k{n}", problem=problem, family="f", storey="coarse", asked={"a": n}, design="d", measured=written(found))


def test_round_trip_and_problems_apart(tmp_path):
    with Ledger(tmp_path / "l.sqlite") as ledger:
        for e in (entry(1), entry(2), entry(3, "other")):
            ledger.add(e)
    with Ledger(tmp_path / "l.sqlite") as ledger:
        assert ledger.load("p") == (entry(1), entry(2))
        assert ledger.get("k2") == entry(2) and ledger.get("k3") is None


def test_adding_again_replaces(tmp_path):
    with Ledger(tmp_path / "l.sqlite") as ledger:
        ledger.add(entry(1))
        ledger.commit()
        ledger.add(entry(1))
        ledger.commit()
        assert len(ledger.load("p")) == 1


WRITER = """
import sys, time
sys.path.insert(0, {here!r})
from test_ledger import entry
from optimizer.search.ledger import Ledger
ledger = Ledger({path!r})
for n in range(100000):
    ledger.add(entry(n)); ledger.commit(); print(n, flush=True); time.sleep(0.002)
"""


def test_killed_at_a_random_moment_loses_nothing_that_was_committed(tmp_path):
    path, rng, kept = str(tmp_path / "l.sqlite"), random.Random(5), set()
    code = WRITER.format(here=os.path.dirname(__file__), path=path)
    for _ in range(4):
        child = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
        first = child.stdout.readline()
        assert first
        time.sleep(rng.uniform(0.05, 0.6))
        child.send_signal(signal.SIGKILL)
        finished = {int(line) for line in [first, *child.communicate()[0].splitlines(keepends=True)] if line.endswith("\n")}
        with Ledger(path) as ledger:
            now = {e.asked["a"] for e in ledger.load("p")}
        assert finished <= now and kept <= now
        kept = now
    assert len(kept) > 20


def test_a_damaged_store_is_set_aside_and_its_readable_rows_taken_over(tmp_path):
    path = tmp_path / "l.sqlite"
    with Ledger(path) as ledger:
        for n in range(400):
            ledger.add(entry(n))
    raw = bytearray(path.read_bytes())
    raw[-4096 * 3 :] = os.urandom(4096 * 3)
    path.write_bytes(raw)
    with Ledger(path) as ledger:
        assert "damaged" in ledger.note
        kept = [e for e in ledger.load("p") if ledger.get(e.key)]
        assert 100 < len(kept) <= 400 and all(e == entry(e.asked["a"]) for e in kept)


def test_a_file_that_is_no_store_at_all(tmp_path):
    path = tmp_path / "l.sqlite"
    path.write_text("not a database " * 1000)
    with Ledger(path) as ledger:
        assert "damaged" in ledger.note and ledger.load("p") == ()


def test_a_place_that_cannot_be_written_is_bad_input():
    with pytest.raises(InputError, match="can be written"):
        Ledger("/proc/nowhere/l.sqlite")


def test_rows_that_cannot_be_read_are_left_out(tmp_path):
    with Ledger(tmp_path / "l.sqlite") as ledger:
        ledger.add(entry(1))
        ledger.add(entry(2))
        ledger.commit()
        with ledger.engine.begin() as link:
            link.exec_driver_sql("UPDATE evaluations_2 SET found = ? WHERE key = 'k1'", ("{broken",))
        ledger.load("p")
        assert ledger.get("k1") is None and ledger.get("k2") == entry(2)


def test_steps_are_read_in_order_and_what_stood_beyond_a_gap_makes_way(tmp_path):
    first, *later = (entry(n).found for n in range(4))
    with Ledger(tmp_path / "l.sqlite") as ledger:
        ledger.keep_steps("k", 0, (first,))
        ledger.keep_steps("k", 1, (later[0],))
        ledger.keep_steps("k", 2, (later[1],))
        ledger.keep_steps("other", 0, (later[2],))
        with ledger.engine.begin() as link:
            link.execute(sa.update(STEPS).where(STEPS.c.place.like("k %1")).values(found="{"))
        assert ledger.steps("k") == (first,)
        ledger.keep_steps("k", 1, (later[2],))
        assert ledger.steps("k") == (first, later[2])
        ledger.forget_steps("k")
        assert ledger.steps("k") == () and ledger.steps("other") == (later[2],)


def test_steps_that_cannot_be_dropped_say_so(tmp_path):
    with Ledger(tmp_path / "l.sqlite") as ledger:
        ledger.keep_steps("k", 0, (entry(1).found,))
        with ledger.engine.begin() as link:
            link.exec_driver_sql("CREATE TRIGGER full BEFORE DELETE ON steps BEGIN SELECT RAISE(ABORT, 'disk full'); END")
        with pytest.raises(InputError, match="disk full"):
            ledger.forget_steps("k")
