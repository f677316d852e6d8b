"""Writing TOML that people like to read: a table a block, a quantity on one line."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Mapping
from typing import Any

_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")


def toml_text(document: Mapping[str, Any], *, blocks: tuple[str, ...] = ()) -> str:
    """TOML of a document.

    Parameters
    ----------
    document : mapping
        At its top level tables and lists of tables; below, texts, numbers, truth values, dates, lists and tables.
    blocks : tuple of str
        Keys below the top level whose list of tables is written as ``[[parent.key]]`` blocks; every other table
        below the top level is written in line.
    """
    lines: list[str] = []
    for key, value in document.items():
        if isinstance(value, Mapping):
            _block(lines, f"[{_key(key)}]", _key(key), value, blocks)
        else:
            for entry in value:
                _block(lines, f"[[{_key(key)}]]", _key(key), entry, blocks)
    return "\n".join(lines).lstrip("\n") + "\n" if lines else ""


def _block(lines: list[str], head: str, path: str, table: Mapping[str, Any], blocks: tuple[str, ...]) -> None:
    lines += ["", head]
    lines += [f"{_key(key)} = {_value(value)}" for key, value in table.items() if key not in blocks]
    for key in blocks:
        for entry in table.get(key, ()):
            _block(lines, f"[[{path}.{_key(key)}]]", f"{path}.{_key(key)}", entry, blocks)


def _key(key: str) -> str:
    return key if _BARE.match(key) else _text(key)


def _text(text: str) -> str:
    # A JSON string is a TOML basic string, except that TOML wants DEL escaped as well.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:  # noqa: PLR0911 - one return a kind of value
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(str(value))
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, Mapping):
        inside = ", ".join(f"{_key(key)} = {_value(item)}" for key, item in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    return f"[{', '.join(_value(item) for item in value)}]"
