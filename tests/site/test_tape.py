"""The tape survey. Lengths come from invented coordinates by Pythagoras, so the true answer is known."""

import math
import random

import numpy as np
import pytest

from optimizer.errors import InputError
from optimizer.site.frame import to_metres
from optimizer.site.read import read_site

HEAD = '[site]\nname = "t"\nheight_limit_m = 9\nitu_region = 1\ncurrency = "EUR"\n'
POINTS = {"a": (0, 0), "b": (11, 0), "c": (12, 8), "d": (-1, 7), "e": (4, 3)}
PAIRS = ["ab", "bc", "cd", "da", "ac", "bd", "ae", "be", "ce", "de"]
LOT = '[[feature]]\nrole = "lot"\npoints = ["a", "b", "c", "d"]\n'


def tape(pair, length, more=""):
    return f'[[tape]]\nfrom = "{pair[0]}"\nto = "{pair[1]}"\nm = {length!r}\n{more}\n'


def survey(points=POINTS, pairs=PAIRS, errors=None, more=None):
    errors, more = errors or {}, more or {}
    return "".join(
        tape(p, round(math.dist(points[p[0]], points[p[1]]) + errors.get(p, 0.0), 4), more.get(p, "")) for p in pairs
    )


@pytest.fixture
def read(tmp_path):
    def run(text):
        (tmp_path / "yard.toml").write_text(text)
        return read_site(tmp_path / "yard.toml")

    return run


def faults(read, text):
    with pytest.raises(InputError) as caught:
        read(text)
    return {f.field: f for f in caught.value.faults}


def places(site):
    return {n: p for n, p in site.tape_report.points_m}


def test_true_coordinates_come_back(read):
    site = read(HEAD + survey() + LOT)
    for name, true in POINTS.items():
        assert places(site)[name] == pytest.approx(true, abs=1e-3)
    assert site.tape_report.spare_tapes == 3
    assert site.tape_report.closing_error_m < 1e-3 and site.tape_report.doubtful is None
    assert site.origin_lon_lat is None
    assert site.tape_report.assumed_bearing_deg == 90.0 and "assumed" in " ".join(site.warnings)


@pytest.mark.parametrize(
    ("pair", "blunder"), [("ab", 1.0), ("bc", -0.5), ("ac", 0.3), ("de", 2.0), ("bd", -1.0), ("cd", 0.2)]
)
def test_a_wrong_reading_is_named_with_what_it_should_be(read, pair, blunder):
    report = read(HEAD + survey(errors={pair: blunder}) + LOT).tape_report
    assert report.doubtful.name.endswith(f"{pair[0]}-{pair[1]}")
    true = math.dist(POINTS[pair[0]], POINTS[pair[1]])
    assert report.doubtful.corrected_m == pytest.approx(true, abs=0.01)
    assert report.suspects[0] == report.doubtful.name


def test_with_one_spare_tape_the_true_culprit_is_among_the_suspects(read):
    site = read(HEAD + survey(pairs=PAIRS[:6], errors={"cd": 0.6}) + LOT)
    assert site.tape_report.spare_tapes == 1 and len(site.tape_report.suspects) > 1
    assert "tape[2] c-d" in site.tape_report.suspects
    assert "one more tape" in " ".join(site.warnings)


def test_careful_reading_raises_no_doubt(read):
    rng = random.Random(1)
    for _ in range(10):
        errors = {p: rng.uniform(-0.02, 0.02) for p in PAIRS}
        assert read(HEAD + survey(errors=errors) + LOT).tape_report.doubtful is None


def test_residual_is_measured_less_computed(read):
    report = read(HEAD + survey(errors={"ae": 0.4}) + LOT).tape_report
    where = dict(report.points_m)
    for r in report.readings:
        start, end = r.name.split()[1].split("-")
        assert r.residual_m == pytest.approx(r.measured_m - math.dist(where[start], where[end]), abs=1e-9)


def test_the_least_squares_solution_is_stationary(read):
    """Adjustment theory: at the solution the sum of squares has no slope, here by differences at each coordinate."""
    report = read(HEAD + survey(errors={"ae": 0.4, "cd": -0.1}) + LOT).tape_report
    where = {n: np.array(p) for n, p in report.points_m}

    def squares(moved):
        ends = [r.name.split()[1].split("-") for r in report.readings]
        return sum(
            (r.measured_m - np.hypot(*(moved[a] - moved[b]))) ** 2
            for r, (a, b) in zip(report.readings, ends, strict=True)
        )

    for name in "cde":
        for axis in (0, 1):
            step = np.eye(2)[axis] * 1e-5
            slope = (squares({**where, name: where[name] + step}) - squares({**where, name: where[name] - step})) / 2e-5
            assert abs(slope) < 1e-5


def test_side_rule_for_the_third_point(read):
    triangle = survey(pairs=["ab", "bc", "ac"])
    lot = '[[feature]]\nrole = "lot"\npoints = ["a", "b", "c"]\n'
    assert places(read(HEAD + triangle + lot))["c"] == pytest.approx((12, 8), abs=1e-3)
    right = survey(pairs=["ab", "bc", "ac"], more={"bc": 'side = "right"'})
    assert places(read(HEAD + right + lot))["c"] == pytest.approx((12, -8), abs=1e-3)


def test_side_of_a_later_point_with_two_tapes(read):
    both = survey({**POINTS, "e": (4, -3)}, PAIRS[:8], more={"ae": 'side = "right"'})
    assert places(read(HEAD + both + LOT))["e"] == pytest.approx((4, -3), abs=1e-3)
    assert places(read(HEAD + survey(pairs=PAIRS[:8]) + LOT))["e"] == pytest.approx((4, 3), abs=1e-3)


