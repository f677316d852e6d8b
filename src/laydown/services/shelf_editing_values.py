"""Documents of shelf items as the flat texts of a form, and back."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from laydown.documents.rule_file import TESTS
from laydown.errors import InvalidInput
from laydown.services.shelf_editing_rows import Row

Values = Mapping[str, Sequence[str]]
"""Texts of a form by field name; several for what may be chosen several times."""

PARTS = ("low", "high", "grade", "source")
MOST_BLOCKS = 40


def values_of(rows: tuple[Row, ...], document: Mapping[str, Any], *, decimal: str = ".", at: str = "") -> Values:
    """Texts that a form shows for a document.

    Parameters
    ----------
    rows : tuple of Row
    document : mapping
        Keys and units as in the shop's files.
    decimal : str
        Sign before decimals.
    at : str
        What all field names begin with.
    """
    values: dict[str, Sequence[str]] = {}
    for row in rows:
        name = f"{at}{row.name}"
        key = next((one.key for one in row.keys if document.get(one.key) is not None), row.keys[0].key)
        value = document.get(key)
        if len(row.keys) > 1:
            values[f"{name}.unit"] = (key,)
        if value is None:
            continue
        if row.kind == "blocks":
            for index, block in enumerate(value):
                values |= values_of(row.rows, block, decimal=decimal, at=f"{name}[{index}].")
        elif row.kind == "conditions":
            for index, one in enumerate(value):
                values |= _condition_values(one, f"{name}[{index}].", decimal)
        elif row.kind == "quantity" and isinstance(value, Mapping):
            values[name] = (_text(value["value"], decimal),)
            values |= {
                f"{name}.{part}": (_text(value[part], decimal),) for part in PARTS if value.get(part) is not None
            }
            if value.get("pm") is not None:
                values[f"{name}.low"] = (_text(value["value"] - value["pm"], decimal),)
                values[f"{name}.high"] = (_text(value["value"] + value["pm"], decimal),)
        elif row.kind == "choices":
            values[name] = tuple(str(one) for one in value)
        elif row.kind == "shares":
            values[name] = ("\n".join(f"{fibre} {_text(share, decimal)}" for fibre, share in value.items()),)
        elif row.kind == "lines":
            values[name] = ("\n".join(value),)
        elif isinstance(value, list):
            values[name] = ("; ".join(_text(one, decimal) for one in value),)
        else:
            values[name] = (_text(value, decimal),)
    return values


def document_of(rows: tuple[Row, ...], values: Values, *, decimal: str = ".", at: str = "") -> dict[str, Any]:
    """Document that the texts of a form say.

    Raises
    ------
    InvalidInput
        When a text that should be a number is none; whether the document can be used is found out when it is kept.
    """
    document: dict[str, Any] = {}
    for row in rows:
        name = f"{at}{row.name}"
        chosen = _one(values, f"{name}.unit")
        key = chosen if chosen in {unit.key for unit in row.keys} else row.keys[0].key
        value = _value(row, name, values, decimal)
        if value is not None:
            document[key] = value
    return document


def blocks_in(values: Values, name: str) -> int:
    """Number of blocks that a form holds under a name."""
    count = 0
    while count < MOST_BLOCKS and any(key.startswith(f"{name}[{count}].") for key in values):
        count += 1
    return count


def differing(mine: Values, theirs: Values) -> tuple[str, ...]:
    """Names of fields in which two forms differ."""
    names = dict.fromkeys((*mine, *theirs))
    return tuple(name for name in names if _plain(mine.get(name)) != _plain(theirs.get(name)))


def _plain(texts: Sequence[str] | None) -> tuple[str, ...]:
    return tuple(sorted(text.strip().replace("\r\n", "\n") for text in texts or () if text.strip()))


def _value(row: Row, name: str, values: Values, decimal: str) -> Any:  # noqa: PLR0911 - one return a kind
    if row.kind == "blocks":
        return _blocks(name, values, lambda at: document_of(row.rows, values, decimal=decimal, at=at))
    if row.kind == "conditions":
        return _blocks(name, values, lambda at: _condition(values, at, decimal, row.label))
    if row.kind == "choices":
        return [text for text in values.get(name, ()) if text]
    text = _one(values, name)
    if not text:
        return None
    if row.kind == "number":
        return _number(text, decimal, row.label, whole=row.whole)
    if row.kind == "quantity":
        return _quantity(text, name, values, decimal, row.label)
    if row.kind == "numbers":
        return [_number(one, decimal, row.label, whole=row.whole) for one in _listed(text, decimal)]
    if row.kind == "lines":
        return [line.strip() for line in text.splitlines() if line.strip()]
    if row.kind == "words":
        return [one.strip() for one in text.split(";") if one.strip()]
    if row.kind == "shares":
        return dict(_share(line, decimal, row.label) for line in text.splitlines() if line.strip())
    return text == "yes" if row.options == ("yes", "no") else text


def _blocks(name: str, values: Values, read: Callable[[str], dict[str, Any]]) -> list[dict[str, Any]]:
    found = []
    for index in range(blocks_in(values, name)):
        at = f"{name}[{index}]."
        filled = any(
            text.strip()
            for key, texts in values.items()
            if key.startswith(at) and key.count(".") == at.count(".")
            for text in texts
        )
        if filled and _one(values, f"{at}remove") != "yes":
            found.append(read(at))
    return found


def _condition(values: Values, at: str, decimal: str, label: str) -> dict[str, Any]:
    fact, test, text = (_one(values, f"{at}{part}") for part in ("fact", "test", "value"))
    if test not in TESTS:
        raise InvalidInput(f"{test!r} is no test; allowed are {', '.join(TESTS)}", where=label)
    if test in {"any_of", "none_of"}:
        return {"fact": fact, test: [one.strip() for one in text.split(";") if one.strip()]}
    if test in {"contains", "lacks"}:
        return {"fact": fact, test: text}
    if test in {"is", "is_not"}:
        if text.lower() in {"yes", "true", "no", "false"}:
            return {"fact": fact, test: text.lower() in {"yes", "true"}}
        try:
            return {"fact": fact, test: _number(text, decimal, label)}
        except InvalidInput:
            return {"fact": fact, test: text}
    return {"fact": fact, test: _number(text, decimal, label)}


def _condition_values(condition: Mapping[str, Any], at: str, decimal: str) -> dict[str, Sequence[str]]:
    test = next(word for word in TESTS if condition.get(word) is not None)
    value = condition[test]
    text = "; ".join(value) if isinstance(value, list) else _text(value, decimal)
    return {f"{at}fact": (str(condition["fact"]),), f"{at}test": (test,), f"{at}value": (text,)}


def _quantity(text: str, name: str, values: Values, decimal: str, label: str) -> Any:
    value = _number(text, decimal, label)
    table: dict[str, Any] = {}
    for part in ("low", "high"):
        said = _one(values, f"{name}.{part}")
        if said:
            table[part] = _number(said, decimal, f"{label}, {part}")
    for part in ("grade", "source"):
        said = _one(values, f"{name}.{part}")
        if said:
            table[part] = said
    return {"value": value} | table if table else value


def _share(line: str, decimal: str, label: str) -> tuple[str, float]:
    fibre, _, percent = line.strip().rstrip("%").rstrip().rpartition(" ")
    if not fibre:
        raise InvalidInput(f"{line.strip()[:60]!r} is no share; write for example 'cotton 50', one a line", where=label)
    return fibre.strip(), _number(percent, decimal, label)


def _listed(text: str, decimal: str) -> list[str]:
    parted = text.replace(";", " ").replace("\n", " ")
    return (parted if decimal == "," else parted.replace(",", " ")).split()


def _number(text: str, decimal: str, label: str, *, whole: bool = False) -> Any:
    plain = text.strip().replace("−", "-").replace(" ", "").replace("\u00a0", "")
    plain = plain.replace(".", "").replace(",", ".") if decimal == "," else plain
    try:
        number = float(plain) if "_" not in plain else math.nan
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise InvalidInput(f"{text.strip()[:60]!r} is no number; write for example 1{decimal}5", where=label)
    if whole:
        if number != int(number):
            raise InvalidInput(f"{text.strip()[:60]!r} is no whole number", where=label)
        return int(number)
    return number


def _one(values: Values, name: str) -> str:
    texts = values.get(name) or ("",)
    return texts[-1].strip()


def _text(value: Any, decimal: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        text = repr(value).removesuffix(".0")
        return text.replace(".", ",") if decimal == "," else text
    return str(value)
