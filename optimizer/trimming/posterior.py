"""What readings leave of the gardens: weights for the members, and a linear step for the rest.

    weight_g   ~ exp(-lambda/2 sum ((y - m_g)/s)^2)      lambda in (0, 1]: as sharp as leaves `LEAST` members' worth
    q | y      = mean q + K (y - mean m),  K = C_qm (C_mm + R/(1 - lambda))^-1

The likelihood is used once: its power lambda for the weights (importance sampling, tempered), the rest as an ensemble's Gaussian
update (G. Evensen, J. Geophys. Res. 99 (1994) 10143), which moves members to where none was drawn. Where lambda is 1 the weights
alone answer.

Where the readings lie far outside all members, the members do not hold this garden: their covariance is widened by the factor b that makes
the readings likeliest, d ~ N(0, b C_mm + R) (D. P. Dee, Mon. Weather Rev. 123 (1995) 1128), so that the reading counts and not the members' narrowness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

LEAST = 32.0  # effective number of members
GONE = 1e-12
WIDER = np.geomspace(1.0, 1e4, 41)  # factors on the covariance
PLAINLY = 4.0  # twice the logarithm by which a wider covariance must be likelier: some two and a half standard deviations


@dataclass(frozen=True, kw_only=True, eq=False)
class Posterior:
    """`weights` (G,) of the members, sum one; `mean` (Q,), `cov` (Q, Q) of what was asked; `sharpness`: lambda."""

    weights: np.ndarray
    mean: np.ndarray
    cov: np.ndarray
    sharpness: float

    @property
    def sigma(self) -> np.ndarray:
        return np.sqrt(np.diag(self.cov))


def posterior(asked: np.ndarray, shown: np.ndarray, y: np.ndarray, sigma: np.ndarray, prior: np.ndarray | None = None) -> Posterior:
    """asked (G, Q), shown (G, R), y (R,), sigma (R,), prior (G,) weights. R may be 0."""
    prior = np.full(len(asked), 1.0 / len(asked)) if prior is None else prior
    misfit = (((shown - y) / sigma) ** 2).sum(axis=1)
    sharpness = _sharpness(misfit, prior)
    weights = _weights(misfit, prior, sharpness)
    spare = 1.0 - float((weights**2).sum())
    q, m = weights @ asked, weights @ shown
    dq, dm = asked - q, shown - m
    c_qq, c_qm, c_mm = ((weights[:, None] * a).T @ b / spare for a, b in ((dq, dq), (dq, dm), (dm, dm)))
    noise = np.diag(sigma**2 / max(1.0 - sharpness, GONE))
    wide = _widening(y - m, c_mm, noise)
    c_qq, c_qm, c_mm = wide * c_qq, wide * c_qm, wide * c_mm
    left = c_mm + noise
    gain = np.linalg.solve(left, c_qm.T).T
    taught = float(np.trace(np.linalg.solve(left, c_mm)))
    enough = effective(weights)
    wider = enough / max(1.0, enough - 1.0 - taught)  # a regression's degrees of freedom
    return Posterior(weights=weights, mean=q + gain @ (y - m), cov=(c_qq - gain @ c_qm.T) * wider, sharpness=sharpness)


def _widening(off, c_mm, noise) -> float:
    """Factor on the members' covariance: 1 unless the readings plainly lie outside them."""
    if not len(off):
        return 1.0
    badness = [np.linalg.slogdet(left)[1] + off @ np.linalg.solve(left, off) for left in (b * c_mm + noise for b in WIDER)]
    best = int(np.argmin(badness))
    return float(WIDER[best]) if badness[0] - badness[best] > PLAINLY else 1.0


def effective(weights: np.ndarray) -> float:
    """How many members' worth (L. Kish, Survey Sampling, 1965)."""
    return 1.0 / float((weights**2).sum())


def _weights(misfit, prior, sharpness: float) -> np.ndarray:
    log = np.log(np.maximum(prior, GONE)) - 0.5 * sharpness * (misfit - misfit.min())
    out = np.exp(log - log.max())
    return out / out.sum()


def _sharpness(misfit, prior) -> float:
    least = min(LEAST, 0.5 * effective(prior))
    if effective(_weights(misfit, prior, 1.0)) >= least:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if effective(_weights(misfit, prior, middle)) >= least else (low, middle)
    return low
