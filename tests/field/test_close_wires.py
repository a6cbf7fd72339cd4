"""Wires that end, bend, cross or run near others: the program's own mesh against a many times finer one, and what a mesh must keep.

The finer mesh has every segment shorter than the distance between the wires, or nearly; convergence is all that is asked for here.
"""

from dataclasses import replace

import numpy as np
import pytest
from truth import refined
from wire_sets import FREE, Set, port, wire

from optimizer.field.mesh import build_mesh
from optimizer.field.pieces import closer
from optimizer.physics.elements import FixedImpedance
from optimizer.wires.model import SURROUNDINGS, Load

THIN = {"radius": 6e-4}
LONG = wire("a", (-5.1, 0, 0), (5.1, 0, 0), **THIN)


def beside(*others, mhz=14.2, loads=()):
    """A 10.2 m wire fed in the middle, in free space, with others."""
    return Set(wires=(LONG, *others), ports=(port("a", 5.1),), loads=loads, ground=FREE, mhz=(mhz,))


def parasite(apart, mhz):
    """A half wave on 28 MHz beside the middle of the fed wire: a resonator whose ends face plain wire."""
    return beside(wire("b", (-2.5, apart, 0), (2.5, apart, 0), **THIN), mhz=mhz)


def j_pole():
    a = wire("a", (0, 0, 0), (0, 0, 0.3), (0, 0, 15.3), radius=2e-3)
    b = wire("b", (0, 0, 0), (0.05, 0, 0), (0.05, 0, 0.3), (0.05, 0, 5.1), radius=2e-3)
    return Set(wires=(a, b, wire("f", (0, 0, 0.3), (0.05, 0, 0.3))), ports=(port("f", 0.025),), ground=FREE, mhz=(14.2,))


CLOSE = {
    **{f"resonator {apart} m away, {mhz} MHz": parasite(apart, mhz) for apart in (0.01, 0.03, 0.1, 0.2) for mhz in (14.2, 28.4)},
    "staggered, 5 mm apart": beside(wire("b", (-2.37, 0.005, 0), (6.1, 0.005, 0), **THIN)),
    "crossing at 5 cm": beside(wire("b", (2, -6, 0.05), (2, 4, 0.05), **THIN)),
    "crossing at 30 degrees": beside(wire("b", (-2, -2, 0.04), (5.3, 2.2, 0.04), **THIN)),
    "ending on a wire but for 1 cm": beside(wire("b", (2, 0, 0.01), (2, 0, 5), **THIN)),
    "a load facing plain wire": beside(
        wire("b", (-4.8, 0.02, 0), (4.8, 0.02, 0), **THIN), loads=(Load(wire="b", at_m=6.0, element=FixedImpedance(ohm=400j)),)
    ),
    "J-shaped feed": j_pole(),
    "folded, 5 cm wide": Set(
        wires=(wire("l", (0, 0, 0), (5, 0, 0), (5, 0, 0.05), (-5, 0, 0.05), (-5, 0, 0), (0, 0, 0)),), ports=(port("l", 0.0),), ground=FREE, mhz=(14.2,)
    ),
}


@pytest.mark.parametrize("name", CLOSE)
def test_close_wires(name):
    """Within 2 % of |Z|."""
    case = CLOSE[name]
    truth = case.z(refined(16.0))[0]
    assert abs(case.z()[0] - truth) < 0.02 * abs(truth)


def mesh_of(case):
    return build_mesh(case.wires, case.ports, case.loads, wavelength_m=299.792458 / case.mhz[0])


def segments(mesh, wire):
    """Starts and ends of the segments of one wire."""
    mine = mesh.wire == wire
    start, along = mesh.start_m[mine], mesh.tangent[mine] * mesh.length_m[mine][:, None]
    return {tuple(np.round(row, 9) + 0.0) for row in np.hstack((start, start + along))}


def test_a_mesh_far_from_others_is_its_own():
    alone = segments(mesh_of(beside()), 0)
    assert segments(mesh_of(parasite(1.0, 14.2)), 0) == alone
    assert len(segments(mesh_of(parasite(0.1, 14.2)), 0)) > len(alone)


def test_surroundings_neither_refine_nor_are_refined():
    """They are kept 0.3 m away and may be coarse."""
    def fence(y):
        return replace(wire("fence", (-2, y, 0), (3, y, 0)), role=SURROUNDINGS)

    mesh = mesh_of(beside(fence(0.05)))
    assert segments(mesh, 0) == segments(mesh_of(beside()), 0)
    assert len(segments(mesh, 1)) == len(segments(mesh_of(beside(fence(50.0))), 1))


def test_a_centimetre_cut_off_one_wire_moves_only_what_is_near_its_end():
    """What has not moved is not solved again."""
    before, after = (segments(mesh_of(beside(wire("b", (-2.5, 0.1, 0), (x, 0.1, 0), **THIN))), 0) for x in (2.5, 2.49))
    moved = before - after
    assert 0 < len(moved) < 0.4 * len(before)
    longest_m = 299.792458 / 14.2 / 18
    assert all(abs(row[0] - 2.5) < longest_m for row in moved)


def test_runs_side_by_side_face_each_other():
    """Where both run, their nodes are opposite each other, whatever ends or is fed in one of them alone."""
    mesh = mesh_of(CLOSE["staggered, 5 mm apart"])
    a, b = (sorted({x for row in segments(mesh, w) for x in (row[0], row[3]) if -2.37 <= x <= 5.1}) for w in (0, 1))
    assert a == pytest.approx(b, abs=1e-6)


def test_three_ends_at_one_place_do_not_cut_slivers():
    """Two wires that end within a centimetre of each other beside a third: no segment far shorter than the first at a feed."""
    others = (wire("b", (-2.5, 0.02, 0), (2.5, 0.02, 0), **THIN), wire("c", (-2.5, 0, 0.02), (2.505, 0, 0.02), **THIN))
    assert mesh_of(beside(*others)).length_m.min() > 0.004


@pytest.mark.parametrize("at", [0.0, 0.37, 5.0, 12.5, 20.0, -0.3])
def test_closer_keeps_nodes_and_shortens_what_is_near(at):
    nodes = np.linspace(0.0, 20.0, 21)
    got = closer(nodes, at, 0.05, 1.0)
    assert set(nodes) <= set(got) and np.all(np.diff(got) > 0)
    middle, length = 0.5 * (got[1:] + got[:-1]), np.diff(got)
    assert np.all(length <= 1.7 * (0.05 + np.abs(middle - at)))
    assert np.array_equal(closer(got, at, 0.05, 1.0), got)
