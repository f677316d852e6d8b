"""What the modules of the store are handed: a connection in a transaction, and who acts."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy.engine import Connection, CursorResult
from sqlalchemy.sql.base import Executable

from laydown.errors import InvalidInput
from laydown.store.schema import change_log


class Transaction:
    """One transaction of a store.

    Attributes
    ----------
    connection : Connection
    who : str
        Who acts; empty when nothing may be written.
    now : datetime
        Moment at which the transaction began, UTC; every record it writes has the same.
    """

    __slots__ = ("_writes", "connection", "now", "who")

    def __init__(self, connection: Connection, *, who: str, now: dt.datetime, writes: bool) -> None:
        self.connection = connection
        self.who = who
        self.now = now
        self._writes = writes

    def run(self, statement: Executable) -> CursorResult[Any]:
        """Run a statement of SQLAlchemy Core."""
        return self.connection.execute(statement)

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


def _text(detail: str | Mapping[str, Any] | None) -> str | None:
    return detail if detail is None or isinstance(detail, str) else json_text(detail)
