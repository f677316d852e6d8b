"""How the columns of a file were told once, so that the next file of its kind is read without asking."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from laydown.documents.sentences import nearest
from laydown.errors import InvalidInput
from laydown.store.schema import import_mappings
from laydown.store.transaction import Transaction, json_text, storable
from laydown.store.words import MAPPINGS


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportMapping:
    """A mapping that is remembered.

    Attributes
    ----------
    kind : str
        One of `laydown.store.words.MAPPINGS`.
    name : str
        What people call it, for example the instrument or the logger.
    document : dict
        What it says; JSON types only.
    """

    kind: str
    name: str
    document: Mapping[str, Any]
    changed_by: str


def remember(tx: Transaction, kind: str, name: str, document: Mapping[str, Any]) -> ImportMapping:
    """Keep a mapping in the place of the one that had its name.

    Raises
    ------
    InvalidInput
        When there is no such kind, no name, or it cannot be written as JSON.
    """
    if kind not in MAPPINGS:
        raise InvalidInput(f"{kind!r} is no kind of file; {nearest(kind, MAPPINGS)}", where="kind")
    storable("the name of the mapping", name, most=80, needed=True)
    try:
        text = json_text(dict(document))
    except (TypeError, ValueError, RecursionError):
        raise InvalidInput("the mapping cannot be written as JSON", where=name) from None
    storable("the mapping", text, most=100_000)
    here = (import_mappings.c.kind == kind) & (import_mappings.c.name == name)
    there = tx.run(select(import_mappings.c.document).where(here)).scalar()
    if there != text:
        before = {"document": there} if there is not None else None
        line = tx.log(
            "change" if before else "add", f"mapping of {kind}", name, before=before, after={"document": text}
        )
        values = {"document": text, "revision": line, "changed_at": tx.now, "changed_by": tx.who}
        if there is None:
            tx.run(import_mappings.insert().values(kind=kind, name=name, **values))
        else:
            tx.run(import_mappings.update().where(here).values(**values))
    return next(one for one in remembered(tx, kind) if one.name == name)


def remembered(tx: Transaction, kind: str) -> tuple[ImportMapping, ...]:
    """Mappings of a kind of file, the one that was used last first."""
    rows = tx.run(
        select(import_mappings)
        .where(import_mappings.c.kind == kind)
        .order_by(import_mappings.c.changed_at.desc(), import_mappings.c.revision.desc())
    )
    return tuple(
        ImportMapping(kind=row.kind, name=row.name, document=json.loads(row.document), changed_by=row.changed_by)
        for row in rows
    )
