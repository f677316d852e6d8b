"""The model's own error on what a finding hands to plans: a forecast is no surer than the model that makes it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.domain.quantity import Quantity
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
