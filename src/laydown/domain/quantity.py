"""A number with the interval it lies in, its source and how far that source can be trusted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.validity import figure
from laydown.errors import InvalidInput


class Grade(StrEnum):
    """How a number came to be known, best first."""

    MEASURED = "measured here"
    PUBLISHED = "published"
    MAKER = "maker's sheet"
    WORKED = "worked example"
    PRACTICE = "common practice"
    MEMORY = "from memory"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number in SI units together with its uncertainty and origin.

    Parameters
    ----------
    value : float
        Best estimate [SI].
    low, high : float
        Bounds of the interval that holds the true value nine times out of ten [SI];
        equal to ``value`` where nothing is known about the spread.
    grade : Grade
        How the number came to be known.
    source : str
        Key of the source, or a sentence that names it.

    Raises
    ------
    InvalidInput
        When a number is not finite or ``low <= value <= high`` does not hold.
    """

    value: float
    low: float
    high: float
    grade: Grade
    source: str

    def __post_init__(self) -> None:
        for name in ("value", "low", "high"):
            number = getattr(self, name)
            if not math.isfinite(number):
                raise InvalidInput(f"{name} is {number}; a quantity needs a finite number", where=self.source)
        if not self.low <= self.value <= self.high:
            raise InvalidInput(
                f"the value {figure(self.value)} lies outside its own interval {figure(self.low)} to "
                f"{figure(self.high)}; low <= value <= high must hold",
                where=self.source,
            )

    @classmethod
    def exact(cls, value: float, grade: Grade, source: str) -> Quantity:
        """Build a quantity whose interval is the value itself."""
        return cls(value=value, low=value, high=value, grade=grade, source=source)

    @property
    def spread(self) -> float:
        """Width of the interval [SI]."""
        return self.high - self.low
