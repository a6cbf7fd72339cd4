"""The page about site and wish files says what the readers take, and its examples are read."""

import json
import re
import sys
from pathlib import Path

import pytest

from optimizer.parts.catalogue import catalogue
from optimizer.physics.soil import soil_words
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.features import SHAPES
from optimizer.site.read import read_site

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "optimizer" / "docs" / "site_files.md").read_text(encoding="utf-8")


def rows(title: str) -> list[list[str]]:
    part = PAGE.split(f"### {title}\n")[1].split("\n### ")[0].split("\n## ")[0]
    table = [line for line in part.splitlines() if line.startswith("|")][2:]
    return [[name.strip().strip("`"), *map(str.strip, cells)] for name, *cells in (line.strip("|").split("|") for line in table)]


def example(start: str) -> str:
    """The indented block that begins so."""
    lines = PAGE[PAGE.index("    " + start) :].splitlines()
    end = next((n for n, line in enumerate(lines) if line and not line.startswith("    ")), len(lines))
    return "\n".join(line[4:] for line in lines[:end])


def test_every_role_and_soil_is_there():
    assert {r[0] for r in rows("Features")} == set(SHAPES)
    told = {word: (float(eps), float(sigma)) for word, eps, sigma in rows("Soil words")}
    assert told == {word: (s.relative_permittivity, s.conductivity_s_per_m) for word, s in soil_words().items()}


def test_every_number_that_the_demo_lot_has_is_told():
    document = json.loads((ROOT / "sites" / "l_shape.geojson").read_text(encoding="utf-8"))
    told = {role: set(re.findall(r"`(\w+_m|kind|occupied)`", " ".join(numbers))) for role, _, *numbers in rows("Features")}
    met = {f["properties"]["role"]: set(f["properties"]) - {"role", "name"} for f in document["features"]}
    assert met and all(names <= told[role] for role, names in met.items())


@pytest.fixture
def lot(tmp_path):
    path = tmp_path / "my_lot.geojson"
    path.write_text(example('{"type": "FeatureCollection"'), encoding="utf-8")
    return read_site(path)


def test_the_map_and_the_wishes_are_read(tmp_path, lot):
    assert lot.name == "Pump House" and lot.radio.height_m == 2.5
    path = tmp_path / "my_wishes.toml"
    path.write_text(example("bands = "), encoding="utf-8")
    wishes = read_wishes(path, lot)
    assert wishes.budget == 120 and dict(wishes.on_hand)["cable_rg58"] == 20


def test_every_part_is_named():
    sys.path.insert(0, str(ROOT / "tests" / "bench"))
    from page_parts import lines

    assert "\n".join(lines()) in PAGE
    assert {name for line in lines() for name in re.findall(r"`(\w+)`", line)} == set(catalogue())
