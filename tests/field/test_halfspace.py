"""The half-space potentials against a slow second route, and their limits.

Second route: plain_sommerfeld.py, real-axis quadrature without images taken out or paths bent, itself checked against Sommerfeld's identity
and against mpmath's quadrature at 20 digits.
"""

import mpmath
import numpy as np
import pytest
from plain_sommerfeld import potentials, q_of

from optimizer.field import halfspace, kernels
from optimizer.physics.soil import Soil

# name: relative permittivity, conductivity [S/m], frequency [Hz]; dry sand to sea water, ends of the range of frequencies
SOILS = {
    "dry sand 28.5 MHz": (3.0, 1e-4, 28.5e6),
    "poor 3.65 MHz": (5.0, 1e-3, 3.65e6),
    "average 7.1 MHz": (13.0, 0.005, 7.1e6),
    "average 54 MHz": (13.0, 0.005, 54e6),
    "good 14.15 MHz": (20.0, 0.03, 14.15e6),
    "sea water 1.83 MHz": (80.0, 5.0, 1.83e6),
}
ROOTS = (2, 6, 12, 18, 24)  # of 24: sqrt(Y/R)
# Allowed error of Q, itself of order one: up to R = 2 (a third of a wavelength), and beyond, where it weighs less and the wave
# that runs in a soil of little loss beats with the one in the air
NEAR, FAR = 3e-4, 3e-3
PHI = 2e-5  # its scalar potential, whose second difference the short segments take
WIDE = Soil(relative_permittivity=13.0, conductivity_s_per_m=0.005)


@pytest.fixture(params=SOILS)
def n2(request):
    eps, sigma, freq = SOILS[request.param]
    return complex(Soil(relative_permittivity=eps, conductivity_s_per_m=sigma).complex_permittivity(freq))


def place(r, root):
    y = r * root * root
    return np.sqrt(max(r * r - y * y, 0.0)), y


def agree(found, wanted, r):
    error = np.abs(found - wanted)
    assert error.max() < (NEAR if r < 2 else FAR), error
    assert error[1] < (PHI if r < 2 else FAR / 10), error


