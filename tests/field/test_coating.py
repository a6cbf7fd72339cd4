"""A coating binds charge and leaves the inductance alone: exact limits that tell it from a series inductance."""

from dataclasses import replace

import numpy as np
import pytest

from optimizer.field.solver import solve
from optimizer.physics.constants import EPS0_F_PER_M, MU0_H_PER_M, TWO_PI
from optimizer.wires.model import Coating, Ground, Port, Wire

RADIUS_M, COAT = 1e-3, Coating(thickness_m=8e-4, relative_permittivity=2.3)
FREE = Ground(kind="none")
PER_CHARGE = (1 - 1 / 2.3) * np.log(1.8) / (TWO_PI * EPS0_F_PER_M)  # volts over one coat for a coulomb a metre less than without (Gauss's law)


def reactances(points, at_m, freq_hz, radius_m=RADIUS_M):
    """Of the bare wire and the coated one [ohm]."""
    wire = Wire(name="w", points_m=points, radius_m=radius_m)
    port = (Port(name="p", wire="w", at_m=at_m),)
    return [float(solve((w,), port, (), FREE, [freq_hz]).z_ohm[0].imag) for w in (wire, replace(wire, coating=COAT))]


def test_a_coat_of_no_magnetism_leaves_a_small_loops_inductance_alone():
    """Exact limit: current the same all around, no charge."""
    bare, coated = reactances(((0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 0, 0)), 0.5, 0.3e6)
    assert coated == pytest.approx(bare, rel=1e-4)


def test_a_short_dipole_gains_capacitance():
    """Current falls evenly to the ends where charge is spread evenly; any other spread of the same charge makes the coat's share greater (Cauchy and Schwarz)."""
    freq, arm = 3.6e6, 1.0
    bare, coated = reactances(((0, -arm, 0), (0, arm, 0)), arm, freq)
    least = PER_CHARGE / (TWO_PI * freq) * 2.0 / arm
    assert least < coated - bare < 1.1 * least


@pytest.mark.parametrize("far_end", ["open", "shut"])
def test_a_line_of_two_coated_wires_has_the_capacitance_of_its_layers(far_end):
    """Two-wire line, L' = mu0/pi arcosh(D/2a) as without a coat, 1/C' less by both coats' (textbook; the fields of thin coats far apart are their own).
    The same end effects are in both solutions: the share by which the coat changes the reactance is compared."""
    freq, size, gap = 14.2e6, 2.0, 0.03
    path = [(-gap / 2, size, 0), (-gap / 2, 0, 0), (gap / 2, 0, 0), (gap / 2, size, 0)]
    bare, coated = reactances(tuple(path + [path[0]] * (far_end == "shut")), size + gap / 2, freq)
    near = np.arccosh(gap / (2 * RADIUS_M))
    per_m, elastance = MU0_H_PER_M / np.pi * near, near / (np.pi * EPS0_F_PER_M)

    def line(elastance):
        z0, turn = np.sqrt(per_m * elastance), TWO_PI * freq * size * np.sqrt(per_m / elastance)
        return -z0 / np.tan(turn) if far_end == "open" else z0 * np.tan(turn)

    wanted = line(elastance - 2 * PER_CHARGE) / line(elastance) - 1
    assert coated / bare - 1 == pytest.approx(wanted, rel=0.1)
