"""What is written as TOML is read as the same."""

import datetime as dt
import tomllib

from hypothesis import given
from hypothesis import strategies as st

from laydown.documents.toml_text import toml_text

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
VALUES = st.recursive(
    st.booleans() | st.integers(-(2**63), 2**63) | st.floats(allow_nan=False) | TEXTS | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=8,
)
TABLES = st.dictionaries(TEXTS, VALUES, max_size=4)


@given(document=st.dictionaries(TEXTS, TABLES | st.lists(TABLES, min_size=1, max_size=3), max_size=4))
def test_any_document_is_read_back(document):
    assert tomllib.loads(toml_text(document)) == document


@given(tables=st.lists(TABLES, min_size=1, max_size=3), blocks=st.lists(TABLES, min_size=1, max_size=3))
def test_blocks_below_a_block_are_read_back(tables, blocks):
    document = {"press": [{**table, "flash": blocks} for table in tables]}

    assert tomllib.loads(toml_text(document, blocks=("flash",))) == document


def test_it_looks_as_people_write_it():
    document = {
        "order": {"name": 'a "b"', "due": dt.date(2026, 12, 10), "quantity": 144},
        "press": [{"name": "P", "heads": [1, 2], "flash": [{"exchange": {"value": 0.3, "pm": 0.1}, "on": True}]}],
    }

    assert toml_text(document, blocks=("flash",)) == (
        '[order]\nname = "a \\"b\\""\ndue = 2026-12-10\nquantity = 144\n\n'
        '[[press]]\nname = "P"\nheads = [1, 2]\n\n'
        "[[press.flash]]\nexchange = { value = 0.3, pm = 0.1 }\non = true\n"
    )


def test_nothing_is_written_as_nothing():
    assert toml_text({}) == ""
    assert toml_text({"ink": []}) == ""
