"""A decimal comma reaches every figure that is read, and nothing that only looks like one."""

import pytest

from laydown.domain.shop import Preferences
from laydown.report import display_units as show
from laydown.report.decimal_sign import THIN, decimal_sign, sentence
from laydown.report.shop_words import shop_words


def test_numbers_have_a_point_unless_a_comma_is_asked_for():
    assert show.money(1234.5, "USD") == "1,234.50 USD"
    with decimal_sign(","):
        assert show.money(1234.5, "USD") == f"1{THIN}234,50 USD"
        assert show.number(-0.26, 1) == "−0,3"
    assert show.number(0.5, 1) == "0.5"


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("costs 1,234.50 USD more.", f"costs 1{THIN}234,50 USD more."),
        ("ΔE00 2.3, and 0.5% of it", "ΔE00 2,3, and 0,5% of it"),
        ("mesh 43/80 on 2026-12-10, 12 of 30", "mesh 43/80 on 2026-12-10, 12 of 30"),
        ("laydown 0.2.1, file a1.5b", "laydown 0.2.1, file a1.5b"),
        ("3.2–4.8 mm", "3,2–4,8 mm"),
        ("5e-4 and 1.5e-05", "5e-4 and 1,5e-05"),
    ],
)
def test_sentences_get_the_comma_in_their_figures_only(written, read):
    assert sentence(written) == written
    with decimal_sign(","):
        assert sentence(written) == read


def test_a_figure_in_a_name_stays_as_it_is_called():
    with decimal_sign(",", ["Slip 2.5 White", "Plain"]):
        assert sentence("Slip 2.5 White at 2.5 g") == "Slip 2.5 White at 2,5 g"


def test_units_of_the_reader_and_the_comma_go_together():
    prefs = Preferences(temperature="F", length="inch")
    with decimal_sign(","):
        assert shop_words("lines below 7.6 mm at 160 °C", prefs) == "lines below 0,30 in at 320 °F"
