"""Garments of a catalogue beside those on the shelf, and onto it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from laydown.documents.garment_catalogue import Catalogue, CatalogueMistake, CatalogueRow
from laydown.errors import InvalidInput
from laydown.store import shelves
from laydown.store.shelf_documents import canonical, document_of
from laydown.store.transaction import Transaction

GARMENTS = "garments"


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueComparison:
    """What an import would do.

    Attributes
    ----------
    new, changed, same : tuple of CatalogueRow
        Rows whose name is not on the shelf; is there with other values; is there with the same values.
    mistakes : tuple of CatalogueMistake
        What is wrong with the rows that cannot be used.
    """

    new: tuple[CatalogueRow, ...]
    changed: tuple[CatalogueRow, ...]
    same: tuple[CatalogueRow, ...]
    mistakes: tuple[CatalogueMistake, ...]


def texts_of(catalogue: Catalogue, *, progress: Callable[[float], None] | None = None) -> dict[str, str]:
    """Text of each garment as it would stand on the shelf, by its name; made before anybody has to wait for it.

    Parameters
    ----------
    progress : callable, optional
        Told before each garment what share of them is made; what it raises ends the work.
    """
    texts: dict[str, str] = {}
    for number, row in enumerate(catalogue.rows):
        if progress is not None:
            progress(number / len(catalogue.rows))
        texts[row.garment.name] = canonical(GARMENTS, document_of(GARMENTS, row.garment))
    return texts


def compare_catalogue(
    tx: Transaction, catalogue: Catalogue, texts: Mapping[str, str] | None = None
) -> CatalogueComparison:
    """Dry run: what `import_catalogue` would do; nothing is written. ``texts`` are those of `texts_of`."""
    texts = texts_of(catalogue) if texts is None else texts
    present = dict(shelves.stored_documents(tx, GARMENTS))
    new, changed, same = [], [], []
    for row in catalogue.rows:
        there = present.get(row.garment.name)
        if there is None:
            new.append(row)
        elif there == texts[row.garment.name]:
            same.append(row)
        else:
            changed.append(row)
    return CatalogueComparison(new=tuple(new), changed=tuple(changed), same=tuple(same), mistakes=catalogue.mistakes)


def import_catalogue(
    tx: Transaction,
    catalogue: Catalogue,
    texts: Mapping[str, str] | None = None,
    *,
    change_present: bool = False,
    leave_out_mistakes: bool = False,
) -> CatalogueComparison:
    """Put the garments of a catalogue onto the shelf; other garments stay.

    Parameters
    ----------
    texts : mapping of str to str, optional
        From `texts_of`.
    change_present : bool
        Also give garments that are on the shelf the catalogue's values.
    leave_out_mistakes : bool
        Take the rows that can be used although others cannot.

    Returns
    -------
    CatalogueComparison
        What was done; ``changed`` rows were left alone unless ``change_present``.

    Raises
    ------
    InvalidInput
        When a row is wrong and may not be left out.
    """
    if catalogue.mistakes and not leave_out_mistakes:
        first = catalogue.mistakes[0]
        rows = len({mistake.line for mistake in catalogue.mistakes})
        told = f"{rows} rows cannot be used" if rows > 1 else "1 row cannot be used"
        raise InvalidInput(f"{first.what} ({told})", where=f"line {first.line}")
    texts = texts_of(catalogue) if texts is None else texts
    found = compare_catalogue(tx, catalogue, texts)
    taken = (*found.new, *(found.changed if change_present else ()))
    shelves.put_many(tx, GARMENTS, {row.garment.name: texts[row.garment.name] for row in taken})
    return found
