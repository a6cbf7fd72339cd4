"""Solves the filed designs beside this script again, after a change of the solver's figures: same values, trimmed anew.

    python tests/sheet/data/refile.py
"""

import json
from pathlib import Path
from types import SimpleNamespace

from optimizer.ensemble.spread import with_spread
from optimizer.evaluate import FULL, judge, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.design_file import design_object
from optimizer.safety import safety_of
from optimizer.search.keys import versions
from optimizer.site.read import read_site

YARD = Path(__file__).parent / "yard"
MEMBERS = 24


def refiled(filed: dict, site, wishes) -> dict:
    family = FAMILIES[filed["family"]]
    found = measure(site, wishes, family, place(site, wishes, family, filed["values"]).design, FULL)
    if filed["spread"]:
        found = with_spread(site, wishes, family, found, MEMBERS, seed=1)
    judged = judge(site, wishes, family, found)
    result = SimpleNamespace(safety={filed["rank"] - 1: safety_of(site, wishes, judged)}, versions=versions())
    return design_object(filed["rank"], site, wishes, judged, result)


if __name__ == "__main__":
    site = read_site(YARD / "l_shape.geojson")
    wishes = read_wishes("40m 20m 10m", site)
    for path in sorted((YARD / "designs").glob("*.json")):
        text = json.dumps(refiled(json.loads(path.read_text(encoding="utf-8")), site, wishes), ensure_ascii=False)
        path.write_text(text + "\n", encoding="utf-8")
