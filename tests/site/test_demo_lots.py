"""The demo lots hold every role, and real wires fit on them under every rule."""

import json
import math
from pathlib import Path

import pytest
from plain_lots import wire

from optimizer.site.clearance import margins
from optimizer.site.features import SHAPES
from optimizer.site.model import Anchor, Mast, Span, Structure
from optimizer.site.read import read_site

SITES = Path(__file__).parents[2] / "sites"


def test_every_role_is_used():
    roles = {f["properties"]["role"] for p in SITES.glob("*.geojson") for f in json.loads(p.read_text())["features"]}
    assert roles == set(SHAPES)


def over_one_mast(site, start, mast, mast_m, end, slack=0.0):
    """Wire from a start over a mast to an end, all (x, y, z) in local metres."""
    top = (*mast, mast_m)
    run = (start, top, end)
    return Structure(
        wires=(wire(*run),),
        masts=(Mast(at_m=mast, height_m=mast_m),),
        anchors=(Anchor(at_m=end[:2], kind="end", height_m=end[2]),),
        spans=(Span(holds_m=run, lengths_m=(math.dist(start, top) + slack, math.dist(top, end) + slack)),),
        holds_at_m=(start[:2], end[:2]),
    )


def between(a, b, t):
    return tuple(p + t * (q - p) for p, q in zip(a, b))


@pytest.mark.parametrize("name", ["terrace", "l_shape"])
def test_a_real_wire_fits(name):
    site = read_site(SITES / f"{name}.geojson")
    holds = {s.name: (*s.at_m, s.height_m) for s in site.supports}
    if name == "terrace":
        start, end = holds["hook under the eaves"], holds["end post"]
        mast, least_length = between(start, end, 0.6)[:2], 16.0
    else:
        start, end = holds["south-west post"], holds["fence post"]
        mast, least_length = site.mast_spots[0].where.centroid.coords[0], 24.0
    design = over_one_mast(site, start, mast, 8.0, end)
    assert design.wires[0].length_m > least_length
    missed = {k: v for k, v in margins(site, design).items() if v < 0}
    assert missed == {}


def test_the_line_in_the_lane_rules_out_a_long_wire_hung_on_the_house():
    site = read_site(SITES / "l_shape.geojson")
    gable = next(s for s in site.supports if s.name == "west gable")
    far = next(s for s in site.supports if s.name == "north-west post")
    a, b = (*gable.at_m, gable.height_m), (*far.at_m, far.height_m)
    hung = Structure(
        wires=(wire(a, b),), spans=(Span(holds_m=(a, b), lengths_m=(math.dist(a, b),)),), holds_at_m=(a[:2], b[:2])
    )
    assert margins(site, hung)["overhead_power_m"] < 0
