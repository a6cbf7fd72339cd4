"""A post under a heavy coil: put by the program where a limit of the loads needs it, with the bill following. Statics of the loads: P7 rows."""

from pathlib import Path

import pytest

from optimizer.criteria import weather
from optimizer.evaluate import place
from optimizer.families import props
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.probe import nearest
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "l_shape.geojson")
WISHES = read_wishes("80m 40m", SITE)
TAIL = FAMILIES["end_fed_loaded_tail"]


@pytest.fixture(scope="module")
def low_coil():
    """A loaded tail whose coil hangs within reach of a post."""
    found = nearest(TAIL, SITE, WISHES)
    coil = found.design.loads[0]
    wire = next(w for w in found.design.structure.wires if w.name == coil.wire)
    assert found.fits and wire.point_at(coil.at_m)[2] <= 3.5
    return found


def placed_with(weight_n, low_coil, monkeypatch):
    monkeypatch.setattr(weather, "weight_n", lambda element: weight_n)
    return place(SITE, WISHES, TAIL, low_coil.values)


def posts(evaluation):
    return [i for i in evaluation.design.bill if i.part == "post_under_coil"]


def test_light_coil_hangs(low_coil, monkeypatch):
    assert not posts(placed_with(1.0, low_coil, monkeypatch))


def test_heavy_coil_gets_a_post_and_the_bill_follows(low_coil, monkeypatch):
    """Forty newtons ask of a wire at 4 % sag P/(4 x 0.04) = 250 N more, beyond the fifth of its breaking load: with a post it hangs as without."""
    light, heavy = (placed_with(w, low_coil, monkeypatch) for w in (1.0, 40.0))
    assert heavy.fits and [i.quantity for i in posts(heavy)] == [1.0]
    assert heavy.cost > light.cost
    coil = low_coil.design.loads[0]
    under = next(w for w in heavy.design.structure.wires if w.name == coil.wire).point_at(coil.at_m)
    assert any(a.at_m == pytest.approx(under[:2]) and a.height_m == pytest.approx(under[2]) and a.kind == "end" for a in heavy.design.structure.anchors)
    assert heavy.margins["wire_tension"] > light.margins["wire_tension"]
    monkeypatch.setattr(props, "with_posts", lambda site, design: None)
    assert placed_with(40.0, low_coil, monkeypatch).margins["wire_tension"] < 0, "without the post it does not stand"


def test_no_post_where_it_would_not_reach(low_coil, monkeypatch):
    monkeypatch.setattr(props, "POST_MAX_M", 1.0)
    assert props.with_posts(SITE, low_coil.design) is None


def test_a_post_stands_on_free_ground_only(low_coil, monkeypatch):
    monkeypatch.setattr(props.plot_of(SITE).__class__, "free", lambda self, at: False)
    assert props.with_posts(SITE, low_coil.design) is None
