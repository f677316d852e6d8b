"""A fast stand-in for the models between the points at which they were run: regression and a Gaussian process."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

STRETCH = 1.2
"""Correlation lengths as a factor on what the sensitivities suggest; found by trial on runs that were left out."""

NUGGET = 1e-4
"""Share of the variance that the process leaves unexplained: the solver's own steps differ from batch to batch."""

LEAST = 0.02
"""Least inverse correlation length of an input, beside that of all together."""

CROSSED = 6
"""So many of the strongest inputs are also crossed with each other in the regression."""

RIDGE = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Surrogate:
    """Regression (linear, square, crossed terms) plus a Gaussian process on what it leaves.

    Attributes
    ----------
    error : ndarray, shape (outputs,)
        Root mean square error of the points left out one by one.
    """

    strongest: NDArray[np.intp]
    coefficients: Values
    metric: Values
    points: Values
    weights: Values
    centre: Values
    scale: Values
    error: Values

    def predict(self, points: Values) -> Values:
        """Outputs at new points, shape (n, outputs)."""
        basis = _basis(points, self.strongest)
        # Single precision is far finer than the surrogate is right, and a pool is asked for many times.
        near = _kernel((points * self.metric).astype(np.float32), self.points.astype(np.float32))
        found = basis @ self.coefficients + near @ self.weights.astype(np.float32)
        return np.asarray(found * self.scale + self.centre)


def train(points: Values, outputs: Values) -> Surrogate:
    """Train a surrogate.

    Parameters
    ----------
    points : ndarray, shape (n, d)
        Roughly standard normal.
    outputs : ndarray, shape (n, m)

    Returns
    -------
    Surrogate
    """
    centre, scale = outputs.mean(axis=0), np.maximum(outputs.std(axis=0), 1e-9)
    wanted = (outputs - centre) / scale
    strength = _sensitivity(points, wanted)
    strongest = np.argsort(strength)[::-1][:CROSSED]
    basis = _basis(points, strongest)
    ridge = RIDGE * len(points) * np.eye(basis.shape[1])
    coefficients = np.linalg.solve(basis.T @ basis + ridge, basis.T @ wanted)
    left = wanted - basis @ coefficients
    metric = strength / max(float(np.linalg.norm(strength)), 1e-9) * STRETCH
    # Inputs that do nothing alone may still bend the result together with others.
    metric = np.maximum(metric, LEAST * STRETCH)
    inverse = np.linalg.inv(_kernel(points * metric, points * metric) + NUGGET * np.eye(len(points)))
    weights = inverse @ left
    error = np.sqrt(((weights / np.diag(inverse)[:, None]) ** 2).mean(axis=0))
    return Surrogate(
        strongest=strongest,
        coefficients=coefficients,
        metric=metric,
        points=points * metric,
        weights=weights,
        centre=centre,
        scale=scale,
        error=error * scale,
    )


def _sensitivity(points: Values, wanted: Values) -> Values:
    """How strongly each input moves the outputs, by linear and square terms."""
    features = np.column_stack([np.ones(len(points)), points, points**2 - 1])
    ridge = RIDGE * len(points) * np.eye(features.shape[1])
    solved = np.linalg.solve(features.T @ features + ridge, features.T @ wanted)
    d = points.shape[1]
    return np.asarray(np.sqrt((solved[1 : 1 + d] ** 2 + 2 * solved[1 + d :] ** 2).mean(axis=1)))


def _basis(points: Values, strongest: NDArray[np.intp]) -> Values:
    strong = points[:, strongest]
    i, j = np.triu_indices(strong.shape[1], k=1)
    return np.column_stack([np.ones(len(points)), points, points**2 - 1, strong[:, i] * strong[:, j]])


def _kernel(left: NDArray[Any], right: NDArray[Any]) -> NDArray[Any]:
    """Squared exponential kernel of points already in units of the correlation lengths, in their own precision."""
    half_left, half_right = (-0.5 * (side**2).sum(axis=1, keepdims=True) for side in (left, right))
    # One product of matrices gives the whole exponent; all else is done in place, as it is the memory that takes time.
    exponent = (
        np.hstack([left, half_left, np.ones_like(half_left)])
        @ np.hstack([right, np.ones_like(half_right), half_right]).T
    )
    np.minimum(exponent, 0.0, out=exponent)
    return np.asarray(np.exp(exponent, out=exponent))
