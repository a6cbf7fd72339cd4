"""The results folder against the contract, and every exported wire case solved again by the field command's own path."""

import csv
import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import LineString, Point

from optimizer.field.answer import answer
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import kept_run, only_tighter, rank_into, rerun, wishes_from
from optimizer.report.moved import moves, wishes_changed
from optimizer.report.notes import HONEST_NOTE
from optimizer.report.write import strict
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site
from optimizer.wires.case_json import parse_case

SITE_FILE = Path(__file__).parents[2] / "sites" / "terrace.geojson"
SITE = read_site(SITE_FILE)
WISHES = read_wishes("20m:voice 10m:morse*2@far", SITE, budget=400.0)
SETTINGS = SearchSettings(trials=12, workers=1, seed=2)

# contract.md, "Results: OUT/NAME/"
ROW_NAMES = ["rank", "design", "family", "score", "cost", "currency", "mast_m", "highest_m", "wire_m", "lot_margin_m"]
BAND_NAMES = ["covered_share", "swr_best", "swr_worst", "efficiency", "gain_near_dbi", "gain_far_dbi"]


@pytest.fixture(scope="module")
def ranked(tmp_path_factory):
    folder = tmp_path_factory.mktemp("results") / "terrace"
    return rank_into(folder, SITE_FILE, SITE, WISHES, SETTINGS)


@pytest.fixture(scope="module")
def rows(ranked):
    with open(ranked.folder / "ranked.csv", encoding="utf-8", newline="") as text:
        return list(csv.DictReader(text))


@pytest.fixture(scope="module")
def designs(ranked, rows):
    return [json.loads((ranked.folder / "designs" / f"{r['rank']}.json").read_text()) for r in rows]


def test_columns_are_those_of_the_contract(rows):
    wanted = ROW_NAMES + [f"{b}_{c}" for b in ("20m", "10m") for c in BAND_NAMES]
    assert [n for n in rows[0] if n in wanted] == wanted


def test_rows_are_in_order_and_carry_the_note(rows):
    assert [int(r["rank"]) for r in rows] == list(range(1, len(rows) + 1))
    scores = [float(r["score"]) for r in rows]
    assert scores == sorted(scores, reverse=True) and all(0 <= s <= 100 for s in scores)
    assert all(r["note"] == HONEST_NOTE and "ground" in r["made_with"] and r["why"] and r["needs"] for r in rows)


def test_every_exported_case_gives_the_feed_impedance_again(designs):
    for design in designs:
        for band in design["bands"].values():
            results = answer(parse_case(band["case"]))["results"]
            again = np.array([complex(*r["ports"][0]["impedance_ohm"]) for r in results])
            told = np.array([complex(*z) for z in band["feed_impedance_ohm"]])
            assert np.abs(again - told).max() <= 1e-6 * np.abs(told).max()


def test_cases_cover_the_segment_with_both_edges(designs):
    for design in designs:
        for wish in WISHES.bands:
            mhz = design["bands"][wish.key]["case"]["frequencies_mhz"]
            assert mhz[0] * 1e6 == pytest.approx(wish.low_hz) and mhz[-1] * 1e6 == pytest.approx(wish.high_hz)
            assert len(design["bands"][wish.key]["radio_swr"]) == len(mhz)


def test_the_radio_folds_back_above_its_limit(designs):
    """Reflected power held at what it is at the limit, |Gamma| 1/3 at SWR 2: P = P0 (1/3)^2 ((s + 1)/(s - 1))^2 (common practice, no source)."""
    for design in designs:
        for band in design["bands"].values():
            for s, watts in zip(band["radio_swr"], band["radio_power_w"], strict=True):
                wanted = 1.0 if s <= WISHES.swr_limit else ((s + 1.0) / (s - 1.0) / 3.0) ** 2
                assert WISHES.swr_limit == 2.0 and watts == pytest.approx(WISHES.power_w * wanted)


def test_columns_agree_with_the_exported_swr(designs, rows):
    for design, row in zip(designs, rows):
        for key, band in design["bands"].items():
            assert max(band["radio_swr"]) <= float(row[f"{key}_swr_worst"]) + 2e-3
            assert min(band["radio_swr"]) >= float(row[f"{key}_swr_best"]) - 2e-3


def test_cost_is_the_sum_of_the_parts(designs, rows):
    for design, row in zip(designs, rows):
        for part in design["parts"]:
            assert part["price"] == pytest.approx(part["quantity"] * part["unit_price"], abs=0.005001)
        assert sum(p["price"] for p in design["parts"]) == pytest.approx(float(row["cost"]), abs=0.005)
        assert design["tools"] is not None and float(row["cost"]) <= WISHES.budget


def test_heights_lengths_and_margin_come_from_the_placed_wires(ranked, designs, rows):
    for design, row, evaluation in zip(designs, rows, ranked.result.rows):
        masts = [m["height_m"] for m in design["placement"]["masts"]]
        wires = next(iter(design["bands"].values()))["case"]["wires"]
        assert float(row["mast_m"]) == pytest.approx(max(masts, default=0.0), abs=0.006)
        tops = masts + [p[2] for w in wires for p in w["points_m"]]
        assert float(row["highest_m"]) == pytest.approx(max(tops), abs=0.006)
        cut = sum(math.dist(a, b) for w in wires for a, b in zip(w["points_m"], w["points_m"][1:]) if w["role"] != "line")
        assert float(row["wire_m"]) == pytest.approx(cut, abs=0.006)
        placed = design["placement"]
        points = [Point(m["at_m"]) for m in (*placed["masts"], *placed["anchors"])]
        lines = [LineString([p[:2] for p in w["points_m"]]) for w in wires] + [LineString([a[:2], b[:2]]) for a, b in evaluation.design.structure.cords_m]
        margin = min(shape.distance(SITE.lot.boundary) for shape in points + lines) - SITE.setback_m
        assert float(row["lot_margin_m"]) == pytest.approx(margin, abs=0.006) and margin >= 0


