from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_shop import mesh as woven

from laydown import units
from laydown.domain.forecast import Spread
from laydown.domain.order import InkUse, Print
from laydown.domain.shop import Preferences
from laydown.report import display_units as show

METRIC = Preferences()
AMERICAN = Preferences(temperature="F", mesh="inch", length="inch", areal_mass="oz", paper="letter")


@pytest.mark.parametrize(
    ("shown", "metric", "american"),
    [
        (lambda p: show.temperature(433.15, p), "160 °C", "320 °F"),
        (lambda p: show.temperature(273.0, p), "0 °C", "32 °F"),
        (lambda p: show.temperature_range(431.0, 439.4, p), "158–166 °C", "316–331 °F"),
        (lambda p: show.temperature_range(433.1, 433.2, p), "160 °C", "320 °F"),
        (lambda p: show.temperature_difference(5.0, p), "+5 °C", "+9 °F"),
        (lambda p: show.temperature_difference(-5.0, p), "−5 °C", "−9 °F"),
        (lambda p: show.temperature_difference(-0.1, p), "+0 °C", "+0 °F"),
        (lambda p: show.length(0.3, p), "300 mm", "11.8 in"),
        (lambda p: show.length(0.003, p), "3.0 mm", "0.12 in"),
        (lambda p: show.belt_speed(2.9 / 60, p), "2.90 m/min", "9.5 ft/min"),
        (lambda p: show.areal_mass(0.18, p), "180 g/m²", "5.3 oz/yd²"),
        (lambda p: show.mesh(woven(43, 80), p), "43/80", "110/80"),
        (lambda p: show.mesh(woven(120, 34), p), "120/34", "305/34"),
        (lambda p: show.mesh(woven(51, 60), p), "51/60", "130/60"),
        (lambda p: show.mesh(None, p), "closed", "closed"),
        (show.mesh_unit, "per cm", "per inch"),
    ],
)
def test_a_number_is_shown_in_the_units_the_shop_reads(shown, metric, american):
    assert shown(METRIC) == metric
    assert shown(AMERICAN) == american


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (4.5, "4.5 s"),
        (75, "75 s"),
        (119.9, "2 min"),
        (720, "12 min"),
        (7130, "119 min"),
        (7199, "2 h"),
        (6000, "100 min"),
        (9000, "2 h 30 min"),
        (54_000, "15 h"),
        (14 * 86_400, "14 days"),
    ],
)
def test_a_duration_is_told_in_the_units_people_use_for_it(seconds, words):
    assert show.duration(seconds) == words


@pytest.mark.parametrize(
    ("kilogram", "words"), [(0.0084, "8.4 g"), (0.64, "640 g"), (0.9996, "1.00 kg"), (1.24, "1.24 kg"), (0.0, "0.0 g")]
)
def test_ink_is_weighed_in_grams_until_it_is_a_kilogram(kilogram, words):
    assert show.mass(kilogram) == words


@pytest.mark.parametrize(
    ("probability", "words"),
    [(0.0, "under 1 %"), (0.004, "under 1 %"), (0.03, "3 %"), (0.99, "99 %"), (0.996, "over 99 %"), (1.0, "over 99 %")],
)
def test_a_chance_never_claims_certainty(probability, words):
    assert show.chance(probability) == words


@pytest.mark.parametrize(
    ("value", "words"), [(5.0, "5"), (4.6, "4-5"), (4.24, "4"), (1.4, "1-2"), (0.2, "1"), (5.9, "5")]
)
def test_a_grade_is_written_in_half_steps_as_the_standard_writes_it(value, words):
    assert show.grade(value) == words


def test_a_spread_shows_the_median_and_the_middle_eight_of_ten():
    assert show.spread(Spread(p10=1.5, p50=2.1, p90=3.0)) == "2.1 (1.5–3.0)"
    assert show.spread(Spread(p10=-1.0, p50=2.0, p90=3.0), 0) == "2 (−1 to 3)"


def test_a_size_names_its_unit_once():
    print_ = Print(place="front", width=0.3, height=0.35, inks=(InkUse(ink="white", coverage=0.4),))
    assert show.size(print_, METRIC) == "300 × 350 mm"
    assert show.size(print_, AMERICAN) == "11.8 × 13.8 in"


def test_a_date_cannot_be_read_two_ways():
    assert show.date(dt.date(2026, 12, 10)) == "Thu 10 Dec 2026"
    assert show.short_date(dt.date(2026, 12, 3)) == "Thu 3 Dec"


def test_other_numbers_read_as_a_printer_writes_them():
    assert show.money(1312.4, "USD") == "1,312.40 USD"
    assert show.pieces_per_hour(412 / 3600) == "412"
    assert show.micron(38.2e-6) == "38 µm"
    assert show.micron(8.5e-6) == "8.5 µm"
    assert show.tension(2500, 3500) == "25–35 N/cm"
    assert show.shore((70, 70)) == "70"
    assert show.number(-0.04, 1) == "0.0"


@given(st.floats(min_value=200, max_value=900))
def test_celsius_and_fahrenheit_tell_the_same_temperature(kelvin):
    celsius = float(show.temperature(kelvin, METRIC).removesuffix(" °C").replace("−", "-"))
    fahrenheit = float(show.temperature(kelvin, AMERICAN).removesuffix(" °F").replace("−", "-").replace(",", ""))
    assert units.from_celsius(celsius) == pytest.approx(units.from_fahrenheit(fahrenheit), abs=0.5 + 0.5 / 1.8 + 1e-6)
