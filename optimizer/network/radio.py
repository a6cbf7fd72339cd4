"""What the radio does when the SWR rises.

Up to its limit it gives rated power; beyond, it holds the reflected power to what it was at the limit:
P/P0 = (|Gamma_limit| / |Gamma|)^2. Makers differ and many fold back harder: common practice, no source.
"""

from __future__ import annotations

import numpy as np

from .match import reflection_of_swr


def power_share(swr, swr_limit: float = 2.0):
    """Forward power over rated power at that SWR, 0..1, shape of `swr`."""
    limit = reflection_of_swr(swr_limit)
    with np.errstate(divide="ignore", invalid="ignore"):
        gamma = np.where(np.isfinite(swr), reflection_of_swr(np.asarray(swr, float)), 1.0)
        return np.where(gamma > limit, (limit / gamma) ** 2, 1.0)


def accepted_share(swr, swr_limit: float = 2.0):
    """Power that enters the line over rated power: fold-back times what is not reflected."""
    gamma = np.where(np.isfinite(swr), reflection_of_swr(np.minimum(np.asarray(swr, float), 1e9)), 1.0)
    return power_share(swr, swr_limit) * (1.0 - gamma**2)
