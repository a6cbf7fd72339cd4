"""One part of a placed design changed: the band figures of the main evaluation move as physics says, and their budget still sums to one."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from optimizer.families.catalogue import FAMILIES
from optimizer.figures import band_figures
from optimizer.network.line import line_type, total_loss_db
from optimizer.physics.elements import Coil
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.budget_words import plain_budget
from optimizer.search.probe import nearest
from optimizer.site.read import read_site
from optimizer.trim import trimmed
from optimizer.wires.model import Ground

SITE = read_site(Path(__file__).parents[1] / "sites" / "l_shape.geojson")
WISHES = read_wishes("40m:7.09-7.11 20m", SITE)
LOW, HIGH = WISHES.bands
GROUND = Ground(kind="soil", soil=SITE.soil)
FIELD = ("sky", "soil", "wire", "coils")


@pytest.fixture(scope="module")
def design():
    family = FAMILIES["end_fed_loaded_tail"]
    found = trimmed(nearest(family, SITE, WISHES).design, family, SITE, WISHES, GROUND, moves=3)
    return replace(found, feed=replace(found.feed, line="cable_rg58", line_length_m=20.0, transformer="transformer_49_100w"))


def of(design, wish=HIGH):
    figures = band_figures(design, GROUND, wish, swr_limit=2.0, nodes=3, dense=21, patterns=3)
    budget = plain_budget(design, wish.key, figures.budget)
    assert sum(budget.values()) == pytest.approx(1.0, abs=2e-3)
    assert budget["sky"] == pytest.approx(figures.efficiency, rel=1e-9)
    return figures, budget


def past(budget, *parts):
    """What is left of a watt behind those parts."""
    return 1.0 - sum(budget[p] for p in parts)


def test_thicker_line(design):
    """Ends at the same load: losses by line theory with that reflection (law of row P4-015); what passes is shared out in the field as before."""
    (thin, b1), (thick, b2) = of(design), of(replace(design, feed=replace(design.feed, line="cable_rg213")))
    for key, budget, found in (("cable_rg58", b1, thin), ("cable_rg213", b2, thick)):
        matched = float(line_type(key).matched_loss_db_per_100m(HIGH.centre_hz)) * 0.2
        worst, best = (float(total_loss_db(matched, (s - 1) / (s + 1))) for s in (3.0 * found.swr_worst, 1.0))
        assert 0.97 * best < -10 * math.log10(past(budget, "line")) < worst
    assert b2["line"] < 0.5 * b1["line"] and thick.efficiency > thin.efficiency
    for name in FIELD:
        shares = [b[name] / past(b, "line", "transformer") for b in (b1, b2)]
        assert shares[1] == pytest.approx(shares[0], rel=2e-3)


def test_second_ring(design):
    """Twice the ferrite is twice the impedance across the primary: half the core loss for the power that passes, on both bands."""
    double = replace(design, feed=replace(design.feed, transformer="transformer_49_400w"))
    for wish in (LOW, HIGH):
        (one, b1), (two, b2) = of(design, wish), of(double, wish)
        lost = [b["transformer"] / past(b, "line", "transformer") for b in (b1, b2)]
        assert lost[1] == pytest.approx(0.5 * lost[0], rel=0.1)
        assert two.efficiency > one.efficiency


def test_coil_of_half_the_q(design):
    """R = w L / Q: with the current all but the same, the coil takes twice the power against the rest of the wire."""
    at = next(i for i, load in enumerate(design.loads) if isinstance(load.element, Coil))
    poor = replace(design.loads[at], element=replace(design.loads[at].element, q=0.5 * design.loads[at].element.q))
    halved = replace(design, loads=(*design.loads[:at], poor, *design.loads[at + 1 :]))
    (good, b1), (bad, b2) = of(design, LOW), of(halved, LOW)
    against = [b["coils"] / (b["sky"] + b["soil"] + b["wire"]) for b in (b1, b2)]
    assert against[1] == pytest.approx(2.0 * against[0], rel=0.03)
    assert bad.efficiency < good.efficiency
    assert b2["soil"] / b2["sky"] == pytest.approx(b1["soil"] / b1["sky"], rel=0.02)
