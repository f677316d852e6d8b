"""The print and its plates in small, for the ticket: pictures in, plain fields out."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass
from typing import Any

from laydown.domain.art import PlateMeasure
from laydown.domain.screen import Mesh
from laydown.domain.shop import Preferences
from laydown.report import display_units as show
from laydown.report.decimal_sign import sentence
from laydown.report.plain_text import printable
from laydown.units import to_cm2, to_percent

Fields = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlatePicture:
    """One plate in small.

    Attributes
    ----------
    png : bytes
        Black where it prints.
    size : tuple of int
        Columns and rows.
    measure : PlateMeasure
    mesh : Mesh or None
    dots : str
        Ruling, angle and shape of its dots; empty for a plate of solids.
    remarks : tuple of str
        What its mesh does not hold.
    """

    png: bytes
    size: tuple[int, int]
    measure: PlateMeasure
    mesh: Mesh | None
    dots: str = ""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintPictures:
    """A print in small, on its cloth, and its plates in printing order."""

    place: str
    png: bytes
    size: tuple[int, int]
    plates: tuple[PlatePicture, ...]
    sentence: str = ""


def plate_fields(pictures: PrintPictures, prefs: Preferences) -> Fields:
    """Fields of the page that shows the plates."""
    return {
        "picture": svg_of(pictures.png, pictures.size),
        "sentence": sentence(printable(pictures.sentence)),
        "plates": [_plate(n, one, prefs) for n, one in enumerate(pictures.plates, start=1)],
    }


def svg_of(png: bytes, size: tuple[int, int]) -> str:
    """SVG that shows nothing but a PNG, which is how a picture reaches the template as text."""
    columns, rows = size
    data = b64encode(png).decode("ascii")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{columns}" height="{rows}" viewBox="0 0 {columns} {rows}">'
        f'<image width="{columns}" height="{rows}" href="data:image/png;base64,{data}"/></svg>'
    )


def _plate(number: int, one: PlatePicture, prefs: Preferences) -> Fields:
    measure = one.measure
    parts = [f"{to_cm2(measure.area):.0f} cm²"]
    if measure.toned >= 0.005:
        parts.append(f"{to_percent(measure.solid):.0f} % solid, {to_percent(measure.toned):.0f} % dots")
    if measure.finest_line is not None:
        parts.append(f"lines from {show.fine_length(measure.finest_line, prefs)}")
    return {
        "n": str(number),
        "name": printable(measure.plate),
        "ink": printable(measure.ink) if measure.ink != measure.plate else "",
        "mesh": show.mesh(one.mesh, prefs),
        "picture": svg_of(one.png, one.size),
        "facts": "; ".join(parts),
        "dots": one.dots,
        "remarks": [sentence(printable(remark)) for remark in one.remarks],
    }
