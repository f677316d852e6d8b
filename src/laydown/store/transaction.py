"""What the modules of the store are handed: a connection in a transaction, and who acts."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy.engine import Connection, CursorResult
from sqlalchemy.exc import DataError
from sqlalchemy.sql.base import Executable

from laydown.errors import InvalidInput
from laydown.store.remembered import Remembered
from laydown.store.schema import change_log

LEAST_KEY = 8
"""Characters of a key that a sender makes."""


class Transaction:
    """One transaction of a store.

    Attributes
    ----------
    connection : Connection
    who : str
        Who acts; empty when nothing may be written.
    now : datetime
        Moment at which the transaction began, UTC; every record it writes has the same.
    remembered : Remembered
        What was read from content that never changes, by its SHA-256; it outlives the transaction.
    """

    __slots__ = ("_writes", "connection", "now", "remembered", "who")

    def __init__(
        self, connection: Connection, *, who: str, now: dt.datetime, writes: bool, remembered: Remembered
    ) -> None:
        self.connection = connection
        self.who = who
        self.now = now
        self.remembered = remembered
        self._writes = writes

    def run(self, statement: Executable) -> CursorResult[Any]:
        """Run a statement of SQLAlchemy Core.

        Raises
        ------
        InvalidInput
            When it holds a text or a number that no database can keep or look for.
        """
        try:
            return self.connection.execute(statement)
        except (DataError, UnicodeEncodeError, OverflowError):
            raise InvalidInput(
                "this holds a character or a number that no database can keep; write plain text and smaller numbers"
            ) from None

    def log(
        self,
        action: str,
        kind: str,
        key: str,
        *,
        before: str | Mapping[str, Any] | None = None,
        after: str | Mapping[str, Any] | None = None,
    ) -> int:
        """Write a line of the log, in the same transaction as the change it tells of.

        Returns
        -------
        int
            Number of the line. Lines are numbered upwards and no number comes twice, so it serves as the revision of
            the record that was changed.
        """
        if not self._writes:
            raise RuntimeError("this transaction only reads")
        line = change_log.insert().values(
            at=self.now, who=self.who, action=action, kind=kind, key=key, before=_text(before), after=_text(after)
        )
        primary_key = self.run(line).inserted_primary_key
        if primary_key is None:  # pragma: no cover - both databases return it
            raise RuntimeError("the log gave no number")
        return int(primary_key[0])

    def log_many(self, action: str, kind: str, changes: Sequence[tuple[str, str | None, str | None]]) -> list[int]:
        """Write many lines of the log at once; returns their numbers in the same order.

        Parameters
        ----------
        changes : sequence of (key, before, after)
        """
        if not self._writes:
            raise RuntimeError("this transaction only reads")
        if not changes:
            return []
        lines = [
            {"at": self.now, "who": self.who, "action": action, "kind": kind, "key": key, "before": was, "after": now}
            for key, was, now in changes
        ]
        asked = change_log.insert().returning(change_log.c.id, sort_by_parameter_order=True)
        return [int(number) for number in self.connection.execute(asked, lines).scalars()]


def json_text(document: Any) -> str:
    """One and the same JSON text for the same document: keys in order, no blanks, plain ASCII, finite numbers only."""
    return json.dumps(document, sort_keys=True, separators=(",", ":"), allow_nan=False)


def storable(name: str, value: str, *, most: int, needed: bool = False) -> str:
    """Return a text that every database can keep.

    Raises
    ------
    InvalidInput
        When it is too long, is needed and blank, or holds a character that no database keeps.
    """
    if needed and not value.strip():
        raise InvalidInput(f"{name} is missing; up to {most} characters are needed")
    if len(value) > most:
        raise InvalidInput(f"{name} has {len(value)} characters; allowed are up to {most}")
    if "\x00" in value or any("\ud800" <= letter <= "\udfff" for letter in value):
        raise InvalidInput(f"{name} holds a character that cannot be kept; write plain text")
    return value


def sent_key(key: str) -> str:
    """Return the key that a sender makes once for what it sends, so that it is kept once however often it arrives.

    Raises
    ------
    InvalidInput
        When it has fewer than `LEAST_KEY` characters, or cannot be kept.
    """
    if len(storable("the key", key, most=80)) < LEAST_KEY:
        raise InvalidInput(
            f"the key has too few characters; at least {LEAST_KEY} are needed, for example a UUID", where="key"
        )
    return key


def plain(value: str, *, most: int) -> str:
    """Text that every database can keep, made from one that a program said: cut short, odd characters replaced."""
    return value[:most].replace("\x00", " ").encode("utf-8", "replace").decode("utf-8")


def _text(detail: str | Mapping[str, Any] | None) -> str | None:
    return detail if detail is None or isinstance(detail, str) else json_text(detail)
