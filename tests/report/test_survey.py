"""A lot by tape: the residual of every tape, in the results and in the terminal; reckoned again here from the points that are told."""

import json
import math
from pathlib import Path

import pytest
from rich.console import Console

from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into
from optimizer.report.survey import survey_object
from optimizer.report.terminal import print_ranked
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

SITES = Path(__file__).parents[2] / "sites"


@pytest.fixture(scope="module")
def ranked(tmp_path_factory):
    """The tape survey that comes with the program, a diagonal read half a metre short."""
    folder = tmp_path_factory.mktemp("results") / "yard"
    path = folder.parent / "yard.toml"
    text = (SITES / "workshop_yard.toml").read_text()
    assert text.count("m = 28.26") == 1
    path.write_text(text.replace("m = 28.26", "m = 27.76"))
    site = read_site(path)
    return rank_into(folder, path, site, read_wishes("20m", site), SearchSettings(trials=4, workers=1, seed=1))


def test_every_tape_has_its_residual_in_the_results(ranked):
    survey = json.loads((ranked.folder / "ranked.json").read_text())["survey"]
    assert len(survey["readings"]) == len(ranked.site.tape_report.readings)
    for reading in survey["readings"]:
        computed = math.dist(*(survey["points_m"][reading[end]] for end in ("from", "to")))
        assert reading["residual_m"] == pytest.approx(reading["measured_m"] - computed, abs=0.002)  # points are told to the millimetre
    assert survey["doubtful"].endswith("sw-ne") and survey["doubtful"] in survey["warning"]


def test_the_terminal_names_the_largest_and_where_the_others_are(ranked):
    console = Console(record=True, width=200)
    print_ranked(ranked, console)
    worst = max(ranked.content["survey"]["readings"], key=lambda r: abs(r["residual_m"]))
    line = next(text for text in console.export_text().splitlines() if text.startswith("survey:"))
    assert f"{worst['name']} {worst['residual_m']:+.3f} m" in line and "ranked.json" in line


def test_a_lot_from_a_map_has_no_survey():
    assert survey_object(read_site(SITES / "terrace.geojson")) is None
