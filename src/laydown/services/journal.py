"""Who changed what."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from laydown.store import change_log
from laydown.store.change_log import LogLine
from laydown.store.database import Store
from laydown.store.schema import change_log as log_table

PAGE = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A value that a change touched; None where there was, or is, none."""

    name: str
    before: str | None
    after: str | None


def lines(
    store: Store, *, kind: str = "", key: str = "", who: str = "", before: int | None = None, limit: int = PAGE
) -> tuple[LogLine, ...]:
    """Lines of the log that fit, the newest first; empty texts fit everything."""
    with store.read() as tx:
        return change_log.lines(tx, kind=kind or None, key=key or None, who=who or None, before=before, limit=limit)


def filters(store: Store) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Kinds of things and names of people that the log knows."""
    with store.read() as tx:
        kinds = tx.run(select(log_table.c.kind).distinct().order_by(log_table.c.kind)).scalars().all()
        people = tx.run(select(log_table.c.who).distinct().order_by(log_table.c.who)).scalars().all()
    return tuple(kinds), tuple(people)


def differences(line: LogLine) -> tuple[Difference, ...]:
    """Read out what a line changed, value by value."""
    before, after = (dict(_values(_opened(side))) for side in (line.before or {}, line.after or {}))
    return tuple(
        Difference(name=name, before=before.get(name), after=after.get(name))
        for name in dict.fromkeys((*before, *after))
        if before.get(name) != after.get(name)
    )


def _opened(side: Mapping[str, Any]) -> Mapping[str, Any]:
    """Put the document of a shelf item, which stands there as text, in its place."""
    text = side.get("document")
    if not isinstance(text, str):
        return side
    rest = {name: value for name, value in side.items() if name != "document"}
    try:
        document: dict[str, Any] = dict(json.loads(text))
    except (ValueError, TypeError):
        return side
    return document | rest


def _values(value: Any, at: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _values(inner, f"{at}.{name}" if at else str(name))
    elif isinstance(value, list) and any(isinstance(one, Mapping) for one in value):
        for index, inner in enumerate(value, start=1):
            yield from _values(inner, f"{at}[{index}]")
    else:
        yield at, value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
