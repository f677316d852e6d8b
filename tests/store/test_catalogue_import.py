"""A catalogue beside the shelf: what an import would do, and doing it."""

import pytest

from laydown.documents.garment_catalogue import CatalogueMapping, read_catalogue
from laydown.errors import InvalidInput
from laydown.store import shelves
from laydown.store.catalogue_import import compare_catalogue, import_catalogue

MAPPING = CatalogueMapping(
    columns={"name": ("name",), "care_label": ("label",), "mass_gsm": ("gsm",)},
    fixed={"structure": "jersey", "colour": "#ffffff", "source": "the mill's list"},
)


def catalogue(*rows):
    return read_catalogue("\n".join(["name,label,gsm", *rows]).encode(), MAPPING, "list.csv")


def lines(rows):
    return [row.line for row in rows]


def test_a_dry_run_tells_what_an_import_would_do_and_writes_nothing(store):
    with store.write(who="ann") as tx:
        import_catalogue(tx, catalogue("a,100% cotton,180", "b,100% cotton,180"))
    with store.read() as tx:
        found = compare_catalogue(
            tx, catalogue("a,100% cotton,180", "b,100% cotton,200", "c,100% cotton,180", "d,?,180")
        )
        assert (lines(found.same), lines(found.changed), lines(found.new)) == ([2], [3], [4])
        assert [mistake.line for mistake in found.mistakes] == [5]
        assert [item.name for item in shelves.shelf(tx, "garments")] == ["a", "b"]


def test_an_import_leaves_what_is_there_unless_it_is_told_otherwise(store):
    with store.write(who="ann") as tx:
        import_catalogue(tx, catalogue("a,100% cotton,180"))
        item = shelves.get(tx, "garments", "a")
        shelves.put(tx, "garments", item.document, revision=item.revision, note="runs small")
        import_catalogue(tx, catalogue("a,100% cotton,200", "b,100% cotton,200"))
        assert shelves.get(tx, "garments", "a").document == item.document
        import_catalogue(tx, catalogue("a,100% cotton,200"), change_present=True)
        changed = shelves.get(tx, "garments", "a")
        assert changed.document == {**shelves.get(tx, "garments", "b").document, "name": "a"}
        assert changed.note == "runs small"


def test_a_catalogue_with_mistakes_is_imported_only_when_they_may_be_left_out(store):
    wrong = catalogue("a,100% cotton,180", "b,?,180")
    with pytest.raises(InvalidInput, match="1 row cannot be used"), store.write(who="ann") as tx:
        import_catalogue(tx, wrong)
    with store.write(who="ann") as tx:
        assert shelves.shelf(tx, "garments") == ()
        import_catalogue(tx, wrong, leave_out_mistakes=True)
        assert [item.name for item in shelves.shelf(tx, "garments")] == ["a"]
