"""Rows of area 8-NOISE through the noise module. Source: ITU-R P.372, row by row in noise.csv."""

import pytest
from rows import after, before, numbers, rows

from optimizer.physics.noise import places


def place_of(text):
    return places()[text.split(",")[0].strip()]


@pytest.mark.parametrize("row", [r for r in rows("noise") if r.values[0]["quantity"].startswith("man-made noise constants")])
def test_constants(row):
    place = places()[row["quantity"].split(":")[1].strip()]
    assert (place.c_db, place.d_db) == (after("c", row["expected"]), after("d", row["expected"]))


@pytest.mark.parametrize("row", [r for r in rows("noise") if r.values[0]["quantity"] == "Fam median external noise figure"])
def test_median_noise_figure(row):
    found = float(place_of(row["conditions"]).figure_db(before("MHz", row["conditions"]) * 1e6))
    assert found == pytest.approx(float(row["expected"]), abs=before("dB", row["tolerance"]))


@pytest.mark.parametrize("row", [r for r in rows("noise") if r.values[0]["quantity"] == "noise power in SSB bandwidth"])
def test_noise_power_in_a_channel(row):
    freq, width = before("MHz", row["conditions"]) * 1e6, before("kHz", row["conditions"]) * 1e3
    assert float(place_of(row["conditions"]).power_dbm(freq, width)) == pytest.approx(float(row["expected"]), abs=before("dB", row["tolerance"]))


@pytest.mark.parametrize("row", [r for r in rows("noise") if "decile" in r.values[0]["quantity"]])
def test_deciles(row):
    assert list(place_of(row["conditions"]).deciles_db) == numbers(row["expected"])


def test_every_row_is_used():
    kinds = ("man-made noise constants", "Fam median", "noise power in SSB", "upper/lower decile")
    assert all(r.values[0]["quantity"].startswith(kinds) for r in rows("noise")) and len(rows("noise")) == 30
