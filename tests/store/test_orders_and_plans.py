"""Orders with every version, and plans with all that they rest on."""

import datetime as dt

import pytest
from order_texts_of_store import ORDER, order_text

from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import files, orders, plans
from laydown.store.shop_exchange import load_shop, save_shop

PLAN = '{"complete": true, "meta": {"seed": 7, "samples": 200, "version": "0.1.0"}}\n'


def test_an_order_is_kept_as_it_was_written_with_what_people_search_by(store):
    with store.write(who="ann") as tx:
        made = orders.add(tx, ORDER)
    with store.read() as tx:
        again = orders.get(tx, made.id)
        assert orders.version(tx, made.id, 1).text == ORDER
    assert again == made
    assert (again.name, again.identifier, again.quantity, again.due) == (
        "Harbour Ünder tees",
        "A-17",
        144,
        dt.date(2026, 12, 10),
    )
    assert (again.state, again.version, again.changed_by) == ("new", 1, "ann")
    assert again.changed_at.tzinfo is dt.UTC


def test_every_version_of_an_order_is_kept(store):
    with store.write(who="ann") as tx:
        art = files.put(tx, b"first")
        made = orders.add(tx, ORDER, files={"a.png": art.sha256})
    with store.write(who="ben") as tx:
        changed = orders.change(tx, made.id, order_text(quantity=150), revision=made.revision, reason="six more")
    with store.read() as tx:
        first, second = orders.versions(tx, made.id)

    assert changed.quantity == 150
    assert (first.text, second.text) == (ORDER, order_text(quantity=150))
    assert first.files == second.files == {"a.png": art.sha256}
    assert (first.made_by, second.made_by, second.reason) == ("ann", "ben", "six more")


def test_an_order_written_to_a_folder_is_the_order_and_its_art(store, tmp_path):
    with store.write(who="ann") as tx:
        made = orders.add(tx, ORDER, files={"art/a.png": files.put(tx, b"picture").sha256})
    with store.read() as tx:
        path = orders.write_folder(tx, made.id, tmp_path / "job")

    assert path.read_text(encoding="utf-8") == ORDER
    assert (path.parent / "art" / "a.png").read_bytes() == b"picture"


@pytest.mark.parametrize("name", ["../a.png", "/a.png", "C:\\a.png", "a/../../b", "order.toml", "", "..\\a"])
def test_a_file_name_that_leads_out_of_the_order_is_refused(store, name):
    with pytest.raises(InvalidInput), store.write(who="ann") as tx:
        orders.add(tx, ORDER, files={name: files.put(tx, b"picture").sha256})
    with store.read() as tx:
        assert orders.find(tx) == ((), 0)


def test_orders_are_found_by_words_state_and_date_the_soonest_first(store):
    with store.write(who="ann") as tx:
        late = orders.add(tx, order_text(due="2026-12-24", name="Choir 70% hoodies", id="B-1"))
        soon = orders.add(tx, order_text(due="2026-12-01", name="Choir tees", id="B-2"))
        orders.add(tx, ORDER)

        def names(**wanted):
            return [one.id for one in orders.find(tx, **wanted)[0]]

        assert names(text="CHOIR") == [soon.id, late.id]
        assert names(text="choir b-1") == [late.id]
        assert names(text="70%") == [late.id]
        assert names(text="hoodies 70%") == [late.id]
        assert names(text="b_1") == []
        assert [one.name for one in orders.find(tx, text="ÜNDER")[0]] == ["Harbour Ünder tees"]
        assert names(due_to=dt.date(2026, 12, 1)) == [soon.id]
        assert names(due_from=dt.date(2026, 12, 11)) == [late.id]
        assert orders.find(tx, limit=1, offset=1)[1] == 3
        assert names(states=("cancelled",)) == []
        orders.set_state(tx, late.id, "cancelled", revision=late.revision)
        assert names(states=("cancelled",)) == [late.id]


def test_a_plan_is_kept_with_the_shop_and_the_order_version_it_rests_on(store, demo_shop):
    with store.write(who="ann") as tx:
        save_shop(tx, demo_shop)
        made = orders.add(tx, ORDER)
        plan = plans.add(tx, made.id, PLAN, load_shop(tx), order_version=1)
    with store.write(who="ann") as tx:
        import dataclasses

        save_shop(tx, dataclasses.replace(demo_shop, inks=demo_shop.inks[:3], name="Other"))
        orders.change(tx, made.id, order_text(quantity=9), revision=orders.get(tx, made.id).revision)
        second = plans.add(tx, made.id, PLAN, load_shop(tx), order_version=2, changed_from=1, reason="slower belt")
    with store.read() as tx:
        shop, version = plans.rests_on(tx, plans.get(tx, made.id, 1))
        assert plans.text(tx, plan) == PLAN
        assert (shop, version.text) == (demo_shop, ORDER)
        assert plans.of_order(tx, made.id) == (plan, second)
        assert plans.latest(tx, made.id) == second
        assert plans.rests_on(tx, second)[0].name == "Other"
    assert (plan.seed, plan.samples, plan.program, plan.complete) == (7, 200, "0.1.0", True)
    assert (second.changed_from, second.reason) == (1, "slower belt")


