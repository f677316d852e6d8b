"""Rows of a table of readings, with its columns known, as measurements."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from laydown.documents.measurement_columns import Columns, equal_steps
from laydown.documents.measurement_file import MOST_READINGS, Asked, Part
from laydown.documents.measurement_text import moment, number, one_line
from laydown.documents.measurement_values import checked, lab_of_lch, lab_of_xyz, percent_of
from laydown.documents.measurement_words import condition_of, conditions_from
from laydown.documents.sentences import told_at
from laydown.domain.measurement import LONGEST_NAME, ColourMeasurement, Conditions, Spectrum
from laydown.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a table: line of the file, and its cells."""

    line: int
    cells: tuple[str, ...]


def part_of_rows(
    columns: Columns,
    rows: Sequence[Row],
    asked: Asked,
    *,
    file: str,
    said: Mapping[str, str],
    percent: bool | None = None,
    grid: tuple[float, float] | None = None,
    comma: bool = True,
) -> Part:
    """Measurements of a table.

    Parameters
    ----------
    columns : Columns
    rows : sequence of Row
    asked : Asked
    file : str
        Its name.
    said : mapping of str
        Conditions that hold for the whole table.
    percent : bool or None
        Whether reflectance stands in per cent, where the head of the table says so.
    grid : tuple of float or None
        First wavelength and step [nm], where the head of the table says so better than the headings do.
    comma : bool
        Whether a comma may stand for the decimal point.

    Raises
    ------
    InvalidInput
        When a row cannot be read and bad rows are not to be skipped, or the table as a whole makes no sense.
    """
    if len(rows) > MOST_READINGS:
        raise InvalidInput(f"the table has {len(rows):,} rows; allowed are up to {MOST_READINGS:,}", where=file)
    said = dict(said) | dict(columns.said)
    warnings: list[str] = []
    spectra, bad = _spectra(columns, rows, comma=comma)
    in_percent, told = percent_of(
        [(nm, values[place]) for values in spectra.values() for place, (nm, _) in enumerate(columns.bands)],
        stated=percent if columns.percent is None else columns.percent,
        asked=asked.scale,
        where=file,
    )
    warnings += told
    with told_at(file):
        steps = grid or (equal_steps([nm for nm, _ in columns.bands]) if columns.bands else (0.0, 0.0))
    found: list[ColourMeasurement] = []
    for place, row in enumerate(rows):
        try:
            if place in bad:
                raise bad[place]
            spectrum = _spectrum(spectra.get(place), steps, in_percent=in_percent)
            found.append(_measurement(columns, row, spectrum, said, asked, warnings, file=file, comma=comma))
        except InvalidInput as error:
            name = _name(columns, row)
            where = f"{file}, line {row.line}" + (f" ({name})" if name else "")
            bad[place] = InvalidInput(error.what, where=where)
            if not asked.skip_bad:
                raise bad[place] from None
    return Part(
        measurements=tuple(found),
        columns_used=columns.used,
        columns_left_out=columns.left_out,
        warnings=tuple(dict.fromkeys(warnings)),
        skipped=tuple(str(bad[place]) for place in sorted(bad)),
    )


def _spectra(
    columns: Columns, rows: Sequence[Row], *, comma: bool
) -> tuple[dict[int, tuple[float, ...]], dict[int, InvalidInput]]:
    """Numbers of the bands as they stand, and what is wrong, by the row's place."""
    found: dict[int, tuple[float, ...]] = {}
    bad: dict[int, InvalidInput] = {}
    for place, row in enumerate(rows):
        if len(row.cells) != len(columns.titles):
            bad[place] = InvalidInput(f"{len(row.cells)} cells, but there are {len(columns.titles)} columns")
            continue
        if not columns.bands:
            continue
        try:
            found[place] = tuple(
                number(row.cells[at], what=f"the value at {nm:g} nm", comma=comma) for nm, at in columns.bands
            )
        except InvalidInput as error:
            bad[place] = error
    return found, bad


def _spectrum(values: tuple[float, ...] | None, steps: tuple[float, float], *, in_percent: bool) -> Spectrum | None:
    if values is None:
        return None
    return Spectrum(
        start_nm=steps[0], step_nm=steps[1], values=tuple(value / 100 for value in values) if in_percent else values
    )


def _measurement(
    columns: Columns,
    row: Row,
    spectrum: Spectrum | None,
    said: Mapping[str, str],
    asked: Asked,
    warnings: list[str],
    *,
    file: str,
    comma: bool,
) -> ColourMeasurement:
    own = dict(said)
    taken_at = None
    for role, place in columns.others:
        cell = one_line(row.cells[place])
        if role == "moment":
            taken_at = moment(cell)
            if taken_at is not None and taken_at.tzinfo is None:
                taken_at = taken_at.replace(tzinfo=asked.zone) if asked.zone else None
            if cell and taken_at is None:
                warnings.append(
                    f"moments such as {cell[:40]!r} are left out; they need day and hour with a time zone, such as "
                    "2026-11-25T08:00+01:00"
                )
        elif cell:
            value = condition_of(role, cell)
            if not value:
                warnings.append(f"the {role} {cell[:40]!r} is unknown and left out")
            own[role] = value
    conditions = conditions_from(own, asked.assumed)
    lab = _lab(columns, row, conditions, asked, warnings, needed=spectrum is None, comma=comma)
    name = _name(columns, row) or f"line {row.line}"
    return checked(
        ColourMeasurement(
            name=name[:LONGEST_NAME],
            lab=lab,
            spectrum=spectrum,
            conditions=conditions,
            taken_at=taken_at,
            file=file,
            line=row.line,
        ),
        warnings,
    )


def _lab(
    columns: Columns,
    row: Row,
    conditions: Conditions,
    asked: Asked,
    warnings: list[str],
    *,
    needed: bool,
    comma: bool,
) -> tuple[float, float, float] | None:
    if not columns.kind:
        return None
    marks = {"Lab": ("L*", "a*", "b*"), "LCh": ("L*", "the chroma", "the hue"), "XYZ": ("X", "Y", "Z")}[columns.kind]
    one, two, three = (
        number(row.cells[place], what=what, comma=comma) for what, place in zip(marks, columns.colour, strict=True)
    )
    if columns.kind == "Lab":
        return one, two, three
    if columns.kind == "LCh":
        return lab_of_lch(one, two, math.radians(three))
    return lab_of_xyz((one, two, three), conditions, asked.white, warnings, needed=needed)


def _name(columns: Columns, row: Row) -> str:
    cells = (one_line(row.cells[place]) for place in columns.name if place < len(row.cells))
    return next((cell for cell in cells if cell), "")
