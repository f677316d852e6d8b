"""Rows that are only ever added: each is kept once by its key, and corrected once by a row that takes its place."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from sqlalchemy import Row, Select, Table, select

from laydown.errors import Conflict, NotFound
from laydown.store.transaction import Transaction, sent_key

One = TypeVar("One")


@dataclass(frozen=True, slots=True, kw_only=True)
class AddedRows(Generic[One]):
    """A table of them.

    Attributes
    ----------
    table : Table
        With the columns of `laydown.store.columns.identity_columns` and `added_columns`.
    noun, kind : str
        What a row is called in sentences, and in the log.
    moment : str
        Column that says when a row was kept.
    stored : callable
        Record of a row.
    """

    table: Table
    noun: str
    kind: str
    moment: str
    stored: Callable[[Row[Any]], One]

    def add(self, tx: Transaction, row: Mapping[str, Any], *, key: str, check: Callable[[], None]) -> tuple[One, bool]:
        """Keep a row unless it was kept before; gives it as it is kept, and whether it is new.

        Parameters
        ----------
        row : mapping
            Its columns but number, key, moment and maker.
        check : callable
            Called before a new row is kept; what it raises is raised.

        Raises
        ------
        InvalidInput
            When the key is none.
        Conflict
            When another row has this key.
        """
        asked = select(self.table).where(self.table.c.key == sent_key(key))
        present = tx.run(asked).first()
        if present is not None:
            if any(present._mapping[column] != value for column, value in row.items()):  # noqa: SLF001 - its public name
                raise Conflict(
                    f"another {self.noun} has this key", kind=self.kind, name=key, present=self.stored(present)
                )
            return self.stored(present), False
        check()
        told = {name: value.isoformat() if isinstance(value, dt.date) else value for name, value in row.items()}
        tx.log("add", self.kind, key, after=told)
        tx.run(self.table.insert().values(**row, key=key, made_by=tx.who, **{self.moment: tx.now}))
        return self.stored(tx.run(asked).one()), True

    def get(self, tx: Transaction, number: int) -> One:
        """Row by its number.

        Raises
        ------
        NotFound
            When there is none.
        """
        row = tx.run(select(self.table).where(self.table.c.id == number)).first()
        if row is None:
            raise NotFound(self.kind, str(number), ())
        return self.stored(row)

    def standing(self, tx: Transaction, asked: Select[Any]) -> list[One]:
        """Those of the rows asked for that hold: neither corrected nor taken back."""
        rows = list(tx.run(asked))
        replaced = {row.replaces for row in rows}
        return [self.stored(row) for row in rows if row.id not in replaced and not row.aside]

    def check_uncorrected(self, tx: Transaction, number: int) -> None:
        """Hold that no later row takes the place of one.

        Raises
        ------
        Conflict
            When one does.
        """
        later = tx.run(select(self.table).where(self.table.c.replaces == number)).first()
        if later is not None:
            raise Conflict(
                f"{self.noun} {number} was corrected by {later.made_by} already, by {self.noun} {later.id}; correct "
                "that one",
                kind=self.kind,
                name=str(number),
                present=self.stored(later),
            )
