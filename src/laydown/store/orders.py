"""Orders: the text as it was written, every version of it, and what people search by."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from sqlalchemy import Row, func, select

from laydown.documents.order_entry import OrderEntry
from laydown.documents.sentences import nearest, validated
from laydown.documents.toml_file import toml_from_text
from laydown.documents.whole_files import write_whole_files
from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import files as kept_files
from laydown.store.schema import order_files, order_versions, orders, plans
from laydown.store.transaction import Transaction, storable
from laydown.store.words import ORDER_STATES

ORDER_FILE = "order.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredOrder:
    """An order as it stands.

    Attributes
    ----------
    garment : str
        Garment's name on the shelf, or its care label.
    state : str
        One of `laydown.store.words.ORDER_STATES`.
    version : int
        Version of the text that counts, from 1.
    approved_plan : int or None
        Number of the plan to print by.
    revision : int
        Names this state of the order; a change says which one it started from.
    """

    id: int
    identifier: str
    name: str
    garment: str
    quantity: int
    due: dt.date
    placed: dt.date | None
    state: str
    version: int
    approved_plan: int | None
    revision: int
    created_at: dt.datetime
    changed_at: dt.datetime
    changed_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderVersion:
    """One version of an order's text and the files that it names.

    Attributes
    ----------
    text : str
        The order file, as written.
    files : dict
        SHA-256 by the name that the text uses.
    """

    order_id: int
    version: int
    text: str
    files: Mapping[str, str]
    reason: str
    made_at: dt.datetime
    made_by: str


def add(tx: Transaction, text: str, *, files: Mapping[str, str] | None = None, reason: str = "") -> StoredOrder:
    """Take an order in.

    Parameters
    ----------
    text : str
        The order file (TOML).
    files : mapping of str to str
        SHA-256 of each file that the text names, kept before with `laydown.store.files.put`.

    Raises
    ------
    InvalidInput
        When the text is no order.
    NotFound
        When a file is not kept.
    """
    columns = _columns(text)
    made = tx.run(
        orders.insert().values(
            **columns,
            state="new",
            version=1,
            approved_plan=None,
            revision=0,
            created_at=tx.now,
            changed_at=tx.now,
            changed_by=tx.who,
        )
    ).inserted_primary_key
    if made is None:  # pragma: no cover - both databases return it
        raise RuntimeError("the order got no number")
    order_id = int(made[0])
    line = tx.log("add", "order", str(order_id), after={"name": columns["name"], "version": 1})
    tx.run(orders.update().where(orders.c.id == order_id).values(revision=line))
    _add_version(tx, order_id, 1, text, files or {}, reason)
    return get(tx, order_id)


def change(
    tx: Transaction,
    order_id: int,
    text: str,
    *,
    revision: int,
    files: Mapping[str, str] | None = None,
    reason: str = "",
) -> StoredOrder:
    """Give an order a new version of its text; earlier ones are kept, and its plans with them.

    Parameters
    ----------
    files : mapping or None
        None: the files of the version before.

    Raises
    ------
    InvalidInput, NotFound
        As `add`, or when there is no such order.
    Conflict
        When it was changed after it was read.
    """
    present = get(tx, order_id)
    _expect(present, revision)
    columns = _columns(text)
    before = version(tx, order_id, present.version)
    kept = dict(before.files) if files is None else dict(files)
    if text == before.text and kept == before.files:
        return present
    _add_version(tx, order_id, present.version + 1, text, kept, reason)
    values = columns | {"version": present.version + 1}
    return _update(tx, present, values, "change", {"version": present.version}, {"version": present.version + 1})


def set_state(tx: Transaction, order_id: int, state: str, *, revision: int) -> StoredOrder:
    """Move an order to another state.

    Raises
    ------
    InvalidInput
        When there is no such state, or the order has no approved plan to be printed by.
    Conflict
        When it was changed after it was read.
    """
    if state not in ORDER_STATES:
        raise InvalidInput(f"{state!r} is no state of an order; {nearest(state, ORDER_STATES)}", where="state")
    present = get(tx, order_id)
    _expect(present, revision)
    if state in {"approved", "printing"} and present.approved_plan is None:
        raise InvalidInput(f"the order has no approved plan, so it cannot be {state}; approve one first", where="state")
    if state == present.state:
        return present
    return _update(tx, present, {"state": state}, "state", {"state": present.state}, {"state": state})


def approve(tx: Transaction, order_id: int, plan: int | None, *, revision: int) -> StoredOrder:
    """Say which plan an order is printed by, and make it ``approved``; None takes the approval back.

    Raises
    ------
    NotFound
        When the order has no such plan.
    Conflict
        When the order was changed after it was read.
    """
    present = get(tx, order_id)
    _expect(present, revision)
    numbers = tx.run(select(plans.c.number).where(plans.c.order_id == order_id)).scalars().all()
    if plan is not None and plan not in numbers:
        raise NotFound("plan", str(plan), map(str, sorted(numbers)))
    state = "approved" if plan is not None else ("planned" if numbers else "new")
    if present.state in {"printing", "done"} and plan is not None:
        state = present.state
    values = {"approved_plan": plan, "state": state}
    before = {"approved_plan": present.approved_plan, "state": present.state}
    return present if values == before else _update(tx, present, values, "approve", before, values)


def get(tx: Transaction, order_id: int) -> StoredOrder:
    """Order by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(orders).where(orders.c.id == order_id)).first()
    if row is None:
        raise NotFound("order", str(order_id), ())
    return _order(row)


