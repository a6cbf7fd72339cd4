"""A rerun on a larger lot keeps what stood: the earlier table's designs, moved into the new survey's metres."""

import json
from pathlib import Path

import numpy as np
import pytest

from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into, rerun
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

pytestmark = pytest.mark.slow

SITE_FILE = Path(__file__).parents[2] / "sites" / "terrace.geojson"
SETTINGS = SearchSettings(trials=8, members=0, rows=4, seed=2)
SAME = 1e-3  # of the score: the same wires some metres along in the computer's numbers


def grown(path, by=1.04):
    """The demo lot with its line moved outward, more to the south-west: the local origin moves with it."""
    content = json.loads(SITE_FILE.read_text(encoding="utf-8"))
    lot = next(f for f in content["features"] if f["properties"]["role"] == "lot")
    ring = np.array(lot["geometry"]["coordinates"][0])
    lot["geometry"]["coordinates"][0] = (ring.max(axis=0) + by * (ring - ring.max(axis=0)) + 1e-6).tolist()
    path.write_text(json.dumps(content), encoding="utf-8")
    return path


def test_a_larger_lot_never_lowers_the_best_score(tmp_path):
    site = read_site(SITE_FILE)
    before = rank_into(tmp_path / "run", SITE_FILE, site, read_wishes("20m 10m", site), SETTINGS)
    larger = grown(tmp_path / "larger.geojson")
    assert read_site(larger).origin_lon_lat != site.origin_lon_lat
    after = rerun(tmp_path / "run", lambda site, wishes: wishes, SearchSettings(trials=1, members=0, rows=4), site_path=larger)
    assert after.result.rows[0].total >= before.result.rows[0].total - SAME
