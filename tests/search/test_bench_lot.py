"""The bench of one lot runs to the end of every storey, gardens handed in by slices too."""

import importlib.util
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parents[1] / "bench"


def loaded(name):
    """A module of the benches by its file: other folders of tests have modules of the same names."""
    spec = importlib.util.spec_from_file_location(f"bench_folder_{name}", BENCH / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def bench(monkeypatch):
    monkeypatch.setattr(sys, "path", list(sys.path))  # the bench adds its folder
    monkeypatch.setitem(sys.modules, "lots", loaded("lots"))
    return loaded("bench_lot")


@pytest.mark.parametrize("members", [2, 5])
def test_every_storey_is_measured_to_its_end(bench, monkeypatch, members):
    spreads = []
    monkeypatch.setattr(bench, "MEMBERS", members)
    monkeypatch.setattr(bench, "packed", lambda outcome: spreads.append(outcome.spread) or "")
    told = bench.cost("terrace", 1)
    assert told["designs"] == 1 and {f"{storey}_cpu_s" for storey in ("coarse", "full", "gardens")} <= set(told)
    assert [spread and len(spread.gardens) for spread in spreads] == [None, None, members]
