"""A family's design on a demo lot, trimmed and spread, as its file would hold it: without a search."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))
from bench_ensemble import SITES, first_that_stands

from optimizer.ensemble.spread import with_spread
from optimizer.evaluate import FULL, judge, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.design_file import band_object, trimming_of
from optimizer.sheet.built import built_from
from optimizer.site.read import read_site

FEED = ("line", "line_length_m", "transformer", "impedance_ratio", "choke", "compensation_f")


def content_of(site, wishes, family_key):
    """What of a design file trimming needs."""
    family = FAMILIES[family_key]
    rough = first_that_stands(family, site, wishes)
    found = measure(site, wishes, family, place(site, wishes, family, rough.values).design, FULL)
    return content_of_judged(site, wishes, judge(site, wishes, family, with_spread(site, wishes, family, found, 24)))


def content_of_judged(site, wishes, judged):
    """The same of a design that is judged."""
    design, structure = judged.design, judged.design.structure
    return {
        "rank": 1, "design": design.title, "family": design.family, "parts": [], "trimming": trimming_of(judged), "values": dict(judged.values),
        "placement": {
            "masts": [{"at_m": list(m.at_m), "height_m": m.height_m} for m in structure.masts],
            "anchors": [{"at_m": list(a.at_m), "kind": a.kind, "height_m": a.height_m} for a in structure.anchors],
        },
        "feed": {name: getattr(design.feed, name) for name in FEED} | {"tuner": False},
        "bands": {w.key: band_object(site, judged, w.key) for w in wishes.bands},
    }  # fmt: skip


def built_for(site_name, bands, family_key):
    site = read_site(SITES / site_name)
    wishes = read_wishes(bands, site)
    return built_from(content_of(site, wishes, family_key), site, wishes)
