"""A family's parameters as points, and the surface through what was solved.

A point is (numbers in the unit cube, index of the choice of each category). For distances and for the surface it is coded as one vector: numbers as
they are, heights the denser the higher, bearings on a circle as long as the cube is wide, categories as corners of a simplex.
"""

from __future__ import annotations

import numpy as np
from optuna.distributions import CategoricalDistribution
from scipy.interpolate import RBFInterpolator
from scipy.spatial.distance import cdist

from .space import from_unit, to_unit

Point = tuple[np.ndarray, tuple[int, ...]]

TURNING = ("bearing_deg",)  # 360 degrees are 0 again
HEIGHTS = ("apex_m", "corner_m")  # the upper half of their range takes three quarters of the cube: there is more to be had
CORNER = 0.3  # two choices of one category lie that times the square root of two apart
KNOWN_LEAST, KNOWN_MOST = 4, 300  # points a surface is drawn through
KEPT = 0.75  # of the losses a surface follows; worse ones are taken for as bad as the last of these


class Coding:
    """To points and back, for one space of distributions by name."""

    def __init__(self, space: dict):
        self.space = dict(space)
        self.categories = [n for n, d in self.space.items() if isinstance(d, CategoricalDistribution)]
        self.numbers = [n for n in self.space if n not in self.categories]
        self.choices = [len(self.space[n].choices) for n in self.categories]
        self.turning = np.array([n in TURNING for n in self.numbers], dtype=bool)
        self.power = np.array([2.0 if n in HEIGHTS else 1.0 for n in self.numbers])

    def point(self, params: dict) -> Point:
        """What is not given counts as the middle, or the first choice."""
        numbers = np.array([to_unit(params[n], self.space[n]) if n in params else 0.5 for n in self.numbers])
        return numbers**self.power, tuple(self.space[n].choices.index(params[n]) if n in params else 0 for n in self.categories)

    def values(self, point: Point) -> dict:
        values = {n: from_unit(float(u), self.space[n]) for n, u in zip(self.numbers, point[0] ** (1.0 / self.power))}
        return values | {n: self.space[n].choices[k] for n, k in zip(self.categories, point[1])}

    def folded(self, numbers: np.ndarray) -> np.ndarray:
        """Steps beyond the cube come back: bearings all around, others as from a wall."""
        return np.clip(np.where(self.turning, numbers % 1.0, 1.0 - np.abs(1.0 - np.abs(numbers))), 0.0, 1.0)

    def coded(self, points: list[Point]) -> np.ndarray:
        """(points, coordinates)"""
        numbers = np.array([u for u, _ in points]).reshape(len(points), -1)
        angles, radius = 2 * np.pi * numbers[:, self.turning], 0.5 / np.pi
        picked = np.array([c for _, c in points], dtype=int).reshape(len(points), -1)
        corners = [CORNER * (picked[:, [j]] == np.arange(count)) for j, count in enumerate(self.choices)]
        return np.hstack([numbers[:, ~self.turning], radius * np.cos(angles), radius * np.sin(angles), *corners])


def merit(at: np.ndarray, known: np.ndarray, losses: np.ndarray, trust: float) -> np.ndarray:
    """How much each of the points `at` is worth a solve, less is better: what a surface through the known losses says, and how far from all known it
    lies, each scaled to 0..1 over these points; `trust` is the weight of the former.
    """
    if len(known) < KNOWN_LEAST:
        return -cdist(at, known).min(axis=1) if len(known) else np.zeros(len(at))
    near = 1.0 - _scaled(cdist(at, known).min(axis=1))
    capped = np.minimum(losses, np.quantile(losses, KEPT))
    surface = RBFInterpolator(known, capped, kernel="multiquadric", epsilon=2.0, degree=0, smoothing=1e-6)
    return trust * _scaled(surface(at)) + (1.0 - trust) * near


def _scaled(values: np.ndarray) -> np.ndarray:
    span = np.ptp(values)
    return (values - values.min()) / span if span > 0 else np.zeros_like(values)
