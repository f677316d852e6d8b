"""How far the dye moved a colour, as it was read: the place of the reading less that of the clean print."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.lab.likelihood import Noise, Observed, Outputs

Values = NDArray[np.float64]


def stain_as_read(observed: Observed, outputs: Outputs, noise: Noise, discrepancy: Values) -> Values:
    """Stain of each point as read, in each draw, shape (draws, points) [ΔE].

    The offset that all readings of an area share is taken at its mean given that draw: what all of them are off by
    together, as far as it is more likely to be the offset than the dye.
    """
    found = np.empty_like(outputs.change)
    for group in range(len(observed.directions)):
        at = np.flatnonzero(observed.group == group)
        change = outputs.change[:, at]
        above = observed.place[at] - outputs.clean[:, group][:, None]
        weight = 1 / (noise.reading**2 / observed.repeats[at] + (discrepancy[:, None] * change) ** 2)
        offset = ((above - change) * weight).sum(axis=1) / (weight.sum(axis=1) + 1 / noise.offset**2)
        found[:, at] = above - offset[:, None]
    return found
