"""Reading and writing the CSV shelves: one entry a line, a quantity in up to five columns."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

from laydown.documents.entry import Entry
from laydown.documents.quantity_value import QuantityTable
from laydown.documents.sentences import nearest
from laydown.documents.toml_file import read_text
from laydown.errors import InvalidInput

PARTS = ("low", "high", "grade", "source")


def read_csv(path: Path, model: type[Entry], *, purpose: str) -> list[tuple[str, dict[str, Any]]]:
    """Lines of a CSV file as tables for a model.

    Lines that begin with ``#`` and empty lines are passed over; the first other line names the columns. An empty
    cell is a key that is not given. A quantity's column may be joined by ``<column>.low``, ``.high``, ``.grade`` and
    ``.source``.

    Parameters
    ----------
    path : Path
    model : type of Entry
        Its fields are the columns; a column whose field is a number is read as one.
    purpose : str
        What the file is for.

    Returns
    -------
    list of (str, dict)
        File and line of each entry, and its table.

    Raises
    ------
    InvalidInput
        When the file cannot be read, a column is unknown or twice, or a line has more or fewer cells than the head.
    """
    columns = _columns(model)
    header: list[str] = []
    rows: list[tuple[str, dict[str, Any]]] = []
    for line, raw in enumerate(read_text(path, purpose=purpose).splitlines(), start=1):
        if not raw.strip() or raw.lstrip().startswith("#"):
            continue
        where = f"{path}, line {line}"
        try:
            cells = [cell.strip() for cell in next(csv.reader([raw], strict=True))]
        except csv.Error as error:
            raise InvalidInput(f"this line is not CSV ({error})", where=where) from None
        if not header:
            header = cells
            _check_header(header, columns, where=where)
            continue
        if len(cells) != len(header):
            raise InvalidInput(
                f"{len(cells)} cells, but the head of the file has {len(header)}: {', '.join(header)}", where=where
            )
        rows.append((where, _table(dict(zip(header, cells, strict=True)), columns)))
    if not header:
        raise InvalidInput(
            f"the head with the names of the columns is missing; allowed are {', '.join(model.model_fields)}",
            where=str(path),
        )
    return rows


def csv_text(tables: Sequence[Mapping[str, Any]], model: type[Entry], *, comment: str) -> str:
    """CSV of some tables, with the columns that at least one of them uses (all plain columns when there are none).

    Raises
    ------
    InvalidInput
        When a text cannot stand in a line of CSV.
    """
    flat = [_flat(table) for table in tables]
    for cell in (cell for row in flat for cell in row.values() if isinstance(cell, str)):
        # Such a cell would be read back as something else: as a comment, as two lines or without its blanks.
        if cell.startswith("#") or len(cell.splitlines()) > 1 or cell != cell.strip():
            raise InvalidInput(
                f"{cell!r} cannot stand in a CSV file; a text there has no line break, no '#' at its beginning and no "
                "blank at either end"
            )
    used = [column for column in _columns(model) if any(column in row for row in flat)]
    plain = [key for key in _columns(model) if "." not in key]
    text = io.StringIO()
    text.write(f"# {comment}\n")
    writer = csv.DictWriter(text, fieldnames=used or plain, lineterminator="\n", restval="")
    writer.writeheader()
    writer.writerows(flat)
    return text.getvalue()


def _columns(model: type[Entry]) -> dict[str, bool]:
    """List the allowed columns in order, and whether a column holds numbers."""
    columns: dict[str, bool] = {}
    for key, field in model.model_fields.items():
        if _holds(field.annotation, QuantityTable):
            columns |= {key: True} | {f"{key}.{part}": part in {"low", "high"} for part in PARTS}
        else:
            columns[key] = _holds(field.annotation, float) or _holds(field.annotation, int)
    return columns


def _holds(annotation: Any, kind: type) -> bool:
    return annotation is kind or any(_holds(argument, kind) for argument in get_args(annotation))


def _check_header(header: list[str], columns: Mapping[str, bool], *, where: str) -> None:
    for column in header:
        if column not in columns:
            plain = tuple(key for key in columns if "." not in key)
            raise InvalidInput(f"the column {column!r} is unknown; {nearest(column, plain)}", where=where)
        if header.count(column) > 1:
            raise InvalidInput(f"the column {column!r} stands twice", where=where)


def _table(row: Mapping[str, str], columns: Mapping[str, bool]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for column, cell in row.items():
        if not cell:
            continue
        value = _number(cell) if columns[column] else cell
        key, _, part = column.partition(".")
        if f"{key}.low" not in columns:
            table[key] = value
        elif part:
            table.setdefault(key, {})[part] = value
        elif any(row.get(f"{key}.{other}") for other in PARTS):
            table.setdefault(key, {})["value"] = value
        else:
            table[key] = value
    return table


def _number(cell: str) -> int | float | str:
    for kind in (int, float):
        try:
            return kind(cell)
        except ValueError:
            continue
    # The model says in its own words that a number is needed here.
    return cell


def _flat(table: Mapping[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in table.items():
        if isinstance(value, Mapping):
            flat |= {key if part == "value" else f"{key}.{part}": item for part, item in value.items()}
        else:
            flat[key] = value
    return flat
