"""A plan's sentences in the units of the shop."""

import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pictures import page_text
from rich.console import Console
from sample_plan import no_stack, sample_plan

from laydown.domain.shop import Preferences
from laydown.report.shop_words import shop_words
from laydown.report.tables import overview_table, plan_table
from laydown.report.ticket import ticket_pdf

METRIC = Preferences()
AMERICAN = Preferences(temperature="F", mesh="inch", length="inch", areal_mass="oz", paper="letter")


@pytest.mark.parametrize(
    ("sentence", "american"),
    [
        ("limit 185 °C for polyester", "limit 365 °F for polyester"),
        ("fusion 132 to 143 °C", "fusion 270 to 289 °F"),
        ("a probe at 166–171 °C", "a probe at 331–340 °F"),
        ("stored at -40 °C", "stored at −40 °F"),
        ("even at its hottest (12 K short)", "even at its hottest (22 °F short)"),
        ("lines down to 0.40 mm", "lines down to 0.02 in"),
        ("it is 24 g/m² heavier in the hand", "it is 0.7 oz/yd² heavier in the hand"),
        (
            "White through 43/80, 2 hits · flash · Red through 120/34",
            "White through 110/80, 2 hits · flash · Red through 305/34",
        ),
        ("mesh 54/64 holds lines", "mesh 137/64 holds lines"),
        ("22 N/cm is below the 25 N/cm", "22 N/cm is below the 25 N/cm"),
        (
            "grade 3.4 after 30 days (ΔE00 10.1), in 81 of 100 cases",
            "grade 3.4 after 30 days (ΔE00 10.1), in 81 of 100 cases",
        ),
        ("the order 54/64 came late, 3 mmx and 5 Kelvin", "the order 54/64 came late, 3 mmx and 5 Kelvin"),
    ],
)
def test_figures_that_wear_a_unit_are_turned_and_nothing_else(sentence, american):
    assert shop_words(sentence, AMERICAN) == american
    assert shop_words(sentence, METRIC) == sentence


@given(st.text(max_size=60))
def test_any_text_can_be_told(text):
    assert shop_words(text, METRIC).split() == shop_words(text, METRIC).split()
    assert "\n" not in shop_words(text, AMERICAN)


@pytest.mark.parametrize("plan", [sample_plan, no_stack])
def test_no_metric_figure_is_left_on_paper_or_screen_of_an_american_shop(plan):
    out = io.StringIO()
    Console(file=out, width=160).print(plan_table(plan(), AMERICAN))
    Console(file=out, width=160).print(overview_table([plan()], AMERICAN))
    for said in (out.getvalue(), page_text(ticket_pdf(plan(), AMERICAN))):
        metric = re.findall(r".{0,30}(?:\d °C|\d mm\b|\d g/m²|through 43/80)", said.replace("\xa0", " "))
        assert metric == []
