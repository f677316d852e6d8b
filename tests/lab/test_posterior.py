"""Adaptive importance sampling and the surrogate, on posteriors that are known."""

import numpy as np
import pytest

from laydown.lab.posterior import adapt, effective_size, normalised, prior_proposal, systematic
from laydown.lab.surrogate import train

D = 8


def gaussian_log_likelihood(points):
    """Three readings of two combinations: the posterior is normal."""
    seen = np.array([1.5, 1.1, -2.0])
    along = np.zeros((D, 3))
    along[:3, 0], along[:3, 1], along[3:6, 2] = 1.0, 1.2, (1.0, -1.0, 0.5)
    return -0.5 * (((points @ along - seen) / 0.2) ** 2).sum(axis=1)


def exact_posterior():
    along = np.zeros((D, 3))
    along[:3, 0], along[:3, 1], along[3:6, 2] = 1.0, 1.2, (1.0, -1.0, 0.5)
    covariance = np.linalg.inv(np.eye(D) + along @ along.T / 0.04)
    return covariance @ along @ np.array([1.5, 1.1, -2.0]) / 0.04, covariance


def test_a_pool_has_the_mean_and_covariance_of_a_normal_posterior():
    mean, covariance = exact_posterior()

    pool = adapt(gaussian_log_likelihood, prior_proposal(D), np.random.default_rng(3), size=8000)

    found = pool.weight @ pool.points
    away = pool.points - found
    error = 4 / np.sqrt(pool.effective)
    assert pool.effective > 2000
    np.testing.assert_allclose(found, mean, atol=error)
    np.testing.assert_allclose((away * pool.weight[:, None]).T @ away, covariance, atol=1.5 * error)


def test_the_evidence_is_the_likelihoods_mean_over_the_prior():
    rng = np.random.default_rng(4)
    plain = np.logaddexp.reduce(gaussian_log_likelihood(rng.standard_normal((2_000_000, D)))) - np.log(2_000_000)

    pool = adapt(gaussian_log_likelihood, prior_proposal(D), rng, size=8000)

    assert pool.log_evidence == pytest.approx(plain, abs=0.1)


def test_without_a_likelihood_the_pool_is_the_prior_at_once():
    pool = adapt(lambda points: np.zeros(len(points)), prior_proposal(D), np.random.default_rng(5), size=2000)

    assert pool.effective == pytest.approx(2000)
    np.testing.assert_allclose(pool.weight @ pool.points, 0.0, atol=0.1)


def test_a_bent_posterior_is_found():
    """x2 lies near x1 squared: the mean of x2 - x1^2 is known to be small."""
    pool = adapt(
        lambda p: -0.5 * ((p[:, 1] - p[:, 0] ** 2) / 0.3) ** 2, prior_proposal(D), np.random.default_rng(6), size=8000
    )

    grid = np.linspace(-6, 6, 801)
    x, y = np.meshgrid(grid, grid)
    density = np.exp(-0.5 * (x**2 + y**2) - 0.5 * ((y - x**2) / 0.3) ** 2)
    for values, exact in ((pool.points[:, 1], y), (pool.points[:, 0] ** 2, x**2)):
        expected = (density * exact).sum() / density.sum()
        assert pool.weight @ values == pytest.approx(expected, abs=0.06)


def test_a_systematic_resample_takes_each_point_as_often_as_its_weight_asks():
    weight = np.array([0.5, 0.25, 0.2, 0.05])

    taken = np.bincount(systematic(weight, 100, np.random.default_rng(0)), minlength=4)

    assert (np.abs(taken - 100 * weight) <= 1).all()


def test_effective_sizes():
    assert effective_size(np.ones(40)) == 40
    assert effective_size(np.array([1.0, 0.0, 0.0])) == 1
    assert effective_size(np.zeros(3)) == 0
    np.testing.assert_allclose(normalised(np.array([1e4, 1e4 + np.log(3)])), [0.25, 0.75])


def test_a_surrogate_is_exact_where_the_truth_is_a_parabola():
    rng = np.random.default_rng(7)
    points, new = rng.standard_normal((160, 6)), rng.standard_normal((50, 6))

    def truth(p):
        return np.column_stack([1 + p[:, 0] - 2 * p[:, 1] + 0.3 * p[:, 2] ** 2, p[:, 0] * p[:, 1]])

    surrogate = train(points, truth(points))

    np.testing.assert_allclose(surrogate.predict(new), truth(new), atol=0.1)
    assert (surrogate.error < 0.1).all()


def test_a_surrogates_error_is_about_that_on_points_it_never_saw():
    rng = np.random.default_rng(8)
    points, new = rng.standard_normal((300, 6)), rng.standard_normal((500, 6))

    def truth(p):
        return np.tanh(2 * p[:, :1] + p[:, 1:2] - 0.5 * p[:, 2:3] * p[:, :1])

    surrogate = train(points, truth(points))
    missed = np.sqrt(((surrogate.predict(new) - truth(new)) ** 2).mean())

    assert missed < 0.25 * truth(new).std()
    assert surrogate.error[0] == pytest.approx(missed, rel=0.5)
