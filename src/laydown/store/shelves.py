"""What stands on the shelves: items that people edit, each change naming the state it started from."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, bindparam, func, select

from laydown.documents.mesh_shelf import shipped_meshes
from laydown.domain.screen import Mesh
from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store.schema import shelf_items
from laydown.store.shelf_documents import canonical, name_in, record_of
from laydown.store.transaction import Transaction, json_text, storable
from laydown.store.words import SETTINGS


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfItem:
    """An item of a shelf, or one of the shop's settings.

    Attributes
    ----------
    kind : str
        One of `laydown.store.words.SHELF_KINDS`.
    document : dict
        Keys and units as in the shop's files (`laydown.documents`); JSON types only.
    note : str
        Anything worth knowing; it is no part of the record that plans are made with.
    revision : int
        Names this state of the item; a change says which one it started from.
    """

    kind: str
    name: str
    document: Mapping[str, Any]
    note: str
    position: int
    revision: int
    changed_at: dt.datetime
    changed_by: str


def get(tx: Transaction, kind: str, name: str) -> ShelfItem:
    """Item of a shelf.

    Raises
    ------
    NotFound
        When no item of that kind has the name.
    """
    found = find(tx, kind, name)
    if found is None:
        raise NotFound(kind, name, (item.name for item in shelf(tx, kind)))
    return found


def find(tx: Transaction, kind: str, name: str) -> ShelfItem | None:
    """Item of a shelf, or None."""
    row = tx.run(select(shelf_items).where(shelf_items.c.kind == kind, shelf_items.c.name == name)).first()
    return _item(row) if row is not None else None


def shelf(tx: Transaction, kind: str) -> tuple[ShelfItem, ...]:
    """Items of one kind, in the order of the shelf."""
    rows = tx.run(
        select(shelf_items).where(shelf_items.c.kind == kind).order_by(shelf_items.c.position, shelf_items.c.id)
    )
    return tuple(_item(row) for row in rows)


def put(
    tx: Transaction, kind: str, document: Mapping[str, Any], *, revision: int | None, note: str = "", was: str = ""
) -> ShelfItem:
    """Add an item, or change one.

    Parameters
    ----------
    kind : str
    document : mapping
        Keys and units as in the shop's files; the name stands in it (settings have none).
    revision : int or None
        Revision of the item that the change started from; None: a new item.
    note : str
        Up to 2000 characters.
    was : str
        Name that the item had before, when the change renames it.

    Returns
    -------
    ShelfItem
        As it stands now; nothing is written when nothing differs.

    Raises
    ------
    InvalidInput
        When the document is none of that kind, or a screen's mesh is not there.
    Conflict
        When somebody else changed, removed or added it after it was read; ``present`` is the item as it stands.
    """
    meshes = meshes_by_name(tx) if kind == "screens" else None
    text = canonical(kind, document, meshes)
    name = storable("the name", name_in(kind, json.loads(text)), most=80, needed=True)
    storable("the note", note, most=2000)
    present = find(tx, kind, was or name)
    _expect(present, revision, kind=kind, name=was or name)
    if present is None:
        return _insert(tx, kind, name, text, note)
    if name != present.name and find(tx, kind, name) is not None:
        raise Conflict(
            f"there is another item named {name!r} on the shelf of {kind}; names must differ",
            kind=kind,
            name=name,
            present=find(tx, kind, name),
        )
    if kind == "meshes" and name != present.name:
        _refuse_when_used(tx, present.name)
    row = {"name": name, "document": text, "note": note}
    before = {"name": present.name, "document": _stored(tx, kind, present.name), "note": present.note}
    if row == before:
        return present
    changed = {key: value for key, value in row.items() if value != before[key]}
    line = tx.log("change", kind, name, before={key: before[key] for key in changed}, after=changed)
    tx.run(
        shelf_items.update()
        .where(shelf_items.c.kind == kind, shelf_items.c.name == present.name)
        .values(**row, revision=line, changed_at=tx.now, changed_by=tx.who)
    )
    return get(tx, kind, name)


def put_many(tx: Transaction, kind: str, texts: Mapping[str, str]) -> None:
    """Add many items at once, and give those that are there other documents; notes stay, and each has its log line.

    Parameters
    ----------
    texts : mapping of str to str
        Text of each item by its name, from `laydown.store.shelf_documents.canonical`. Not for kinds that others
        stand on (meshes), which `put` looks after.
    """
    rows = tx.run(select(shelf_items.c.name, shelf_items.c.document).where(shelf_items.c.kind == kind))
    present = {row.name: row.document for row in rows}
    new = [name for name in texts if name not in present]
    other = [name for name in texts if name in present and present[name] != texts[name]]
    last = tx.run(select(func.max(shelf_items.c.position)).where(shelf_items.c.kind == kind)).scalar() or 0
    by = {"changed_at": tx.now, "changed_by": tx.who}
    added = tx.log_many("add", kind, [(name, None, json_text({"document": texts[name], "note": ""})) for name in new])
    if new:
        tx.connection.execute(
            shelf_items.insert(),
            [
                {"kind": kind, "name": name, "position": last + place, "document": texts[name], "note": "", **by}
                | {"revision": line}
                for place, (name, line) in enumerate(zip(new, added, strict=True), start=1)
            ],
        )
    states = [({"document": present[name]}, {"document": texts[name]}) for name in other]
    changed = tx.log_many(
        "change",
        kind,
        [(name, json_text(was), json_text(now)) for name, (was, now) in zip(other, states, strict=True)],
    )
    if other:
        tx.connection.execute(
            shelf_items.update().where(shelf_items.c.kind == kind, shelf_items.c.name == bindparam("of")),
            [
                {"of": name, "document": texts[name], "revision": line, **by}
                for name, line in zip(other, changed, strict=True)
            ],
        )


def remove(tx: Transaction, kind: str, name: str, *, revision: int) -> None:
    """Take an item off its shelf; the log keeps what it was.

    Raises
    ------
    NotFound
        When it is not there.
    Conflict
        When it was changed after it was read.
    InvalidInput
        When it is a setting, or a mesh that a screen stands on.
    """
    if kind in SETTINGS:
        raise InvalidInput("settings can be changed, but not removed", where=kind)
    present = get(tx, kind, name)
    _expect(present, revision, kind=kind, name=name)
    if kind == "meshes":
        _refuse_when_used(tx, name)
    tx.log("remove", kind, name, before={"document": _stored(tx, kind, name), "note": present.note})
    tx.run(shelf_items.delete().where(shelf_items.c.kind == kind, shelf_items.c.name == name))


def arrange(tx: Transaction, kind: str, names: Sequence[str]) -> None:
    """Put the items of a shelf into an order.

    Raises
    ------
    Conflict
        When the names are not those of the shelf, each once.
    """
    present = [item.name for item in shelf(tx, kind)]
    if sorted(present) != sorted(names):
        raise Conflict(
            f"the shelf of {kind} has other items by now; look at it again before ordering it",
            kind=kind,
            name=kind,
            present=tuple(present),
        )
    if present == list(names):
        return
    tx.log("arrange", kind, kind, before={"names": present}, after={"names": list(names)})
    for position, name in enumerate(names, start=1):
        tx.run(
            shelf_items.update().where(shelf_items.c.kind == kind, shelf_items.c.name == name).values(position=position)
        )


def record(tx: Transaction, item: ShelfItem) -> Any:
    """Record of an item, as plans are made with (Garment, Ink, Costs ...).

    Raises
    ------
    InvalidInput
        When a screen's mesh is not there.
    """
    meshes = meshes_by_name(tx) if item.kind == "screens" else None
    return record_of(item.kind, _stored(tx, item.kind, item.name), meshes)


def settings(tx: Transaction, *kinds: str) -> dict[str, Any]:
    """Records of some of the shop's settings, by kind; those that are not there are left out. One query: pages ask."""
    rows = tx.run(select(shelf_items.c.kind, shelf_items.c.document).where(shelf_items.c.kind.in_(kinds)))
    return {row.kind: record_of(row.kind, row.document) for row in rows}


