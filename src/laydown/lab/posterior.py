"""Sample a posterior over standard normal inputs whose likelihood is dear: adaptive importance sampling.

The pool is drawn and weighed on a cheap likelihood (a surrogate's); the caller runs the true models on a part of it and
weighs again, so that the answer rests on true runs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
LogDensity = Callable[[Values], Values]

POOL = 4000
STEP_SHARE = 0.08
"""Tempering goes on by steps that leave this share of the pool effective."""

ENOUGH = 0.25
"""A pool of which this share is effective is good enough to draw from."""

MOST_STEPS = 12
DEFENCE = 0.15
"""Share of the pool that is always drawn from the prior."""

WIDER = 1.3
"""Factor on the variance of a proposal in the directions that the readings inform."""

SURE = 2.5
"""A mean that lies fewer standard errors off zero than this is taken as zero."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """Normal distribution mixed with the standard normal prior."""

    mean: Values
    factor: Values
    covariance_inverse: Values
    log_determinant: float

    def draw(self, size: int, rng: np.random.Generator) -> Values:
        """Points, shape (size, d)."""
        normal = rng.standard_normal((size, self.mean.size))
        prior = round(DEFENCE * size)
        moved = self.mean + normal[prior:] @ self.factor.T
        return np.concatenate([normal[:prior], moved])

    def log_ratio(self, points: Values) -> Values:
        """Logarithm of the prior's density by that of the mixture, shape (size,)."""
        away = points - self.mean
        moved = -0.5 * (((away @ self.covariance_inverse) * away).sum(axis=1) + self.log_determinant)
        prior = -0.5 * (points**2).sum(axis=1)
        return np.asarray(prior - np.logaddexp(np.log(DEFENCE) + prior, np.log(1 - DEFENCE) + moved))


def prior_proposal(d: int) -> Proposal:
    """Begin at the prior."""
    return Proposal(mean=np.zeros(d), factor=np.eye(d), covariance_inverse=np.eye(d), log_determinant=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """Weighed points.

    Attributes
    ----------
    points : ndarray, shape (size, d)
    weight : ndarray, shape (size,)
        Adds up to 1.
    log_evidence : float
        Logarithm of the likelihood's mean over the prior.
    proposal : Proposal
        That the points were drawn from.
    """

    points: Values
    weight: Values
    log_evidence: float
    proposal: Proposal

    @property
    def effective(self) -> float:
        """Effective sample size."""
        return effective_size(self.weight)


def effective_size(weight: Values) -> float:
    """Effective size of a weighted sample (Kish): ``(sum w)² / sum w²``; 0 without any weight."""
    total = float(weight.sum())
    return total**2 / float((weight**2).sum()) if total > 0 else 0.0


def normalised(log_weight: Values) -> Values:
    """Weights that add up to 1."""
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())


def adapt(log_likelihood: LogDensity, start: Proposal, rng: np.random.Generator, *, size: int = POOL) -> Pool:
    """Draw and weigh a pool, tempering from the prior to the posterior.

    Parameters
    ----------
    log_likelihood : callable
        Of points of shape (n, d); cheap.
    start : Proposal
        Where to begin; the posterior of a worse surrogate saves steps.
    rng : Generator
    size : int

    Returns
    -------
    Pool
        Of the posterior; its effective size says how good the proposal got.
    """
    proposal, power = start, 0.0
    best: Pool | None = None
    for _ in range(MOST_STEPS):
        points = proposal.draw(size, rng)
        ratio, likelihood = proposal.log_ratio(points), log_likelihood(points)
        whole = normalised(ratio + likelihood)
        if best is None or effective_size(whole) > best.effective:
            evidence = float(np.logaddexp.reduce(ratio + likelihood) - np.log(size))
            best = Pool(points=points, weight=whole, log_evidence=evidence, proposal=proposal)
        if best.effective >= ENOUGH * size:
            break
        power = _next_power(power, ratio, likelihood, STEP_SHARE * size)
        proposal = _fitted(points, normalised(ratio + power * likelihood))
    assert best is not None  # there is at least one step
    return best


def _next_power(power: float, ratio: Values, likelihood: Values, wanted: float) -> float:
    """Highest power of the likelihood, at least the last one, that leaves the wanted effective size."""

    def size(at: float) -> float:
        return effective_size(normalised(ratio + at * likelihood))

    if size(1.0) >= wanted:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if size(middle) >= wanted else (low, middle)
    return max(low, 1e-6, power * 0.5)


def _fitted(points: Values, weight: Values) -> Proposal:
    """Normal distribution of the weighted points, the prior's in all directions in which chance explains the rest."""
    d, effective = points.shape[1], effective_size(weight)
    mean = weight @ points
    away = points - mean
    covariance = (away * weight[:, None]).T @ away
    values, vectors = np.linalg.eigh(covariance)
    ratio = np.sqrt(d / effective)
    low, high = max(0.0, 1 - ratio) ** 2, (1 + ratio) ** 2
    informed = (values < low) | (values > high)
    values = np.where(informed, np.maximum(values * WIDER, 1e-4), 1.0)
    along = vectors.T @ mean
    # The standard error of a mean is that of the pool, so small moves are real once the pool is large.
    along = np.where(informed | (np.abs(along) > SURE / np.sqrt(effective)), along, 0.0)
    return Proposal(
        mean=vectors @ along,
        factor=vectors * np.sqrt(values),
        covariance_inverse=(vectors / values) @ vectors.T,
        log_determinant=float(np.log(values).sum()),
    )


def systematic(weight: Values, size: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Indices of a systematic resample: each point as often as its weight asks for, to within one."""
    at = (np.arange(size) + rng.random()) / size
    total = np.cumsum(weight)
    return np.minimum(np.searchsorted(total / total[-1], at), weight.size - 1)
