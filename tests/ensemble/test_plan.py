"""Lengths to cut: against made-up aerials whose dips are powers of their lengths, and in gardens."""

import math
import sys
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "families"))
from lots import plain, wish

from optimizer.ensemble.plan import Drawing, Sensitivity, wanted_lengths
from optimizer.ensemble.spread import in_gardens
from optimizer.evaluate import COARSE, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
from optimizer.families.pieces import TRIM_SHARE


@dataclass
class Made:
    """Dips that go as powers of two lengths: `slopes[length][band]`."""

    lengths: dict
    slopes: dict
    nominal: SimpleNamespace = field(default_factory=lambda: SimpleNamespace(trims=(SimpleNamespace(parameter="a", band="20m"), SimpleNamespace(parameter="b", band="40m"))))

    def dips_hz(self, lengths, faster):
        return {
            band: 1e6 * at * faster[band] * math.prod((lengths[n] / self.lengths[n]) ** self.slopes[n][band] for n in lengths)
            for band, at in (("20m", 14.1), ("40m", 7.1))
        }


@pytest.mark.parametrize("faster", [{"20m": 0.98, "40m": 1.0}, {"20m": 1.01, "40m": 0.95}, {"20m": 1.0, "40m": 1.0}])
def test_wanted_lengths_bring_both_bands_right_at_once(faster):
    """Powers are straight lines in logarithms: one step is exact, however the lengths pull on each other's bands."""
    made = Made({"a": 10.0, "b": 1.6}, {"a": {"20m": -0.9, "40m": -0.4}, "b": {"20m": 0.1, "40m": -0.25}})
    plain_dips = made.dips_hz(made.lengths, {"20m": 1.0, "40m": 1.0})
    wanted = wanted_lengths(made, Sensitivity(slope=made.slopes, dips_hz=plain_dips), made.dips_hz(made.lengths, faster))
    assert made.dips_hz(wanted, faster) == pytest.approx(plain_dips, rel=1e-9)


def test_nothing_is_wanted_of_a_design_without_trimmed_lengths():
    assert wanted_lengths(SimpleNamespace(nominal=SimpleNamespace(trims=())), Sensitivity(slope={}, dips_hz={}), {}) == {}


class Lot:
    """Stands for a family: holds length a up to 10.2 m and both together up to 15.4 m."""

    def build(self, values, site, wishes):
        if values["a"] > 10.2 + 1e-9 or values["a"] + values["b"] > 15.4 + 1e-9:
            raise NoPlace("lot", 0.1)
        return values


def test_each_length_takes_what_room_the_others_leave():
    trims = tuple(SimpleNamespace(parameter=n) for n in "ab")
    drawing = Drawing(SimpleNamespace(trims=trims, values={"a": 10.0, "b": 5.0}), Lot(), None, None)
    assert drawing.longest({"a": 0.01, "b": 0.01}) == pytest.approx({"a": 10.1, "b": 5.05})
    assert drawing.longest({"a": 0.10, "b": 0.04}) == pytest.approx({"a": 10.15, "b": 5.2})


def test_every_member_begins_with_the_lengths_that_are_cut():
    site, wishes, family = plain(width=26.0), wish("20m"), FAMILIES["dipole"]
    values = next(v for v in family.starts(site, wishes) if place(site, wishes, family, v).design)
    found = measure(site, wishes, family, place(site, wishes, family, values).design, COARSE)
    ready, outcomes = in_gardens(site, wishes, family, found.values, members=4)
    for name, length in ready.start.items():
        assert length >= (1.0 + TRIM_SHARE) * ready.drawing.lengths[name] - 1e-9
        assert abs(length / 0.01 - round(length / 0.01)) < 1e-6
    firsts = np.array([o.trimmed.readings[0].length_m for o in outcomes])
    assert (firsts == next(iter(ready.start.values()))).all()
