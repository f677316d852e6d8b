"""What a file of colour readings held, and how it was understood."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from laydown.documents.measurement_words import conditions_told
from laydown.domain.measurement import ColourMeasurement, Conditions
from laydown.errors import InvalidInput

Kind = Literal["CGATS", "CxF", "CSV"]
Scale = Literal["factor", "percent"]

MOST_READINGS = 20_000
"""Readings in one table; the largest chart that is printed has a tenth of that."""

UNKNOWN = Conditions()
"""Conditions of which nobody said anything."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the person who reads a file adds to what the file says.

    Attributes
    ----------
    assumed : Conditions
        Conditions for whatever the file does not say; what it says goes before.
    scale : str or None
        ``factor`` or ``percent`` for reflectance; None: as the file says or shows.
    white : tuple of float or None
        XYZ of the white that tristimulus values refer to, on their own scale; None: that of their illuminant.
    zone : tzinfo or None
        Time zone of moments that name none; None leaves such moments out.
    skip_bad : bool
        Leave rows out that cannot be read, and list them, instead of refusing the file.
    """

    assumed: Conditions = UNKNOWN
    scale: Scale | None = None
    white: tuple[float, float, float] | None = None
    zone: dt.tzinfo | None = None
    skip_bad: bool = False

    def __post_init__(self) -> None:
        if self.scale not in {None, "factor", "percent"}:
            raise InvalidInput(f"the scale {self.scale!r} is unknown; allowed are 'factor' and 'percent'")
        if self.white is not None and not all(0 < value <= 1000 for value in self.white):
            raise InvalidInput("a white is three positive numbers, X, Y and Z")


AS_SAID = Asked()
"""Nothing added to what the file says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """How a file was understood, for a preview.

    Attributes
    ----------
    kind : str
        ``CGATS``, ``CxF`` or ``CSV``.
    shape : str
        Form of the file in a few words: first line, coding, delimiter, number of tables.
    columns_used : tuple of (str, str)
        Heading or element, and what it is used for.
    columns_left_out : tuple of (str, str)
        Heading or element, and why it is not used.
    warnings : tuple of str
        Sentences about what was taken for granted.
    skipped : tuple of str
        Sentences about rows that could not be read.
    """

    kind: Kind
    shape: str
    columns_used: tuple[tuple[str, str], ...] = ()
    columns_left_out: tuple[tuple[str, str], ...] = ()
    warnings: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What one table, or one collection of a file gave."""

    measurements: tuple[ColourMeasurement, ...]
    columns_used: tuple[tuple[str, str], ...] = ()
    columns_left_out: tuple[tuple[str, str], ...] = ()
    warnings: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurementFile:
    """A file of colour readings.

    Attributes
    ----------
    name : str
        Of the file, as given.
    understood : Understood
    measurements : tuple of ColourMeasurement
        In the order of the file; at least one.
    """

    name: str
    understood: Understood
    measurements: tuple[ColourMeasurement, ...]

    @property
    def conditions(self) -> tuple[Conditions, ...]:
        """Every set of conditions that occurs, in the order of the file."""
        return tuple(dict.fromkeys(one.conditions for one in self.measurements))

    @property
    def lines(self) -> tuple[str, ...]:
        """What was understood, line by line."""
        told, spectra = self.understood, [one.spectrum for one in self.measurements if one.spectrum]
        labs = sum(one.lab is not None for one in self.measurements)
        lines = [f"{self.name}: {told.kind}, {told.shape}"]
        lines.append(f"{len(self.measurements)} readings, {labs} with L*, a*, b*, {len(spectra)} with a spectrum")
        grids = dict.fromkeys((s.start_nm, s.end_nm, s.step_nm) for s in spectra)
        lines += [f"spectra from {start:g} to {end:g} nm, step {step:g} nm" for start, end, step in grids]
        lines += [f"read under: {conditions_told(one)}" for one in self.conditions]
        lines += [f"used: {title} as {use}" for title, use in told.columns_used]
        lines += [f"left out: {title} ({reason})" for title, reason in told.columns_left_out]
        lines += [f"warning: {sentence}" for sentence in told.warnings]
        lines += [f"skipped: {sentence}" for sentence in told.skipped]
        return tuple(lines)


def file_of_parts(name: str, kind: Kind, shape: str, parts: tuple[Part, ...]) -> MeasurementFile:
    """Put the parts of a file together; what several of them say alike is said once.

    Raises
    ------
    InvalidInput
        When no part has a reading.
    """
    skipped = tuple(sentence for part in parts for sentence in part.skipped)
    measurements = tuple(one for part in parts for one in part.measurements)
    if not measurements:
        first = f"; the first row: {skipped[0]}" if skipped else ""
        raise InvalidInput(f"the file holds no reading that can be used{first}", where=name)
    return MeasurementFile(
        name=name,
        measurements=measurements,
        understood=Understood(
            kind=kind,
            shape=shape,
            columns_used=tuple(dict.fromkeys(use for part in parts for use in part.columns_used)),
            columns_left_out=tuple(dict.fromkeys(use for part in parts for use in part.columns_left_out)),
            warnings=tuple(dict.fromkeys(sentence for part in parts for sentence in part.warnings)),
            skipped=skipped,
        ),
    )
