"""The core of the app on PostgreSQL: the same promises as on SQLite, by the same tests."""

from __future__ import annotations

import itertools

import pytest
import test_web_orders
import test_web_plans
import test_web_press
import test_web_shelves
import test_web_standing
from web_clients import NETWORK, PASSWORD, client_of

from laydown.services import accounts, opening, people
from laydown.web.settings import Settings
from store.postgresql_server import server, why_not

pytestmark = [pytest.mark.slow, pytest.mark.skipif(bool(why_not()), reason=why_not() or "there is a server")]

CORE = (
    (test_web_orders, "a_care_label_a_size_a_quantity_and_a_date_make_an_order_that_is_planned_at_once"),
    (test_web_orders, "an_art_file_is_kept_when_something_else_is_wrong_and_need_not_be_sent_again"),
    (test_web_orders, "an_order_is_printed_by_an_approved_plan_only"),
    (test_web_orders, "programs_take_an_order_in_with_its_art_and_read_it_again"),
    (test_web_plans, "the_page_shows_all_that_a_plan_says"),
    (test_web_plans, "a_changed_plan_is_kept_as_its_own_version_with_its_reason_and_the_first_stays"),
    (test_web_plans, "work_is_asked_for_once"),
    (test_web_press, "counts_misprints_and_probe_readings_are_summed_and_told"),
    (test_web_press, "an_entry_is_taken_back_and_both_are_seen"),
    (test_web_press, "a_program_that_sends_an_entry_twice_is_told_so_and_it_counts_once"),
    (test_web_shelves, "the_later_of_two_people_is_told_sees_both_and_loses_nothing"),
    (test_web_standing, "what_was_changed_is_named_and_stands_again_when_it_is_changed_back"),
)
"""Tests of other files, without ``test_``, that run here on a PostgreSQL database each."""

for _module, _name in CORE:
    globals()[f"test_{_name}"] = getattr(_module, f"test_{_name}")

kept = test_web_plans.kept
at = test_web_press.at
order_and_plan = test_web_standing.order_and_plan


@pytest.fixture(scope="module")
def postgresql():
    """Server with a database ``demo`` that holds the demo shop."""
    import psycopg

    with server() as address:
        with psycopg.connect(address.format(name="postgres"), autocommit=True) as connection:
            connection.execute("CREATE DATABASE demo")
        with opening.open_database(address.format(name="demo")) as store:
            opening.start_demo(store, who="tests")
            accounts.add_first_owner(store, "Olga", PASSWORD)
            people.take_in(store, "Lea", "lead", password=PASSWORD, who="Olga")
        yield address


@pytest.fixture(scope="module")
def numbers():
    """Numbers of databases, each given once."""
    return itertools.count(1)


@pytest.fixture
def url(postgresql, numbers):
    """Address of a database with the demo shop."""
    import psycopg

    name = f"laydown_{next(numbers)}"
    with psycopg.connect(postgresql.format(name="postgres"), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE demo")
    return postgresql.format(name=name)


@pytest.fixture
def network_client(url, tmp_path):
    """App in the network, with people; nobody is logged in."""
    settings = Settings(database=url, data=tmp_path, worker=False, **NETWORK)
    with client_of(settings, "192.0.2.7:8300") as client:
        yield client


@pytest.fixture
def client(url, tmp_path):
    """App of the own machine with the demo shop."""
    with client_of(Settings(database=url, data=tmp_path, worker=False)) as client:
        assert client.app.state.laydown.store.kind == "postgresql"
        yield client
