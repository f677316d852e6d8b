"""Shelves as people edit them: what stands there, one item with its form, and keeping a change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from laydown.documents.sentences import nearest
from laydown.errors import InvalidInput, NotFound
from laydown.services.shelf_editing_rows import Row, rows_of
from laydown.store import shelves
from laydown.store.database import Store
from laydown.store.shelf_documents import KINDS
from laydown.store.shelves import ShelfItem
from laydown.store.transaction import Transaction
from laydown.store.words import SETTINGS, SHELVES

__all__ = [
    "SETTINGS",
    "SHELVES",
    "ShelfItem",
    "ShelfKind",
    "counts",
    "item",
    "items",
    "keep",
    "kind_of",
    "label_fibres",
    "remove",
    "rows_for",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfKind:
    """A shelf, or one of the shop's settings.

    Attributes
    ----------
    name : str
        As in the store.
    label, one : str
        What people call the shelf, and an item of it.
    about : str
        What it is for.
    """

    name: str
    label: str
    one: str
    about: str

    @property
    def setting(self) -> bool:
        """Whether there is one only."""
        return self.name in SETTINGS


SHELF_LABELS = (
    ShelfKind(name="garments", label="Garments", one="garment", about="What you buy again and again, cloth by cloth."),
    ShelfKind(name="inks", label="Inks", one="ink", about="Whites, colours, barriers, additives, reducers."),
    ShelfKind(name="screens", label="Screens", one="screen", about="What hangs in the rack, and its state."),
    ShelfKind(name="meshes", label="Meshes", one="mesh", about="Meshes that the shipped table does not have."),
    ShelfKind(name="presses", label="Presses", one="press", about="Presses and the flash units that stand at them."),
    ShelfKind(name="dryers", label="Dryers", one="dryer", about="Conveyor dryers, zone by zone."),
    ShelfKind(name="rules", label="Rules", one="rule", about="Trade rules that plans are made by; switch off or add."),
    ShelfKind(name="protocols", label="Tests", one="test", about="The shop's own tests, beside those that come along."),
    ShelfKind(name="costs", label="Costs", one="cost sheet", about="Rates that prices are reckoned with."),
    ShelfKind(name="climate", label="Climate", one="climate", about="Air on the shop floor and in the store room."),
    ShelfKind(name="practice", label="Practice", one="practice", about="What you measured of your own printing."),
    ShelfKind(name="preferences", label="Preferences", one="preferences", about="Units and paper of the shop."),
    ShelfKind(name="shop", label="Shop", one="shop", about="The shop's name."),
)
"""In the order in which pages list them."""


def kind_of(name: str) -> ShelfKind:
    """Shelf by its name.

    Raises
    ------
    NotFound
        When there is no such shelf.
    """
    for kind in SHELF_LABELS:
        if kind.name == name:
            return kind
    raise NotFound("shelf", name, (kind.name for kind in SHELF_LABELS))


def counts(store: Store) -> dict[str, int]:
    """Number of items of every shelf."""
    with store.read() as tx:
        return {name: len(shelves.stored_documents(tx, name)) for name in SHELVES}


def items(store: Store, kind: str, *, text: str = "") -> tuple[ShelfItem, ...]:
    """Items of a shelf in its order; with a text, those whose name or note holds every word of it."""
    kind_of(kind)
    words = text.casefold().split()
    with store.read() as tx:
        found = shelves.shelf(tx, kind)
    return tuple(one for one in found if all(word in f"{one.name} {one.note}".casefold() for word in words))


def item(store: Store, kind: str, name: str) -> ShelfItem:
    """Item of a shelf; settings have the name of their kind.

    Raises
    ------
    NotFound
        When there is no such shelf or item.
    """
    kind_of(kind)
    with store.read() as tx:
        return shelves.get(tx, kind, name)


def rows_for(store: Store, kind: str) -> tuple[Row, ...]:
    """Form of a shelf's items."""
    kind_of(kind)
    model = next(one.model for one in KINDS if one.kind == kind)
    options: dict[str, tuple[str, ...]] = {}
    if kind == "screens":
        with store.read() as tx:
            options["mesh"] = ("closed", *sorted(shelves.meshes_by_name(tx), key=_by_count))
    return rows_of(model, options)


def keep(
    store: Store,
    kind: str,
    document: Mapping[str, Any],
    *,
    revision: int | None,
    who: str,
    note: str = "",
    was: str = "",
) -> ShelfItem:
    """Add an item or change one.

    Parameters
    ----------
    document : mapping
        Keys and units as in the shop's files.
    revision : int or None
        State that the change started from; None: a new item.
    was : str
        Name before, when it is changed.

    Raises
    ------
    InvalidInput
        When the document cannot be used.
    Conflict
        When somebody else was faster; ``present`` is the item as it stands.
    """
    shelf = kind_of(kind)
    if shelf.setting and revision is None:
        raise InvalidInput("settings can be changed, but not added; name the revision that was read", where=kind)
    with store.write(who=who) as tx:
        kept = shelves.put(tx, kind, document, revision=revision, note=note, was=was)
        if kind == "rules":
            _check_rule(tx, kept)
        return kept


def remove(store: Store, kind: str, name: str, *, revision: int, who: str) -> None:
    """Take an item off its shelf.

    Raises
    ------
    NotFound, Conflict, InvalidInput
        When it is not there, was changed meanwhile, or something stands on it.
    """
    kind_of(kind)
    with store.write(who=who) as tx:
        shelves.remove(tx, kind, name, revision=revision)


def label_fibres(text: str) -> tuple[tuple[str, float], ...]:
    """Fibres of a care label with their shares.

    Raises
    ------
    InvalidInput
        When it cannot be read.
    """
    from laydown.documents.care_label import parse_care_label

    if not text.strip():
        raise InvalidInput(f"the label is empty; {nearest('', ('50% cotton 50% polyester',))}", where="care label")
    return parse_care_label(text, where="care label").shares


def _check_rule(tx: Transaction, kept: ShelfItem) -> None:
    from laydown.planning.rules.check import check_rules

    # Raised within the transaction, so that a rule that cannot be applied is not kept.
    check_rules((shelves.record(tx, kept),))


def _by_count(name: str) -> tuple[float, str]:
    head = name.replace("-", "/").partition("/")[0]
    return (float(head), name) if head.replace(".", "", 1).isdigit() else (1e9, name)
