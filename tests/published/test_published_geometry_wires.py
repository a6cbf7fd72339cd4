"""Rows P9-001 to P9-015 (inverted V and sloping wire, plane trigonometry) through the space planner."""

import pytest
from rows import numbers, rows

from optimizer.families.planner import over_support, run_m, vee_from_apex_angle, vee_from_span

GIVEN = {
    "leg": "leg_m",
    "apex angle": "apex_deg",
    "apex": "apex_m",
    "span": "span_m",
    "ends": "end_m",
    "length": "length_m",
    "top": "top_m",
    "bottom": "bottom_m",
}


def given(conditions):
    """'leg 5.1 m, apex 9 m, apex angle 120 deg' as keyword values."""
    found = {}
    for piece in conditions.split(","):
        word = next(w for w in GIVEN if piece.strip().startswith(w + " ") and numbers(piece))
        found[GIVEN[word]] = numbers(piece)[0]
    return found


def tolerance(row):
    amount = numbers(row["tolerance"])[0]
    if "%" in row["tolerance"]:
        return amount / 100 * float(row["expected"])
    return amount / 100 if "cm" in row["tolerance"] else amount


def room(g):
    """The planner's answer to what the row gives."""
    if "end_m" in g:
        return over_support(length_m=2 * g["leg_m"], apex_m=g["apex_m"], ends_m=(g["end_m"],) * 2)
    if "span_m" in g:
        return vee_from_span(leg_m=g["leg_m"], apex_m=g.get("apex_m", 9.0), span_m=g["span_m"])
    return vee_from_apex_angle(leg_m=g["leg_m"], apex_m=g.get("apex_m", 9.0), apex_deg=g["apex_deg"])


@pytest.mark.parametrize("row", rows("geometry_wires"))
def test_geometry_of_wires(row):
    g, asked = given(row["conditions"]), row["quantity"]
    if asked.startswith("sloper"):
        found = run_m(g["length_m"], g["top_m"] - g["bottom_m"])
    elif "end height" in asked:
        found = room(g).ends_m[0]
    elif "apex angle from" in asked:
        found = room(g).apex_deg
    else:
        found = room(g).span_m
    assert found == pytest.approx(float(row["expected"]), abs=tolerance(row))
