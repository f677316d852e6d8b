import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown import units
from laydown.errors import OutOfRange
from laydown.physics import trade_wet_height as trade
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted


def micron_or_nan(text):
    return units.from_micron(float(text)) if text else math.nan


@pytest.mark.parametrize("row", reference_rows("trade_wet_height"), ids=lambda row: f"{row['weave']} {row['expected']}")
def test_wet_heights_of_the_article_are_met(row):
    height = trade.trade_wet_height(
        units.from_threads_per_cm(float(row["threads_per_cm"])),
        micron_or_nan(row["thread_um"]),
        micron_or_nan(row["fabric_thickness_um"]),
        row["weave"],
    )

    assert units.to_micron(height) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_the_step_between_the_coarse_and_the_medium_band_is_kept_as_it_is():
    coarse = trade.trade_wet_height(4200.0, 75e-6, 126e-6, "plain")
    medium = trade.trade_wet_height(4300.0, 80e-6, 135e-6, "plain")

    assert units.to_micron(coarse) == pytest.approx(64.0, abs=0.1)
    assert units.to_micron(medium) == pytest.approx(38.5, abs=0.1)


@given(st.floats(42.001, 42.999) | st.floats(139.001, 139.999))
def test_a_count_between_the_bands_is_refused_and_not_interpolated(per_cm):
    with pytest.raises(OutOfRange, match="threads/cm is outside the range it covers"):
        trade.trade_wet_height(units.from_threads_per_cm(per_cm), 60e-6, 100e-6, "plain")


@pytest.mark.parametrize("per_cm", [43.0, 139.0])
def test_a_band_ends_where_the_article_ends_it_even_when_the_count_was_given_per_inch(per_cm):
    count = units.from_threads_per_inch(units.to_threads_per_inch(units.from_threads_per_cm(per_cm)) * (1 + 4e-16))

    assert trade.trade_wet_height(count, math.nan, 100e-6, "plain") == pytest.approx(28.5e-6)


def test_each_formula_refuses_counts_of_another_band():
    for formula, per_cm in (
        (trade.coarse_wet_height, 43.0),
        (trade.medium_wet_height, 42.0),
        (trade.medium_wet_height, 140.0),
        (trade.fine_wet_height, 139.0),
        (trade.fine_wet_height, 201.0),
        (trade.twill_wet_height, 201.0),
        (trade.twill_wet_height, 0.5),
    ):
        with pytest.raises(OutOfRange):
            formula(units.from_threads_per_cm(per_cm), 50e-6)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: trade.coarse_wet_height(0.0, 50e-6), "share of the pitch = 0"),
        (lambda: trade.coarse_wet_height(4000.0, 260e-6), "share of the pitch = 1.04"),
        (lambda: trade.coarse_wet_height(-100.0, 50e-6), "count of a coarse plain mesh = -1 threads/cm"),
        (lambda: trade.coarse_wet_height(4000.0, 0.0), "thread diameter = 0 µm"),
        (lambda: trade.coarse_wet_height(4000.0, math.nan), "thread diameter = nan µm"),
        (lambda: trade.medium_wet_height(9000.0, math.nan), "fabric thickness = nan µm"),
        (lambda: trade.trade_wet_height(math.nan, 50e-6, 80e-6, "plain"), "= nan threads/cm"),
    ],
)
def test_impossible_inputs_are_out_of_range(call, sentence):
    with pytest.raises(OutOfRange, match=sentence):
        call()


def test_all_samples_are_computed_at_once_and_one_outside_stops_them_all():
    assert trade.medium_wet_height(9000.0, np.array([60e-6, 80e-6])) == pytest.approx([17.1e-6, 22.8e-6])
    with pytest.raises(OutOfRange, match=r"= 42\.5 threads/cm"):
        trade.medium_wet_height(np.array([9000.0, 4250.0]), 80e-6)
