"""Space planner: limits and inverses by plane trigonometry; the sag's parabola by its own definition."""

import json
import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.errors import InputError
from optimizer.families.family import NoPlace
from optimizer.families.planner import (
    longest_above_right_angle,
    longest_over_support,
    over_support,
    planned,
    run_m,
    vee_from_apex_angle,
    vee_from_span,
    with_sag,
    words,
)


def test_flat_wire_takes_its_own_length():
    room = over_support(length_m=14.0, apex_m=5.0, ends_m=(5.0, 5.0), available_m=20.0)
    assert room.span_m == pytest.approx(14.0)
    assert room.apex_deg == pytest.approx(180.0)
    assert room.left_m == pytest.approx(6.0)


def test_three_four_five_triangle_off_centre():
    # legs 5 and 10 over 6 m, ends at 3 and 0: runs 4 and 8, angle between (4,-3)/5 and (-8,-6)/10
    room = over_support(length_m=15.0, apex_m=6.0, first_share=1 / 3, ends_m=(3.0, 0.0))
    assert room.runs_m == pytest.approx((4.0, 8.0))
    assert room.span_m == pytest.approx(12.0)
    assert room.apex_deg == pytest.approx(math.degrees(math.acos((-32 + 18) / 50)))


def test_turned_legs_close_by_the_cosine_rule():
    room = over_support(length_m=10.0, apex_m=6.0, ends_m=(3.0, 3.0), turn_deg=90.0)
    assert room.span_m == pytest.approx(math.hypot(4.0, 4.0))
    assert room.apex_deg == pytest.approx(math.degrees(math.acos(9 / 25)))


@given(leg=st.floats(3, 30), angle=st.floats(20, 179))
def test_span_and_angle_are_inverse(leg, angle):
    there = vee_from_apex_angle(leg_m=leg, apex_m=50.0, apex_deg=angle)
    back = vee_from_span(leg_m=leg, apex_m=50.0, span_m=there.span_m)
    assert back.apex_deg == pytest.approx(angle, abs=1e-3)
    assert back.ends_m[0] == pytest.approx(there.ends_m[0], abs=1e-3)


@given(
    available=st.floats(6, 60), apex=st.floats(3, 20), share=st.floats(0.2, 0.8), end=st.floats(2.5, 3.0)
)
def test_longest_wire_just_fits(available, apex, share, end):
    try:
        length = longest_over_support(available_m=available, apex_m=apex, first_share=share, ends_m=(end, end))
    except NoPlace as missed:  # one side shorter than its drop unless the other reaches beyond the lot
        drop = apex - end
        assert missed.limit == "lot"
        assert math.sqrt(max((drop / min(share, 1 - share) * max(share, 1 - share)) ** 2 - drop**2, 0)) > available
        return
    fits = over_support(length_m=length, apex_m=apex, first_share=share, ends_m=(end, end), available_m=available)
    longer = over_support(length_m=length + 1e-3, apex_m=apex, first_share=share, ends_m=(end, end), available_m=available)
    assert fits.left_m >= 0 > longer.left_m


def test_right_angle_takes_twice_the_drop():
    # at 90 degrees each run equals its drop: 6.5 m down over 13 m of span
    assert longest_above_right_angle(available_m=13.001, apex_m=9.0) == pytest.approx(2 * 6.5 * math.sqrt(2), abs=2e-3)
    with pytest.raises(NoPlace) as missed:
        longest_above_right_angle(available_m=12.0, apex_m=9.0)
    assert missed.value.limit == "apex angle"
    assert missed.value.short_by > 0


@pytest.mark.parametrize(
    ("ask", "limit"),
    [
        (lambda: run_m(3.0, 3.5), "wire length"),
        (lambda: vee_from_span(leg_m=5.0, apex_m=9.0, span_m=10.5), "wire length"),
        (lambda: longest_over_support(available_m=1.0, apex_m=9.0, first_share=0.1, ends_m=(2.5, 8.9)), "lot"),
    ],
)
def test_what_cannot_be_names_its_limit(ask, limit):
    with pytest.raises(NoPlace) as missed:
        ask()
    assert missed.value.limit == limit
    assert missed.value.short_by > 0


def test_sag_is_the_parabola_of_its_dip():
    # source: dip of a light cord, w l^2 / (8 T): 0.2 N/m over 20 m at 50 N is 0.2 m
    points = with_sag((0, 0, 8), (20, 0, 8), weight_n_per_m=0.2, tension_n=50.0, pieces=4)
    assert [p[2] for p in points] == pytest.approx([8.0, 7.85, 7.8, 7.85, 8.0])
    slack = sum(math.dist(a, b) for a, b in pairwise(points)) - 20.0
    assert slack == pytest.approx(8 * 0.2**2 / (3 * 20), rel=0.1)  # parabola's length, first order


def test_planned_gives_the_wire_or_the_longest_wire():
    # 6-8-10 triangles: legs of 10 over 8 m down to 2 m take 8 m each way
    room = planned(wire_m=20.0, mast_m=8.0, first_share=0.5, ends_m=(2.0, 2.0), room_m=17.0)
    assert (room.span_m, room.left_m) == pytest.approx((16.0, 1.0))
    assert planned(wire_m=None, mast_m=8.0, first_share=0.5, ends_m=(2.0, 2.0), room_m=16.0).wire_m == pytest.approx(20.0, abs=1e-3)


def test_every_fault_of_a_plan_is_told_at_once():
    with pytest.raises(InputError) as bad:
        planned(wire_m=None, mast_m=-8.0, first_share=1.5, ends_m=(2.5, 2.5), room_m=None)
    assert {f.field for f in bad.value.faults} == {"--mast-m", "--first-share", "--wire-m"}


def test_words_warn_of_sharp_angles_and_low_ends():
    # legs of 5 from 6 m to 2 m: runs of 3, apex 2 asin(3/5) = 73.7 degrees
    text = " | ".join(words(planned(wire_m=10.0, mast_m=6.0, first_share=0.5, ends_m=(2.0, 2.0), room_m=5.0)))
    assert "span 6.00 m" in text and "74 degrees" in text and "16 degrees sharper" in text
    assert "within reach" in text and "too long by 1.00 m" in text


def test_the_command_answers_and_returns_its_status():
    run = CliRunner()
    ask = ["plan", "--wire-m", "20", "--mast-m", "8", "--ends-m", "2", "--room-m", "17"]
    assert json.loads(run.invoke(app, [*ask, "--json"]).stdout)["span_m"] == pytest.approx(16.0)
    assert "room left 1.00 m" in run.invoke(app, ask).stdout
    assert run.invoke(app, ["plan", "--mast-m", "8"]).exit_code == 2
    assert run.invoke(app, ["plan", "--mast-m", "8", "--wire-m", "9"]).exit_code == 3
