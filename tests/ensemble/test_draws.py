"""Members and hidden gardens are spread evenly over every unknown, and each by itself is drawn from the stated law."""

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hidden_gardens import COMPOUNDS, hidden_garden
from luck import Alone, Among
from scipy import stats

from optimizer.ensemble.draws import COLUMNS, Draws
from optimizer.ensemble.unknowns import LOADS, SOIL_CLASSES, draw, soil_classes
from optimizer.physics.elements import Coil
from optimizer.physics.tables import read_table
from optimizer.site.read import read_site
from optimizer.spread import MEMBERS
from optimizer.wires.model import Load

SITE = read_site(Path(__file__).parents[2] / "sites" / "l_shape.geojson")
TABLE = {r["name"]: r for r in read_table("unknowns.csv", columns=COLUMNS, key=("name",), may_be_empty=("note",), package="optimizer.ensemble")}
SCALARS = {
    "coating_permittivity": lambda m: m.coating_permittivity, "coating_thickness": lambda m: m.coating_thickness, "height": lambda m: m.height,
    "sag": lambda m: m.sag, "shift": lambda m: m.shift_m, "fall": lambda m: math.hypot(*m.fall),
    **{f"coil_inductance {n}": lambda m, n=n: m.loads[n].inductance for n in range(LOADS)},
    **{f"coil_stray {n}": lambda m, n=n: m.loads[n].stray for n in range(LOADS)},
    **{f"coil_q {n}": lambda m, n=n: m.loads[n].q for n in range(LOADS)},
    **{f"capacitance {n}": lambda m, n=n: m.loads[n].capacitance for n in range(LOADS)},
    **{f"trunk_radius {n}": lambda m, n=n: trunks(m)[n].radius_m for n in range(len(SITE.trees))},
    **{f"trunk_conductivity {n}": lambda m, n=n: trunks(m)[n].conductivity_s_per_m for n in range(len(SITE.trees))},
    **{f"trunk_share {n}": lambda m, n=n: trunks(m)[n].points_m[1][2] / SITE.trees[n].height_m for n in range(len(SITE.trees))},
}  # fmt: skip


@cache
def members(count, seed):
    return draw(SITE, count, seed)


def trunks(member):
    return [w for w in member.conductors if w.conductivity_s_per_m < 1.0 and w.points_m[0][:2] == w.points_m[1][:2]]


def share_below(name, value):
    """Share of the stated law below a value."""
    row = TABLE[name.split()[0]]
    low, high = float(row["low"]), float(row["high"])
    return math.log(value / low) / math.log(high / low) if row["unit"].startswith("factor") else (value - low) / (high - low)


@pytest.mark.parametrize("name", SCALARS)
@pytest.mark.parametrize("seed", [1, 2])
def test_members_lie_one_in_each_24th_of_a_law_and_first_ones_are_spread_too(name, seed):
    at = np.array([share_below(name, SCALARS[name](m)) for m in members(4 * MEMBERS, seed)])
    for count in (3, 6, 12, MEMBERS, 2 * MEMBERS, 4 * MEMBERS):
        assert sorted(np.floor(at[:count] * count).astype(int)) == list(range(count))


@pytest.mark.parametrize("seed", range(6))
def test_soils_and_what_is_there_or_not_come_in_their_proportions(seed):
    """Whole numbers nearest to the stated share of 24: one more or less for an edge within a 24th."""
    drawn = members(MEMBERS, seed)
    soils = [m.soil for m in drawn]
    assert all(abs(soils.count(s) - MEMBERS / SOIL_CLASSES) < 2 for s in soil_classes(SITE.soil))
    fences = sum(any(w.radius_m == 1.5e-3 for w in m.conductors) for m in drawn)
    assert abs(fences - 0.6 * MEMBERS) < 1
    things = [sum(w.radius_m == 2e-3 for w in m.conductors) for m in drawn]
    assert [things.count(n) for n in range(3)] == [MEMBERS // 3] * 3
    boughs = [sum(w.conductivity_s_per_m < 1.0 for w in m.conductors) - len(trunks(m)) for m in drawn]
    assert abs(np.mean(boughs) - 3.0 * len(SITE.trees)) < 0.5


@pytest.mark.parametrize("member", [0, 5, 23])
def test_each_member_alone_is_drawn_from_the_stated_law(member):
    """Over 120 seeds: Kolmogorov and Smirnov, and the shares of what is there or not within four standard deviations."""
    alone = [members(MEMBERS, seed)[member] for seed in range(120)]
    for name in ("coating_permittivity", "height", "sag", "shift", "coil_inductance 3", "trunk_radius 0", "trunk_conductivity 0"):
        assert stats.kstest([share_below(name, SCALARS[name](m)) for m in alone], "uniform").pvalue > 1e-4, name
    soils = [m.soil for m in alone]
    assert stats.chisquare([soils.count(s) for s in soil_classes(SITE.soil)]).pvalue > 1e-4
    fences = sum(any(w.radius_m == 1.5e-3 for w in m.conductors) for m in alone)
    assert abs(fences - 0.6 * 120) < 4 * math.sqrt(120 * 0.6 * 0.4)


def test_unknowns_have_nothing_to_do_with_each_other():
    """Correlation of two unknowns of one member over 400 seeds, and of a thing between two loads: below four standard deviations."""
    pairs = (("soil", "height"), ("sag", "shift"), ("load 0 coil_inductance", "load 1 coil_inductance"), ("house 0 eaves_height", "house 1 eaves_height"))
    for one, other in pairs:
        both = np.array([[Draws(seed, 7).even(name) for name in (one, other)] for seed in range(400)])
        assert abs(np.corrcoef(both.T)[0, 1]) < 4 / math.sqrt(400), (one, other)


# ---- the hidden ones --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("first", [100, 3000])
def test_hidden_gardens_drawn_together_lie_one_in_each_fiftieth(first):
    coil = Load(wire="w", at_m=1.0, element=Coil(inductance_h=1e-5, stray_f=1e-12, q=None))
    gardens = [hidden_garden(SITE, n, among=50) for n in range(first, first + 50)]
    for n in range(8):
        made = [g.made(coil, n).element for g in gardens]
        for at in (
            stats.norm.cdf([e.inductance_h / 1e-5 for e in made], 1.0, 0.025),
            stats.norm.cdf(np.log([e.stray_f / 1e-12 for e in made]), 0.0, 0.18),
        ):
            assert sorted(np.floor(at * 50).astype(int)) == list(range(50))
    assert len({g.ground.soil for g in gardens}) == 50


def test_gardens_drawn_together_have_the_laws_of_those_drawn_alone():
    """The same number from both, 600 of each: Kolmogorov and Smirnov, two samples; choices by their counts."""
    for draw_one in (
        lambda luck: luck.even("a", 0.3, 3.0), lambda luck: luck.normal("b", 0.015, 0.007), lambda luck: luck.beta("c", 6.0, 2.5),
        lambda luck: luck.gamma("d", 2.0, 0.12),
    ):  # fmt: skip
        alone, among = ([draw_one(make(n)) for n in range(600)] for make in (Alone, lambda n: Among(n, 50)))
        assert stats.ks_2samp(alone, among).pvalue > 1e-3
    kinds = [Among(n, 50).one_of("e", COMPOUNDS) for n in range(50)]
    assert sorted(kinds.count(c) for c in COMPOUNDS) == [16, 17, 17]
    wet = [[hidden_garden(SITE, n, among=size).ground.soil.conductivity_s_per_m for n in range(400)] for size in (0, 50)]
    assert stats.ks_2samp(*wet).pvalue > 1e-3
