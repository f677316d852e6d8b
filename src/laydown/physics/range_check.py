"""The check that a model is asked inside the range its source covers."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from laydown.errors import OutOfRange


def require_range(model: str, quantity: str, value: ArrayLike, low: float, high: float, unit: str) -> None:
    """Raise unless every value lies in the closed interval from ``low`` to ``high``; nan never does.

    Parameters
    ----------
    model, quantity : str
        Named in the message.
    value : array_like
        In ``unit``; for the message's sake this may be another unit than SI.
    low, high : float
    unit : str

    Raises
    ------
    OutOfRange
        With the first value outside.
    """
    values = np.atleast_1d(np.asarray(value, dtype=np.float64))
    outside = ~((values >= low) & (values <= high))
    if outside.any():
        raise OutOfRange(model, quantity, float(values[outside][0]), low, high, unit)
