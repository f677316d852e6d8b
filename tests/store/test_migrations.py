"""Every database that was ever released is brought to the newest revision with all that is in it.

``states/<revision>.sql`` is a SQLite database of that revision with something in every table, as text. A new revision
adds its own with ``python tests/store/new_state.py`` and changes none of the others.
"""

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from claim_records import fill_claims, kept_claims
from dryer_records import fill_dryer, kept_dryer
from everything import NOON, PLAN, fill_lab, printed_swatch
from order_texts_of_store import ORDER, order_text
from sqlalchemy import MetaData, create_engine, inspect, select
from sqlalchemy.exc import DBAPIError

from laydown.documents.protocol_file import protocol_table, shipped_protocols
from laydown.domain.reading import standing
from laydown.store import change_log, files, jobs, orders, plans, press_log, readings, shelves, swatches, users
from laydown.store.address import address_of
from laydown.store.database import open_store
from laydown.store.engines import engine_for
from laydown.store.schema import REVISION, metadata
from laydown.store.shop_exchange import load_shop
from laydown.store.upgrade import scripts, upgrade

STATES = Path(__file__).parent / "states"
UNNAMED = {"change_log": "pk_change_log"}
REVISIONS = [script.revision for script in scripts().walk_revisions()][::-1]


def state_in_sqlite(revision, file):
    file.parent.mkdir(exist_ok=True)
    connection = sqlite3.connect(file)
    connection.executescript((STATES / f"{revision}.sql").read_text(encoding="utf-8"))
    connection.close()
    return f"sqlite:///{file}"


def state_in_postgresql(revision, file, url):
    """Make the tables by the migrations up to the revision, and copy every row of the state into them."""
    source = create_engine(state_in_sqlite(revision, file))
    engine = engine_for(address_of(url))
    upgrade(engine, where="here", revision=revision)
    there, here = MetaData(), MetaData()
    there.reflect(source)
    with source.connect() as reading, engine.begin() as writing:
        here.reflect(writing)
        for table in here.sorted_tables:
            if table.name in there.tables and table.name != "alembic_version":
                rows = [dict(row._mapping) for row in reading.execute(select(there.tables[table.name]))]
                if rows:
                    writing.execute(table.insert(), rows)
                if "id" in table.columns:
                    most = max((row["id"] for row in rows), default=0)
                    writing.exec_driver_sql(f"SELECT setval('{table.name}_id_seq', {most + 1})")
    source.dispose()
    engine.dispose()
    return url


@pytest.fixture(params=["sqlite", "postgresql"])
def released(request, tmp_path):
    def make(revision):
        file = tmp_path / "state" / "laydown.sqlite"
        if request.param == "sqlite":
            return state_in_sqlite(revision, file)
        return state_in_postgresql(revision, file, request.getfixturevalue("new_postgresql_url")())

    return make


def test_every_revision_has_a_released_state():
    assert sorted(path.stem for path in STATES.glob("*.sql")) == REVISIONS
    assert REVISIONS[-1] == REVISION
    assert len(scripts().get_heads()) == 1


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_released_database_is_upgraded_with_all_that_is_in_it(released, revision):
    with open_store(released(revision)) as store, store.write(who="ben") as tx:
        shop = load_shop(tx)
        assert shop.name
        assert len(shop.inks) > 20
        order = orders.get(tx, 1)
        assert (order.quantity, order.state, order.version, order.approved_plan) == (150, "approved", 2, 2)
        assert [one.text for one in orders.versions(tx, 1)] == [ORDER, order_text(quantity=150)]
        assert files.content(tx, orders.version(tx, 1, 2).files["art/a.png"]) == b"\x00\xffpicture" * 100
        first, second = plans.of_order(tx, 1)
        assert plans.text(tx, first) == PLAN
        assert plans.rests_on(tx, first)[0] == replace(shop, findings=())
        assert (second.changed_from, second.change, second.reason) == (1, {"belt": 2.5}, "slower")
        assert press_log.totals(tx, 1).printed == 50
        assert press_log.of_order(tx, 1)[0].happened_at == NOON
        assert users.find(tx, "ünal").role == "owner"
        assert jobs.get(tx, 1).result == {"plan": 2}
        assert change_log.lines(tx, limit=10**6)[-1].who == "Ünal"
        assert orders.add(tx, ORDER).id > 1


