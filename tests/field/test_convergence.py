"""Rate of convergence on refined meshes, and the program's own mesh against mesh-converged truth (truth.py).

`python tests/bench/bench_truth.py` prints the comparisons as a table.
"""

import numpy as np
import pytest
from truth import FEEDS, LIMITS, LOW, RESONANCES, end_fed_tail, feed_errors, off_centre, refined, resonance_error
from wire_sets import FREE, PERFECT, end_fed, level_dipole, loaded_tail, soil

from optimizer.field.mesh import MeshSettings

RATES = {
    "half wave, free space": level_dipole(ground=FREE, height=0.0),
    "half wave over soil": level_dipole(height=3.0),
    "off-centre feed": off_centre(mhz=(7.1,)),
    "end-fed with counterpoise over soil": end_fed(),
    "end-fed loaded tail": end_fed_tail(mhz=(7.1,)),
    "loaded tail": loaded_tail(mhz=(6.9,)),
}


SMOOTH = ("half wave, free space", "off-centre feed")  # no load, few corners: the full order shows


@pytest.mark.parametrize("name", RATES)
def test_rate(name):
    """9, 18 and 36 segments a wavelength: always less error, a good half less for each doubling, a quarter left for smooth wires."""
    case = RATES[name]
    truth = case.z(refined(8.0))[0]
    errors = [abs(case.z(refined(t))[0] / truth - 1) for t in (0.5, 1.0, 2.0)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert np.all(orders > (1.5 if name in SMOOTH else 0.3)) and orders.mean() > 1.0, errors
    assert errors[2] < 0.02


def test_settings_of_the_program_are_those_refined_once():
    assert refined(1.0) == MeshSettings()


@pytest.mark.parametrize("name", FEEDS)
def test_feeds_gains_efficiencies_and_near_fields(name):
    """Feed impedance within 1 % + 0.5 ohm, gain 0.1 dB, efficiency 1 %, E and H 3 % half a metre and more away."""
    for row in feed_errors(*FEEDS[name]):
        assert np.all(np.array(row) < LIMITS), row


@pytest.mark.parametrize("name", LOW)
def test_wires_close_to_the_soil(name):
    """As above, down to the least height allowed."""
    for row in feed_errors(*LOW[name], fine=16.0):
        assert np.all(np.array(row) < LIMITS), row


@pytest.mark.parametrize("height", [0.02, 0.05, 0.3])
def test_low_wire_over_endless_conductivity_is_over_perfect_ground(height):
    """The soil's route to the image against the exact one, on the same mesh."""
    case = level_dipole(height=height, half=6.0, ground=soil(1.0, 1e10))
    perfect = level_dipole(height=height, half=6.0, ground=PERFECT)
    assert case.z() == pytest.approx(perfect.z(), rel=0.01)


@pytest.mark.parametrize("name", RESONANCES)
def test_resonances(name):
    """Within 0.15 %, high-impedance ones 0.3 %."""
    assert abs(resonance_error(name)) < (0.003 if RESONANCES[name][3] else 0.0015)


def test_check_option_sees_a_coarse_mesh():
    """The change on a finer mesh, as `--check` reports it, is of the size of the error of the mesh."""
    from optimizer.field.quality import finer_mesh_change

    case = end_fed()
    change = finer_mesh_change(case.solve())[0]
    error = abs(case.z()[0] / case.z(refined(6.0))[0] - 1)
    assert 0.3 * error < change < 3.0 * error
