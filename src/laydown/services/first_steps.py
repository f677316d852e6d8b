"""What a new shop still lacks for its first plan, and a start by the invented shop's items."""

from __future__ import annotations

import json
from dataclasses import dataclass

from laydown.errors import InvalidInput
from laydown.store import orders, shelves
from laydown.store.database import Store
from laydown.store.shelves import ShelfItem

EXAMPLES = ("presses", "dryers", "screens", "inks", "garments")
"""Shelves that can be begun with the invented shop's items."""

NOTE = "Copied from the invented shop as an example: put your own numbers in its place."


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstStep:
    """One thing to do before the first plan.

    Attributes
    ----------
    shelf : str
        Shelf that it is about; empty for the order itself.
    label, why, address : str
    done, needed : bool
        Whether it is there, and whether a plan cannot be made without it.
    """

    shelf: str
    label: str
    why: str
    address: str
    done: bool
    needed: bool = True


def first_steps(store: Store) -> tuple[FirstStep, ...]:
    """Steps to the first plan, in the order in which they are best taken; empty when all that are needed were taken."""
    with store.read() as tx:
        taken_in, number = orders.find(tx, limit=50)
        if any(one.state != "new" for one in taken_in):
            return ()
        there = {kind: shelves.stored_documents(tx, kind) for kind in EXAMPLES}
        settings = [shelves.get(tx, kind, kind) for kind in ("costs", "climate", "practice", "shop")]
    looked_at = settings[0].changed_at > min(one.changed_at for one in settings)
    white = any(json.loads(text).get("kind") == "white" for _, text in there["inks"])
    told = (
        ("presses", "A press", "heads, pallets, and where its flashes stand", bool(there["presses"]), True),
        ("dryers", "A dryer", "its zones, belt and what it can be set to", bool(there["dryers"]), True),
        ("screens", "Screens", "the meshes in the rack; two to begin with", bool(there["screens"]), True),
        ("inks", "A white ink", "and the colours that you print", white, True),
        ("garments", "Garments", "or paste the care label when an order comes in", bool(there["garments"]), False),
    )
    steps = [
        FirstStep(shelf=shelf, label=label, why=why, address=f"/shelves/{shelf}", done=done, needed=needed)
        for shelf, label, why, done, needed in told
    ]
    costs = "what an hour, a screen and a reprint cost you; they decide between plans"
    steps.append(
        FirstStep(shelf="", label="Your rates", why=costs, address="/shelves/costs", done=looked_at, needed=False)
    )
    first = "drop its art, name the garment, say how many and by when"
    steps.append(
        FirstStep(shelf="", label="The first order", why=first, address="/orders/new", done=number > 0, needed=True)
    )
    return () if all(one.done for one in steps if one.needed) else tuple(steps)


def begin_with_examples(store: Store, kind: str, *, who: str) -> tuple[ShelfItem, ...]:
    """Put the invented shop's items of one kind on an empty shelf, each with a note that says so.

    Raises
    ------
    InvalidInput
        When there are no examples of the kind, or the shelf is not empty.
    """
    from laydown.documents.screen_file import mesh_table
    from laydown.services.shelves import open_shop
    from laydown.store.shelf_documents import document_of, own_meshes

    if kind not in EXAMPLES:
        raise InvalidInput(f"there are no examples of {kind[:40]!r}; allowed are {', '.join(EXAMPLES)}", where="kind")
    shop = open_shop()
    records = next(found for name, found in shop.shelves() if name == kind)
    with store.write(who=who) as tx:
        if shelves.stored_documents(tx, kind):
            raise InvalidInput("examples are put on an empty shelf only; this one is not empty", where="kind")
        if kind == "screens":
            known = shelves.meshes_by_name(tx)
            for name, mesh in own_meshes(shop).items():
                if name not in known:
                    shelves.put(tx, "meshes", mesh_table(mesh), revision=None, note=NOTE)
        return tuple(shelves.put(tx, kind, document_of(kind, record), revision=None, note=NOTE) for record in records)
