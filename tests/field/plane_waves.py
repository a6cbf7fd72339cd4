"""A second route to the fields of currents over soil: Hertzian dipoles and reflected plane waves, nothing else.

The direct field is the closed form of a Hertzian dipole, of the image over perfect ground likewise. Over soil every plane wave of the dipoles'
spectrum (H. Weyl, Ann. Phys. 60 (1919) 481) that runs down is split into its part with E level and its part with H level, each reflected with
its Fresnel coefficient, and all are added by quadrature over angle and transverse wave number. No potentials, no images, no tables.
Time factor exp(+j w t), peak amperes, metres.
"""

import numpy as np
from plain_sommerfeld import evanescent_edges, panels, visible_edges

from optimizer.physics.constants import C0_M_PER_S, ETA0_OHM, TWO_PI


def dipoles(at, moments, point, k):
    """E and H (3,) of Hertzian dipoles at (N, 3) with moments (N, 3) [A m] in free space; J. D. Jackson, Classical Electrodynamics, sec. 9.2."""
    gap = np.asarray(point) - at
    r = np.linalg.norm(gap, axis=1)[:, None]
    u, jkr = gap / r, 1j * k * r
    wave = np.exp(-jkr) / (4 * np.pi * r)
    along = np.sum(moments * u, axis=1)[:, None] * u
    e = -1j * k * ETA0_OHM * wave * ((1 + 1 / jkr + 1 / jkr**2) * moments - (1 + 3 / jkr + 3 / jkr**2) * along)
    h = 1j * k * wave * (1 + 1 / jkr) * np.cross(moments, u)
    return e.sum(axis=0), h.sum(axis=0)


def perfect_image(at, moments, point, k):
    flip = np.array([1.0, 1.0, -1.0])
    return dipoles(at * flip, -moments * flip, point, k)


def reflected(at, moments, point, k, n2):
    """E and H (3,) of the wave that the soil sends back."""
    lowest = k * (at[:, 2].min() + point[2])
    wide = k * np.linalg.norm(at[:, :2] - point[:2], axis=1).max()
    t, dt = panels(visible_edges(0.3 * (wide + k * (at[:, 2].max() + point[2]))), 5)
    u, du = panels(evanescent_edges(wide, np.arcsinh(16.0 / lowest), np.sqrt(complex(n2)).real), 5)
    s = np.concatenate((np.sin(t), np.cosh(u)))
    a = np.concatenate((np.cos(t) + 0j, -1j * np.sinh(u)))
    weight = np.concatenate((dt + 0j, 1j * du)) * s  # s ds / a
    e, h = np.zeros(3, complex), np.zeros(3, complex)
    for sn, an, wn in zip(s, a, weight):
        turn = np.arange(n := 2 * int(0.55 * sn * wide) + 40) * (TWO_PI / n)
        ex, ey = np.cos(turn), np.sin(turn)
        phase = sn * k * (np.outer(ex, point[0] - at[:, 0]) + np.outer(ey, point[1] - at[:, 1])) + an * k * (at[:, 2] + point[2])
        source = np.exp(-1j * phase) @ moments  # (n, 3)
        zero = np.zeros_like(ex)
        down, up = (np.column_stack((sn * ex, sn * ey, zero + sign * an)) for sign in (-1, 1))
        level = np.column_stack((-ey, ex, zero))
        # per unit: E = -j w (A - k (k.A)/k²) in units of w mu; H = k x E / (w mu) in units of k
        field = -1j * (source - down * np.sum(down * source, axis=1)[:, None])
        te = np.sum(field * level, axis=1)[:, None]
        tm = np.sum(np.cross(down, field) * level, axis=1)[:, None]
        b = np.sqrt(n2 - sn * sn + 0j)
        te = te * (an - b) / (an + b)
        tm = tm * (n2 * an - b) / (n2 * an + b)
        e += wn / n * np.sum(te * level - tm * np.cross(up, level), axis=0)
        h += wn / n * np.sum(tm * level + te * np.cross(up, level), axis=0)
    # Weyl: exp(-jkR)/R = (k/(2 pi j)) times the integral over s ds/a and angle, so the mean over angle carries k/j
    scale = k / (4j * np.pi)
    return e * scale * k * ETA0_OHM, h * scale * k


def dense_moments(mesh, slot_amps, k, pieces=60):
    """Positions and moments of a fine division of the solved currents, (N pieces, 3) each."""
    part = (np.arange(pieces) + 0.5) / pieces
    s = mesh.length_m[:, None] * part
    amps = slot_amps[0::2, None] * np.sin(k * (mesh.length_m[:, None] - s)) + slot_amps[1::2, None] * np.sin(k * s)
    amps = amps / np.sin(k * mesh.length_m)[:, None]
    at = mesh.start_m[:, None, :] + s[:, :, None] * mesh.tangent[:, None, :]
    moments = (amps * mesh.length_m[:, None] / pieces)[:, :, None] * mesh.tangent[:, None, :]
    return at.reshape(-1, 3), moments.reshape(-1, 3)


def wave_number(freq_hz):
    return TWO_PI * freq_hz / C0_M_PER_S
