"""Daily checks of dryers and flash units: only ever added to; a correction names the check whose place it takes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from laydown.domain.probe_check import CheckKind, ProbeCheck
from laydown.errors import InvalidInput
from laydown.store.added_rows import AddedRows
from laydown.store.schema_dryer import probe_checks
from laydown.store.transaction import Transaction, storable


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

    def check_replaced() -> None:
        if replaces is not None:
            _check_replaced(tx, replaces, check)

    return _ROWS.add(tx, row, key=key, check=check_replaced)


def get(tx: Transaction, number: int) -> StoredCheck:
    """Check by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    return _ROWS.get(tx, number)


def of_machine(tx: Transaction, machine: str, kind: CheckKind) -> tuple[StoredCheck, ...]:
    """Checks that hold, the oldest first: neither corrected nor taken out."""
    asked = select(probe_checks).where(probe_checks.c.machine == machine, probe_checks.c.kind == str(kind))
    return tuple(sorted(_ROWS.standing(tx, asked), key=lambda one: (one.check.happened_at, one.id)))


def newest(tx: Transaction) -> tuple[int, str]:
    """Number and key of the newest check; as checks are only added, it stands for all of them."""
    row = tx.run(select(probe_checks.c.id, probe_checks.c.key).order_by(probe_checks.c.id.desc()).limit(1)).first()
    return (row.id, row.key) if row is not None else (0, "")


def _check_replaced(tx: Transaction, number: int, check: ProbeCheck) -> None:
    old = get(tx, number)
    if (old.check.machine, old.check.kind) != (check.machine, check.kind):
        raise InvalidInput(
            f"check {number} is of the {old.check.kind} of {old.check.machine}, not of the {check.kind} of "
            f"{check.machine}",
            where="replaces",
        )
    _ROWS.check_uncorrected(tx, number)


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


_ROWS = AddedRows(table=probe_checks, noun="check", kind="probe check", moment="received_at", stored=_stored)
