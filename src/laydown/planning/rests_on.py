"""Which of the shop's own tests a plan uses, and what they say of the inputs it shows."""

from __future__ import annotations

import numpy as np

from laydown.domain.finding import ClothFinding
from laydown.domain.plan import RestsOn
from laydown.domain.quantity import Grade, Quantity
from laydown.models.cloth import Cloth
from laydown.models.sampling import spread_over

NARROWED = 0.9
"""An input whose spread a finding leaves above this share of the prior's was not measured by it."""


def rests_on(cloth: Cloth) -> RestsOn | None:
    """Tests that the bleed forecast on a cloth uses; None where there are none, or no dye that moves."""
    finding = cloth.finding
    if finding is None or not cloth.dye_moves:
        return None
    return RestsOn(
        level=finding.level,
        about=finding.about,
        swatches=finding.swatches,
        readings=finding.readings,
        fitted_at=finding.fitted_at,
        notes=finding.notes,
    )


def as_found(prior: Quantity, dimension: str, finding: ClothFinding | None) -> Quantity:
    """Input as a finding leaves it; the prior where the finding says little of it.

    Parameters
    ----------
    prior : Quantity
    dimension : str
        Direction along which it is uncertain.
    finding : ClothFinding or None
    """
    if finding is None or dimension not in finding.dimensions:
        return prior
    positions = np.array([draw[finding.dimensions.index(dimension)] for draw in finding.draws])
    if positions.std() > NARROWED:
        return prior
    low, value, high = np.percentile(spread_over(prior, positions), (5, 50, 95))
    numbers = ", ".join(str(number) for number in finding.swatches)
    return Quantity(
        value=float(value),
        low=float(low),
        high=float(high),
        grade=Grade.MEASURED,
        source=f"fitted to {finding.readings} readings of swatches {numbers}, of {finding.about}",
    )
