"""Each reading against what the others foretell of it, and how far it pulls a fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from laydown.domain.validity import figure

ODD = 3.0
"""Deviations from which on a reading is told: one in 400 lies so far out by chance."""

STRONG_PULL = 1.0
"""A reading without which the answer moves by more than its own standard deviation is told."""

NINETY = 1.6448536269514722
"""Standard deviations to either side that hold nine of ten of a normal distribution."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingCheck:
    """One reading of a fit.

    Attributes
    ----------
    label : str
        Which reading.
    reading : float
        As it was taken, in the unit of the fit.
    low, predicted, high : float
        What the other readings and the prior foretell: nine of ten such readings lie from low to high.
    deviation : float
        Reading less prediction in standard deviations of such a reading.
    pull : float
        How far the answer moves with this reading, in standard deviations of the answer without it.
    """

    label: str
    reading: float
    low: float
    predicted: float
    high: float
    deviation: float
    pull: float


def by_pull(checks: Sequence[ReadingCheck]) -> tuple[ReadingCheck, ...]:
    """Readings, the one that pulls most first."""
    return tuple(sorted(checks, key=lambda check: -abs(check.pull)))


def conflicts(checks: Sequence[ReadingCheck], *, scale: float = 1.0, unit: str = "") -> tuple[str, ...]:
    """Readings that the others do not foretell, and those that the answer hangs on, in words.

    Parameters
    ----------
    checks : sequence of ReadingCheck
    scale, unit : float, str
        Factor to the unit that people read, and its name.
    """
    told = []
    for check in checks:
        if abs(check.deviation) > ODD:
            low, high, reading = (figure(float(f"{scale * v:.3g}")) for v in (check.low, check.high, check.reading))
            told.append(
                f"{check.label} reads {reading}, but the others foretell {low} to {high} {unit}".rstrip()
                + "; read it again, or look for what was different"
            )
        elif abs(check.pull) > STRONG_PULL and len(checks) > 2:
            told.append(
                f"the answer hangs on {check.label}: without it, it moves by {abs(check.pull):.1f} of its spread"
            )
    return tuple(told)