@pytest.mark.parametrize("revision", REVISIONS)
def test_an_upgraded_database_keeps_its_lab_or_takes_one_up(released, revision):
    with open_store(released(revision)) as store:
        if revision == "0001":
            with store.read() as tx:
                assert swatches.find(tx) == ()
                shop, user = load_shop(tx), users.find(tx, "ünal").id
            # The shop of before has no tests of its own.
            assert shop.protocols == ()
            with store.write(who="ben") as tx:
                shelves.put(tx, "protocols", protocol_table(shipped_protocols()[0]), revision=None)
                shop = replace(load_shop(tx), protocols=(replace(shipped_protocols()[0], name="hot-van"),))
            fill_lab(store, shop, 1, user)
        with store.read() as tx:
            (kept,) = swatches.find(tx)
            assert kept.swatch == replace(printed_swatch(load_shop(tx), order=1), number=kept.number)
            assert [one.number for one in standing_of(tx, kept.number)] == [2, 3, 4]
            assert swatches.ticks(tx, (kept.number,))[kept.number][0].done
            assert load_shop(tx).findings[0].draws == ((0.1, -0.2), (1.5, 0.3))


@pytest.mark.parametrize("revision", REVISIONS)
def test_an_upgraded_database_keeps_its_probe_logs_and_checks_or_takes_them_up(released, revision):
    with open_store(released(revision)) as store:
        if revision < "0003":
            fill_dryer(store)
        with store.read() as tx:
            assert kept_dryer(tx)


@pytest.mark.parametrize("revision", REVISIONS)
def test_an_upgraded_database_keeps_its_claims_or_takes_them_up(released, revision):
    with open_store(released(revision)) as store:
        if revision < "0004":
            fill_claims(store, 1)
        with store.read() as tx:
            assert kept_claims(tx)


@pytest.mark.parametrize("revision", REVISIONS)
def test_an_upgraded_database_lets_nobody_change_or_remove_what_is_only_added_to(released, revision):
    address = released(revision)
    with open_store(address) as store:
        if revision == "0001":
            with store.read() as tx:
                shop, user = load_shop(tx), users.find(tx, "ünal").id
            fill_lab(store, replace(shop, protocols=(replace(shipped_protocols()[0], name="hot-van"),)), 1, user)
        if revision < "0003":
            fill_dryer(store)
        if revision < "0004":
            fill_claims(store, 1)
        for table in ("readings", "probe_logs", "probe_checks", "claims"):
            for change in (f"UPDATE {table} SET made_by = 'Eve'", f"DELETE FROM {table}"):
                with store.engine.connect() as connection, pytest.raises(DBAPIError, match=f"rows of {table} are only"):
                    connection.exec_driver_sql(change)


def standing_of(tx, number):
    return standing(tuple(one.reading for one in readings.of_swatch(tx, number)))


@pytest.mark.parametrize("revision", REVISIONS)
def test_an_upgraded_database_has_the_very_tables_of_a_new_one(released, revision):
    with open_store(released(revision)) as store, store.engine.connect() as connection:
        differences = compare_metadata(MigrationContext.configure(connection), metadata)

    assert differences == []


def test_every_constraint_and_index_has_a_name_of_its_own_on_both_databases(store):
    with store.engine.connect() as connection:
        seen = inspect(connection)
        names = []
        for table in metadata.sorted_tables:
            # SQLite cannot name the key of a table whose numbers are never used again.
            names += [seen.get_pk_constraint(table.name)["name"] or UNNAMED[table.name]]
            names += [one["name"] for one in seen.get_foreign_keys(table.name)]
            names += [one["name"] for one in seen.get_unique_constraints(table.name)]
            names += [one["name"] for one in seen.get_check_constraints(table.name)]
            names += [one["name"] for one in seen.get_indexes(table.name) if not one.get("duplicates_constraint")]
    declared = [one.name for table in metadata.sorted_tables for one in (*table.constraints, *table.indexes)]

    assert sorted(names) == sorted(declared)
    assert len(set(names)) == len(names)


def test_an_upgrade_that_fails_leaves_the_database_as_it_was(url, monkeypatch):
    class Broken:
        def _upgrade_revs(self, *_):
            raise RuntimeError("a mistake in a migration")

        def walk_revisions(self):
            return []

    monkeypatch.setattr("laydown.store.upgrade.scripts", Broken)
    with pytest.raises(RuntimeError, match="mistake"):
        open_store(url)
    monkeypatch.undo()
    with open_store(url) as store, store.read() as tx:
        assert change_log.lines(tx) == ()
