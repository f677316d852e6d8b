"""What the crew enters at the press; an entry that is sent twice is kept once."""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from laydown.documents.sentences import nearest
from laydown.errors import Conflict, InvalidInput
from laydown.store import orders
from laydown.store.schema import press_entries
from laydown.store.transaction import Transaction, json_text, sent_key
from laydown.store.words import PRESS_ENTRIES

NEEDED: tuple[tuple[str, tuple[tuple[str, type], ...]], ...] = (
    ("set-up step", (("step", str), ("done", bool))),
    ("strike-off", (("good", bool),)),
    ("count", (("pieces", int),)),
    ("misprint", (("pieces", int), ("cause", str))),
    ("probe reading", (("temperature", float),)),
    ("note", (("text", str),)),
    ("withdrawal", (("key", str),)),
)
"""What an entry of each kind has to say: ``pieces`` from 1, ``temperature`` in kelvin. It may say more."""

LARGEST = 20_000
"""Characters of an entry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressEntry:
    """One entry.

    Attributes
    ----------
    key : str
        Made by the page that sent it, once an entry; two entries never share one.
    kind : str
        One of `laydown.store.words.PRESS_ENTRIES`.
    document : dict
        What it says (`NEEDED`).
    happened_at, received_at : datetime
        When the crew entered it, and when it came in.
    """

    id: int
    order_id: int
    key: str
    kind: str
    document: Mapping[str, Any]
    happened_at: dt.datetime
    received_at: dt.datetime
    made_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressTotals:
    """Sums of an order's entries, withdrawn ones left out.

    Attributes
    ----------
    printed : int
        Good pieces.
    misprints : dict
        Pieces by cause.
    steps : dict
        Whether each set-up step is done, by the latest entry about it.
    """

    printed: int
    misprints: Mapping[str, int]
    steps: Mapping[str, bool]


def add(
    tx: Transaction, order_id: int, *, key: str, kind: str, document: Mapping[str, Any], happened_at: dt.datetime
) -> tuple[PressEntry, bool]:
    """Keep an entry, unless it was kept before.

    Parameters
    ----------
    key : str
        Eight to 80 characters, made once an entry by whoever sends it (a UUID does).
    happened_at : datetime
        With its time zone.

    Returns
    -------
    PressEntry, bool
        The entry as it is kept, and whether it is new.

    Raises
    ------
    InvalidInput
        When the kind is unknown, something is missing or of the wrong kind.
    NotFound
        When there is no such order.
    Conflict
        When another entry has this key.
    """
    text = _checked(kind, document)
    sent_key(key)
    if happened_at.tzinfo is None:
        raise InvalidInput("the moment names no time zone", where="happened_at")
    present = find(tx, key)
    if present is not None:
        if (present.order_id, present.kind, json_text(present.document)) != (order_id, kind, text):
            raise Conflict("another entry has this key", kind="press entry", name=key, present=present)
        return present, False
    orders.get(tx, order_id)
    if kind == "withdrawal":
        _check_withdrawal(tx, order_id, document["key"])
    tx.log("add", "press entry", key, after={"order": order_id, "kind": kind, "document": text})
    tx.run(
        press_entries.insert().values(
            order_id=order_id,
            key=key,
            kind=kind,
            document=text,
            happened_at=happened_at,
            received_at=tx.now,
            made_by=tx.who,
        )
    )
    row = tx.run(select(press_entries).where(press_entries.c.key == key)).one()
    return _entry(row), True


def find(tx: Transaction, key: str) -> PressEntry | None:
    """Entry by its key, or None."""
    row = tx.run(select(press_entries).where(press_entries.c.key == key)).first()
    return _entry(row) if row is not None else None


def of_order(tx: Transaction, order_id: int) -> tuple[PressEntry, ...]:
    """Entries of an order, in the order in which they came in."""
    rows = tx.run(select(press_entries).where(press_entries.c.order_id == order_id).order_by(press_entries.c.id))
    return tuple(_entry(row) for row in rows)


def totals(tx: Transaction, order_id: int) -> PressTotals:
    """Sums of an order's entries."""
    entries = of_order(tx, order_id)
    withdrawn = {entry.document["key"] for entry in entries if entry.kind == "withdrawal"}
    printed, misprints, steps = 0, dict[str, int](), dict[str, bool]()
    for entry in sorted(entries, key=lambda one: (one.happened_at, one.id)):
        if entry.key in withdrawn:
            continue
        said = entry.document
        if entry.kind == "count":
            printed += said["pieces"]
        elif entry.kind == "misprint":
            misprints[said["cause"]] = misprints.get(said["cause"], 0) + said["pieces"]
        elif entry.kind == "set-up step":
            steps[said["step"]] = said["done"]
    return PressTotals(printed=printed, misprints=misprints, steps=steps)


def _checked(kind: str, document: Mapping[str, Any]) -> str:
    if kind not in PRESS_ENTRIES:
        raise InvalidInput(f"{kind!r} is no entry at the press; {nearest(kind, PRESS_ENTRIES)}", where="kind")
    for name, wanted in dict(NEEDED)[kind]:
        value = document.get(name)
        if not _fits(value, wanted):
            raise InvalidInput(f"a {kind} needs {_NAMES[wanted]}", where=name)
        if name == "pieces" and not 1 <= int(value or 0) <= 1_000_000:
            raise InvalidInput(f"{value} pieces are not allowed; allowed is 1 to 1000000", where=name)
        if name == "temperature" and not 200 <= float(value or 0) <= 1000:
            raise InvalidInput(f"{value:g} K is not allowed; allowed is 200 to 1000 K", where=name)
    try:
        text = json_text(dict(document))
    except (TypeError, ValueError, RecursionError):
        raise InvalidInput("the entry cannot be written as JSON", where=kind) from None
    if len(text) > LARGEST:
        raise InvalidInput(f"the entry is longer than {LARGEST} characters, the most that is kept", where=kind)
    return text


_NAMES = {str: "a text", bool: "true or false", int: "a whole number", float: "a number"}


def _fits(value: Any, wanted: type) -> bool:
    if wanted is str:
        return isinstance(value, str) and bool(value.strip())
    if wanted is bool or isinstance(value, bool):
        return wanted is bool and isinstance(value, bool)
    if wanted is int:
        return isinstance(value, int)
    return isinstance(value, int | float) and math.isfinite(value)


def _check_withdrawal(tx: Transaction, order_id: int, key: str) -> None:
    withdrawn = find(tx, key)
    if withdrawn is None or withdrawn.order_id != order_id or withdrawn.kind == "withdrawal":
        raise InvalidInput("there is no entry of this order with that key to withdraw", where="key")


def _entry(row: Row[Any]) -> PressEntry:
    values = dict(row._mapping)  # noqa: SLF001 - SQLAlchemy's public name for it
    return PressEntry(**(values | {"document": json.loads(row.document)}))
