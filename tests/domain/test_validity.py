"""Numbers in sentences are written as people write them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.domain.validity import figure, positive, within
from laydown.errors import InvalidInput


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (0, "0"),
        (0.05, "0.05"),
        (-0.5, "-0.5"),
        (1000.0, "1000"),
        (1e6, "1,000,000"),
        (-2.5e9, "-2,500,000,000"),
        (0.00002, "0.00002"),
        (1e30, "1e+30"),
        (1e-9, "1e-09"),
        (math.nan, "nan"),
        (math.inf, "inf"),
    ],
)
def test_a_number_is_written_out_as_long_as_it_can_be_read(value, told):
    assert figure(value) == told


@given(st.floats(1e-6, 1e12, exclude_max=True))
def test_no_number_of_everyday_size_has_a_power_of_ten(value):
    told = figure(value)

    assert "e" not in told
    assert float(told.replace(",", "")) == pytest.approx(value, rel=1e-5)


def test_a_large_limit_is_told_in_plain_figures():
    with pytest.raises(InvalidInput, match=r"^quantity is 3,000,000; allowed is 1 to 1,000,000 pieces$"):
        within("quantity", 3e6, 1, 1e6, "pieces")
    with pytest.raises(InvalidInput, match=r"^price is -5,000,000; it must be a number above 0$"):
        positive("price", -5e6)
