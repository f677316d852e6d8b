"""What is known of a lot's bleed before its own test: nothing but the tables, or what other lots and cloths told."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.models.bleed_prior import BLEED_DIMENSIONS

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class BleedPrior:
    """Normal distribution of the positions along `BLEED_DIMENSIONS`.

    Attributes
    ----------
    mean : ndarray, shape (10,)
    covariance : ndarray, shape (10, 10)
    swatches : tuple of int
        Numbers of the swatches of other lots that it rests on.
    readings : int
    """

    mean: Values
    covariance: Values
    swatches: tuple[int, ...] = ()
    readings: int = 0

    def factor(self) -> Values:
        """Lower triangular factor of the covariance."""
        return np.asarray(np.linalg.cholesky(self.covariance))


def plain_prior() -> BleedPrior:
    """Prior of the shipped tables: a standard normal one."""
    n = len(BLEED_DIMENSIONS)
    return BleedPrior(mean=np.zeros(n), covariance=np.eye(n))
