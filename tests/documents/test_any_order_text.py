"""Whatever is given as an order file: an order comes back, or one sentence, never another error."""

import tomllib

import pytest
from any_value import VALUES
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from order_texts import GOOD

from laydown.documents.order_entry import OrderEntry, PrintEntry
from laydown.documents.order_file import order_from_text, read_order
from laydown.documents.shop_folder import read_shop
from laydown.documents.template import copy_template
from laydown.documents.toml_text import toml_text
from laydown.domain.order import Order
from laydown.errors import LaydownError

MANY = settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop") / "demo"
    copy_template(folder)
    return read_shop(folder)


def order_or_sentence(call):
    try:
        order = call()
    except LaydownError as error:
        sentence = str(error)
        assert sentence.strip()
        assert "\n" not in sentence
        return
    assert isinstance(order, Order)


@MANY
@given(text=st.text(st.characters(exclude_categories=[])) | st.text("[]{}=\"'.#,\n abc0-:_", max_size=60))
@example(text="\ud800")
@example(text="[order]\nname = '\x00'")
@example(text="a = " + "{x = " * 500)
def test_any_text(text, shop):
    order_or_sentence(lambda: order_from_text(text, shop, "o.toml"))


@MANY
@given(content=st.binary(max_size=200))
@example(content=b"\xff\xfe")
@example(content=GOOD.encode("utf-16"))
def test_any_bytes(content, shop, tmp_path_factory):
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_bytes(content)
    order_or_sentence(lambda: read_order(path, shop))


@MANY
@given(cut=st.integers(0, len(GOOD)), put=st.text(max_size=6), drop=st.integers(0, 12))
def test_a_good_order_with_a_piece_cut_out_and_another_put_in(cut, put, drop, shop):
    order_or_sentence(lambda: order_from_text(GOOD[:cut] + put + GOOD[cut + drop :], shop, "o.toml"))


KEYS = {
    name: tuple(field.annotation.model_fields) for name, field in OrderEntry.model_fields.items() if name != "print"
}


@MANY
@given(
    table=st.sampled_from([*sorted(KEYS), "print"]),
    key=st.integers(0, 40),
    value=VALUES,
)
def test_a_good_order_with_any_value_under_any_key(table, key, value, shop):
    document = tomllib.loads(GOOD)
    target = document["print"][0] if table == "print" else document[table]
    keys = tuple(PrintEntry.model_fields) if table == "print" else KEYS[table]
    target[keys[key % len(keys)]] = value
    text = toml_text(document)

    order_or_sentence(lambda: order_from_text(text, shop, "o.toml"))
