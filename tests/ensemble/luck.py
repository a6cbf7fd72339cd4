"""Where a hidden garden's numbers come from: `Alone`, one after the other as they fall; `Among`, spread evenly over so many gardens.

Both know the same laws. Fifty gardens drawn alone may all be wet; of fifty drawn together every number has one garden in each fiftieth of its
law, in random company (Latin hypercube, scipy.stats.qmc), and each garden by itself is drawn as before.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import stats


class Alone:
    """Every number by itself; names do not matter."""

    def __init__(self, seed: int):
        self.rng = np.random.default_rng([77, seed])

    def even(self, name, low=0.0, high=1.0):
        return self.rng.uniform(low, high)

    def normal(self, name, mean, deviation):
        return self.rng.normal(mean, deviation)

    def beta(self, name, a, b):
        return self.rng.beta(a, b)

    def gamma(self, name, shape, scale):
        return self.rng.gamma(shape, scale)

    def one_of(self, name, things):
        return self.rng.choice(things)


@lru_cache(maxsize=4096)
def shares(set_: int, name: str, size: int) -> np.ndarray:
    rng = np.random.default_rng([78, set_, *name.encode()])
    return stats.qmc.LatinHypercube(d=1, rng=rng).random(size)[:, 0]


@dataclass(frozen=True)
class Among:
    """Garden `seed` among all from `seed - seed % size` on, `size` of them."""

    seed: int
    size: int

    def share(self, name):
        return float(shares(self.seed // self.size, name, self.size)[self.seed % self.size])

    def even(self, name, low=0.0, high=1.0):
        return low + (high - low) * self.share(name)

    def normal(self, name, mean, deviation):
        return stats.norm.ppf(self.share(name), mean, deviation)

    def beta(self, name, a, b):
        return stats.beta.ppf(self.share(name), a, b)

    def gamma(self, name, shape, scale):
        return stats.gamma.ppf(self.share(name), shape, scale=scale)

    def one_of(self, name, things):
        return things[int(self.share(name) * len(things))]
