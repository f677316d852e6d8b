"""Items of the shelves: edited by several people, and never lost."""

import dataclasses
import json

import pytest

from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import change_log, shelves
from laydown.store.shop_exchange import load_shop, save_shop
from laydown.store.words import SHELF_KINDS, SHELVES


@pytest.fixture
def stocked(store, demo_shop):
    with store.write(who="ann") as tx:
        save_shop(tx, demo_shop)
    return store


def first(tx, kind="inks"):
    return shelves.shelf(tx, kind)[0]


def edited(item, **keys):
    return {**item.document, **keys}


@pytest.mark.parametrize("kind", [kind for kind in SHELF_KINDS if kind != "meshes"])
def test_every_kind_of_item_is_kept_as_its_own_document(stocked, kind):
    with stocked.write(who="ben") as tx:
        item = first(tx, kind)
        changed = shelves.put(tx, kind, item.document, revision=item.revision, note="seen")
        assert changed.document == item.document
        assert (changed.note, changed.changed_by) == ("seen", "ben")
        assert changed.revision > item.revision
        assert shelves.record(tx, changed) == shelves.record(tx, item)


def test_the_later_of_two_edits_is_told_and_nothing_is_lost(stocked):
    with stocked.read() as tx:
        seen_by_both = first(tx)
    with stocked.write(who="ann") as tx:
        present = shelves.put(tx, "inks", edited(seen_by_both, price_per_kg=41.0), revision=seen_by_both.revision)

    with pytest.raises(Conflict, match="changed by ann") as told, stocked.write(who="ben") as tx:
        shelves.put(tx, "inks", edited(seen_by_both, price_per_kg=43.0), revision=seen_by_both.revision)
    assert told.value.present == present
    assert told.value.present.document["price_per_kg"] == 41
    with stocked.read() as tx:
        assert first(tx) == present
    with stocked.write(who="ben") as tx:
        shelves.put(tx, "inks", edited(present, price_per_kg=43.0), revision=told.value.present.revision)


def test_an_edit_of_an_item_that_was_removed_is_told(stocked):
    with stocked.write(who="ann") as tx:
        item = first(tx)
        shelves.remove(tx, "inks", item.name, revision=item.revision)

    with pytest.raises(Conflict, match="removed") as told, stocked.write(who="ben") as tx:
        shelves.put(tx, "inks", item.document, revision=item.revision)
    assert told.value.present is None


def test_an_item_that_comes_back_does_not_have_a_revision_it_had_before(stocked):
    with stocked.write(who="ann") as tx:
        item = first(tx)
        shelves.remove(tx, "inks", item.name, revision=item.revision)
        again = shelves.put(tx, "inks", item.document, revision=None)

    assert again.revision > item.revision


def test_a_new_item_does_not_take_the_place_of_one_of_its_name(stocked):
    with pytest.raises(Conflict, match="already"), stocked.write(who="ben") as tx:
        shelves.put(tx, "inks", first(tx).document, revision=None)


def test_a_renamed_item_keeps_its_place_and_never_takes_anothers_name(stocked):
    with stocked.write(who="ann") as tx:
        one, other = shelves.shelf(tx, "inks")[:2]
        renamed = shelves.put(tx, "inks", edited(one, name="Other name"), revision=one.revision, was=one.name)
        assert [item.name for item in shelves.shelf(tx, "inks")[:2]] == ["Other name", other.name]
        with pytest.raises(Conflict, match="names must differ"):
            shelves.put(tx, "inks", edited(renamed, name=other.name), revision=renamed.revision, was="Other name")


def test_a_removed_item_is_still_in_the_log(stocked):
    with stocked.write(who="ann") as tx:
        item = first(tx, "garments")
        shelves.remove(tx, "garments", item.name, revision=item.revision)
        with pytest.raises(NotFound):
            shelves.get(tx, "garments", item.name)
        line = change_log.lines(tx, kind="garments", limit=1)[0]

    assert (line.who, line.action, line.key) == ("ann", "remove", item.name)
    assert item.name in line.before["document"]


def test_the_log_has_what_differs_before_and_after(stocked):
    with stocked.write(who="ann") as tx:
        item = first(tx, "costs")
        shelves.put(tx, "costs", edited(item, margin_percent=31), revision=item.revision)
        line = change_log.lines(tx, limit=1)[0]

    assert '"margin_percent":30' in line.before["document"]
    assert '"margin_percent":31' in line.after["document"]
    assert "note" not in line.after


def test_items_stand_in_the_order_they_were_put_in(stocked, demo_shop):
    with stocked.write(who="ann") as tx:
        names = [item.name for item in shelves.shelf(tx, "rules")]
        shelves.arrange(tx, "rules", names[::-1])
        assert load_shop(tx).rules[0].name == demo_shop.rules[-1].name
        assert load_shop(tx).rules[0].where == "rules.toml, rule[1]"
        with pytest.raises(Conflict, match="other items"):
            shelves.arrange(tx, "rules", names[1:])


