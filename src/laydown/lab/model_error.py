"""The model's own error on what a finding hands to plans: a forecast is no surer than the model that makes it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.domain.quantity import Quantity
from laydown.lab.likelihood import Noise, Observed, Outputs
from laydown.models.sampling import Z95

Values = NDArray[np.float64]

LEAST = 0.2
"""An error never takes more than this share's complement of the dye's colour away."""


def with_model_error(strength: Values, quantity: Quantity, discrepancy: Values, rng: np.random.Generator) -> Values:
    """Positions along the dye's strength with the model's relative error on the strength, shape (draws,).

    Parameters
    ----------
    strength : ndarray, shape (draws,)
        Standard normal positions.
    quantity : Quantity
        Prior of the strength that the positions refer to.
    discrepancy : ndarray, shape (draws,)
        Standard deviation of the error in each draw.
    rng : Generator

    Notes
    -----
    The likelihood has the error on the colour that dye brings. Colour goes with strength, so an error on the strength
    is the same to first order, and a plan needs no further input.
    """
    below, above = np.log(quantity.value / quantity.low) / Z95, np.log(quantity.high / quantity.value) / Z95
    factor = np.maximum(1 + discrepancy * rng.standard_normal(strength.size), LEAST)
    moved = np.where(strength < 0, below, above) * strength + np.log(factor)
    return np.asarray(moved / np.where(moved < 0, below, above))


def later_error(
    observed: Observed,
    outputs: Outputs,
    noise: Noise,
    discrepancy: Values,
    *,
    days: int,
    curve: bool,
    rng: np.random.Generator,
) -> Values:
    """Relative error of a swatch's colour on later days, in each draw, shape (draws, days).

    Parameters
    ----------
    observed, outputs
        Readings of the swatch, and what the models say of them at the draws.
    noise : Noise
    discrepancy : ndarray, shape (draws,)
    days : int
    curve : bool
        Whether the days are points of one curve to be drawn.
    rng : Generator

    Notes
    -----
    A part of the error is shared by all readings of an area: it is drawn given those of the area that was read most
    often, as it stays the same on later days. The rest is drawn anew for each day; for a curve once for all of them,
    which leaves each day's band as it is and makes no steps that no print has.
    """
    draws = discrepancy.size
    shared = rng.standard_normal(draws)
    if observed.group.size:
        at = np.flatnonzero(observed.group == np.bincount(observed.group).argmax())
        change = outputs.change[:, at]
        left = observed.place[at] - change - outputs.clean[:, observed.group[at]]
        own = noise.reading**2 / observed.repeats[at] + (1 - noise.shared) * (discrepancy[:, None] * change) ** 2
        together = np.sqrt(noise.shared) * discrepancy[:, None] * change
        covariance = own[:, :, None] * np.eye(at.size) + noise.offset**2 + together[:, :, None] * together[:, None, :]
        gain = np.linalg.solve(covariance, together[:, :, None])[:, :, 0]
        known = (gain * left).sum(axis=1)
        shared = known + np.sqrt(np.maximum(1 - (gain * together).sum(axis=1), 0.0)) * shared
    anew = rng.standard_normal((draws, 1 if curve else days))
    relative = np.sqrt(noise.shared) * shared[:, None] + np.sqrt(1 - noise.shared) * anew
    error = np.maximum(discrepancy[:, None] * relative, LEAST - 1)
    return np.asarray(np.broadcast_to(error, (draws, days)))
