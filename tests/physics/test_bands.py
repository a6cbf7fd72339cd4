"""Allocations against `published/bands.csv` (source and standing in each row), and the rules of the table itself."""

import csv
import re
from pathlib import Path

import pytest

from optimizer.physics.bands import BAND_NAMES, COLUMNS, SEGMENTS, band_of, band_table, country_code
from optimizer.physics.soil import soil_words
from optimizer.physics.tables import TableError, parse_table, read_table

PUBLISHED = Path(__file__).parents[1] / "published"
ROWS = list(csv.DictReader((PUBLISHED / "bands.csv").open(encoding="utf-8")))
ALLOCATIONS = [r for r in ROWS if "allocation," in r["quantity"]]
HOME = {"GB": 1, "DE": 1, "US": 2, "CA": 2, "AU": 3, "JP": 3}
EVERYWHERE = [(1, None), (2, None), (3, None), *((r, c) for c, r in HOME.items())]


def asked(quantity):
    band = re.match(r"(\d+) m", quantity)[1] + "m"
    region = re.search(r"Region (\d)", quantity)
    country = {"UK": "GB", "US": "US"}.get(
        (re.search(r"(UK|US) national", quantity) or [None])[0][:2] if not region else ""
    )
    return band, int(region[1]) if region else HOME[country], country


@pytest.mark.parametrize("row", ALLOCATIONS, ids=[r["id"] for r in ALLOCATIONS])
def test_published_allocations(row):
    name, region, country = asked(row["quantity"])
    band = band_table(region, country)[name]
    low, high = (float(x) for x in re.match(r"([\d.]+)-([\d.]+)", row["expected"]).groups())
    edges = (min(a for a, _ in band.allocations_hz), max(b for _, b in band.allocations_hz))
    if "channels" not in row["expected"]:
        assert edges == (low * 1e3, high * 1e3)
        return
    assert (low * 1e3, high * 1e3) in band.allocations_hz
    centres, wide = re.search(r"centred ([\d, ]+) \(([\d.]+) kHz\)", row["expected"]).groups()
    for centre in centres.split(","):
        half = 500 * float(wide)
        assert (float(centre) * 1e3 - half, float(centre) * 1e3 + half) in band.allocations_hz


def test_enough_rows_are_checked():
    assert len(ALLOCATIONS) == 40


@pytest.mark.parametrize(("region", "country"), EVERYWHERE)
def test_segments_lie_in_the_allocation(region, country):
    bands = band_table(region, country)
    assert set(bands) <= set(BAND_NAMES)
    for band in bands.values():
        assert set(band.segments_hz) <= set(SEGMENTS) and band.source and band.status in ("published", "from memory")
        assert 1.8e6 <= band.allocations_hz[0][0] < band.allocations_hz[0][1] <= 54e6
        for low, high in band.segments_hz.values():
            assert low < high and band.holds(low, high)
        for a in band.allocations_hz:
            assert not any(a != b and a[0] < b[1] and b[0] < a[1] for b in band.allocations_hz), "ranges overlap"


@pytest.mark.parametrize("region", [1, 2, 3])
def test_regions_have_every_band_and_its_modes(region):
    bands = band_table(region)
    assert tuple(bands) == BAND_NAMES
    for name, band in bands.items():
        assert {"all", "morse", "digital"} <= set(band.segments_hz)
        assert ("voice" in band.segments_hz) == (name != "30m")  # no voice on 30 m: common practice, no source


def test_a_country_overlays_its_region():
    assert band_table(2, "US")["40m"].segments_hz["voice"] == (7.125e6, 7.3e6)  # 47 CFR 97.305, from memory
    assert band_table(3, "JP")["80m"].allocations_hz != band_table(3)["80m"].allocations_hz
    assert "60m" not in band_table(3, "JP")
    assert band_table(1, "Atlantis") == band_table(1)
    assert country_code("UK") == country_code(" gb ") == country_code("United Kingdom") == "GB"


def test_band_of_a_frequency():
    assert band_of(7.1e6, 1) == "40m" and band_of(7.25e6, 1) is None and band_of(7.25e6, 2) == "40m"
    assert band_of(7.2e6, 1) == "40m" and band_of(6.9e6, 1) is None


def test_an_unknown_region_is_refused():
    with pytest.raises(ValueError, match="ITU region"):
        band_table(4)


SOILS = list(csv.DictReader((PUBLISHED / "soils.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", SOILS, ids=[r["id"] for r in SOILS])
def test_soil_words_against_published_classes(row):
    word = row["quantity"].split(": ")[1].partition(" (")[0]
    permittivity, conductivity = (float(x) for x in re.findall(r"=([\d.]+)", row["expected"]))
    soil = soil_words()[word]  # curves read to 20 %, as the row says; the class values themselves are round
    assert soil.relative_permittivity == pytest.approx(permittivity, rel=0.2)
    assert soil.conductivity_s_per_m == pytest.approx(conductivity, rel=0.2)


def test_average_soil_is_the_contracts():
    soil = soil_words()["average"]
    assert (soil.relative_permittivity, soil.conductivity_s_per_m) == (13.0, 0.005)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a,source\n1,book\n", "columns are"),
        ("a,b,source\n1,2,book\n1,3,book\n", "stands already in line 2"),
        ("a,b,source\n1,2,\n", "source is ''"),
        ("a,b,source\n1,2,same as above\n", "source is"),
        ("a,b,source\n1,,book\n", "b is ''"),
        ("a,b,source\n1,2\n", "2 cells, need 3"),
        ("", "columns are"),
    ],
)
def test_a_damaged_table_is_our_fault_and_says_where(text, says):
    with pytest.raises(TableError, match=says) as caught:
        parse_table(text, name="t.csv", columns=("a", "b", "source"), key=("a",))
    assert caught.value.exit_status == 1 and "t.csv" in str(caught.value)


def test_the_bands_table_is_sound():
    rows = read_table("bands.csv", columns=COLUMNS, key=("scope", "band", "segment", "low_khz"), may_be_empty=("note",))
    assert len(rows) > 200