def test_spare_tapes_settle_the_side_that_is_not_stated(read):
    points = {**POINTS, "e": (4, -3)}
    assert places(read(HEAD + survey(points) + LOT))["e"] == pytest.approx((4, -3), abs=1e-3)


@pytest.mark.parametrize("bearing", [0.0, 37.5, 180.0, 300.0])
def test_base_line_runs_on_its_bearing(read, bearing):
    site = read(HEAD + f"base_bearing_deg = {bearing}\n" + survey() + LOT)
    where = places(site)
    turn = math.radians(90.0 - bearing)
    for name, (x, y) in POINTS.items():
        expected = (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn))
        assert where[name] == pytest.approx(expected, abs=1e-3)
    assert site.tape_report.assumed_bearing_deg is None


def test_origin_puts_the_first_point_at_its_position(read):
    site = read(HEAD + "lon = 9.5\nlat = 51.25\n" + survey() + LOT)
    assert site.origin_lon_lat == pytest.approx((9.5, 51.25), abs=1e-9)
    shifted = "[points]\na = [5, -3]\nb = [16, -3]\n"
    site = read(HEAD + "lon = 9.5\nlat = 51.25\n" + shifted + survey(pairs=PAIRS[1:]) + LOT)
    assert to_metres([[9.5, 51.25]], site.origin_lon_lat)[0] == pytest.approx((5, -3), abs=1e-3)


def test_points_alone_make_a_survey(read):
    text = HEAD + "[points]\n" + "".join(f"{n} = [{x}, {y}]\n" for n, (x, y) in POINTS.items()) + LOT
    site = read(text)
    assert site.lot.bounds == (-1, 0, 12, 8) and site.tape_report.readings == ()


def test_points_set_by_eye_stand_where_they_were_drawn_and_bend_no_tape(read):
    """Beside tapes with errors: the same survey as without them."""
    taped, lot = survey(errors={"ac": 0.2, "be": -0.05}), LOT
    alone = read(HEAD + taped + lot)
    tree = '[[feature]]\nrole = "tree"\npoints = ["x"]\nheight_m = 5\ncrown_radius_m = 1\n'
    site = read(HEAD + taped + "[drawn]\nx = [3.25, 2.5]\n" + lot + tree)
    assert site.trees[0].at_m == (3.25, 2.5)
    assert site.tape_report == alone.tape_report and site.lot.equals_exact(alone.lot, 1e-9)


@pytest.mark.parametrize(
    ("text", "field"),
    [
        (tape("ab", 11.0) + tape("bc", 5.0) + LOT, "[[tape]]"),
        (survey() + tape("ab", -1.0) + LOT, "tape[10].m"),
        (survey() + tape("aa", 1.0) + LOT, "tape[10].to"),
        (survey() + tape("ab", 11.0, 'sid = "left"') + LOT, "tape[10].sid"),
        (survey() + tape("ab", 11.0, 'side = "up"') + LOT, "tape[10].side"),
        (survey() + LOT.replace('"d"', '"q"'), "feature[0].points"),
        (survey() + LOT + '[[feature]]\nrole = "radio"\npoints = ["a", "b"]\nheight_m = 2\n', "feature[1].points"),
        (survey() + LOT + '[[feature]]\nrole = "radio"\npoints = "a"\nheight_m = 2\n', "feature[1].points"),
        (survey() + LOT + '[[feature]]\nrole = "tree"\npoints = ["a"]\nheight_m = 2\n', "feature[1].crown_radius_m"),
        (survey() + LOT.replace('"c", "d"', '"d", "c"'), "feature[0].points"),
        ("lon = 5\n" + survey() + LOT, "site.lat"),
        ("lon = 5\nlat = nan\n" + survey() + LOT, "site.lat"),
        ("base_bearing_deg = 400\n" + survey() + LOT, "site.base_bearing_deg"),
        ("[points]\na = [0]\n" + survey() + LOT, "points.a"),
        ("[points]\na = [true, 0]\n" + survey() + LOT, "points.a"),
        ("[drawn]\ne = [4, 3]\n" + survey() + LOT, "drawn.e"),
        ("[drawn]\nx = [4]\n" + survey() + LOT, "drawn.x"),
        ("[drawn]\nx = [4, 3]\ny = [5, 3]\n" + LOT, "[[tape]]"),
        (LOT, "[[tape]]"),
        (survey(), "features"),
        ("[extra]\nx = 1\n" + survey() + LOT, "extra"),
    ],
)
def test_faults_are_named(read, text, field):
    assert field in faults(read, HEAD + text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "a = ",
        "tape = 5\nfeature = 6\nsite = 7\npoints = 8",
        "[[tape]]\n",
        "x = " + "[" * 5000,
        "x = 0x" + "F" * 5000,
    ],
)
def test_what_is_no_survey_is_said(read, text):
    assert faults(read, text)


def test_site_may_not_close_at_all_and_is_still_read(read):
    """A triangle whose sides cannot meet: nothing is spare, yet the misfit is named."""
    text = tape("ab", 10.0) + tape("bc", 3.0) + tape("ac", 4.0)
    site = None
    try:
        site = read(HEAD + text + '[[feature]]\nrole = "lot"\npoints = ["a", "b", "c"]\n')
    except InputError as error:
        assert "feature[0].points" in str(error)
    assert site is None or site.tape_report.doubtful is not None
