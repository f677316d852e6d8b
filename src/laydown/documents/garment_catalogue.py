"""A mill's catalogue (CSV in its own layout) read as garments, with what is wrong told row by row."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from laydown.documents.care_label import parse_care_label
from laydown.documents.garment_file import GarmentEntry, garment_from
from laydown.documents.sentences import nearest, validated
from laydown.documents.toml_file import LARGEST, text_from_bytes
from laydown.domain.garment import Garment
from laydown.errors import InvalidInput

JOINED = ("name", "care_label", "lot", "note")
"""Keys that may be put together from several columns, with a blank between."""

KEYS = (
    *JOINED,
    "structure",
    "mass_gsm",
    "mass_oz_yd2",
    "colour",
    "dye",
    "stretch_percent",
    "coated",
    "history",
    "price",
    "size_mm",
    "size_in",
    "width_mm",
    "width_in",
)
"""Keys of a garment that a column can give; they mean what they mean in ``garments.toml``."""

FIXED_KEYS = (*KEYS, "grade", "source")
"""Keys that can be the same for every row."""

_DELIMITERS = ";\t,|"
_NUMBER = re.compile(r"[^\d+\-.,]{0,5}([+-]?\d[\d.,'\u2009\u00a0 ]*|[+-]?[.,]\d+)(?:[^\d.,'].{0,9})?\Z")
"""A number with a sign of money before it and a unit behind it, either of which may be missing."""

_TRUE, _FALSE = {"true", "yes", "y", "1", "x", "ja"}, {"false", "no", "n", "0", "nein"}
_RGB = re.compile(r"[0-9a-fA-F]{6}\Z")
_HEADS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("name", ("name", "style", "style name", "article", "product", "artikel", "bezeichnung")),
    ("care_label", ("care label", "composition", "content", "fibre", "fiber", "fabric", "material", "zusammensetzung")),
    ("structure", ("structure", "knit", "construction", "bindung")),
    ("mass_gsm", ("gsm", "g/m2", "g/m²", "weight gsm", "weight g/m2", "weight g/m²", "grammatur", "gewicht g/m²")),
    ("mass_oz_yd2", ("oz", "oz/yd2", "oz/yd²", "weight oz", "ounces")),
    ("colour", ("hex", "rgb", "colour hex", "color hex", "srgb", "colour code", "color code")),
    ("dye", ("dye", "dyestuff", "farbstoff")),
    ("price", ("price", "unit price", "net price", "preis")),
    ("lot", ("lot", "batch", "charge", "partie")),
    ("note", ("note", "remark", "comment", "bemerkung")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueMapping:
    """Which column means what.

    Attributes
    ----------
    columns : dict
        Columns by key (`KEYS`); more than one only for the keys in `JOINED`.
    fixed : dict
        What is the same for every row, by key, where no column says otherwise; file keys, units and types.
    words : dict
        By key, what the catalogue says (capitals do not matter) and what it is called here.
    decimal : str
        ``.`` or ``,``; empty: a comma in files whose cells are parted by semicolons, else a point.
    """

    columns: Mapping[str, tuple[str, ...]]
    fixed: Mapping[str, Any] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    decimal: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueMistake:
    """What is wrong with a row.

    Attributes
    ----------
    line : int
        Line of the file, from 1.
    column : str
        Head of the column (several joined by ``+``); empty when the row as a whole is meant.
    value : str
        What stands there.
    what : str
        One sentence: what is wrong and what would be allowed.
    """

    line: int
    column: str
    value: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueRow:
    """A row that gave a garment."""

    line: int
    garment: Garment


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """A catalogue as it was read: the rows that can be used, and what is wrong with the others."""

    rows: tuple[CatalogueRow, ...]
    mistakes: tuple[CatalogueMistake, ...]


def catalogue_heads(content: bytes, where: str) -> tuple[str, ...]:
    """Heads of a catalogue's columns.

    Raises
    ------
    InvalidInput
        When the file is no CSV, or two columns have the same head.
    """
    return _lines(content, where)[0]


def suggested_mapping(heads: tuple[str, ...]) -> CatalogueMapping:
    """Mapping that the heads themselves suggest, to begin with; what they do not say is left out."""
    columns: dict[str, tuple[str, ...]] = {}
    for key, words in _HEADS:
        found = [head for head in heads if head.strip().casefold() in {key, key.replace("_", " "), *words}]
        if found:
            columns[key] = (found[0],)
    colours = [head for head in heads if head.strip().casefold() in {"colour", "color", "colour name", "farbe"}]
    if colours and "name" in columns:
        columns["name"] = (*columns["name"], colours[0])
    return CatalogueMapping(columns=columns)


def read_catalogue(
    content: bytes, mapping: CatalogueMapping, where: str, *, progress: Callable[[float], None] | None = None
) -> Catalogue:
    """Garments of a catalogue; nothing is written, so this is the dry run as well.

    Parameters
    ----------
    content : bytes
        CSV in UTF-8 or Windows-1252, cells parted by comma, semicolon, tab or bar, heads in its first line.
    mapping : CatalogueMapping
    where : str
        What the file is called in sentences.
    progress : callable, optional
        Told before each row what share of them was read; what it raises ends the reading.

    Raises
    ------
    InvalidInput
        When the file is no CSV, or the mapping names a key or a column that is not there. What is wrong with a row is
        told in the result.
    """
    heads, lines, delimiter = _lines(content, where)
    _check(mapping, heads)
    decimal = mapping.decimal or ("," if delimiter == ";" else ".")
    rows: list[CatalogueRow] = []
    mistakes: list[CatalogueMistake] = []
    named: dict[str, int] = {}
    for number, (line, cells) in enumerate(lines):
        if progress is not None:
            progress(number / len(lines))
        if len(cells) != len(heads):
            what = f"{len(cells)} cells, but the head has {len(heads)}"
            mistakes.append(CatalogueMistake(line=line, column="", value="", what=what))
            continue
        found, wrong = _row(dict(zip(heads, cells, strict=True)), mapping, decimal, line, where)
        if found is not None and found.name in named:
            what = f"the name stands in line {named[found.name]} already; names must differ"
            column = "+".join(mapping.columns.get("name", ()))
            wrong = [CatalogueMistake(line=line, column=column, value=found.name, what=what)]
        mistakes += wrong
        if found is not None and not wrong:
            named[found.name] = line
            rows.append(CatalogueRow(line=line, garment=found))
    return Catalogue(rows=tuple(rows), mistakes=tuple(mistakes))


def _row(
    cells: Mapping[str, str], mapping: CatalogueMapping, decimal: str, line: int, where: str
) -> tuple[Garment | None, list[CatalogueMistake]]:
    table = dict(mapping.fixed)
    mistakes: list[CatalogueMistake] = []
    for key, heads in mapping.columns.items():
        cell = " ".join(part for head in heads if (part := cells[head].strip()))
        if not cell:
            continue
        try:
            value = _value(key, cell, mapping.words.get(key, {}), decimal)
            validated(GarmentEntry, {key: value}, where="")
            if key == "care_label":
                parse_care_label(str(value))
        except InvalidInput as error:
            mistakes.append(CatalogueMistake(line=line, column="+".join(heads), value=cell[:80], what=error.what))
            continue
        table[key] = value
    if mistakes:
        return None, mistakes
    try:
        entry = validated(GarmentEntry, table, where=where)
        return garment_from(entry, where=where, at=(), folder=None), []
    except InvalidInput as error:
        return None, [CatalogueMistake(line=line, column="", value=str(table.get("name", ""))[:80], what=error.what)]


def _value(key: str, cell: str, words: Mapping[str, str], decimal: str) -> Any:
    said = {word.strip().casefold(): meant for word, meant in words.items()}
    cell = said.get(cell.casefold(), cell)
    if key == "coated":
        if cell.casefold() not in _TRUE | _FALSE:
            raise InvalidInput(f"{cell[:60]!r} does not fit; yes or no is needed")
        return cell.casefold() in _TRUE
    if key == "colour":
        return f"#{cell}" if _RGB.match(cell) else cell
    if key in {"structure", "dye", "history"}:
        return cell.casefold()
    if key in JOINED:
        return cell
    number = _NUMBER.match(cell)
    plain = re.sub(r"['\u2009\u00a0 ]", "", number[1]) if number else ""
    plain = plain.replace("." if decimal == "," else ",", "").replace(decimal, ".")
    try:
        return float(plain)
    except ValueError:
        raise InvalidInput(f"{cell[:60]!r} is no number; write for example 180 or 2{decimal}90") from None


def _check(mapping: CatalogueMapping, heads: tuple[str, ...]) -> None:
    if mapping.decimal not in {"", ".", ","}:
        raise InvalidInput(f"the decimal sign is {mapping.decimal!r}; allowed are '.' and ','", where="mapping")
    for key in (*mapping.columns, *mapping.words):
        if key not in KEYS:
            raise InvalidInput(f"{key!r} is no key of a garment; {nearest(key, KEYS)}", where="mapping")
    for key in mapping.fixed:
        if key not in FIXED_KEYS:
            raise InvalidInput(f"{key!r} is no key of a garment; {nearest(key, FIXED_KEYS)}", where="mapping")
    for key, columns in mapping.columns.items():
        if not columns or (len(columns) > 1 and key not in JOINED):
            raise InvalidInput(f"exactly one column is needed for {key}", where="mapping")
        for column in columns:
            if column not in heads:
                raise InvalidInput(f"the column {column!r} is not there; {nearest(column, heads)}", where="mapping")
    validated(GarmentEntry, dict(mapping.fixed), where="mapping")


def _lines(content: bytes, where: str) -> tuple[tuple[str, ...], list[tuple[int, list[str]]], str]:
    if len(content) > LARGEST:
        raise InvalidInput(f"the file is larger than {LARGEST // 1_000_000} MB, the most that is read", where=where)
    try:
        text = text_from_bytes(content, where=where)
    except InvalidInput:
        # Office programs still write this.
        text = content.decode("cp1252", "replace")
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(_DELIMITERS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        rows += [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise InvalidInput(f"this is not CSV ({error})", where=f"{where}, line {reader.line_num}") from None
    if not rows:
        raise InvalidInput("the file is empty; its first line has to name the columns", where=where)
    heads = tuple(cell.strip() for cell in rows[0][1])
    twice = next((head for head in heads if heads.count(head) > 1), None)
    if twice is not None:
        raise InvalidInput(f"the column {twice!r} stands twice", where=f"{where}, line {rows[0][0]}")
    return heads, rows[1:], delimiter
