"""Weighing members, against the closed form of normal distributions and a library's density.

Truth for the normal case: q ~ N(0, 1), reading y = q + e, e ~ N(0, s^2): mean y/(1 + s^2), variance s^2/(1 + s^2)
(any textbook on Bayesian statistics, e.g. A. Gelman et al., Bayesian Data Analysis, sec. 2.5).
"""

import numpy as np
import pytest
from scipy.stats import multivariate_t

from optimizer.trimming import evidence
from optimizer.trimming.posterior import LEAST, effective, posterior

MANY = 4000


def normal_members(count, seed=1):
    return np.random.default_rng(seed).standard_normal((count, 1))


@pytest.mark.parametrize("sigma, y", [(2.0, 0.7), (0.5, -1.0), (0.05, 1.5), (0.05, 3.5)])
def test_normal_members_give_the_closed_form(sigma, y):
    """Blunt readings by weights alone, sharp ones mostly by the linear step; also beyond every member."""
    q = normal_members(MANY)
    found = posterior(q, q, np.array([y]), np.array([sigma]))
    assert found.mean[0] == pytest.approx(y / (1 + sigma**2), abs=0.05)
    assert found.sigma[0] == pytest.approx(sigma / np.hypot(1, sigma), rel=0.15)
    assert effective(found.weights) >= 0.99 * LEAST


def test_ninety_six_members_are_calibrated():
    """Of draws that the ensemble does not hold, the standardised error has spread 1: 600 of them, three standard errors; a wider spread
    than 1 would overshoot, some less is the price of few members."""
    rng, z = np.random.default_rng(4), []
    for n in range(600):
        mixing = np.random.default_rng(n).standard_normal((4, 3))
        truth, members = rng.standard_normal(4), rng.standard_normal((96, 4))
        sigma = np.full(3, 0.1)
        found = posterior(members[:, :1], members @ mixing, truth @ mixing + 0.1 * rng.standard_normal(3), sigma)
        z.append((truth[0] - found.mean[0]) / found.sigma[0])
    assert 0.75 < np.std(z) < 1.0 + 3 / np.sqrt(1200) and abs(np.mean(z)) < 3 / np.sqrt(600)


def test_without_readings_the_prior_stays():
    q = normal_members(96)
    found = posterior(q, np.zeros((96, 0)), np.zeros(0), np.zeros(0))
    assert found.mean[0] == pytest.approx(q.mean()) and np.allclose(found.weights, 1 / 96)


def test_earlier_weights_count():
    q = normal_members(200)
    prior = np.where(q[:, 0] > 0, 1.0, 0.0) / (q > 0).sum()
    assert posterior(q, np.zeros((200, 0)), np.zeros(0), np.zeros(0), prior).mean[0] == pytest.approx(q[q > 0].mean())


def test_the_likelihood_is_students_t_of_a_library():
    """scipy's multivariate_t, whose shape is the covariance times (n - 2)/n."""
    cov, mean, y, sigma = np.array([[2.0, 0.3], [0.3, 1.0]]), np.array([0.5, -1.0]), np.array([1.0, 0.2]), np.array([0.1, 0.4])
    read = evidence.Numbers(y=y, sigma=sigma)
    shape = (cov + np.diag(sigma**2)) * (evidence.TAILS - 2) / evidence.TAILS
    assert evidence._log_t(read, mean, cov) == pytest.approx(multivariate_t(mean, shape, df=evidence.TAILS).logpdf(y), rel=1e-9)


@pytest.mark.parametrize("y", [6.0, -9.0, 15.0])
def test_a_reading_far_outside_the_members_is_taken_as_it_is(y):
    """Where the members hold the truth, nine tenths of the way are right (Bayes, meter's error a third of theirs); where they plainly do not, they have no say."""
    q = normal_members(96, seed=5)
    near, far = (posterior(q, q, np.array([v]), np.array([0.33])) for v in (1.0, y))
    assert far.mean[0] == pytest.approx(y, abs=0.1) and far.sigma[0] < 0.5
    assert near.mean[0] == pytest.approx(1.0 / (1 + 0.33**2), abs=0.15)


def test_readings_that_contradict_each_other_do_not_widen_the_members():
    """Two readings of one thing, apart by far more than the meter errs: no width of the ensemble makes them agree."""
    q = normal_members(96, seed=6)
    found = posterior(q, np.hstack([q, q]), np.array([0.6, -0.6]), np.array([0.1, 0.1]))
    assert abs(found.mean[0]) < 0.2