def test_loss_budgets_sum_to_one_and_hold_the_efficiency(designs, rows):
    for design, row in zip(designs, rows):
        for key, band in design["bands"].items():
            budget = band["power_budget"]
            assert sum(budget.values()) == pytest.approx(1.0, abs=1e-6)
            assert budget["sky"] == pytest.approx(float(row[f"{key}_efficiency"]), abs=1e-4)


def test_design_objects_hold_what_the_contract_names(designs):
    for design in designs:
        assert {"parts", "tools", "trimming", "origin", "placement", "feed", "bands"} <= set(design)
        assert set(design["origin"]) == {"lon", "lat"}
        assert all(len(m["at_m"]) == 2 for m in design["placement"]["masts"])
        assert {a["kind"] for a in design["placement"]["anchors"]} <= {"guy", "stake", "end"}
        assert isinstance(design["feed"]["tuner"], bool) and "impedance_ratio" in design["feed"]


def test_ranked_json_holds_settings_seed_versions_and_the_families_left_out(ranked):
    content = json.loads((ranked.folder / "ranked.json").read_text())
    assert content["seed"] == 2 and content["settings"]["trials"] == 12 and content["versions"]["solver"]
    assert len(content["rows"]) == len(ranked.result.rows) and content["note"] == HONEST_NOTE
    offered = {r["family"] for r in content["rows"]}
    assert content["rejected"] and not offered & set(content["rejected"])


def test_nothing_half_written_is_left(ranked):
    assert not [p.name for p in ranked.folder.iterdir() if p.name.startswith(".")]


def test_wishes_come_back_from_the_folder(ranked):
    site_file, wishes, _ = kept_run(ranked.folder)
    assert wishes == WISHES and site_file.read_bytes() == SITE_FILE.read_bytes()
    assert wishes_from(json.loads(json.dumps(strict({"bands": [], "on_hand": [["plug_pl259", 2]]})))).on_hand


def test_strict_json_has_no_infinity():
    assert strict({"a": math.inf, "b": (1, np.float64(2.5))}) == {"a": None, "b": [1, 2.5]}


def test_rerun_with_less_money_answers_from_stored_work(ranked):
    costs = sorted(e.cost for e in ranked.result.rows)
    budget = costs[len(costs) // 2]
    again = rerun(ranked.folder, lambda site, w: replace(w, budget=budget), SearchSettings())
    assert again.result.rows and all(e.cost <= budget for e in again.result.rows)
    assert again.result.tried == 0
    gone = [m for m in again.moves if m.rank_now is None]
    assert gone and all("more than" in m.why or "overtaken" in m.why or "took its place" in m.why for m in gone)
    assert any("more than" in m.why for m in gone)


def test_only_tighter():
    assert only_tighter(WISHES, replace(WISHES, budget=100.0, mast_limit_m=5.0))
    assert not only_tighter(WISHES, replace(WISHES, budget=None))
    assert not only_tighter(replace(WISHES, mast_limit_m=5.0), replace(WISHES, mast_limit_m=6.0))
    assert not only_tighter(WISHES, replace(WISHES, power_w=50.0))


@pytest.mark.parametrize("now", ["20m:voice*3 10m:morse*2@far", "20m:voice 10m:morse*2@near", "20m:voice 10m:morse*2@far@270", "20m:14.1-14.2 10m:morse*2@far"])
def test_bands_wished_otherwise_are_told_as_they_are_wished(now):
    """Both sides of the line read as the wishes themselves."""
    (line,) = wishes_changed(WISHES, read_wishes(now, SITE, budget=400.0))
    before, after = line.removeprefix("bands: ").split(" → ")
    assert read_wishes(before, SITE).bands == WISHES.bands and read_wishes(after, SITE).bands == read_wishes(now, SITE).bands
    assert before != after


def test_moves_tell_entered_left_and_moved():
    def design(rank, x, score, cost=50.0):
        wires = [{"points_m": [[x, 0, 3], [9, 0, 3]]}]
        return {"rank": rank, "family": "f", "design": f"wire {x}", "score": score, "cost": cost, "currency": "EUR",
                "placement": {"masts": []}, "feed": {"tuner": False}, "bands": {"40m": {"case": {"wires": wires}}}}  # fmt: skip

    told = moves([design(1, 0, 60.0), design(2, 1, 50.0, 90.0), design(3, 2, 40.0)],
                 [design(1, 5, 70.0), design(2, 0, 60.0)], {"budget": 80.0})  # fmt: skip
    text = {m.design: m.text for m in told}
    assert text["wire 5"].startswith("entered at 1") and text["wire 0"].startswith("row 1 → 2")
    assert "costs 90.00, more than 80.00 EUR" in text["wire 1"] and "overtaken" in text["wire 2"]
