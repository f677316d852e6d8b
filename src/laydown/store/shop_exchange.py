"""The shop as a whole: out of the store and into it, as a record or as a folder of files."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import select

from laydown.documents.csv_file import csv_text
from laydown.documents.finding_document import finding_document, finding_from
from laydown.documents.mesh_shelf import read_own_meshes
from laydown.documents.protocol_file import forget_other_protocols
from laydown.documents.screen_file import MeshEntry, mesh_table
from laydown.documents.shop_folder import read_shop, shop_texts
from laydown.documents.toml_file import read_toml
from laydown.documents.toml_text import toml_text
from laydown.documents.whole_files import write_whole_files
from laydown.domain.finding import ClothFinding
from laydown.domain.screen import Mesh
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput, NoShop
from laydown.store import findings, shelves
from laydown.store.lab_exchange import LAB_FILE, export_lab, import_lab
from laydown.store.schema import shelf_items
from laydown.store.shelf_documents import document_of, numbered, own_meshes, record_of, setting_documents, used_meshes
from laydown.store.transaction import Transaction, json_text
from laydown.store.words import SETTINGS, SHELF_KINDS, SHELVES

NOTES_FILE = "notes.toml"
"""Notes that stand beside items and are no part of them; only there when something has one."""

_MESHES_SAY = "Meshes that the shipped table does not have."


def has_shop(tx: Transaction) -> bool:
    """Whether a shop was put into this store."""
    return shelves.find(tx, "shop", "shop") is not None


def load_shop(tx: Transaction) -> Shop:
    """Shop of the store.

    Raises
    ------
    NotFound
        When no shop was put into it yet.
    """
    texts: dict[str, list[str]] = {kind: [] for kind in SHELF_KINDS}
    columns = (shelf_items.c.kind, shelf_items.c.document)
    for row in tx.run(select(*columns).order_by(shelf_items.c.position, shelf_items.c.id)):
        texts[row.kind].append(row.document)
    if not texts["shop"]:
        raise NoShop
    return _shop(texts, shelves.meshes_by_name(tx), findings.of_shop(tx))


def save_shop(
    tx: Transaction, shop: Shop, *, meshes: Iterable[Mesh] = (), notes: Mapping[tuple[str, str], str] | None = None
) -> None:
    """Make the shelves those of a shop: what differs is changed, what is missing added, what is too much removed.

    Parameters
    ----------
    shop : Shop
    meshes : iterable of Mesh
        The shop's own meshes that no screen stands on (those of its screens are in the shop).
    notes : mapping of (kind, name) to str, optional
        Notes beside items; None: items that stay keep theirs.

    Raises
    ------
    InvalidInput
        When a record is one that files do not allow; nothing is written then, as the transaction ends.
    """
    wanted: dict[str, dict[str, dict[str, Any]]] = {
        kind: {kind: document} for kind, document in setting_documents(shop).items()
    }
    own = {mesh.name: mesh for mesh in meshes} | own_meshes(shop)
    wanted["meshes"] = {name: mesh_table(mesh) for name, mesh in own.items()}
    for kind, records in shop.shelves():
        wanted[kind] = {record.name: document_of(kind, record) for record in records}
    present = {kind: {item.name: item for item in shelves.shelf(tx, kind)} for kind in SHELF_KINDS}
    for kind in (*SETTINGS, *SHELVES):
        # Meshes that go are in the way of nothing, but the screens on them have to go first.
        if kind != "meshes":
            _remove_others(tx, kind, present[kind], wanted[kind])
        for name, document in wanted[kind].items():
            there = present[kind].get(name)
            note = (notes or {}).get((kind, name), there.note if there and notes is None else "")
            shelves.put(tx, kind, document, revision=there.revision if there else None, note=note)
    _remove_others(tx, "meshes", present["meshes"], wanted["meshes"])
    for kind in SHELVES:
        shelves.arrange(tx, kind, tuple(wanted[kind]))


def import_folder(tx: Transaction, folder: Path) -> Shop:
    """Read a shop's folder into the store, in the place of what was there; its likenesses are written out.

    Raises
    ------
    InvalidInput
        When the folder or a file of it cannot be used.
    """
    shop = read_shop(folder)
    meshes = read_own_meshes(folder / "meshes.csv")
    save_shop(tx, shop, meshes=meshes.values(), notes=_read_notes(folder / NOTES_FILE))
    import_lab(tx, folder)
    return shop


def export_texts(tx: Transaction) -> dict[str, str]:
    """Text of every file of the shop's folder, by file name; `laydown.documents.shop_folder.read_shop` reads them.

    Raises
    ------
    NotFound
        When no shop was put into the store yet.
    InvalidInput
        When a text cannot stand in a CSV file.
    """
    shop = load_shop(tx)
    texts = shop_texts(shop)
    own = {name: record_of("meshes", document) for name, document in shelves.stored_documents(tx, "meshes")}
    texts["meshes.csv"] = csv_text([mesh_table(mesh) for mesh in own.values()], MeshEntry, comment=_MESHES_SAY)
    notes: dict[str, dict[str, str]] = {}
    rows = tx.run(
        select(shelf_items.c.kind, shelf_items.c.name, shelf_items.c.note)
        .where(shelf_items.c.note != "")
        .order_by(shelf_items.c.kind, shelf_items.c.position)
    )
    for row in rows:
        notes.setdefault(row.kind, {})[row.name] = row.note
    return texts | ({NOTES_FILE: toml_text(notes)} if notes else {})


def export_files(tx: Transaction) -> dict[str, str | bytes]:
    """Every file of the shop's folder, by name: those of `export_texts`, and the lab's."""
    return export_texts(tx) | export_lab(tx)


def export_folder(tx: Transaction, folder: Path) -> None:
    """Write the shop's folder, all of its files or none.

    Raises
    ------
    NotFound, InvalidInput
        As `export_texts`, or when the folder cannot be written to.
    """
    texts = export_files(tx)
    write_whole_files(folder, texts)
    forget_other_protocols(folder, texts)
    for name in (NOTES_FILE, LAB_FILE):
        if name not in texts:
            (folder / name).unlink(missing_ok=True)


def shop_document(shop: Shop) -> str:
    """JSON text of everything a plan rests on: the shop, every mesh of its screens with its numbers, its findings.

    The same shop always gives the same text, and `shop_from_document` the same shop, whatever the shipped tables say
    by then.
    """
    document: dict[str, Any] = dict(setting_documents(shop))
    for kind, records in shop.shelves():
        document[kind] = [document_of(kind, record) for record in records]
    used = used_meshes(shop)
    document["meshes"] = [mesh_table(used[name]) for name in sorted(used)]
    if shop.findings:
        document["findings"] = [finding_document(one) for one in shop.findings]
    return json_text(document)


def shop_from_document(text: str) -> Shop:
    """Shop of a `shop_document`."""
    document = json.loads(text)
    # Snapshots of before there were tests on a shelf have none.
    texts = {kind: [json_text(one) for one in document.get(kind, ())] for kind in SHELVES}
    texts |= {kind: [json_text(document[kind])] for kind in SETTINGS}
    found = tuple(finding_from(one, where="the shop as it was") for one in document.get("findings", ()))
    return _shop(texts, {mesh.name: mesh for mesh in (record_of("meshes", one) for one in texts["meshes"])}, found)


def _shop(texts: Mapping[str, Sequence[str]], meshes: Mapping[str, Mesh], found: tuple[ClothFinding, ...]) -> Shop:
    many = {kind: tuple(record_of(kind, text, meshes) for text in texts[kind]) for kind in SHELVES if kind != "meshes"}
    one = {kind: record_of(kind, texts[kind][0] if texts[kind] else "{}") for kind in SETTINGS}
    return Shop(
        name=one["shop"],
        findings=found,
        preferences=one["preferences"],
        climate=one["climate"],
        costs=one["costs"],
        practice=one["practice"],
        # Tests are found by their names and stand in no order.
        **(many | {"rules": numbered(many["rules"]), "protocols": tuple(sorted(many["protocols"], key=_name))}),
    )


def _name(record: Any) -> str:
    return str(record.name)


def _remove_others(
    tx: Transaction, kind: str, present: Mapping[str, shelves.ShelfItem], wanted: Mapping[str, object]
) -> None:
    for item in present.values():
        if item.name not in wanted:
            shelves.remove(tx, kind, item.name, revision=item.revision)


def _read_notes(path: Path) -> dict[tuple[str, str], str]:
    if not path.exists():
        return {}
    notes: dict[tuple[str, str], str] = {}
    for kind, table in read_toml(path, purpose="notes beside items").items():
        if kind not in SHELF_KINDS or not isinstance(table, dict):
            raise InvalidInput(f"notes stand in tables named {', '.join(SHELF_KINDS)}", where=f"{path}, {kind}")
        for name, note in table.items():
            if not isinstance(note, str):
                raise InvalidInput("a note is a text in quotes", where=f"{path}, {kind}.{name}")
            notes[kind, name] = note
    return notes
