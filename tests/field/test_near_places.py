"""Ports and loads next to ends, corners, joints and each other: within a millimetre they are at one place, in series there.

References: the same wires with the port or load exactly there, and elements added by hand.
"""

from dataclasses import replace

import numpy as np
import pytest
from wire_sets import FREE, PERFECT, Set, level_dipole, port, wire

from optimizer.errors import SolveError
from optimizer.field.mesh import build_mesh
from optimizer.physics.elements import FixedImpedance
from optimizer.wires.model import Load

EXACT = 1e-9
LEGS = (wire("a", (0, 0, 8), (10, 0.5, 8)), wire("b", (0, 0, 8), (-5, 0, 8)))
TEE = (wire("bent", (0, -6, 8), (0, 0, 8), (0, 5, 7)), wire("stem", (0, 0, 8), (4, 0, 3)))


def resistor(on, at, ohm=50.0):
    return Load(wire=on, at_m=at, element=FixedImpedance(ohm=ohm))


def z(wires, at, loads=(), ground=FREE, on="a"):
    return Set(wires=wires, ports=(port(on, at),), loads=loads, ground=ground, mhz=(14.2,)).z()[0]


@pytest.mark.parametrize("off_mm", [0.002, 0.5, 1.0])
def test_a_port_next_to_a_joint_is_at_it(off_mm):
    assert z(LEGS, off_mm / 1e3) == pytest.approx(z(LEGS, 0.0), rel=EXACT)


def test_the_fed_place_moves_without_a_jump():
    """A port on either side of the millimetre, and on either side of the joint: impedances alike."""
    at_joint = z(LEGS, 0.0)
    assert z(LEGS, 0.0011) == pytest.approx(at_joint, rel=0.01)
    assert z(LEGS, 0.0005, on="b") == pytest.approx(at_joint, rel=0.01)


def test_a_port_next_to_the_ground_is_at_it():
    up = (wire("a", (0, 0, 0), (0, 0, 10)),)
    assert z(up, 0.001, ground=PERFECT) == pytest.approx(z(up, 0.0, ground=PERFECT), rel=EXACT)


@pytest.mark.parametrize("off_mm", [0.5, 1.0])
def test_a_load_next_to_a_joint_is_at_it(off_mm):
    there = z(LEGS, 5.0, (resistor("a", 0.0, 500.0),))
    assert z(LEGS, 5.0, (resistor("a", off_mm / 1e3, 500.0),)) == pytest.approx(there, rel=EXACT)


@pytest.mark.parametrize("off_mm", [-1.0, -0.5, 0.5, 1.0])
def test_a_load_next_to_the_port_is_in_series(off_mm):
    assert z(LEGS, 5.0, (resistor("a", 5.0 + off_mm / 1e3),)) == pytest.approx(z(LEGS, 5.0) + 50.0, rel=EXACT)


def test_two_loads_within_a_millimetre_are_their_sum():
    pair = (resistor("a", 5.0), resistor("a", 5.0006, 70.0))
    assert z(LEGS, 3.0, pair) == pytest.approx(z(LEGS, 3.0, (resistor("a", 5.0, 120.0),)), rel=EXACT)


@pytest.mark.parametrize("apart_mm", [1.1, 2.0, 3.0])
def test_beyond_a_millimetre_they_are_next_to_each_other(apart_mm):
    case = level_dipole()
    assert replace(case, loads=(resistor("w", 10.0 + apart_mm / 1e3),)).z() == pytest.approx(case.z() + 50.0, rel=2e-3)


def test_a_port_next_to_a_bend_with_a_wire_joined_stays_on_its_side():
    """Before the bend or after it, with the stem on one side or the other: told apart by 3 mm, so by half a millimetre."""
    before, after = (z(TEE, 6.0 + off, on="bent") for off in (-0.003, 0.003))
    assert abs(before - after) > 0.05 * abs(before)
    assert z(TEE, 5.9995, on="bent") == pytest.approx(before, rel=0.01)
    assert z(TEE, 6.0005, on="bent") == pytest.approx(after, rel=0.01)


@pytest.mark.parametrize("feed_mm", [1.2, 2.0, 4.0, 20.0])
def test_a_feed_wire_of_millimetres(feed_mm):
    """The same straight wire cut in three, the middle one fed, against the whole one."""
    half, gap = 5.0, feed_mm / 2e3
    thin = {"radius": 5e-4}
    cut = (wire("l", (0, -half, 8), (0, -gap, 8), **thin), wire("f", (0, -gap, 8), (0, gap, 8), **thin), wire("r", (0, gap, 8), (0, half, 8), **thin))
    whole = level_dipole(ground=FREE, half=half, radius=5e-4, mhz=(14.2,)).z()[0]
    assert z(cut, gap, on="f") == pytest.approx(whole, rel=0.01)


def test_places_on_two_legs_of_a_hairpin_are_not_joined():
    """Three centimetres from a corner of 3 degrees the legs are 1.6 mm apart: a load each, not one joint."""
    hairpin = (wire("a", (0, 0, 8), (10, 0, 8), (5, 0.262, 8), radius=2e-4),)
    near = (resistor("a", 10 - 0.015, 0.0), resistor("a", 10 + 0.015, 0.0))
    assert z(hairpin, 4.0, near) == pytest.approx(z(hairpin, 4.0), rel=0.02)


def test_what_cannot_be_meshed_is_refused():
    short = (*LEGS, wire("f", (0, 0, 8), (0, 0, 8.0008), radius=1e-4), wire("up", (0, 0, 8.0008), (0, 0, 11)))
    for at, on, said in ((0.0004, "f", "one joint"), (12.0, "a", "no place"), (-0.1, "a", "no place")):
        with pytest.raises(SolveError, match=said):
            build_mesh(short, (port(on, at),), (), wavelength_m=21.0)


def test_a_load_may_be_changed_where_it_shares_a_place():
    case = replace(level_dipole(), loads=(resistor("w", 10.0005),))
    changed = case.solve().with_loads((resistor("w", 10.0005, 7 - 3j),)).z_ohm
    assert changed == pytest.approx(level_dipole().z() + 7 - 3j, rel=EXACT)
    assert np.isfinite(changed).all()
