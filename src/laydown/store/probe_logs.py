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
from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import files
from laydown.store.schema_dryer import probe_logs
from laydown.store.transaction import Transaction, json_text, storable

LEAST_KEY = 8


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
    if len(storable("the key", key, most=80)) < LEAST_KEY:
        raise InvalidInput("the key has too few characters; at least 8 are needed, for example a UUID", where="key")
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
    present = tx.run(select(probe_logs).where(probe_logs.c.key == key)).first()
    if present is not None:
        if any(present._mapping[column] != value for column, value in row.items()):  # noqa: SLF001 - its public name
            raise Conflict("another log has this key", kind="probe log", name=key, present=_stored(present))
        return _stored(present), False
    if replaces is not None:
        _check_replaced(tx, replaces, conditions.dryer)
    tx.log("add", "probe log", key, after={**row, "taken_on": conditions.date.isoformat()})
    tx.run(probe_logs.insert().values(**row, key=key, received_at=tx.now, made_by=tx.who))
    return _stored(tx.run(select(probe_logs).where(probe_logs.c.key == key)).one()), True


def get(tx: Transaction, number: int) -> StoredProbeLog:
    """Log by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(probe_logs).where(probe_logs.c.id == number)).first()
    if row is None:
        raise NotFound("probe log", str(number), ())
    return _stored(row)


def of_dryer(tx: Transaction, dryer: str) -> tuple[StoredProbeLog, ...]:
    """Logs of a dryer that hold, the newest first: neither corrected nor put aside."""
    rows = [_stored(row) for row in tx.run(select(probe_logs).where(probe_logs.c.dryer == dryer))]
    replaced = {one.replaces for one in rows}
    valid = [one for one in rows if one.id not in replaced and not one.aside]
    return tuple(sorted(valid, key=lambda one: (one.conditions.date, one.id), reverse=True))


def _check_replaced(tx: Transaction, number: int, dryer: str) -> None:
    old = get(tx, number)
    if old.conditions.dryer != dryer:
        raise InvalidInput(f"log {number} is of {old.conditions.dryer}, not of {dryer}", where="replaces")
    later = tx.run(select(probe_logs).where(probe_logs.c.replaces == number)).first()
    if later is not None:
        raise Conflict(
            f"log {number} was corrected by {later.made_by} already, by log {later.id}; correct that one",
            kind="probe log",
            name=str(number),
            present=_stored(later),
        )


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
