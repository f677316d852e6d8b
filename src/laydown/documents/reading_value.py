"""Values of readings as JSON, and back, to the last bit."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Self

from pydantic import AwareDatetime, Field, model_validator

from laydown.documents.entry import Entry, number
from laydown.documents.sentences import told_at, validated
from laydown.domain.measurement import (
    LONGEST_NAME,
    LONGEST_TEXT,
    MOST_BANDS,
    Backing,
    ColourMeasurement,
    Conditions,
    Geometry,
    GreyScaleGrade,
    MeasurementMode,
    Spectrum,
)
from laydown.domain.protocol import Reads
from laydown.domain.reading import Value
from laydown.errors import InvalidInput

Line = Annotated[str, Field(max_length=LONGEST_TEXT)]


class SpectrumEntry(Entry):
    """Reflectance factors in equal steps of wavelength."""

    start_nm: float = Field(description="Wavelength of the first value.")
    step_nm: float = Field(description="Distance of the values.")
    values: list[float] = Field(min_length=2, max_length=MOST_BANDS, description="Reflectance factors, shares of one.")


class ColourEntry(Entry):
    """A colour as an instrument read it; `lab`, `spectrum` or both."""

    name: str = Field(default="", max_length=LONGEST_NAME, description="Of the sample; empty: the swatch.")
    lab: list[float] | None = Field(default=None, min_length=3, max_length=3, description="CIELAB L*, a*, b*.")
    spectrum: SpectrumEntry | None = Field(default=None, description="Where both are given, the spectrum decides.")
    illuminant: str = Field(default="", max_length=12, description="Of L*, a*, b*: D65, D50, A, F11 and so on.")
    observer: str = Field(default="", max_length=2, description="2 or 10 degrees.")
    mode: Annotated[MeasurementMode, Field(strict=False)] = Field(
        default=MeasurementMode.UNKNOWN, description="Measurement condition of ISO 13655."
    )
    geometry: Annotated[Geometry, Field(strict=False)] = Field(
        default=Geometry.UNKNOWN, description="How the light falls and is seen."
    )
    backing: Annotated[Backing, Field(strict=False)] = Field(
        default=Backing.UNKNOWN, description="What lay below the sample."
    )
    instrument: Line = Field(default="", description="Which instrument.")
    operator: Line = Field(default="", description="Who measured.")
    taken_at: Annotated[AwareDatetime | None, Field(strict=False)] = Field(
        default=None, description="When, with the time zone."
    )
    file: Line = Field(default="", description="File that it was read from.")
    line: int | None = Field(default=None, ge=1, description="Line of that file.")


class ValueEntry(Entry):
    """The value of a reading; exactly one key, the one that fits what was read."""

    colour: ColourEntry | None = Field(default=None, description="A colour.")
    grade: float | None = Field(default=None, description="Grade of the grey scale, 1 to 5 in halves.")
    mass: float | None = number("Mass in kilograms.", least=0, most=10)
    temperature: float | None = number("Temperature in kelvin.", least=200, most=1000)
    tone: float | None = number("Tone as a share of one.", least=0, most=1)
    passed: bool | None = Field(default=None, description="Pass (true) or fail.")
    photo: str | None = Field(default=None, pattern=r"^[0-9a-f]{64}$", description="SHA-256 of a photo that is kept.")

    @model_validator(mode="after")
    def _one(self) -> Self:
        given = [key for key, _ in KEYS if getattr(self, key) is not None]
        if len(given) != 1:
            told = f"{' and '.join(given)} are given" if given else "nothing is given"
            raise ValueError(f"{told}; exactly one of {', '.join(key for key, _ in KEYS)} is needed")
        return self


KEYS: tuple[tuple[str, tuple[Reads, ...]], ...] = (
    ("colour", (Reads.COLOUR,)),
    ("grade", (Reads.STAINING, Reads.CHANGE)),
    ("mass", (Reads.MASS,)),
    ("temperature", (Reads.TEMPERATURE,)),
    ("tone", (Reads.TONE,)),
    ("passed", (Reads.VERDICT,)),
    ("photo", (Reads.PHOTO,)),
)
"""Keys of a value, and what is read that has such a value."""


def value_from(document: Any, reads: Reads, *, where: str, name: str = "") -> Value:
    """Value of a reading.

    Parameters
    ----------
    document : mapping
        As `ValueEntry`.
    reads : Reads
        What was read.
    name : str
        What a colour without a name of its own is called.

    Raises
    ------
    InvalidInput
        When it is no value, or none of what was read.
    """
    entry = document if isinstance(document, ValueEntry) else validated(ValueEntry, document, where=where)
    key = key_of(reads)
    value: Any = getattr(entry, key)
    if value is None:
        raise InvalidInput(f"a reading of {reads.value} needs the key {key!r}", where=where)
    with told_at(where):
        if isinstance(value, ColourEntry):
            return measurement_from(value, name=name)
        if key == "grade":
            return GreyScaleGrade(value=float(value))
        return value if isinstance(value, bool | str) else float(value)


def value_document(value: Value, reads: Reads) -> dict[str, Any]:
    """JSON of a value; `value_from` reads the same value from it."""
    if isinstance(value, ColourMeasurement):
        return {"colour": measurement_document(value)}
    if isinstance(value, GreyScaleGrade):
        return {"grade": value.value}
    return {key_of(reads): value}


def key_of(reads: Reads) -> str:
    """Key that holds the value of what is read."""
    return next(key for key, kinds in KEYS if reads in kinds)


def measurement_from(entry: ColourEntry, *, name: str = "") -> ColourMeasurement:
    """Measurement of an entry.

    Raises
    ------
    InvalidInput
        When it cannot be.
    """
    return ColourMeasurement(
        name=entry.name or name,
        lab=(float(entry.lab[0]), float(entry.lab[1]), float(entry.lab[2])) if entry.lab else None,
        spectrum=Spectrum(
            start_nm=float(entry.spectrum.start_nm),
            step_nm=float(entry.spectrum.step_nm),
            values=tuple(map(float, entry.spectrum.values)),
        )
        if entry.spectrum
        else None,
        conditions=Conditions(
            illuminant=entry.illuminant,
            observer=entry.observer,
            mode=entry.mode,
            geometry=entry.geometry,
            backing=entry.backing,
            instrument=entry.instrument,
            operator=entry.operator,
        ),
        taken_at=entry.taken_at.astimezone(dt.UTC) if entry.taken_at else None,
        file=entry.file,
        line=entry.line,
    )


def measurement_document(measurement: ColourMeasurement) -> dict[str, Any]:
    """JSON of a measurement; what is not known is left out."""
    found: dict[str, Any] = {"name": measurement.name}
    if measurement.lab is not None:
        found["lab"] = list(measurement.lab)
    if measurement.spectrum is not None:
        spectrum = measurement.spectrum
        found["spectrum"] = {
            "start_nm": spectrum.start_nm,
            "step_nm": spectrum.step_nm,
            "values": list(spectrum.values),
        }
    conditions = measurement.conditions
    for key in ("illuminant", "observer", "instrument", "operator"):
        if getattr(conditions, key):
            found[key] = getattr(conditions, key)
    for key in ("mode", "geometry", "backing"):
        if getattr(conditions, key).value != "unknown":
            found[key] = getattr(conditions, key).value
    if measurement.taken_at is not None:
        found["taken_at"] = measurement.taken_at.astimezone(dt.UTC).isoformat()
    if measurement.file:
        found["file"] = measurement.file
    if measurement.line is not None:
        found["line"] = measurement.line
    return found
