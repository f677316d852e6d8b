"""A colour in a file: ``colour = "#rrggbb"``, ``lab = [L, a, b]`` or ``spectrum = [...]`` or a file of one."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import Field, PlainValidator, WithJsonSchema, model_validator

from laydown.documents.beside import file_beside
from laydown.documents.entry import Entry
from laydown.documents.sentences import place, shown_value, told_at
from laydown.documents.toml_file import read_text
from laydown.domain.colour import BANDS, Colour
from laydown.errors import ConvergenceError, InvalidInput

COLOUR_KEYS = ("colour", "lab", "spectrum")
FIRST_BAND_NM, BAND_STEP_NM = 380, 10


def _spectrum(value: Any) -> str | list[float]:
    if isinstance(value, str):
        return value
    if not isinstance(value, list) or not all(isinstance(r, int | float) and not isinstance(r, bool) for r in value):
        raise ValueError(
            f"{shown_value(value)} does not fit; a list of {BANDS} numbers or the name of a file is needed"
        )
    if len(value) != BANDS or not all(0 <= r <= 1 for r in value):
        raise ValueError(
            f"a spectrum has {BANDS} numbers from 0 to 1, for 380 to 730 nm in 10 nm steps; this one has {len(value)} "
            f"numbers from {shown_value(min(value, default=0))} to {shown_value(max(value, default=0))}"
        )
    return [float(r) for r in value]


Spectrum = Annotated[
    str | list[float],
    PlainValidator(_spectrum),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string"},
                {
                    "type": "array",
                    "items": {"type": "number", "minimum": 0, "maximum": 1},
                    "minItems": BANDS,
                    "maxItems": BANDS,
                },
            ]
        }
    ),
]


class ColourEntry(Entry):
    """The keys of a colour; at most one of ``colour``, ``lab`` and ``spectrum`` may be given."""

    colour: str | None = Field(
        default=None, description="sRGB as '#rrggbb'.", json_schema_extra={"pattern": "^#[0-9a-fA-F]{6}$"}
    )
    lab: list[float] | None = Field(default=None, min_length=3, max_length=3, description="CIELAB as [L*, a*, b*].")
    lab_condition: Literal["D65/10", "D50/2"] | None = Field(
        default=None, description="Illuminant and observer that `lab` refers to; D65/10 when absent."
    )
    spectrum: Spectrum | None = Field(
        default=None,
        description="Reflectance factors 380 to 730 nm in 10 nm steps: 36 numbers from 0 to 1, or the name of a CSV "
        "file of wavelength and reflectance.",
    )

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        given = [key for key in COLOUR_KEYS if getattr(self, key) is not None]
        if len(given) > 1:
            raise ValueError(f"{' and '.join(given)} both give the colour; give only one of them")
        if self.lab_condition is not None and self.lab is None:
            raise ValueError("lab_condition says what lab refers to, but there is no lab")
        return self

    def gives_colour(self) -> bool:
        """Whether any of the colour keys is there."""
        return any(getattr(self, key) is not None for key in COLOUR_KEYS)

    def read_colour(self, *, where: str, at: tuple[str | int, ...], folder: Path | None, name: str = "") -> Colour:
        """Colour of the entry.

        Parameters
        ----------
        where, at, name : str, tuple, str
            File, keys that lead to this entry, and its name, for error messages.
        folder : Path or None
            Folder that a spectrum's file lies in; None when there is none, as for text from elsewhere.

        Raises
        ------
        InvalidInput
            When no form is given, the numbers are no colour, or no surface can have the colour.
        """
        here = place(where, at, name=name)
        if not self.gives_colour():
            raise InvalidInput("the colour is missing; give colour, lab or spectrum", where=here)
        if isinstance(self.spectrum, str):
            return read_spectrum(file_beside(self.spectrum, folder, where=place(where, (*at, "spectrum"), name=name)))
        with told_at(here):
            colour = Colour(
                srgb=self.colour or "",
                lab=(self.lab[0], self.lab[1], self.lab[2]) if self.lab else (),
                lab_condition=self.lab_condition or "D65/10",
                spectrum=tuple(self.spectrum or ()),
            )
            refuse_impossible(colour)
        return colour


def colour_keys(colour: Colour) -> dict[str, Any]:
    """Keys that write a colour down."""
    if colour.srgb:
        return {"colour": colour.srgb}
    if colour.lab:
        return {"lab": list(colour.lab), "lab_condition": colour.lab_condition}
    return {"spectrum": list(colour.spectrum)}


def without_colour(table: Mapping[str, Any]) -> dict[str, Any]:
    """Copy of a table without any key of a colour."""
    return {key: value for key, value in table.items() if key not in {*COLOUR_KEYS, "lab_condition"}}


def refuse_impossible(colour: Colour) -> None:
    """Raise InvalidInput for a Lab colour that no surface can have.

    The check is that of `laydown.physics.spectrum`: some reflectance between 0 and 1 in every band must have the
    colour under its illuminant and observer (the object-colour solid of Schrödinger and MacAdam). sRGB colours and
    spectra are surface colours as they stand.
    """
    if not colour.lab:
        return
    from laydown.data.colorimetric import tristimulus_weights
    from laydown.physics.spectrum import reflectance_of_lab

    try:
        reflectance_of_lab(colour.lab, tristimulus_weights(colour.lab_condition))
    except ConvergenceError:
        # Such a spectrum exists; that the smoothest one was not found is a matter for whoever needs it.
        return
    except InvalidInput:
        lightness, a, b = colour.lab
        raise InvalidInput(
            f"Lab {lightness:g}, {a:g}, {b:g} under {colour.lab_condition} is a colour that no surface can have; "
            "allowed is what some reflectance from 0 to 1 can show: take a* and b* nearer to 0"
        ) from None


def read_spectrum(path: Path) -> Colour:
    """Colour of a CSV file with one line a band: wavelength in nanometres, reflectance factor.

    Lines that begin with ``#`` and a first line of words are passed over. The file must give every band from 380 to
    730 nm in 10 nm steps, in any order; further bands are an error, as they would be lost silently.

    Raises
    ------
    InvalidInput
        When the file cannot be read or a line or band is wrong.
    """
    bands = [FIRST_BAND_NM + BAND_STEP_NM * band for band in range(BANDS)]
    found: dict[float, float] = {}
    for line, raw in enumerate(read_text(path, purpose="a reflectance spectrum").splitlines(), start=1):
        if not raw.strip() or raw.startswith("#"):
            continue
        where = f"{path}, line {line}"
        try:
            cells = [float(cell) for cell in next(csv.reader([raw]))]
        except (ValueError, csv.Error):
            if not found and not any(character.isdigit() for character in raw):
                continue
            raise InvalidInput("a line holds two numbers, wavelength in nm and reflectance", where=where) from None
        if len(cells) != 2 or not all(map(math.isfinite, cells)):
            raise InvalidInput("a line holds two finite numbers, wavelength in nm and reflectance", where=where)
        if cells[0] not in bands:
            raise InvalidInput(f"{cells[0]:g} nm is no band; the bands are 380 to 730 nm in 10 nm steps", where=where)
        if cells[0] in found:
            raise InvalidInput(f"{cells[0]:g} nm stands twice", where=where)
        if not 0 <= cells[1] <= 1:
            raise InvalidInput(f"the reflectance is {cells[1]:g}; allowed is 0 to 1", where=where)
        found[cells[0]] = cells[1]
    missing = [band for band in bands if band not in found]
    if missing:
        raise InvalidInput(
            f"{len(missing)} of the {BANDS} bands (380 to 730 nm in 10 nm steps) are missing, the first is "
            f"{missing[0]} nm",
            where=str(path),
        )
    return Colour(spectrum=tuple(found[band] for band in bands))
