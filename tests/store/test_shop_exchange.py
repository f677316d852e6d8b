"""A shop goes into the store and comes out of it without loss."""

import dataclasses
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from documents.shop_strategies import own_meshes, shops
from laydown.documents.shop_folder import read_shop, write_shop
from laydown.errors import InvalidInput, NotFound
from laydown.store import change_log, shelves
from laydown.store.shop_exchange import (
    export_folder,
    export_texts,
    has_shop,
    import_folder,
    load_shop,
    save_shop,
    shop_document,
    shop_from_document,
)

SLOW_DATA = settings(
    max_examples=6,
    deadline=None,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.function_scoped_fixture,
    ],
)


@SLOW_DATA
@given(shop=shops())
def test_any_folder_is_exported_as_the_shop_that_was_imported(store, shop):
    """One store after the other shop: what the one before left must not show."""
    with tempfile.TemporaryDirectory() as folder:
        before, after = Path(folder) / "before", Path(folder) / "after"
        write_shop(shop, before)
        with store.write(who="test") as tx:
            import_folder(tx, before)
        with store.read() as tx:
            assert load_shop(tx) == shop
            export_folder(tx, after)

        assert read_shop(after) == read_shop(before) == shop


@SLOW_DATA
@given(shop=shops())
def test_any_snapshot_gives_the_same_shop_to_the_last_bit(shop):
    text = shop_document(shop)

    assert shop_from_document(text) == shop
    assert shop_document(shop_from_document(text)) == text


def test_the_invented_shop_with_its_likenesses_is_exported_without_loss(store, demo_folder, demo_shop, tmp_path):
    with store.write(who="test") as tx:
        assert import_folder(tx, demo_folder) == demo_shop
    with store.read() as tx:
        export_folder(tx, tmp_path / "out")
        assert load_shop(tx) == demo_shop

    assert read_shop(tmp_path / "out") == demo_shop


@SLOW_DATA
@given(mesh=own_meshes())
def test_a_mesh_that_no_screen_stands_on_is_kept_and_exported(store, demo_folder, mesh):
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        shop = dataclasses.replace(
            read_shop(demo_folder), screens=(dataclasses.replace(read_shop(demo_folder).screens[0], mesh=mesh),)
        )
        write_shop(shop, copy)
        (copy / "screens.csv").write_text("name,mesh\n", encoding="utf-8")
        with store.write(who="test") as tx:
            import_folder(tx, copy)
            assert shelves.meshes_by_name(tx)[mesh.name] == mesh
            first = export_texts(tx)
            export_folder(tx, copy)
            import_folder(tx, copy)
            assert export_texts(tx) == first
            assert shelves.meshes_by_name(tx)[mesh.name] == mesh


@SLOW_DATA
@given(note=st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), min_size=1, max_size=60))
def test_notes_beside_items_travel_with_the_folder(store, demo_shop, note):
    with store.write(who="test") as tx:
        save_shop(tx, demo_shop, notes={("inks", demo_shop.inks[0].name): note, ("costs", "costs"): "asked in May"})
    with tempfile.TemporaryDirectory() as folder:
        with store.read() as tx:
            export_folder(tx, Path(folder))
        with store.write(who="test") as tx:
            save_shop(tx, demo_shop, notes={})
            assert shelves.get(tx, "inks", demo_shop.inks[0].name).note == ""
            import_folder(tx, Path(folder))
            assert shelves.get(tx, "inks", demo_shop.inks[0].name).note == note
            assert shelves.get(tx, "costs", "costs").note == "asked in May"


def test_saving_the_same_shop_again_changes_and_logs_nothing(store, demo_shop):
    with store.write(who="test") as tx:
        save_shop(tx, demo_shop)
    with store.read() as tx:
        before = change_log.lines(tx, limit=1000)
    with store.write(who="test") as tx:
        save_shop(tx, demo_shop)
    with store.read() as tx:
        assert change_log.lines(tx, limit=1000) == before


def test_a_store_without_a_shop_says_so(store):
    with store.read() as tx:
        assert not has_shop(tx)
        with pytest.raises(NotFound, match="no shop"):
            load_shop(tx)


def test_a_folder_with_a_mistake_leaves_the_shelves_as_they_were(store, demo_folder, demo_shop, tmp_path):
    with store.write(who="test") as tx:
        save_shop(tx, demo_shop)
    for file in demo_folder.iterdir():
        if file.suffix in {".toml", ".csv"}:
            (tmp_path / file.name).write_bytes(file.read_bytes())
    (tmp_path / "inks.toml").write_text("[[ink]]\nname = 3\n", encoding="utf-8")

    with pytest.raises(InvalidInput, match=r"inks\.toml"), store.write(who="test") as tx:
        import_folder(tx, tmp_path)
    with store.read() as tx:
        assert load_shop(tx) == demo_shop
