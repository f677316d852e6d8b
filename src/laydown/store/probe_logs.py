"""Probe logs: the logger's file as it came, what its columns are, and how the dryer was set; only ever added to."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from laydown.documents.probe_conditions import conditions_from, conditions_table
from laydown.documents.probe_log_mapping import mapping_from, mapping_text
from laydown.domain.probe_log import ProbeConditions, ProbeMapping
from laydown.errors import InvalidInput
from laydown.store import files
from laydown.store.added_rows import AddedRows
from laydown.store.schema_dryer import probe_logs
from laydown.store.transaction import Transaction, json_text, storable


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredProbeLog:
    """A log that is kept.

    Attributes
    ----------
    name : str
        Of the file.
    replaces : int or None
        Log whose place it takes.
    aside : bool
        Whether it only takes the older one out of use.
    """

    id: int
    key: str
    name: str
    file_sha256: str
    mapping: ProbeMapping
    conditions: ProbeConditions
    replaces: int | None
    aside: bool
    received_at: dt.datetime
    made_by: str


def add(
    tx: Transaction,
    *,
    key: str,
    name: str,
    content: bytes,
    mapping: ProbeMapping,
    conditions: ProbeConditions,
    replaces: int | None = None,
    aside: bool = False,
) -> tuple[StoredProbeLog, bool]:
    """Keep a log, unless it was kept before.

    Parameters
    ----------
    key : str
        Eight to 80 characters, made once a log by whoever sends it.
    content : bytes
        The logger's file.
    replaces : int, optional
        Log that this one corrects.

    Returns
    -------
    StoredProbeLog, bool
        The log as it is kept, and whether it is new.

    Raises
    ------
    InvalidInput
        When it cannot be kept, or the log it corrects is of another dryer.
    NotFound
        When the log that it corrects is not there.
    Conflict
        When another log has this key, or that one was corrected already.
    """
    row = {
        "dryer": storable("the name of the dryer", conditions.dryer, most=80, needed=True),
        "name": storable("the name of the file", name, most=200, needed=True),
        "taken_on": conditions.date,
        "mapping": mapping_text(mapping),
        "document": json_text(conditions_table(conditions)),
        "replaces": replaces,
        "aside": aside,
    }
    kept = files.put(tx, content, pack=True)
    row["file_sha256"] = kept.sha256

    def check() -> None:
        if replaces is not None:
            _check_replaced(tx, replaces, conditions.dryer)

    return _ROWS.add(tx, row, key=key, check=check)


def get(tx: Transaction, number: int) -> StoredProbeLog:
    """Log by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    return _ROWS.get(tx, number)


def of_dryer(tx: Transaction, dryer: str) -> tuple[StoredProbeLog, ...]:
    """Logs of a dryer that hold, the newest first: neither corrected nor put aside."""
    valid = _ROWS.standing(tx, select(probe_logs).where(probe_logs.c.dryer == dryer))
    return tuple(sorted(valid, key=lambda one: (one.conditions.date, one.id), reverse=True))


def _check_replaced(tx: Transaction, number: int, dryer: str) -> None:
    old = get(tx, number)
    if old.conditions.dryer != dryer:
        raise InvalidInput(f"log {number} is of {old.conditions.dryer}, not of {dryer}", where="replaces")
    _ROWS.check_uncorrected(tx, number)


def _stored(row: Row[Any]) -> StoredProbeLog:
    where = f"probe log {row.id}"
    return StoredProbeLog(
        id=row.id,
        key=row.key,
        name=row.name,
        file_sha256=row.file_sha256,
        mapping=mapping_from(row.mapping, where=where),
        conditions=conditions_from(json.loads(row.document), where=where),
        replaces=row.replaces,
        aside=row.aside,
        received_at=row.received_at,
        made_by=row.made_by,
    )


_ROWS = AddedRows(table=probe_logs, noun="log", kind="probe log", moment="received_at", stored=_stored)
