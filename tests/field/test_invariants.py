"""What must hold whatever the wires: reciprocity, balance of power, and sameness under moves that change nothing.

No figures from outside are needed: each test sets two answers of the solver, or an answer and the law of conservation, against each other.
"""

from dataclasses import replace

import numpy as np
import pytest
from wire_sets import (
    AVERAGE,
    BALANCE,
    COPPER,
    FREE,
    PERFECT,
    Set,
    coil,
    end_fed,
    level_dipole,
    loaded_tail,
    port,
    radials,
    two_dipoles,
    wire,
)

from optimizer.field.quality import power_balance_error, shares_of, soil_power_w
from optimizer.field.solver import drive_of, gather, own_impedance, slot_matrix
from optimizer.physics.elements import FixedImpedance
from optimizer.wires.model import Load, Wire

# relative: the same numbers in another order; at the limit between two rules of integration rounding may pick the other one
SAME = 2e-5


def moved(case, change):
    """The case with every point of every wire passed through `change`."""
    wires = tuple(replace(w, points_m=tuple(tuple(float(c) for c in change(np.array(p))) for p in w.points_m)) for w in case.wires)
    return replace(case, wires=wires)


def reverse(case, name):
    """The case with one wire listed from its other end; ports and loads stay where they are."""
    old = next(w for w in case.wires if w.name == name)
    new = replace(old, points_m=old.points_m[::-1])

    def turn(item):
        return replace(item, at_m=old.length_m - item.at_m) if item.wire == name else item

    return replace(
        case, wires=tuple(new if w is old else w for w in case.wires), ports=tuple(map(turn, case.ports)), loads=tuple(map(turn, case.loads))
    )


# --- reciprocity and power ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ground", [AVERAGE, PERFECT, FREE], ids=lambda g: g.kind)
def test_two_ports_are_reciprocal(ground):
    z = two_dipoles(ground=ground, mhz=(7.1, 14.2)).solve().z_ports_ohm
    assert np.abs(z[:, 0, 1] - z[:, 1, 0]).max() < 1e-9 * np.abs(z).max()
    assert np.abs(z[:, 0, 1]).min() > 1.0  # there is something to be reciprocal about


def test_transfer_resistance_follows_from_the_patterns():
    """1 A into both ports radiates (r11 + r22 + 2 r12)/2: the far field of the sum of both solutions, over free space without losses."""
    case = replace(two_dipoles(ground=FREE), loads=())
    one, two = case.solve(), replace(case, ports=case.ports[::-1]).solve()
    z = one.z_ports_ohm[0].real
    assert two.z_ohm[0].real == pytest.approx(z[1, 1], rel=1e-9)
    a, b = one.pattern(0), two.pattern(0)
    assert np.array_equal(a.at_m, b.at_m)
    for sign in (1, -1):
        both = replace(a, moments=a.moments + sign * b.moments, power_in_w=0.5 * (z[0, 0] + z[1, 1] + 2 * sign * z[0, 1]))
        assert both.efficiency == pytest.approx(1.0, abs=2e-3)


@pytest.mark.parametrize("name", BALANCE)
def test_power_balance(name):
    solution = BALANCE[name].solve()
    for i in range(len(solution.freq_hz)):
        assert abs(power_balance_error(solution, i)) < 0.005


def test_power_balance_would_notice_a_missing_share():
    """The parts are large where they should be: leaving one out breaks the balance."""
    solution = BALANCE["low dipole"].solve()
    power = 0.5 * solution.z_ohm[1].real
    assert soil_power_w(solution, 1) > 0.5 * power
    shares = shares_of(BALANCE["loaded tail"].solve(), 0)
    assert shares["load 0"] > 0.05 and shares["soil"] > 0.05 and shares["sky"] > 0.05
    assert sum(shares.values()) == pytest.approx(1.0)


# --- moves that change nothing ------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def bent():
    return end_fed(mhz=(7.1, 14.2), loads=(coil("main", 11.0, 5.0),))


@pytest.fixture(scope="module")
def bent_z(bent):
    return bent.z()


def test_listing_order(bent, bent_z):
    assert replace(bent, wires=bent.wires[::-1]).z() == pytest.approx(bent_z, rel=SAME)