@pytest.mark.parametrize("octave", range(-9, 4))
def test_table_nodes_against_direct_quadrature(n2, octave):
    got = halfspace.octave_table(octave, n2)
    for m in (0, halfspace.R_PER_OCTAVE // 2 + 1):
        for j in ROOTS:
            r = 2.0 ** (octave + m / halfspace.R_PER_OCTAVE)
            agree(got[m, j * (halfspace.W_POINTS - 1) // 24], q_of(*place(r, j / 24), n2), r)


@pytest.mark.parametrize("log2_r", [-8.93, -6.55, -4.31, -2.06, -0.44, 0.07, 1.56, 2.81, 3.94])
def test_look_up_between_nodes_against_direct_quadrature(n2, log2_r):
    r = 2.0**log2_r
    first, q = halfspace.table(n2, 2.0**-9, 2.0**4)
    out = np.zeros(8)
    for root in (0.11, 0.27, 0.52, 0.71, 0.985):
        kernels.look_up(np.ascontiguousarray(q).view(float), first, np.log(r), root, out)
        agree(out.view(complex), q_of(*place(r, root), n2), r)


@pytest.mark.parametrize("r", [150.0, 420.0])
def test_far_potentials_against_direct_quadrature(r):
    """Dozens of wavelengths away, where the saddle at s = 1 must not be cut into."""
    n2 = complex(WIDE.complex_permittivity(28.5e6))
    first, q = halfspace.table(n2, 100.0, 500.0)
    out = np.zeros(8)
    for root in (0.1, 0.3, 0.6, 0.97):
        kernels.look_up(np.ascontiguousarray(q).view(float), first, np.log(r), root, out)
        assert np.abs(out.view(complex) - q_of(*place(r, root), n2)).max() < FAR


@pytest.mark.parametrize("r, root", [(0.004, 0.8), (0.3, 0.5), (2.0, 0.9), (9.0, 0.6)])
def test_direct_quadrature_against_mpmath(r, root):
    n2 = complex(WIDE.complex_permittivity(7.1e6))
    x, y = place(r, root)
    n2_mp = mpmath.mpc(n2)

    def terms(s, a):
        b = mpmath.sqrt(n2_mp - s * s)
        te, tm = (a - b) / (a + b), (n2_mp * a - b) / (n2_mp * a + b)
        both = (te + tm) / s**2
        wave, bessel = mpmath.exp(-1j * a * y), mpmath.besselj(0, s * x) * s
        return (te * bessel * wave, (te + a * a * both) * bessel * wave, (tm - a * a * both) * bessel * wave,
                both * mpmath.besselj(1, s * x) / x * r * s * s * wave)

    edges = [mpmath.mpf("1e-8"), 0.5, 1.0, 1.4, 1.55, mpmath.pi / 2]
    steps = [0, 0.1, 0.5, 1, 1.5, 2, 3, mpmath.asinh(46 / y)]
    steps = sorted(e for e in steps if e <= steps[-1])
    with mpmath.workdps(20):
        for n, got in enumerate(potentials(x, y, n2)):
            low = mpmath.quad(lambda t, n=n: (-1j if n < 3 else mpmath.cos(t)) * terms(mpmath.sin(t), mpmath.cos(t))[n], edges)
            high = mpmath.quad(
                lambda u, n=n: (1 if n < 3 else mpmath.sinh(u)) * terms(mpmath.cosh(u), -1j * mpmath.sinh(u))[n], steps
            )
            assert got == pytest.approx(complex(low + high), rel=1e-7, abs=1e-9 / r)


def test_direct_quadrature_gives_sommerfelds_identity():
    """With F = 1 the integral is exp(-jR)/R: an enormous n² makes -R_TE that."""
    for r in (0.01, 1.0, 30.0):
        for root in (0.1, 0.5, 1.0):
            assert q_of(*place(r, root), -1e26j)[0] == pytest.approx(-1.0, abs=1e-9)


@pytest.mark.parametrize("octave", [-9, -3, 0, 3])
def test_no_contrast_gives_no_reflection(octave):
    assert np.abs(halfspace.octave_table(octave, 1.0 + 0j)).max() < 1e-14
    assert np.abs(halfspace.octave_table(octave, 1.0 + 1e-6 - 1e-6j)).max() < 1.5e-6 * max(4.0, 2.0 ** (octave + 1))


@pytest.mark.parametrize("octave", [-9, -3, 0, 3, 6])
def test_endless_conductivity_gives_the_perfect_image(octave):
    """Level current and charge reversed, upright current kept, nothing across: -1, -1, +1, 0. The octave's end at grazing apart."""
    got = halfspace.octave_table(octave, -1e14j)[:, 3:]
    assert np.abs(got - np.array([-1.0, -1.0, 1.0, 0.0])).max() < 1e-3


def test_static_limit_is_the_dielectric_image():
    """Close by, charges have the image -(n²-1)/(n²+1), as over a dielectric (any textbook of electrostatics), currents none."""
    n2 = 9.0 - 2.0j
    got = halfspace.octave_table(-12, n2)
    assert np.abs(got[:, :, 1] + (n2 - 1) / (n2 + 1)).max() < 3e-4
    assert np.abs(got[:, :, 0]).max() < 3e-3


def test_brewster_angle_of_a_lossless_dielectric():
    """tan(elevation) = 1/n: no reflection of the wave polarised in the plane of incidence."""
    for n2 in (3.0, 9.0, 80.0):
        _, r_tm = halfspace.fresnel(n2 + 0j, np.sin(np.arctan(n2**-0.5)))
        assert abs(r_tm) < 1e-12


def test_reflection_at_the_zenith_and_along_the_ground():
    n = np.sqrt(13 - 12.66j)
    te, tm = halfspace.fresnel(n * n, np.array([1.0, 0.0]))
    assert te[0] == pytest.approx((1 - n) / (1 + n)) and tm[0] == pytest.approx((n - 1) / (n + 1))
    assert te[1] == pytest.approx(-1.0) and tm[1] == pytest.approx(-1.0)