def meshes_by_name(tx: Transaction) -> dict[str, Mesh]:
    """Meshes that a screen may stand on: the shipped table, and over it the shop's own."""
    return shipped_meshes() | {name: record_of("meshes", document) for name, document in stored_documents(tx, "meshes")}


def stored_documents(tx: Transaction, kind: str) -> tuple[tuple[str, str], ...]:
    """Name and JSON text of every item of a kind, in the order of the shelf."""
    rows = tx.run(
        select(shelf_items.c.name, shelf_items.c.document)
        .where(shelf_items.c.kind == kind)
        .order_by(shelf_items.c.position, shelf_items.c.id)
    )
    return tuple((row.name, row.document) for row in rows)


def _insert(tx: Transaction, kind: str, name: str, text: str, note: str) -> ShelfItem:
    last = tx.run(select(func.max(shelf_items.c.position)).where(shelf_items.c.kind == kind)).scalar()
    line = tx.log("add", kind, name, after={"document": text, "note": note})
    tx.run(
        shelf_items.insert().values(
            kind=kind,
            name=name,
            position=(last or 0) + 1,
            document=text,
            note=note,
            revision=line,
            changed_at=tx.now,
            changed_by=tx.who,
        )
    )
    return get(tx, kind, name)


def _expect(present: ShelfItem | None, revision: int | None, *, kind: str, name: str) -> None:
    if present is None and revision is not None:
        raise Conflict(
            f"{name!r} was removed from the shelf of {kind} meanwhile; nothing was written",
            kind=kind,
            name=name,
            present=None,
        )
    if present is not None and revision is None:
        raise Conflict(
            f"there is an item named {name!r} on the shelf of {kind} already; nothing was written",
            kind=kind,
            name=name,
            present=present,
        )
    if present is not None and present.revision != revision:
        raise Conflict(
            f"{name!r} on the shelf of {kind} was changed by {present.changed_by} meanwhile; nothing was written",
            kind=kind,
            name=name,
            present=present,
        )


def _refuse_when_used(tx: Transaction, mesh: str) -> None:
    users = [name for name, text in stored_documents(tx, "screens") if json.loads(text).get("mesh") == mesh]
    if users and mesh not in shipped_meshes():
        raise InvalidInput(f"screens stand on this mesh: {', '.join(users)}; give them another first", where=mesh)


def _stored(tx: Transaction, kind: str, name: str) -> str:
    found = tx.run(
        select(shelf_items.c.document).where(shelf_items.c.kind == kind, shelf_items.c.name == name)
    ).scalar_one()
    return str(found)


def _item(row: Row[Any]) -> ShelfItem:
    return ShelfItem(
        kind=row.kind,
        name=row.name,
        document=json.loads(row.document),
        note=row.note,
        position=row.position,
        revision=row.revision,
        changed_at=row.changed_at,
        changed_by=row.changed_by,
    )
