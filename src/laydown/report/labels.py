"""Labels of swatches as PDF: sheets of 24 of plain label stock, or one a page for a small label printer."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from laydown.data.typefaces import font_folder
from laydown.errors import InvalidInput
from laydown.report.plain_text import printable
from laydown.report.ticket import qr_svg

MOST = 240
"""Labels in one file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """Measures of a sheet of labels, all in millimetres.

    Attributes
    ----------
    paper : tuple of float
        Width and height.
    columns, rows : int
    width, height : float
        Of a label.
    left, top, gutter : float
        From the paper's edges to the first label, and between columns.
    """

    name: str
    label: str
    paper: tuple[float, float]
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    gutter: float

    @property
    def each(self) -> int:
        """Labels on a page."""
        return self.columns * self.rows


SHEETS = (
    LabelSheet(
        name="a4",
        label="A4, 24 labels of 70 x 37 mm, edge to edge",
        paper=(210.0, 297.0),
        columns=3,
        rows=8,
        width=70.0,
        height=37.0,
        left=0.0,
        top=0.5,
        gutter=0.0,
    ),
    LabelSheet(
        name="letter",
        label="Letter, 24 labels of 66.7 x 33.9 mm (2 5/8 x 1 1/3 in)",
        paper=(215.9, 279.4),
        columns=3,
        rows=8,
        width=66.7,
        height=33.9,
        left=4.8,
        top=4.1,
        gutter=3.1,
    ),
)
"""Sheets of label stock that is sold everywhere; measure yours before printing many."""

SMALL = ((50.0, 30.0), (57.0, 32.0), (62.0, 29.0), (70.0, 40.0), (89.0, 36.0), (100.0, 50.0))
"""Usual sizes of small labels [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What stands on a label.

    Attributes
    ----------
    number : str
        Of the swatch.
    read : str
        When it is to be read.
    address : str
        What the code holds.
    """

    number: str
    test: str
    cloth: str
    lot: str
    stack: str
    read: str
    address: str


def sheet_named(name: str) -> LabelSheet:
    """Sheet by its name, or a small label by its size, such as ``50x30``.

    Raises
    ------
    InvalidInput
        When it is neither.
    """
    for one in SHEETS:
        if one.name == name:
            return one
    parts = name.lower().replace("×", "x").split("x")
    try:
        width, height = (float(part.replace(",", ".")) for part in parts)
    except ValueError:
        allowed = ", ".join([*(one.name for one in SHEETS), *(f"{w:g}x{h:g}" for w, h in SMALL)])
        raise InvalidInput(f"{name!r} is no sheet of labels; allowed are {allowed}, or any size in mm") from None
    if not (30 <= width <= 150 and 20 <= height <= 150):
        raise InvalidInput(f"a label of {name} mm is not allowed; allowed is 30x20 to 150x150 mm")
    return LabelSheet(
        name=name,
        label=f"one label a page, {width:g} x {height:g} mm",
        paper=(width, height),
        columns=1,
        rows=1,
        width=width,
        height=height,
        left=0.0,
        top=0.0,
        gutter=0.0,
    )


def labels_pdf(labels: Sequence[Label], sheet: LabelSheet, *, first: int = 1) -> bytes:
    """Typeset labels.

    Parameters
    ----------
    labels : sequence of Label
    sheet : LabelSheet
    first : int
        Place on the first page where they begin, counted from 1 by rows: the labels before it are used up already.

    Returns
    -------
    bytes
        PDF without creation date: the same labels give the same bytes.

    Raises
    ------
    InvalidInput
        When there are none or too many, or the first place is not on the sheet.
    """
    import typst

    if not 1 <= len(labels) <= MOST:
        raise InvalidInput(f"{len(labels)} labels; allowed are 1 to {MOST}")
    if not 1 <= first <= sheet.each:
        raise InvalidInput(f"the sheet has no place {first}; allowed is 1 to {sheet.each}")
    cells: list[dict[str, str] | None] = [None] * (first - 1)
    cells += [_cell(one) for one in labels]
    data: dict[str, Any] = {
        "title": f"Labels of {len(labels)} swatch{'es' if len(labels) > 1 else ''}",
        "paper": list(sheet.paper),
        "columns": sheet.columns,
        "width": sheet.width,
        "height": sheet.height,
        "left": sheet.left,
        "top": sheet.top,
        "gutter": sheet.gutter,
        # A rim that no printer's grip reaches, and a code as large as the label lets it be.
        "rim": 3.5 if sheet.each > 1 else 1.5,
        "code": 26.0 if sheet.each > 1 else min(0.55 * sheet.width, sheet.height),
        "pages": [cells[i : i + sheet.each] for i in range(0, len(cells), sheet.each)],
    }
    try:
        return _typeset(data, tagged=True)
    except typst.TypstError:
        # A letter that no font of the package has: it is printed as an empty box, which a tagged file may not hold.
        return _typeset(data, tagged=False)


def _typeset(data: dict[str, Any], *, tagged: bool) -> bytes:
    import typst

    made: bytes = typst.compile(
        (files("laydown.report") / "labels.typ").read_bytes(),
        font_paths=typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())]),
        ignore_system_fonts=True,
        sys_inputs={"labels": json.dumps(data)},
        pdf_standards=["ua-1"] if tagged else [],
    )
    return made


def _cell(label: Label) -> dict[str, str]:
    words = {name: printable(getattr(label, name)) for name in ("number", "test", "cloth", "lot", "stack", "read")}
    return words | {"qr": qr_svg(label.address)}