@pytest.mark.parametrize("angle", [17.0, 90.0, 213.0])
def test_rotation_about_the_vertical(bent, bent_z, angle):
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    assert moved(bent, lambda p: (c * p[0] - s * p[1], s * p[0] + c * p[1], p[2])).z() == pytest.approx(bent_z, rel=SAME)


def test_mirror_and_translation(bent, bent_z):
    assert moved(bent, lambda p: (-p[0], p[1], p[2])).z() == pytest.approx(bent_z, rel=SAME)
    assert moved(bent, lambda p: (p[0] + 123.4, p[1] - 56.7, p[2])).z() == pytest.approx(bent_z, rel=SAME)


def test_height_is_not_a_translation(bent, bent_z):
    assert np.abs(moved(bent, lambda p: (p[0], p[1], p[2] + 3)).z() / bent_z - 1).max() > 0.01


def test_gain_turns_with_the_wires(bent):
    turned = moved(bent, lambda p: (p[1], -p[0], p[2]))  # a quarter turn clockwise seen from above
    one, two = bent.solve().pattern(1), turned.solve().pattern(1)
    el, az = np.array([10.0, 35.0, 70.0]), np.array([20.0, 150.0, 300.0])
    assert two.gain(el, az + 90.0) == pytest.approx(one.gain(el, az), rel=1e-6)


@pytest.mark.parametrize("name", ["a", "b"])
def test_reversing_a_wire(name):
    """The port of a reversed wire counts its current the other way: z12 changes its sign, no more."""
    case = two_dipoles()
    z, back = case.solve().z_ports_ohm[0], reverse(case, name).solve().z_ports_ohm[0]
    assert back == pytest.approx(z * np.array([[1, -1], [-1, 1]]), rel=SAME)


def test_splitting_at_a_bend():
    case = two_dipoles()
    a, b = case.wires
    first = Wire(name="a1", points_m=a.points_m[:2], radius_m=a.radius_m)
    second = Wire(name="a2", points_m=a.points_m[1:], radius_m=a.radius_m)
    split = replace(case, wires=(first, second, b), ports=(port("a1", 9.0, "pa"), case.ports[1]))
    assert split.solve().z_ports_ohm == pytest.approx(case.solve().z_ports_ohm, rel=SAME)


@pytest.mark.parametrize("at", [3.0, 7.7, 14.0])
@pytest.mark.parametrize("ground", [AVERAGE, FREE], ids=lambda g: g.kind)
def test_splitting_a_straight_wire(ground, at):
    """The joint is meshed finer, so the same to the accuracy asked of a feed impedance, and well inside."""
    whole = level_dipole(ground=ground)
    half = 10.0
    w = whole.wires[0]
    first, second = wire("one", w.points_m[0], (0, at - half, 8.0)), wire("two", (0, at - half, 8.0), w.points_m[1])
    feed = port("one", half) if at > half else port("two", half - at)
    split = replace(whole, wires=(first, second), ports=(feed,))
    assert split.z() == pytest.approx(whole.z(), rel=2e-3)


def test_a_joint_of_three_in_any_order():
    case = radials(count=3)
    z = case.z()
    for order in ((3, 1, 0, 2), (1, 2, 3, 0)):
        assert replace(case, wires=tuple(case.wires[n] for n in order)).z() == pytest.approx(z, rel=SAME)


# --- loads --------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", [loaded_tail(), replace(two_dipoles(), ports=two_dipoles().ports[:1]),
                                  end_fed(loads=(coil("main", 11.0, 5.0), coil("back", 0.0, 2.0)))], ids=["tail", "pair", "end-fed"])
def test_loads_in_the_matrix(case):
    """Second route: each load's impedance added to the matrix where its current flows, then one solve."""
    solution = case.solve()
    for i, freq in enumerate(solution.freq_hz):
        mesh = solution.bands[solution.where[i][0]].mesh
        one = np.array([freq])
        z = gather(mesh, slot_matrix(mesh, one, case.ground), own_impedance(mesh, case.wires, one))[0]
        drive = drive_of(mesh)
        for n, load in enumerate(case.loads, start=1):
            z = z + complex(load.element.impedance_ohm(freq)) * np.outer(drive[:, n], drive[:, n])
        current = drive[:, 0] @ np.linalg.solve(z, drive[:, 0])
        assert solution.z_ohm[i] == pytest.approx(1 / current, rel=1e-6)


