"""Reflection, SWR and their losses: the small closed forms of matching.

Gamma = (Z - Z0)/(Z + Z0), SWR = (1 + |Gamma|)/(1 - |Gamma|). Z0 real. Negative resistance does not occur in what
this program solves and is not guarded.
"""

from __future__ import annotations

import numpy as np

RADIO_OHM = 50.0


def reflection(z_ohm, z0_ohm=RADIO_OHM):
    """Complex reflection factor."""
    return (z_ohm - z0_ohm) / (z_ohm + z0_ohm)


def swr(z_ohm, z0_ohm=RADIO_OHM):
    """Standing-wave ratio, infinity for total reflection."""
    a, b = abs(z_ohm + z0_ohm), abs(z_ohm - z0_ohm)
    with np.errstate(divide="ignore"):
        return np.divide(a + b, a - b)


def reflection_of_swr(swr):
    """|Gamma| of an SWR."""
    return (swr - 1.0) / (swr + 1.0)


def return_loss_db(gamma_abs):
    return -20.0 * np.log10(gamma_abs)


def mismatch_loss_db(gamma_abs):
    """Power that a matched source cannot place, in dB."""
    return -10.0 * np.log10(1.0 - np.square(gamma_abs))
