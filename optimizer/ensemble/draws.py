"""Where the gardens' numbers come from: ranges from `tables/unknowns.csv`, and places in them spread evenly over an ensemble.

Every unknown has a name and under it a sequence of places between 0 and 1, one a member: its first 3, 6, 12, 24, 48, ... lie one in each 3rd, 6th, ...
of the range, so that few members spread as well as many, and a larger ensemble begins with the smaller. Each place alone is even between 0 and 1,
and names have nothing to do with each other: a Latin hypercube (M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21, 1979, p. 239), nested
(P. Z. G. Qian, Biometrika 96, 2009, p. 957); both from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from ..physics.tables import number, read_table

COLUMNS = ("name", "low", "high", "unit", "source", "note")
FEWEST = 3
AT_ONCE = 96  # members whose places are found in one go


@dataclass(frozen=True)
class Range:
    """What a number is drawn from. `unit` factor, maybe of something: even in the logarithm; count: whole numbers, both ends among them."""

    low: float
    high: float
    unit: str

    def at(self, share: float) -> float:
        """The number under which that share of all lie."""
        if self.unit.startswith("factor"):
            return self.low * (self.high / self.low) ** share
        if self.unit == "count":
            return self.low + math.floor(share * (self.high - self.low + 1))
        return self.low + share * (self.high - self.low)


@lru_cache(maxsize=1)
def ranges() -> dict[str, Range]:
    rows = read_table("unknowns.csv", columns=COLUMNS, key=("name",), may_be_empty=("note",), package="optimizer.ensemble")
    return {r["name"]: Range(number(r, "low"), number(r, "high"), r["unit"]) for r in rows}


@lru_cache(maxsize=4096)
def places(seed: int, name: str, count: int) -> np.ndarray:
    """At least `count` places between 0 and 1, (N,), N = 3, 6, 12, 24, ..."""
    rng = np.random.default_rng([seed, *name.encode()])
    out = (rng.permutation(FEWEST) + rng.random(FEWEST)) / FEWEST
    while len(out) < count:
        cells = 2 * len(out)  # one in two of them is empty
        empty = rng.permutation((out * cells).astype(int) ^ 1)
        out = np.concatenate([out, (empty + rng.random(len(empty))) / cells])
    return out


@dataclass(frozen=True)
class Draws:
    """The draws of one member of the ensemble of that seed. `of`: what they are about, before every name."""

    seed: int
    member: int
    of: str = ""

    def about(self, what: str) -> Draws:
        return replace(self, of=f"{self.of}{what} ")

    def even(self, name: str, low: float = 0.0, high: float = 1.0) -> float:
        count = AT_ONCE * (1 + self.member // AT_ONCE)
        return low + (high - low) * float(places(self.seed, self.of + name, count)[self.member])

    def value(self, name: str) -> float:
        """A number of the table."""
        return ranges()[name].at(self.even(name))

    def happens(self, name: str) -> bool:
        """For a probability of the table: did it?"""
        return self.even(name) < ranges()[name].low
