"""Two-ports as chain (ABCD) matrices over frequency.

    [V1]   [A B] [V2]      port 1 toward the radio, port 2 toward the wire;
    [I1] = [C D] [I2]      I1 flows in at port 1, I2 out at port 2

Arrays are complex (F, 2, 2), one matrix a frequency; V, I rms; time factor exp(+j w t). Loads are complex (F,).
Source: any text on two-port networks, e.g. Pozar, Microwave Engineering, section 4.4.
"""

from __future__ import annotations

from functools import reduce

import numpy as np


def _matrix(a, b, c, d) -> np.ndarray:
    """Chain matrix from its four entries, numbers or (F,)."""
    shape = np.broadcast_shapes(np.shape(a), np.shape(b), np.shape(c), np.shape(d))
    out = np.empty((*shape, 2, 2), complex)
    out[..., 0, 0], out[..., 0, 1], out[..., 1, 0], out[..., 1, 1] = a, b, c, d
    return out


def series(z_ohm) -> np.ndarray:
    """An impedance (F,) in series."""
    return _matrix(1.0, z_ohm, 0.0, 1.0)


def shunt(y_siemens) -> np.ndarray:
    """An admittance (F,) across the line."""
    return _matrix(1.0, 0.0, y_siemens, 1.0)


def ideal_transformer(turns_ratio) -> np.ndarray:
    """Step-up toward port 2 by `turns_ratio` in voltage."""
    return _matrix(1.0 / turns_ratio, 0.0, 0.0, turns_ratio)


def uniform_line(gamma_l, z0_ohm) -> np.ndarray:
    """A line of complex length gamma_l (F,) and characteristic impedance z0 (F,)."""
    cosh, sinh = np.cosh(gamma_l), np.sinh(gamma_l)
    return _matrix(cosh, z0_ohm * sinh, sinh / z0_ohm, cosh)


def cascade(*parts: np.ndarray) -> np.ndarray:
    """One chain matrix for several, the first nearest the radio."""
    return reduce(np.matmul, parts)


def carried_back(chain: np.ndarray, z_load_ohm) -> tuple[np.ndarray, np.ndarray]:
    """Input impedance and the share of the accepted power that reaches the load, both (F,).

    An open or lossless-reactive load gives share 0; the load must not be infinite.
    """
    z = np.asarray(z_load_ohm, complex)
    v = chain[..., 0, 0] * z + chain[..., 0, 1]
    i = chain[..., 1, 0] * z + chain[..., 1, 1]
    power = v.real * i.real + v.imag * i.imag
    return v / i, z.real / power


def input_impedance_ohm(chain: np.ndarray, z_load_ohm) -> np.ndarray:
    """Impedance looking into port 1 with the load at port 2 [ohm]."""
    return carried_back(chain, z_load_ohm)[0]


def delivered_share(chain: np.ndarray, z_load_ohm) -> np.ndarray:
    """Power into the load over power accepted at port 1, 0..1."""
    return carried_back(chain, z_load_ohm)[1]


def loss_db(chain: np.ndarray, z_load_ohm) -> np.ndarray:
    """Loss inside the two-port with that load [dB]."""
    return -10.0 * np.log10(delivered_share(chain, z_load_ohm))


def power_delivered_w(chain: np.ndarray, z_load_ohm, power_in_w) -> np.ndarray:
    """Power into the load for a power accepted at port 1 [W]."""
    return power_in_w * delivered_share(chain, z_load_ohm)


def stress_per_root_watt(chain: np.ndarray, z_load_ohm) -> tuple[np.ndarray, np.ndarray]:
    """Rms volts and amperes at port 2 for one watt accepted at port 1, (F,) each."""
    z = np.asarray(z_load_ohm, complex)
    amps = np.sqrt(delivered_share(chain, z) / z.real)
    return amps * np.abs(z), amps
