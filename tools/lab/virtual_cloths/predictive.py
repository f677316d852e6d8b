"""The forecast of a swatch with the model's own error on it, as the fit's likelihood has it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.lab.bleed_fit import BleedFit

Values = NDArray[np.float64]


def with_model_error(difference: Values, fit: BleedFit, rng: np.random.Generator) -> Values:
    """Colour differences with the model's relative error on them, shape (draws, days).

    Parameters
    ----------
    difference : ndarray, shape (draws, days)
        As the models give it at the draws of the fit.
    fit : BleedFit
        Of one swatch. In its likelihood a part of the error is shared by all readings of the swatch: that part is drawn
        given the readings, as it is the same on later days. The other part is drawn anew for each day.
    rng : Generator
    """
    size, noise = fit.discrepancy, fit.noise
    (observed,), (predicted,) = fit.observed, fit.predictions
    outputs = observed.outputs(predicted)
    change = outputs.change
    left = observed.place - change - outputs.clean[:, observed.group]
    own = noise.reading**2 / observed.repeats + (1 - noise.shared) * (size[:, None] * change) ** 2
    together = np.sqrt(noise.shared) * size[:, None] * change
    covariance = own[:, :, None] * np.eye(change.shape[1]) + noise.offset**2
    covariance = covariance + together[:, :, None] * together[:, None, :]
    gain = np.linalg.solve(covariance, together[:, :, None])[:, :, 0]
    mean = (gain * left).sum(axis=1)
    spread = np.sqrt(np.maximum(1 - (gain * together).sum(axis=1), 0.0))
    shared = mean + spread * rng.standard_normal(size.size)
    anew = rng.standard_normal(difference.shape)
    error = np.sqrt(noise.shared) * shared[:, None] + np.sqrt(1 - noise.shared) * anew
    return np.asarray(difference * np.maximum(1 + size[:, None] * error, 0.0))