def test_changing_a_load_needs_no_new_matrix():
    case = loaded_tail()
    other = (Load(wire="w", at_m=10.1, element=FixedImpedance(ohm=5 + 700j)),)
    assert case.solve().with_loads(other).z_ohm == pytest.approx(replace(case, loads=other).z(), rel=1e-9)


def test_a_load_of_nothing_and_a_load_at_the_feed():
    plain = level_dipole()
    nothing = replace(plain, loads=(Load(wire="w", at_m=10.0, element=FixedImpedance(ohm=0)),))
    series = replace(plain, loads=(Load(wire="w", at_m=10.0, element=FixedImpedance(ohm=7 - 3j)),))
    assert nothing.z() == pytest.approx(plain.z(), rel=1e-9)
    assert series.z() == pytest.approx(plain.z() + 7 - 3j, rel=1e-9)


def test_an_open_load_cuts_the_wire():
    """A million megohms at 14 m against wires that end there, a hair apart."""
    whole = replace(level_dipole(), loads=(Load(wire="w", at_m=14.0, element=FixedImpedance(ohm=1e12)),))
    cut = replace(level_dipole(), wires=(wire("w", (0, -10, 8), (0, 4, 8)), wire("rest", (0, 4.002, 8), (0, 10, 8))))
    assert whole.z() == pytest.approx(cut.z(), rel=0.02)


# --- perfect ground -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("off_mm", [-1.5, -0.4, 0.4, 1.3, 3.0])
def test_a_load_next_to_a_corner_is_as_good_as_one_on_it(off_mm):
    """Within a millimetre in every coordinate nodes are one: a load so near its corner must not be passed by."""
    legs = wire("w", (0, 0, 8), (4.8, 0, 4.4), (11, 0, 4.4))

    def z(at_m):
        return Set(wires=(legs,), ports=(port("w", 3.0),), loads=(Load(wire="w", at_m=at_m, element=FixedImpedance(ohm=-1e6j)),), mhz=(14.1,)).z()

    assert z(6.0 + off_mm / 1e3) == pytest.approx(z(6.0), rel=0.005)


def test_monopole_is_half_the_dipole():
    for height in (5.0, 10.2, 21.0):
        up = Set(wires=(wire("v", (0, 0, 0), (0, 0, height)),), ports=(port("v", 0.0),), ground=PERFECT)
        both = Set(wires=(wire("v", (0, 0, -height), (0, 0, height)),), ports=(port("v", height),), ground=FREE)
        assert 2 * up.z() == pytest.approx(both.z(), rel=1e-4)
        assert up.solve().pattern(0).gain_max_dbi == pytest.approx(both.solve().pattern(0).gain_max_dbi + 3.0103, abs=0.01)


def test_two_wires_from_one_point_of_perfect_ground():
    """A V standing on the ground against the diamond it makes with its image."""
    def legs(sign):
        return [wire(f"{side}{sign}", (0, 0, 0), (side * 3, 1, sign * 8.0)) for side in (-1, 1)]

    over = Set(wires=tuple(legs(1)), ports=(port("-11", 0.0),), ground=PERFECT)
    free = Set(
        wires=(*legs(1), *legs(-1)), ports=(port("-11", 0.0, "p"), port("-1-1", 0.0, "image")), ground=FREE
    ).solve().z_ports_ohm[0]
    assert over.z()[0] == pytest.approx(free[0, 0] - free[0, 1], rel=1e-4)


@pytest.mark.parametrize("name", ["sloping", "bent end-fed"])
def test_perfect_ground_is_the_image_wire(name):
    """Current along the mirrored wire is reversed, so Z = Z11 - Z12 of the two in free space."""
    case = {
        "sloping": Set(wires=(wire("s", (0, -9, 2), (1, 0, 7), (3, 9, 4), conductivity_s_per_m=COPPER),), ports=(port("s", 8.0),)),
        "bent end-fed": end_fed(),
    }[name]
    over = replace(case, ground=PERFECT)
    mirrored = moved(case, lambda p: (p[0], p[1], -p[2]))
    images = tuple(replace(w, name=w.name + "'") for w in mirrored.wires)
    far_port = replace(case.ports[0], name="image", wire=case.ports[0].wire + "'")
    free = replace(case, wires=case.wires + images, ports=(case.ports[0], far_port), ground=FREE).solve().z_ports_ohm[0]
    assert over.z()[0] == pytest.approx(free[0, 0] - free[0, 1], rel=1e-4)
