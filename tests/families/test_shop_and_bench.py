"""A parts list that could be taken to a shop and a bench: every family's bill and sheets, against what stands and hangs in its design.

Sums by hand on the design's own geometry; trade facts (allowances) are common practice, no source.
"""

import math
import re
from collections import Counter
from pathlib import Path

import pytest

from optimizer.families.catalogue import FAMILIES
from optimizer.families.pieces import is_open_link
from optimizer.network.bench import sheets_of
from optimizer.network.line import line_type
from optimizer.parts.catalogue import catalogue, part, pieces_of
from optimizer.parts.prices import bill, total
from optimizer.parts.tools import tools_for
from optimizer.physics.elements import Capacitor, Coil, Trap
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.probe import nearest
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parent / "lots" / "large.geojson")
WISHES = [read_wishes(text, SITE, tuner=tuner) for text, tuner in (("80m", "none"), ("40m 20m", "none"), ("40m 20m 10m", "none"), ("40m 20m", "external"))]
TOLERANCE = re.compile(r"± ?\d|± a")


@pytest.fixture(scope="module", params=FAMILIES)
def design(request):
    for wishes in WISHES:
        found = nearest(FAMILIES[request.param], SITE, wishes)
        if found is not None and found.design is not None:
            return found.design
    pytest.fail(f"{request.param}: nothing could be placed to check")


def bought(design, *starts):
    return sum(i.quantity for i in design.bill if i.part.startswith(starts))


def metres(pattern, lines):
    return float(re.search(pattern, " ".join(lines)).group(1))


def test_everything_has_a_price_a_unit_and_a_purpose(design):
    rows = bill(design.bill, "EUR")
    assert all(i.part in catalogue() and i.quantity > 0 and i.use for i in design.bill)
    assert all(r.unit in ("m", "piece") and (r.price > 0 or r.part == "tuner_in_radio") and r.use for r in rows)
    assert total(rows) > 0 and tools_for(i.part for i in design.bill)


def test_every_wound_part_has_a_sheet_with_tolerances(design):
    sheets = sheets_of(design.feed, design.all_loads)
    wound = {load.element for load in design.all_loads if isinstance(load.element, (Coil, Trap))}
    assert len([name for name in sheets if name.startswith("load")]) == len(wound)
    assert ("transformer" in sheets) == bool(design.feed.transformer) and ("choke" in sheets) == bool(design.feed.choke) and "line" in sheets
    for name, lines in sheets.items():
        assert TOLERANCE.search(" ".join(lines)), name


def test_every_lumped_value_stands_on_the_bill_or_its_sheet(design):
    """A capacitor is bought by its value; what is wound is bought as wire and pipe, and its value stands on the sheet."""
    uses = " ".join(i.use for i in design.bill if i.part.startswith("capacitor"))
    for load in design.all_loads:
        if isinstance(load.element, Capacitor):
            assert "pF ± 5 %" in uses
        elif isinstance(load.element, Trap):
            sheet = " ".join(line for lines in sheets_of(design.feed, (load,)).values() for line in lines)
            value = re.search(r"with (\d+) pF", sheet).group(1)
            assert f"{value} pF ± 5 %" in uses
        else:
            assert isinstance(load.element, Coil) or is_open_link(load.element) or load.wire == "line"


def test_bill_holds_what_the_winding_sheets_cut(design):
    counts = Counter(load.element for load in design.all_loads if isinstance(load.element, (Coil, Trap)))
    wire = sum(n * metres(r"cut ([\d.]+) m of wire", sheets_of(design.feed, (load_of(design, e),))["load 1"]) for e, n in counts.items())
    assert bought(design, "wire_enamel") >= wire - 0.01
    assert bought(design, "capacitor_trap") == sum(n for e, n in counts.items() if isinstance(e, Trap))
    for key in filter(None, (design.feed.transformer, design.feed.choke)):
        lines = sheets_of(design.feed, ())["choke" if key == design.feed.choke else "transformer"]
        inside = sum(q for p, q in pieces_of(key) if p.startswith(("wire_", "cable_")))
        assert inside >= metres(r"([\d.]+) m with tails", lines) - 0.005, key


def load_of(design, element):
    return next(load for load in design.all_loads if load.element == element)


def test_bill_holds_what_stands_and_is_tied(design):
    structure = design.structure
    tall = sorted(int(i.part[5:-1]) for i in design.bill for _ in range(round(i.quantity)) if re.fullmatch(r"mast_\d+m", i.part))
    assert len(tall) == len(structure.masts)
    assert all(reach >= mast.height_m - 1e-9 for reach, mast in zip(tall, sorted(structure.masts, key=lambda m: m.height_m)))
    kinds = Counter(a.kind for a in structure.anchors)
    assert bought(design, "stake_guy") == kinds["guy"] and bought(design, "stake_end") == kinds["stake"]
    guys = sum(math.dist(a, b) for a, b in structure.cords_m if any(math.dist(a[:2], m.at_m) < 0.05 for m in structure.masts) and b[2] == 0.0)
    assert bought(design, "guy_cord") >= guys - 1e-6
    ties = sum(math.dist(a, b) for a, b in structure.cords_m) - guys
    assert bought(design, "cord_") >= ties - 1e-6


def test_line_is_bought_as_long_as_it_runs_with_plugs_or_terminals(design):
    feed = design.feed
    assert bought(design, feed.line) == pytest.approx(feed.line_length_m, abs=1e-3)
    ends = bought(design, "plug_" if line_type(feed.line).z0_ohm < 100.0 else "terminal_pair")
    assert ends >= 2
    for key in (feed.transformer, feed.choke, feed.tuner):
        assert key is None or (bought(design, key) == 1 and part(key))
