"""A slow, plain second route to the half-space integrals: real-axis quadrature, s = sin t and then s = cosh u.

Written from the plane-wave reflection coefficients only, in the convention exp(+j w t), lengths in units of 1/k:
a = sqrt(1 - s²), b = sqrt(n² - s²), imaginary parts not above zero. With A. Sommerfeld's identity
exp(-jR)/R = -j ∫ J0(sX) exp(-jaY) s/a ds the spectra below are those of the potentials in the heading of
optimizer.field.halfspace, written here with R_TE and R_TM as the reflection of plane waves gives them
(K. A. Michalski and D. Zheng, IEEE Trans. AP 38 (1990) 335):

    xx   R_TE
    phi  R_TE + a² (R_TE + R_TM) / s²    scalar potential of the charge on a wire of any direction
    zz   R_TM - a² (R_TE + R_TM) / s²    upright current, upright potential, with that scalar potential
    g    (R_TE + R_TM) / s²              level current, upright potential, over X/R
"""

import numpy as np
from scipy.special import j0, j1


def spectra(s, a, n2):
    """Spectra xx, phi, zz and (R_TE + R_TM)/s² at s, with a its cosine (-j sinh u beyond s = 1)."""
    b = np.sqrt(n2 - s * s + 0j)
    b = np.where(b.imag > 0, -b, b)
    r_te, r_tm = (a - b) / (a + b), (n2 * a - b) / (n2 * a + b)
    both = (r_te + r_tm) / s**2
    return r_te, r_te + a * a * both, r_tm - a * a * both, both


def panels(edges, order=16):
    """Gauss points and weights on each panel between `edges`."""
    x, w = np.polynomial.legendre.leggauss(order)
    edges = np.asarray(edges)
    half = 0.5 * np.diff(edges)[:, None]
    return (0.5 * (edges[1:] + edges[:-1])[:, None] + half * x).ravel(), (half * w).ravel()


def visible_edges(reach):
    """Panels of t in 0..pi/2, crowded at pi/2 where a surface wave's pole may come near, none longer than half a radian of the waves."""
    crowded = 0.5 * np.pi - np.geomspace(0.27, 1e-7, 60)
    return np.union1d(np.append(crowded, 0.5 * np.pi), np.linspace(0.0, 0.5 * np.pi, 24 + int(2 * reach)))


def evanescent_edges(x, last, branch):
    """Panels of u from 0 on, crowded at 0 and at the branch point, none longer than two radians of the Bessel function."""
    edges, u_n = [0.0, 1e-7], np.arccosh(max(branch, 1 + 1e-9))
    while edges[-1] < last:
        u = edges[-1]
        edges.append(u + min(0.3 * u, 0.4 * max(abs(u - u_n), 1e-4), 0.25, 2.0 / (x * np.cosh(u) + 1e-12)))
    return edges


def potentials(x, y, n2):
    """T of xx, phi, zz and g (over X/R), complex (4,), by direct quadrature to where the exponential has died; y above zero."""
    r = np.hypot(x, y)
    t, dt = panels(visible_edges(r))
    s, a = np.sin(t), np.cos(t)
    wave = np.exp(-1j * a * y)
    j1_x = j1(s * x) / x * r if x > 1e-9 else 0.5 * s * r
    *three, both = spectra(s, a, n2)
    total = [np.sum(-1j * f * j0(s * x) * wave * s * dt) for f in three]
    total.append(np.sum(both * j1_x * wave * s * s * a * dt))
    last = np.arcsinh(42.0 / y)
    u, du = panels(evanescent_edges(x, last, np.sqrt(complex(n2)).real))
    s, alpha = np.cosh(u), np.sinh(u)
    wave = np.exp(-alpha * y)
    j1_x = j1(s * x) / x * r if x > 1e-9 else 0.5 * s * r
    *three, both = spectra(s, -1j * alpha, n2)
    for n, f in enumerate(three):  # ds/a = j du
        total[n] += np.sum(f * j0(s * x) * wave * s * du)
    total[3] += np.sum(both * j1_x * wave * s * s * alpha * du)
    return np.array(total)


def q_of(x, y, n2):
    """What the table holds: T R exp(jR)."""
    r = np.hypot(x, y)
    return potentials(x, y, n2) * r * np.exp(1j * r)
