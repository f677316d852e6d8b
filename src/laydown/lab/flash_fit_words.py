"""What probe logs of a flash unit cannot tell apart, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from laydown.lab.dryer_fit_words import one_lane_only, told_together

if TYPE_CHECKING:
    from laydown.lab.flash_fit_data import FlashData

Values = NDArray[np.float64]


def flash_cannot_tell(data: FlashData, covariance: Values) -> tuple[str, ...]:
    """Sentences on what the logs cannot tell apart, and on what would."""
    told = list(told_together(data.parameters, covariance))
    if any("told together only" in one for one in told):
        told.append(
            "no flash probe tells a hotter emitter from one that the print sees more of; for plans their product "
            "counts, and that is what the log tells"
        )
    if len(data.lanes) == 1:
        told.append(one_lane_only("place on the pallet"))
    return tuple(told)
