"""The log: only added to, torn lines survived, what was struck or mended told apart."""

import json
from itertools import pairwise

import pytest

from optimizer.errors import InputError
from optimizer.trimming.log import Reading, append, check, entries, points_from, strike


def reading(**more):
    return Reading(**{"step": "wire_m", "band": "40m", "dip_hz": 7.0e6} | more)


def test_entries_come_back_in_order_and_the_file_only_grows(tmp_path):
    path, sizes = tmp_path / "readings" / "a.jsonl", []
    put = [reading(), reading(shortened_m=0.2, dip_hz=7.05e6, swr=1.4), reading(dip_hz=None, points=((7.0e6, 2.5), (7.1e6, 1.5)))]
    for one in put:
        append(path, one)
        sizes.append(path.read_bytes())
    assert list(entries(path)) == put
    assert all(later.startswith(earlier) for earlier, later in pairwise(sizes))


@pytest.mark.parametrize("lost", [1, 5, 30])
def test_a_line_torn_by_a_kill_costs_that_line_only(tmp_path, lost):
    path = tmp_path / "a.jsonl"
    append(path, reading())
    append(path, reading(dip_hz=7.05e6))
    path.write_bytes(path.read_bytes()[:-lost])
    kept = [r.dip_hz for r in entries(path)]
    assert kept == ([7.0e6, 7.05e6] if lost == 1 else [7.0e6])  # the newline alone is no loss
    append(path, reading(dip_hz=7.08e6))
    assert [r.dip_hz for r in entries(path)] == [*kept, 7.08e6]


def test_struck_readings_are_gone_but_stay_in_the_file(tmp_path):
    path = tmp_path / "a.jsonl"
    for dip in (7.0e6, 6.0e6):
        append(path, reading(dip_hz=dip))
    strike(path)
    append(path, reading(dip_hz=7.02e6))
    assert [r.dip_hz for r in entries(path)] == [7.0e6, 7.02e6] and len(path.read_text().splitlines()) == 4


def test_what_was_read_before_mending_tells_lengths_only(tmp_path):
    path = tmp_path / "a.jsonl"
    for mended in (False, False, True, False):
        append(path, reading(mended=mended, shortened_m=0.1))
    assert [r.counts for r in entries(path)] == [False, False, True, True]


def test_a_foreign_line_is_named(tmp_path):
    path = tmp_path / "a.jsonl"
    path.write_text(json.dumps({"colour": "red"}) + "\n" + json.dumps({"step": "a", "band": "40m", "dip_hz": 7e6}) + "\n")
    with pytest.raises(InputError) as bad:
        entries(path)
    assert bad.value.faults[0].field == "line 1"


def test_points_are_read_from_words():
    assert points_from("7.005:2.8, 7.1:1.9") == ((7.005e6, 2.8), (7.1e6, 1.9))
    with pytest.raises(InputError) as bad:
        points_from("7.005 x:1 7.1:1.9")
    assert len(bad.value.faults) == 2


def test_every_fault_of_a_reading_is_told():
    with pytest.raises(InputError) as bad:
        check(reading(dip_hz=7e9, swr=0.5, points=((7.1e6, 0.2),), shortened_m=99.0))
    assert len(bad.value.faults) == 4
    with pytest.raises(InputError):
        check(reading(dip_hz=None))
