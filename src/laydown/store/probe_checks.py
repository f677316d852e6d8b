"""Daily checks of dryers and flash units: only ever added to; a correction names the check whose place it takes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from laydown.domain.probe_check import CheckKind, ProbeCheck
from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store.schema_dryer import probe_checks
from laydown.store.transaction import Transaction, storable

LEAST_KEY = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredCheck:
    """A check that is kept.

    Attributes
    ----------
    replaces : int or None
        Check whose place it takes.
    aside : bool
        Whether it only takes the older one out of the chart.
    """

    id: int
    key: str
    check: ProbeCheck
    replaces: int | None
    aside: bool
    received_at: dt.datetime
    made_by: str


def add(
    tx: Transaction, check: ProbeCheck, *, key: str, replaces: int | None = None, aside: bool = False
) -> tuple[StoredCheck, bool]:
    """Keep a check, unless it was kept before.

    Parameters
    ----------
    check : ProbeCheck
    key : str
        Eight to 80 characters, made once a check by whoever sends it.
    replaces : int, optional
        Check that this one corrects.
    aside : bool
        Take the older one out, and put nothing in its place.

    Returns
    -------
    StoredCheck, bool
        The check as it is kept, and whether it is new.

    Raises
    ------
    InvalidInput
        When it cannot be kept, or the check it corrects is of something else.
    NotFound
        When the check that it corrects is not there.
    Conflict
        When another check has this key, or that one was corrected already.
    """
    if len(storable("the key", key, most=80)) < LEAST_KEY:
        raise InvalidInput("the key has too few characters; at least 8 are needed, for example a UUID", where="key")
    if aside and replaces is None:
        raise InvalidInput("say which check is taken out", where="replaces")
    row: dict[str, Any] = {
        "machine": storable("the name of the machine", check.machine, most=80, needed=True),
        "kind": str(check.kind),
        "value": check.value,
        "anew": check.anew,
        "note": storable("the note", check.note, most=2000),
        "happened_at": check.happened_at.astimezone(dt.UTC),
        "replaces": replaces,
        "aside": aside,
    }
    present = tx.run(select(probe_checks).where(probe_checks.c.key == key)).first()
    if present is not None:
        if any(present._mapping[column] != value for column, value in row.items()):  # noqa: SLF001 - its public name
            raise Conflict("another check has this key", kind="probe check", name=key, present=_stored(present))
        return _stored(present), False
    if replaces is not None:
        _check_replaced(tx, replaces, check)
    tx.log("add", "probe check", key, after={**row, "happened_at": row["happened_at"].isoformat()})
    tx.run(probe_checks.insert().values(**row, key=key, received_at=tx.now, made_by=tx.who))
    return _stored(tx.run(select(probe_checks).where(probe_checks.c.key == key)).one()), True


def get(tx: Transaction, number: int) -> StoredCheck:
    """Check by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(probe_checks).where(probe_checks.c.id == number)).first()
    if row is None:
        raise NotFound("probe check", str(number), ())
    return _stored(row)


def of_machine(tx: Transaction, machine: str, kind: CheckKind) -> tuple[StoredCheck, ...]:
    """Checks that hold, the oldest first: neither corrected nor taken out."""
    asked = select(probe_checks).where(probe_checks.c.machine == machine, probe_checks.c.kind == str(kind))
    rows = [_stored(row) for row in tx.run(asked)]
    replaced = {one.replaces for one in rows}
    valid = [one for one in rows if one.id not in replaced and not one.aside]
    return tuple(sorted(valid, key=lambda one: (one.check.happened_at, one.id)))


def _check_replaced(tx: Transaction, number: int, check: ProbeCheck) -> None:
    old = get(tx, number)
    if (old.check.machine, old.check.kind) != (check.machine, check.kind):
        raise InvalidInput(
            f"check {number} is of the {old.check.kind} of {old.check.machine}, not of the {check.kind} of "
            f"{check.machine}",
            where="replaces",
        )
    later = tx.run(select(probe_checks).where(probe_checks.c.replaces == number)).first()
    if later is not None:
        raise Conflict(
            f"check {number} was corrected by {later.made_by} already, by check {later.id}; correct that one",
            kind="probe check",
            name=str(number),
            present=_stored(later),
        )


def _stored(row: Row[Any]) -> StoredCheck:
    return StoredCheck(
        id=row.id,
        key=row.key,
        check=ProbeCheck(
            machine=row.machine,
            kind=CheckKind(row.kind),
            value=row.value,
            happened_at=row.happened_at,
            note=row.note,
            anew=row.anew,
        ),
        replaces=row.replaces,
        aside=row.aside,
        received_at=row.received_at,
        made_by=row.made_by,
    )
