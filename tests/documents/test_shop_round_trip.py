"""What a shop or an order is written as, it is read as."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from order_strategies import orders
from shop_strategies import shops

from laydown.documents.order_file import order_from_text, order_text, read_order
from laydown.documents.shop_folder import read_shop, shop_texts, write_shop
from laydown.documents.template import copy_template
from laydown.documents.unit_keys import FILE_UNITS, written
from laydown.errors import InvalidInput

SLOW_DATA = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@pytest.fixture(scope="module")
def demo_shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop") / "demo"
    copy_template(folder)
    return read_shop(folder)


@SLOW_DATA
@given(shop=shops())
def test_any_shop_is_read_back_to_the_last_bit(shop):
    with tempfile.TemporaryDirectory() as folder:
        write_shop(shop, Path(folder))

        assert read_shop(Path(folder)) == shop


@SLOW_DATA
@given(order=orders())
def test_any_order_is_read_back_to_the_last_bit(order, demo_shop):
    again = order_from_text(order_text(order), demo_shop, "order.toml")

    assert again == order


def test_the_template_shop_is_read_back_with_values_grades_and_sources(demo_shop, tmp_path):
    write_shop(demo_shop, tmp_path)

    assert read_shop(tmp_path) == demo_shop


def test_writing_twice_gives_the_same_text(demo_shop, tmp_path):
    write_shop(demo_shop, tmp_path)

    assert shop_texts(read_shop(tmp_path)) == shop_texts(demo_shop)


def test_every_demo_order_is_read_back(demo_shop, tmp_path):
    copy_template(tmp_path / "shop")
    files = sorted((tmp_path / "shop" / "orders").glob("*.toml"))
    # Orders with art are read back by the tests of services, which can read art.
    stated = [file for file in files if "artwork" not in file.read_text(encoding="utf-8")]
    assert len(stated) >= 16

    for file in stated:
        order = read_order(file, demo_shop)
        assert order_from_text(order_text(order), demo_shop, "again.toml") == order


@settings(deadline=None)
@given(unit=st.sampled_from(FILE_UNITS), si=st.floats(1e-9, 1e9))
def test_a_number_that_was_never_in_a_unit_loses_at_most_the_last_bits(unit, si):
    number, exact = written(si, unit)
    again = unit.to_si(number)

    # Adding 273.15 to a small number costs the bits that the sum has no room for.
    assert again == si if exact else abs(again - si) <= 3e-16 * (abs(si) + 300 * (unit.symbol in {"°C", "°F"}))


@given(unit=st.sampled_from(FILE_UNITS), number=st.floats(-1000, 1000).map(lambda x: round(x, 3)))
def test_a_number_that_was_written_in_a_unit_is_written_in_it_again_exactly(unit, number):
    _, exact = written(unit.to_si(number), unit)

    assert exact


def test_a_shop_that_files_cannot_hold_is_not_written(demo_shop, tmp_path):
    import dataclasses

    tiny = dataclasses.replace(demo_shop.garments[0], name="tiny", size=1e-6)
    shop = dataclasses.replace(demo_shop, garments=(tiny,))

    with pytest.raises(InvalidInput, match=r"garments.toml, garment\[1\].size_mm.*nothing was written.*50 to 5000 mm"):
        write_shop(shop, tmp_path / "new")
    assert not (tmp_path / "new").exists()
