"""Measurements of a CGATS.17 or ISO 28178 text."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from laydown.documents.cgats_text import CgatsTable, cgats_tables
from laydown.documents.measurement_columns import Columns, columns_of
from laydown.documents.measurement_file import Asked, MeasurementFile, Part, file_of_parts
from laydown.documents.measurement_rows import part_of_rows
from laydown.documents.measurement_text import number, one_line
from laydown.documents.measurement_values import white_named
from laydown.documents.measurement_words import condition_of
from laydown.documents.sentences import told_at
from laydown.domain.measurement import LONGEST_TEXT
from laydown.errors import InvalidInput

SAYS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("ILLUMINATION_NAME", ("illuminant",)),
    ("ILLUMINANT", ("illuminant",)),
    ("OBSERVER_ANGLE", ("observer",)),
    ("OBSERVER", ("observer",)),
    ("WEIGHTING_FUNCTION", ("illuminant", "observer")),
    ("MEASUREMENT_SOURCE", ("illuminant", "observer", "mode", "geometry", "backing")),
    ("MEASUREMENT_CONDITION", ("mode",)),
    ("MEASUREMENT_MODE", ("mode",)),
    ("MEAS_CONDITIONS", ("mode",)),
    ("FILTER", ("mode",)),
    ("MEASUREMENT_GEOMETRY", ("geometry",)),
    ("GEOMETRY", ("geometry",)),
    ("SAMPLE_BACKING", ("backing",)),
    ("BACKING", ("backing",)),
    ("INSTRUMENTATION", ("instrument",)),
    ("TARGET_INSTRUMENT", ("instrument",)),
    ("INSTRUMENT", ("instrument",)),
    ("OPERATOR", ("operator",)),
)
"""Keywords, and the conditions that they say."""

PARTS = (
    ("illuminant", r"ILLUMINA(?:NT|TION)(?:NAME)?"),
    ("observer", r"OBSERVER(?:ANGLE)?"),
    ("mode", r"MEASUREMENTCONDITION|FILTER|MODE"),
    ("geometry", r"GEOMETRY"),
    ("backing", r"BACKING|SAMPLEBACKING"),
)
"""Names before the equals sign where one keyword says several conditions: ``Illumination=D50 ObserverAngle=2``."""

EMITTING = re.compile(r"EMISSI|AMBIENT|TRANSMI", re.IGNORECASE)


def read_cgats(text: str, asked: Asked, *, name: str, coding: str) -> MeasurementFile:
    """Measurements of a CGATS text.

    Raises
    ------
    InvalidInput
        When its structure is broken, its numbers of fields or sets are not those that it states, or a row is bad.
    """
    tables = cgats_tables(text, where=name)
    parts: list[Part] = []
    useless: list[InvalidInput] = []
    for place, written in enumerate(tables, start=1):
        where = f"{name}, table {place}" if len(tables) > 1 else name
        warnings = _counts(written, asked, where=where)
        try:
            table, columns = _columns(written, where=where)
        except InvalidInput as error:
            useless.append(error)
            continue
        if not table.rows:
            warnings.append(f"table {place} has no row")
        part = _part(table, columns, asked, name=name, where=where)
        parts.append(replace(part, warnings=(*warnings, *part.warnings)))
    if not parts:
        raise useless[0]
    if useless:
        parts.append(Part(measurements=(), warnings=tuple(f"left out: {error}" for error in useless)))
    first = tables[0].identifier or "no file identifier"
    shape = f"{first}, {len(tables)} table{'s' if len(tables) > 1 else ''}, {coding}"
    return file_of_parts(name, "CGATS", shape, tuple(parts))


def _counts(table: CgatsTable, asked: Asked, *, where: str) -> list[str]:
    """Warnings about the numbers that a table states of itself; refuses wrong ones unless bad rows are skipped."""
    fields = table.stated_count("NUMBER_OF_FIELDS", where=where)
    if fields is not None and fields != len(table.fields):
        raise InvalidInput(
            f"NUMBER_OF_FIELDS is {fields}, but the format names {len(table.fields)}; both must be the same",
            where=where,
        )
    sets = table.stated_count("NUMBER_OF_SETS", where=where)
    if sets is None or sets == len(table.rows):
        return []
    what = f"NUMBER_OF_SETS is {sets}, but there are {len(table.rows)} rows"
    if not asked.skip_bad:
        raise InvalidInput(f"{what}; a file that was cut off is not read", where=f"{where}, line {table.line}")
    return [what]


def _columns(table: CgatsTable, *, where: str) -> tuple[CgatsTable, Columns]:
    with told_at(where):
        _refuse_others(table)
        refused: dict[str, str] = {}
        if table.values("ILLUMINANT_WHITE_POINT_XYZ"):
            # Such files hold X, Y, Z of their illuminant, but L*, a*, b* against the white of D50 all the same.
            refused = dict.fromkeys(("LAB_L", "LAB_A", "LAB_B"), "against the white of D50, not of its illuminant")
        table, beside = _named_bands(table)
        return table, columns_of(table.fields, refused=refused | beside)


def _refuse_others(table: CgatsTable) -> None:
    """Raise InvalidInput for a table of lights, of displays or of a chart that is still to be printed."""
    kind = table.identifier.upper()
    if kind in {"CTI1", "CTI2"}:
        raise InvalidInput(f"{kind} is a chart with the colours it should have, not with readings; CTI3 holds readings")
    measured = next((value for key in ("MEAS_TYPE", "MEASUREMENT_TYPE") for value in table.values(key)), "")
    if EMITTING.search(measured) or "DISPLAY" in table.values("DEVICE_CLASS"):
        raise InvalidInput(f"the table holds {measured.lower() or 'display'} readings; reflectance is needed")
    if kind == "SPECT" and not measured.upper().startswith("REFL"):
        raise InvalidInput("the table does not say that its spectrum is of a surface; MEAS_TYPE REFLECTIVE is needed")


def _named_bands(table: CgatsTable) -> tuple[CgatsTable, dict[str, str]]:
    """Table whose bands stand in pairs of wavelength and value, with the wavelengths put into the headings."""
    fields = [field.upper() for field in table.fields]
    pairs = [
        place
        for place, field in enumerate(fields[:-1])
        if field == "SPECTRAL_NM" and fields[place + 1] in {"SPECTRAL_DEC", "SPECTRAL_PCT"}
    ]
    named, beside = list(table.fields), {}
    rows = [row for row in table.rows if len(row.cells) == len(fields)]
    for place in pairs:
        wavelengths = {number(row.cells[place], what="a wavelength") for row in rows}
        if len(wavelengths) != 1:
            raise InvalidInput(
                f"column {place + 1}, SPECTRAL_NM, does not hold one wavelength; every row needs the same wavelengths"
            )
        named[place + 1] = f"{fields[place + 1]}_{wavelengths.pop():g}"
        beside["SPECTRAL_NM"] = "wavelengths of the columns beside it"
    return replace(table, fields=tuple(named)), beside


def _part(table: CgatsTable, columns: Columns, asked: Asked, *, name: str, where: str) -> Part:
    with told_at(where):
        said = _said(table)
        grid = _grid(table, columns)
    whites = table.values("ILLUMINANT_WHITE_POINT_XYZ")
    warnings: list[str] = []
    if whites and asked.white is None:
        with told_at(where):
            x, y, z = (number(cell, what="ILLUMINANT_WHITE_POINT_XYZ") for cell in _three(whites[-1]))
            condition = white_named((x, y, z))
            asked = replace(asked, white=(100 * x / y, 100.0, 100 * z / y))
        said["illuminant"], _, said["observer"] = condition.partition("/")
        if condition:
            warnings.append(f"illuminant and observer taken as {condition}, whose white the file gives")
    elif columns.kind and table.identifier.upper().startswith("CTI") and not said.get("illuminant"):
        said |= {"illuminant": "D50", "observer": "2"}
        warnings.append("illuminant and observer taken as D50/2, as files that begin with CTI have them")
    norm = table.values("SPECTRAL_NORM")
    percent = None
    if norm:
        with told_at(where):
            percent = number(norm[-1], what="SPECTRAL_NORM") == 100
    elif table.identifier.upper().startswith("CTI"):
        percent = True
    part = part_of_rows(columns, table.rows, asked, file=name, said=said, percent=percent, grid=grid)
    if columns.kind and not (
        said.get("illuminant") or asked.assumed.illuminant or dict(columns.said).get("illuminant")
    ):
        warnings.append("nobody said the illuminant of L*, a*, b*")
    return replace(part, warnings=(*warnings, *part.warnings))


def _three(text: str) -> list[str]:
    cells = text.split()
    if len(cells) != 3:
        raise InvalidInput(f"ILLUMINANT_WHITE_POINT_XYZ holds {len(cells)} numbers; three are needed")
    return cells


def _grid(table: CgatsTable, columns: Columns) -> tuple[float, float] | None:
    """First wavelength and step that the keywords give, where they fit the columns."""
    said = [table.values(f"SPECTRAL_{what}") for what in ("BANDS", "START_NM", "END_NM")]
    if not (columns.bands and all(said)):
        return None
    bands, start, end = (number(values[-1], what="a keyword about the spectrum") for values in said)
    if bands != len(columns.bands) or bands < 2:
        raise InvalidInput(f"SPECTRAL_BANDS is {bands:g}, but the format names {len(columns.bands)} bands")
    if abs(start - columns.bands[0][0]) > 1 or abs(end - columns.bands[-1][0]) > 1:
        raise InvalidInput(
            f"SPECTRAL_START_NM and SPECTRAL_END_NM are {start:g} and {end:g}, but the format names "
            f"{columns.bands[0][0]:g} to {columns.bands[-1][0]:g} nm"
        )
    return start, (end - start) / (bands - 1)


def _said(table: CgatsTable) -> dict[str, str]:
    said: dict[str, str] = {}
    words = dict(SAYS)
    for keyword, value in table.keywords:
        for field, text in _each(words.get(keyword, ()), value):
            found = condition_of(field, text) or (one_line(text)[:LONGEST_TEXT] if field == "instrument" else "")
            if found and said.get(field, found) != found and field in {"illuminant", "observer", "mode"}:
                raise InvalidInput(f"the file says two things about the {field}: {said[field]} and {found}")
            if found:
                said[field] = found
    return said


def _each(fields: tuple[str, ...], value: str) -> Iterable[tuple[str, str]]:
    """Fields that a keyword's value speaks about, and the piece of it that does."""
    if len(fields) < 2:
        return [(field, value) for field in fields]
    named = re.findall(r"([A-Za-z_]+)\s*=\s*([^\s=]+)", value)
    if named:
        return [
            (field, text)
            for word, text in named
            for field, pattern in PARTS
            if field in fields and re.fullmatch(pattern, word.replace("_", "").upper())
        ]
    head, _, tail = value.partition(",")
    for field in ("illuminant", "observer"):
        if field in fields and re.search(field, head, re.IGNORECASE):
            return [(field, (tail or re.sub(field, "", head, flags=re.IGNORECASE)).strip(" =:"))]
    return [(field, value) for field in fields if field in {"illuminant", "mode", "geometry"}]
