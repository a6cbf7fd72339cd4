"""What a results folder says about people, power, voltage, weather and where the power goes."""

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest
from shapely.geometry import Point, Polygon

from optimizer.criteria.fit import fits
from optimizer.errors import NothingFits
from optimizer.network.endure import Stands
from optimizer.parts.cautions import BY_STEP
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into
from optimizer.report.safety_words import about, safety_needs
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

SITE_FILE = Path(__file__).parents[2] / "sites" / "terrace.geojson"
SITE = read_site(SITE_FILE)
WISHES = read_wishes("20m 10m:morse", SITE, power_w=100.0, mode_duty=1.0)
SETTINGS = SearchSettings(trials=12, workers=1, seed=5)


@pytest.fixture(scope="module")
def ranked(tmp_path_factory):
    return rank_into(tmp_path_factory.mktemp("results") / "terrace", SITE_FILE, SITE, WISHES, SETTINGS)


@pytest.fixture(scope="module")
def designs(ranked):
    return [json.loads(p.read_text()) for p in sorted((ranked.folder / "designs").glob("*.json"))]


def test_power_budgets_sum_to_one_and_their_sky_is_the_efficiency(ranked, designs):
    content = json.loads((ranked.folder / "ranked.json").read_text())
    assert len(content["power_budgets"]) == len(content["rows"]) == len(designs)
    for row, budgets, evaluation in zip(content["rows"], content["power_budgets"], ranked.result.rows):
        for key, budget in budgets.items():
            assert sum(budget.values()) == pytest.approx(1.0, abs=1e-9)
            assert all(share >= -1e-6 for share in budget.values()), budget
            assert budget["sky"] == pytest.approx(row[f"{key}_efficiency"], abs=1e-3)
            assert ("transformer" in budget) == (evaluation.design.feed.transformer is not None)
            assert "load 0" not in budget and {"line", "wire", "soil", "sky"} <= set(budget)


def test_nobody_is_exposed_beyond_the_level_by_an_offered_design(ranked):
    with open(ranked.folder / "ranked.csv", encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    for row, evaluation in zip(rows, ranked.result.rows):
        assert fits(evaluation.margins) and 0.0 <= float(row["exposure_share"]) <= 1.0
        assert evaluation.margins["exposure"] == pytest.approx(1.0 - float(row["exposure_share"]) ** 2, abs=0.02)
        assert not row["exposure_power_w"] or float(row["exposure_power_w"]) >= WISHES.power_w
        assert float(row["wind_stood_m_per_s"]) >= 5.5 and float(row["keep_clear_m"]) >= 0.0


def test_design_files_hold_zone_touch_weather_tools_and_cautions(designs):
    for design in designs:
        safety = design["safety"]
        assert safety["exposure"]["average_power_w"] == pytest.approx(50.0)
        for ring in safety["exposure"]["zone"]["outline_m"]:
            assert Polygon(ring).is_valid and not any(b.footprint.buffer(-0.1).contains(Point(ring[0])) for b in SITE.buildings)
        assert bool(safety["exposure"]["zone"]["outline_m"]) == (safety["exposure"]["zone"]["keep_m"] > 0.0)
        assert safety["touch"] and all(p["volts"] > 0 for p in safety["touch"])
        assert set(design["cautions_by_step"]) == set(BY_STEP) and all(design["cautions_by_step"].values())
        assert {"Tape measure 30 m", "SWR meter"} <= {t["item"] for t in design["tools"]}
        assert {p["name"] for p in design["power_limits"]} >= {"line_power"}
        lower = safety["weather"]["lower_before_design_wind"]
        assert lower == (safety["weather"]["wind_stood_m_per_s"] < SITE.wind_m_per_s)
        assert ("above that" in design["needs"]) == lower


def test_only_power_in_the_way_says_at_most_how_much():
    wishes = read_wishes("20m", SITE, power_w=4000.0, mode_duty=1.0, transmit_share=1.0)
    with pytest.raises(NothingFits) as nothing:
        rank_site(SITE, wishes, replace(SETTINGS, trials=16))
    first = next(text for text in nothing.value.relaxations if text.startswith("at most"))
    assert any("at most" in reason for reason in nothing.value.reasons.values())
    most_w = float(first.split()[2])
    assert 1.0 < most_w < 4000.0


def test_words_speak_only_of_what_matters(ranked):
    safety = ranked.result.safety[0]
    calm = replace(safety, most_power_w=1e6, zone=replace(safety.zone, keep_m=0.0), hot=(), weather=replace(safety.weather, wind_m_per_s=40.0))
    assert safety_needs(calm, SITE, 100.0, masts=True) == []
    low = replace(safety.hot[0], at_m=(0.0, 0.0, 1.0), volts=1234.0)
    worried = replace(calm, most_power_w=123.4, zone=replace(safety.zone, keep_m=1.23), hot=(low,), weather=replace(safety.weather, wind_m_per_s=11.5))
    words = ", ".join(safety_needs(worried, SITE, 100.0, masts=True))
    assert "at most 120 W" in words and "within 1.3 m" in words and "1200 V" in words and "lower it above" in words
    assert about(86.0) == "86"


def test_stands_survive_the_ledger(tmp_path):
    wishes = read_wishes("20m", SITE)
    one = rank_site(SITE, wishes, replace(SETTINGS, trials=4, ledger=tmp_path / "l.sqlite"))
    two = rank_site(SITE, wishes, replace(SETTINGS, trials=4, ledger=tmp_path / "l.sqlite"))
    assert two.reused == two.tried
    assert [e.bands["20m"].stands for e in one.rows] == [e.bands["20m"].stands for e in two.rows]
    assert [e.bands["20m"].exposure for e in one.rows] == [e.bands["20m"].exposure for e in two.rows]
    assert all(isinstance(s, Stands) for e in two.rows for s in e.bands["20m"].stands.values())
