"""Power into soils that conduct like metal: bounded work, and the surface resistance's exact limit."""

import tracemalloc

import numpy as np
import pytest
from truth import refined
from wire_sets import PERFECT, level_dipole, radials, soil

from optimizer.field.far import point_moments
from optimizer.field.quality import power_balance_error, soil_power_w
from optimizer.physics.constants import C0_M_PER_S, MU0_H_PER_M, TWO_PI

METAL_S_PER_M = 1e7
FARTHEST_M = 5e3


def surface_loss_w(case, conductivity_s_per_m):
    """Half the surface resistance times the square of the current in the ground, summed over the plane; for 1 A peak in the port.

    The current in perfect ground is twice the level part of the wire's own magnetic field, that of its elements one by one.
    """
    solution = case.solve(settings=refined(6.0))  # two elements a segment must look like a wire from the ground
    w = TWO_PI * case.mhz[0] * 1e6
    k = w / C0_M_PER_S
    at, moments = point_moments(*solution.slot_currents(0), k)
    height = at[:, 2].min()
    u, v = (np.arange(0.0, np.arcsinh(FARTHEST_M / scale), 0.05) for scale in (height, 1.0))
    x, y = height * np.sinh(u), np.sinh(v)
    # one quarter of the plane, with half the weight on its edges
    dx, dy = (0.05 * slope * np.where(slope == slope[0], 0.5, 1.0) for slope in (height * np.cosh(u), np.cosh(v)))
    total = 0.0
    for here, width in zip(x, dx):
        away = np.stack(np.broadcast_arrays(here, y[:, None], 0.0), axis=-1) - at
        r = np.linalg.norm(away, axis=-1, keepdims=True)
        h = (np.cross(moments, away) * (1.0 + 1j * k * r) * np.exp(-1j * k * r) / (4 * np.pi * r**3)).sum(axis=1)
        total += 4.0 * width * np.sum(dy * np.sum(np.abs(2.0 * h[:, :2]) ** 2, axis=1))
    return 0.5 * np.sqrt(w * MU0_H_PER_M / (2.0 * conductivity_s_per_m)) * total


@pytest.mark.parametrize("height_m", [0.3, 1.0, 3.0])
def test_loss_is_that_of_the_surface_resistance(height_m):
    """A level wire's, whose field along the ground dies away fast enough for the plain surface resistance to be the limit: within half a per cent."""
    metal = level_dipole(height=height_m, ground=soil(1.0, METAL_S_PER_M))
    wanted = surface_loss_w(level_dipole(height=height_m, ground=PERFECT), METAL_S_PER_M)
    assert soil_power_w(metal.solve(), 0) == pytest.approx(wanted, rel=0.005)


@pytest.mark.parametrize("height_m", [0.3, 3.0])
def test_loss_goes_with_the_root_of_the_resistivity(height_m):
    lost = [soil_power_w(level_dipole(height=height_m, ground=soil(1.0, s)).solve(), 0) for s in (1e5, 1e7)]
    assert lost[0] / lost[1] == pytest.approx(10.0, rel=0.01)


@pytest.mark.parametrize("conductivity", [1e3, 1e5, METAL_S_PER_M])
@pytest.mark.parametrize("case, height_m", [(level_dipole, 0.3), (level_dipole, 3.0), (radials, 0.1)])
def test_power_balance_takes_bounded_room(case, height_m, conductivity):
    """No more than an ordinary soil takes, and the balance holds."""
    solution = case(height=height_m, ground=soil(1.0, conductivity)).solve()
    ordinary = case(height=height_m).solve()
    peaks = []
    for each in (ordinary, solution):
        tracemalloc.start()
        assert abs(power_balance_error(each, 0)) < 0.005
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 1.5 * peaks[0]