def test_a_mesh_stays_while_a_screen_stands_on_it(stocked, demo_shop):
    mesh = dataclasses.replace(next(s.mesh for s in demo_shop.screens if s.mesh), name="own 50/50")
    screen = dataclasses.replace(demo_shop.screens[0], name="mine", mesh=mesh)
    with stocked.write(who="ann") as tx:
        save_shop(tx, dataclasses.replace(demo_shop, screens=(*demo_shop.screens, screen)))
        own = shelves.get(tx, "meshes", mesh.name)
        with pytest.raises(InvalidInput, match="mine"):
            shelves.remove(tx, "meshes", mesh.name, revision=own.revision)
        with pytest.raises(InvalidInput, match="mine"):
            shelves.put(tx, "meshes", edited(own, name="other"), revision=own.revision, was=own.name)
        with pytest.raises(InvalidInput, match="no mesh"):
            shelves.put(tx, "screens", {"name": "new", "mesh": "1/1"}, revision=None)
        item = shelves.get(tx, "screens", "mine")
        shelves.remove(tx, "screens", "mine", revision=item.revision)
        shelves.remove(tx, "meshes", mesh.name, revision=own.revision)


@pytest.mark.parametrize(
    ("kind", "document"),
    [
        ("inks", {}),
        ("inks", {"name": 3}),
        ("inks", {"name": float("nan")}),
        ("inks", {"name": {1, 2}}),
        ("spoons", {"name": "x"}),
        ("garments", {"name": "x" * 81, "care_label": "100% cotton", "structure": "jersey", "mass_gsm": 180}),
        ("garments", {"name": "x\x00", "care_label": "100% cotton", "structure": "jersey", "mass_gsm": 180}),
        ("garments", {"name": "x\ud800", "care_label": "100% cotton", "structure": "jersey", "mass_gsm": 180}),
        ("costs", {"margin_percent": 130}),
        ("preferences", {"temperature": "K"}),
        ("practice", {"transfer_percent": -1}),
    ],
)
def test_what_no_shelf_holds_is_refused_with_one_sentence(stocked, kind, document):
    with stocked.read() as tx:
        before = load_shop(tx)
        number = change_log.lines(tx, limit=1)[0].id
        present = shelves.find(tx, kind, kind) if kind not in SHELVES else None
    with pytest.raises(InvalidInput), stocked.write(who="ann") as tx:
        shelves.put(tx, kind, document, revision=present.revision if present else None)
    with stocked.read() as tx:
        assert load_shop(tx) == before
        assert change_log.lines(tx, limit=1)[0].id == number


@pytest.mark.parametrize("name", ["", "\x00", "\ud800", "x" * 10_000])
def test_a_name_that_cannot_be_is_on_no_shelf(stocked, name):
    with pytest.raises((NotFound, InvalidInput)), stocked.read() as tx:
        shelves.get(tx, "inks", name)


def test_settings_can_be_changed_but_not_removed(stocked):
    with pytest.raises(InvalidInput, match="not removed"), stocked.write(who="ann") as tx:
        shelves.remove(tx, "costs", "costs", revision=first(tx, "costs").revision)


def test_a_reader_writes_nothing(stocked):
    with stocked.read() as tx, pytest.raises(RuntimeError, match="only reads"):
        shelves.put(tx, "practice", {}, revision=first(tx, "practice").revision)


def test_a_reader_sees_one_moment_and_holds_nobody_up(stocked):
    with stocked.read() as reading:
        before = first(reading)
        with stocked.write(who="ann") as tx:
            shelves.put(tx, "inks", edited(before, price_per_kg=77.0), revision=before.revision)
        assert first(reading) == before
    with stocked.read() as tx:
        assert first(tx).document["price_per_kg"] == 77


@pytest.mark.parametrize("who", ["", "  ", "x" * 81])
def test_a_change_without_a_name_is_refused(stocked, who):
    with pytest.raises(InvalidInput, match="who"), stocked.write(who=who):
        pass


def test_a_change_that_breaks_off_leaves_nothing(stocked):
    with stocked.read() as tx:
        item = first(tx)

    def break_off():
        with stocked.write(who="ann") as tx:
            shelves.put(tx, "inks", edited(item, price_per_kg=5.0), revision=item.revision)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        break_off()
    with stocked.read() as tx:
        assert first(tx) == item


def test_many_items_are_put_as_one_by_one_with_a_line_of_the_log_each(store, demo_shop):
    from laydown.store.shelf_documents import canonical, document_of

    texts = {one.name: canonical("garments", document_of("garments", one)) for one in demo_shop.garments}
    first = next(iter(texts))
    with store.write(who="Lea") as tx:
        shelves.put(tx, "garments", json.loads(texts[first]) | {"price": 77.0}, revision=None, note="kept")
        shelves.put_many(tx, "garments", texts)
        shelves.put_many(tx, "garments", texts)
    with store.read() as tx:
        found = shelves.shelf(tx, "garments")
        assert [item.name for item in found] == list(texts)
        assert [item.position for item in found] == list(range(1, len(texts) + 1))
        assert {item.name: canonical("garments", item.document) for item in found} == texts
        assert found[0].note == "kept"
        lines = {line.id: line for line in change_log.lines(tx, kind="garments", limit=1000)}
        assert len(lines) == len(texts) + 1
        for item in found:
            assert lines[item.revision].key == item.name
            assert (item.changed_by, lines[item.revision].after["document"]) == ("Lea", texts[item.name])
        assert lines[found[0].revision].before["document"] != texts[first]
