"""What was read off a swatch; a reading is never changed, a correction is a new one that names the old."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from laydown.domain.measurement import ColourMeasurement, GreyScaleGrade
from laydown.domain.protocol import Reads
from laydown.domain.validity import within
from laydown.errors import InvalidInput

Value = ColourMeasurement | GreyScaleGrade | float | bool | str

NEEDED: tuple[tuple[Reads, type], ...] = (
    (Reads.COLOUR, ColourMeasurement),
    (Reads.STAINING, GreyScaleGrade),
    (Reads.CHANGE, GreyScaleGrade),
    (Reads.MASS, float),
    (Reads.TEMPERATURE, float),
    (Reads.TONE, float),
    (Reads.VERDICT, bool),
    (Reads.PHOTO, str),
)
"""What the value of a reading is: mass in kg, temperature in K, tone as a share of one, a photo by its SHA-256."""

LIMITS: tuple[tuple[Reads, float, float, str], ...] = (
    (Reads.MASS, 0.0, 10.0, "kg"),
    (Reads.TEMPERATURE, 200.0, 1000.0, "K"),
    (Reads.TONE, 0.0, 1.0, "as a share of one"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading.

    Attributes
    ----------
    number : int
        Given by the shop's book; 0 before it is kept.
    swatch : int
        Number of the swatch.
    part : str
        Part of the swatch, as its protocol names it; empty: all of it.
    area : str
        What was under the instrument where it matters: ``white``, a colour, ``over black``, ``before``, ``40 %``.
    taken_at : datetime
        With its time zone.
    corrects : int or None
        Reading that this one takes the place of.
    """

    swatch: int
    reads: Reads
    value: Value
    taken_at: dt.datetime
    operator: str
    number: int = 0
    part: str = ""
    area: str = ""
    corrects: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.taken_at.tzinfo is None:
            raise InvalidInput("the moment of a reading needs its time zone")
        wanted = dict(NEEDED)[self.reads]
        fits = isinstance(self.value, wanted) and (wanted is not float or math.isfinite(float(self.value)))  # type: ignore[arg-type]
        if not fits:
            raise InvalidInput(f"a reading of {self.reads.value} does not hold {self.value!r}")
        for reads, low, high, unit in LIMITS:
            if reads is self.reads and isinstance(self.value, float):
                within(reads.value, self.value, low, high, unit)


def standing(readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Readings that no later one corrects, in their order."""
    corrected = {one.corrects for one in readings if one.corrects is not None}
    return tuple(one for one in readings if one.number not in corrected)
