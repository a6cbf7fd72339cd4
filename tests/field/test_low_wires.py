"""Long level wires a hand's breadth above wet soil, sea and metal: segments of metres over images a few centimetres away.

The line formula of a wire over lossy earth: impedance per metre by J. R. Carson, Bell System Tech. J. 5 (1926) 539-554, with the soil's
displacement current (E. D. Sunde, Earth Conduction Effects in Transmission Systems, 1949, ch. 4), potential per charge by W. H. Wise,
Bell System Tech. J. 27 (1948) 365-371.
"""

import numpy as np
import pytest
from scipy.integrate import quad_vec
from truth import refined
from wire_sets import SEA, WET, level_dipole, radials, soil

from optimizer.field.quality import power_balance_error
from optimizer.physics.constants import C0_M_PER_S, EPS0_F_PER_M, MU0_H_PER_M, TWO_PI

METAL = soil(1.0, 1e4)


def line_formula_ohm(case, height_m, half_m):
    """Impedance amid a wire of two open arms, and what it gains per metre of arm: the ends' own charge is left out."""
    radius_m = case.wires[0].radius_m
    w = TWO_PI * case.mhz[0] * 1e6
    n2 = complex(case.ground.soil.complex_permittivity(w / TWO_PI))
    contrast = (n2 - 1.0) * (w / C0_M_PER_S * 2.0 * height_m) ** 2

    def earth(weight):
        return quad_vec(lambda t: 2.0 * np.exp(-t) / (weight * t + np.sqrt(t * t - contrast)), 0.0, np.inf, epsrel=1e-9)[0]

    image = np.log(2.0 * height_m / radius_m)
    series = 1j * w * MU0_H_PER_M / TWO_PI * (image + earth(1.0))
    shunt = 1j * w * EPS0_F_PER_M * TWO_PI / (image + earth(n2))
    gamma, z_wave = np.sqrt(series * shunt), np.sqrt(series / shunt)
    return 2.0 * z_wave / np.tanh(gamma * half_m), 2.0 * z_wave * gamma / np.sinh(gamma * half_m) ** 2


@pytest.mark.parametrize("height_m", [0.02, 0.05, 0.1])
@pytest.mark.parametrize(
    "ground, mhz, half_m",
    [(SEA, 1.85, 40.0), (SEA, 3.6, 20.0), (SEA, 7.1, 10.0), (METAL, 7.1, 10.0)],
    ids=["sea 1.85 MHz", "sea 3.6 MHz", "sea 7.1 MHz", "metal 7.1 MHz"],
)
def test_half_wave_wire_is_the_line_of_the_formula(ground, mhz, half_m, height_m):
    """But for the charge that crowds at open ends, which lengthens each arm by less than half the height; and 0.3 % for the feed."""
    case = level_dipole(height=height_m, half=half_m, ground=ground, mhz=(mhz,))
    wanted, per_m = line_formula_ohm(case, height_m, half_m)
    assert abs(case.z()[0] - wanted) < 0.003 * abs(wanted) + 0.5 * height_m * abs(per_m)


LOW = {
    "80 m over the sea": level_dipole(height=0.02, half=40.0, ground=SEA, mhz=(1.85,)),
    "40 m over the sea": level_dipole(height=0.05, half=20.0, ground=SEA, mhz=(3.6,)),
    "80 m over wet soil": level_dipole(height=0.05, half=40.0, ground=WET, mhz=(1.85,)),
    "20 m over metal": level_dipole(height=0.02, half=10.0, ground=METAL),
    "radials over the sea": radials(height=0.02, length=20.0, ground=SEA, mhz=(3.6,)),
}


@pytest.mark.parametrize("name", LOW)
def test_mesh_of_the_program_is_fine_enough(name):
    """Against twelve times as many segments (convergence): impedance within 1 %."""
    case = LOW[name]
    truth = case.z(refined(12.0))
    assert case.z() == pytest.approx(truth, rel=0.01)


@pytest.mark.parametrize("name", [name for name in LOW if name != "20 m over metal"])
def test_power_is_accounted_for(name):
    """Nearly all of it warms the sea or the soil."""
    assert abs(power_balance_error(LOW[name].solve(), 0)) < 3e-3