def find(
    tx: Transaction,
    *,
    text: str = "",
    states: Sequence[str] = (),
    due_from: dt.date | None = None,
    due_to: dt.date | None = None,
    limit: int = 100,
    offset: int = 0,
) -> tuple[tuple[StoredOrder, ...], int]:
    """Orders that fit, the soonest due first, and how many fit in all.

    Parameters
    ----------
    text : str
        Every word of it stands in name, identifier or garment; capitals do not matter.
    states : sequence of str
        Empty: all.
    """
    fits = [orders.c.searched.contains(word, autoescape=True) for word in _folded(text).split()]
    fits += [orders.c.state.in_(states)] if states else []
    fits += [orders.c.due >= due_from] if due_from is not None else []
    fits += [orders.c.due <= due_to] if due_to is not None else []
    number = tx.run(select(func.count()).select_from(orders).where(*fits)).scalar_one()
    asked = select(orders).where(*fits).order_by(orders.c.due, orders.c.id)
    return tuple(_order(row) for row in tx.run(asked.limit(limit).offset(offset))), int(number)


def version(tx: Transaction, order_id: int, number: int) -> OrderVersion:
    """One version of an order.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(
        select(order_versions).where(order_versions.c.order_id == order_id, order_versions.c.version == number)
    ).first()
    if row is None:
        raise NotFound("version", str(number), map(str, range(1, get(tx, order_id).version + 1)))
    named = tx.run(
        select(order_files.c.name, order_files.c.sha256)
        .where(order_files.c.order_id == order_id, order_files.c.version == number)
        .order_by(order_files.c.name)
    )
    return OrderVersion(
        order_id=order_id,
        version=number,
        text=row.text,
        files={one.name: one.sha256 for one in named},
        reason=row.reason,
        made_at=row.made_at,
        made_by=row.made_by,
    )


def versions(tx: Transaction, order_id: int) -> tuple[OrderVersion, ...]:
    """Every version of an order, the first one first."""
    return tuple(version(tx, order_id, number) for number in range(1, get(tx, order_id).version + 1))


def write_folder(tx: Transaction, order_id: int, folder: Path, *, number: int | None = None) -> Path:
    """Write a version of an order (None: the one that counts) with its files; returns the order file's path."""
    wanted = version(tx, order_id, number if number is not None else get(tx, order_id).version)
    texts: dict[str, str | bytes] = {name: kept_files.content(tx, sha256) for name, sha256 in wanted.files.items()}
    write_whole_files(folder, texts | {ORDER_FILE: wanted.text})
    return folder / ORDER_FILE


def _columns(text: str) -> dict[str, Any]:
    """Read what people search by; whether the shop has what the order names is found out by planning it."""
    where = "the order"
    entry = validated(OrderEntry, toml_from_text(text, where=where), where=where)
    head = entry.order
    garment = entry.garment.reference or entry.garment.name or entry.garment.care_label or ""
    name = storable("the order's name", head.name, most=80, needed=True)
    identifier = storable("the order's id", head.id, most=80)
    storable("the garment", garment, most=300)
    return {
        "name": name,
        "identifier": identifier,
        "garment": garment,
        "quantity": head.quantity,
        "due": head.due,
        "placed": head.placed,
        "searched": _folded(f"{name} {identifier} {garment}"),
    }


def _folded(text: str) -> str:
    return text.replace("\x00", " ").casefold()


def _add_version(tx: Transaction, order_id: int, number: int, text: str, files: Mapping[str, str], reason: str) -> None:
    storable("the reason", reason, most=2000)
    tx.run(
        order_versions.insert().values(
            order_id=order_id, version=number, text=text, reason=reason, made_at=tx.now, made_by=tx.who
        )
    )
    for name, sha256 in files.items():
        _check_name(name)
        if kept_files.find(tx, sha256) is None:
            raise NotFound("file", sha256, ())
        tx.run(order_files.insert().values(order_id=order_id, version=number, name=name, sha256=sha256))


def _check_name(name: str) -> None:
    storable("a file's name", name, most=200, needed=True)
    path = PurePosixPath(name)
    drive = PureWindowsPath(name)
    if path.is_absolute() or drive.drive or drive.root or ".." in drive.parts or str(path) in {".", ORDER_FILE}:
        raise InvalidInput(f"{name!r} is not allowed; name a file such as 'art/front.png'", where="files")


def _expect(present: StoredOrder, revision: int) -> None:
    if present.revision != revision:
        raise Conflict(
            f"the order {present.name!r} was changed by {present.changed_by} meanwhile; nothing was written",
            kind="order",
            name=present.name,
            present=present,
        )


def _update(
    tx: Transaction,
    present: StoredOrder,
    values: Mapping[str, Any],
    action: str,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
) -> StoredOrder:
    line = tx.log(action, "order", str(present.id), before=before, after=after)
    tx.run(
        orders.update()
        .where(orders.c.id == present.id)
        .values(**values, revision=line, changed_at=tx.now, changed_by=tx.who)
    )
    return get(tx, present.id)


def _order(row: Row[Any]) -> StoredOrder:
    values = dict(row._mapping)  # noqa: SLF001 - SQLAlchemy's public name for it
    values.pop("searched")
    return StoredOrder(**values)
