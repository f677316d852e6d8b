import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.domain.quantity import Grade, Quantity
from laydown.errors import InvalidInput


def test_an_exact_quantity_has_no_spread():
    quantity = Quantity.exact(7.0, Grade.PUBLISHED, "handbook")

    assert (quantity.value, quantity.low, quantity.high, quantity.spread) == (7.0, 7.0, 7.0, 0.0)


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("field", ["value", "low", "high"])
def test_a_quantity_refuses_what_is_not_finite_and_names_the_field(field, number):
    numbers = {"value": 1.0, "low": 1.0, "high": 1.0} | {field: number}

    with pytest.raises(InvalidInput, match=f"{field} is .*finite"):
        Quantity(**numbers, grade=Grade.ASSUMED, source="somewhere")


@given(st.floats(-1e9, 1e9), st.floats(-1e9, 1e9), st.floats(-1e9, 1e9))
def test_a_quantity_exists_only_inside_its_own_interval(value, low, high):
    if low <= value <= high:
        quantity = Quantity(value=value, low=low, high=high, grade=Grade.ASSUMED, source="")
        assert quantity.spread == high - low
    else:
        with pytest.raises(InvalidInput, match="outside its own interval"):
            Quantity(value=value, low=low, high=high, grade=Grade.ASSUMED, source="")


def test_grades_carry_the_words_that_people_read():
    assert [str(grade) for grade in Grade] == [
        "measured here",
        "published",
        "maker's sheet",
        "worked example",
        "common practice",
        "from memory",
        "assumed",
    ]


def test_a_quantity_cannot_be_changed():
    quantity = Quantity.exact(1.0, Grade.ASSUMED, "")

    with pytest.raises(AttributeError):
        quantity.value = 2.0