def test_a_first_plan_makes_an_order_planned_and_an_approval_says_which_one_counts(store, demo_shop):
    with store.write(who="ann") as tx:
        made = orders.add(tx, ORDER)
        plans.add(tx, made.id, PLAN, demo_shop, order_version=1)
        planned = orders.get(tx, made.id)
        assert planned.state == "planned"
        with pytest.raises(InvalidInput, match="approve one first"):
            orders.set_state(tx, made.id, "printing", revision=planned.revision)
        with pytest.raises(NotFound, match="plan"):
            orders.approve(tx, made.id, 2, revision=planned.revision)
        approved = orders.approve(tx, made.id, 1, revision=planned.revision)
        assert (approved.state, approved.approved_plan) == ("approved", 1)
        assert orders.set_state(tx, made.id, "printing", revision=approved.revision).state == "printing"


def test_the_later_of_two_changes_of_an_order_is_told_how_it_stands(store):
    with store.write(who="ann") as tx:
        read_by_both = orders.add(tx, ORDER)
    with store.write(who="ann") as tx:
        present = orders.change(tx, read_by_both.id, order_text(quantity=150), revision=read_by_both.revision)

    with pytest.raises(Conflict, match="changed by ann") as told, store.write(who="ben") as tx:
        orders.change(tx, read_by_both.id, order_text(quantity=10), revision=read_by_both.revision)
    assert told.value.present == present
    with store.read() as tx:
        assert orders.get(tx, read_by_both.id).quantity == 150


@pytest.mark.parametrize("text", ["", "[order]\nname = 3", ORDER + "\n[extra]\n", "\x00", 'x = "\ud800"'])
def test_a_text_that_is_no_order_is_refused_with_one_sentence(store, text):
    with pytest.raises(InvalidInput), store.write(who="ann") as tx:
        orders.add(tx, text)


@pytest.mark.parametrize("plan", ["", "[]", "{}", '{"meta": {"seed": 1}}', PLAN.replace("7", "1e400"), "[" * 10_000])
def test_a_text_that_is_no_plan_is_refused(store, demo_shop, plan):
    with store.write(who="ann") as tx:
        made = orders.add(tx, ORDER)
        with pytest.raises(InvalidInput, match="no plan"):
            plans.add(tx, made.id, plan, demo_shop, order_version=1)


def test_what_is_not_there_is_not_found_and_what_cannot_be_is_refused(store, demo_shop):
    with store.write(who="ann") as tx:
        made = orders.add(tx, ORDER)
        with pytest.raises(NotFound, match="version"):
            orders.version(tx, made.id, 2)
        with pytest.raises(NotFound, match="order"):
            orders.get(tx, made.id + 1)
        with pytest.raises(NotFound, match="file"):
            orders.change(tx, made.id, order_text(quantity=2), revision=made.revision, files={"a.png": "0" * 64})
        with pytest.raises(InvalidInput, match="no state"):
            orders.set_state(tx, made.id, "lost", revision=made.revision)
        with pytest.raises(NotFound, match="plan"):
            plans.add(tx, made.id, PLAN, demo_shop, order_version=1, changed_from=4)
        with pytest.raises(NotFound, match="version"):
            plans.add(tx, made.id, PLAN, demo_shop, order_version=4)


def test_a_change_that_changes_nothing_is_no_new_version(store):
    with store.write(who="ann") as tx:
        made = orders.add(tx, ORDER)
        assert orders.change(tx, made.id, ORDER, revision=made.revision) == made
        assert orders.set_state(tx, made.id, "new", revision=made.revision) == made


def test_an_approval_is_taken_back_to_where_the_order_was(store, demo_shop):
    with store.write(who="ann") as tx:
        made = orders.add(tx, ORDER)
        plans.add(tx, made.id, PLAN, demo_shop, order_version=1)
        approved = orders.approve(tx, made.id, 1, revision=orders.get(tx, made.id).revision)
        printing = orders.set_state(tx, made.id, "printing", revision=approved.revision)
        plans.add(tx, made.id, PLAN, demo_shop, order_version=1, changed_from=1, reason="slower belt")
        other = orders.approve(tx, made.id, 2, revision=printing.revision)
        assert (other.state, other.approved_plan) == ("printing", 2)
        back = orders.approve(tx, made.id, None, revision=other.revision)
        assert (back.state, back.approved_plan) == ("planned", None)
