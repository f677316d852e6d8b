"""Rates and equivalent times by Arrhenius' law."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from laydown.errors import InvalidInput
from laydown.physics import arrhenius
from laydown.units import from_celsius, from_hour, from_kj_per_mol, to_day
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted


@pytest.mark.parametrize("row", reference_rows("equivalent_time"), ids=lambda r: f"{r['celsius']} C")
def test_an_oven_test_stands_for_its_days_on_the_shelf(row):
    days = to_day(
        arrhenius.equivalent_time(
            from_hour(float(row["hours"])),
            from_celsius(float(row["celsius"])),
            from_kj_per_mol(float(row["activation_kj_per_mol"])),
            from_celsius(float(row["reference_celsius"])),
        )
    )

    assert abs(days - float(row["expected"])) <= float(row["tolerance"])


def test_the_rate_at_the_reference_is_the_reference_rate():
    assert arrhenius.arrhenius_rate(3e-3, 433.15, 140e3, 433.15) == 3e-3


def test_the_slope_of_the_logarithm_is_the_activation_energy():
    t = np.array([300.0, 301.0])
    rates = arrhenius.arrhenius_rate(1.0, t, 87e3, 298.15)

    assert -arrhenius.GAS_CONSTANT * np.diff(np.log(rates)) / np.diff(1 / t) == pytest.approx(87e3)


def test_a_history_at_rest_passes_like_its_equivalent_time():
    times = np.array([0.0, 10.0, 400.0])
    passed = arrhenius.equivalent_time_of_history(times, np.full((2, 3), 350.0), 90e3, 298.15)

    assert passed == pytest.approx(arrhenius.equivalent_time(np.stack([times, times]), 350.0, 90e3, 298.15))


@pytest.mark.parametrize("activation", [0.0, 87e3, 200e3])
def test_a_ramp_passes_as_quadrature_says(activation):
    times, temperature = np.array([0.0, 40.0, 60.0, 4000.0]), np.array([298.0, 448.0, 340.0, 300.0])
    passed = arrhenius.equivalent_time_of_history(times, temperature, activation, 298.15)

    def speed(t):
        return float(arrhenius.arrhenius_factor(np.interp(t, times, temperature), activation, 298.15))

    exact = [quad(speed, a, b, epsabs=0, epsrel=1e-10, limit=400)[0] for a, b in pairwise(times)]
    assert passed == pytest.approx(np.append(0, np.cumsum(exact)), rel=1e-5)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"temperature": 0.0}, "temperature: must be above 0 K"),
        ({"reference": -3.0}, "reference: must be above 0 K"),
        ({"activation": -1.0}, "activation: must be zero or above"),
        ({"temperature": np.nan}, "temperature: must be above 0 K"),
    ],
)
def test_what_cannot_be_is_refused(change, message):
    with pytest.raises(InvalidInput, match=message):
        arrhenius.arrhenius_factor(**({"temperature": 300.0, "activation": 1e5, "reference": 300.0} | change))


def test_a_history_must_fit_its_times():
    with pytest.raises(InvalidInput, match="as long as times"):
        arrhenius.equivalent_time_of_history([0.0, 1.0], [300.0], 1e5, 300.0)
    with pytest.raises(InvalidInput, match="must not fall"):
        arrhenius.equivalent_time_of_history([1.0, 0.0], [300.0, 300.0], 1e5, 300.0)


def test_a_history_of_one_moment_has_passed_no_time():
    assert arrhenius.equivalent_time_of_history([5.0], [[300.0], [400.0]], 1e5, 300.0).tolist() == [[0.0], [0.0]]


def test_a_moment_told_twice_takes_no_time_and_short_steps_are_steps():
    passed = arrhenius.equivalent_time_of_history([0.0, 0.5, 0.5, 1.0], [300.0, 300.0, 350.0, 350.0], 9e4, 300.0)

    hot = 0.5 * np.exp(9e4 / 8.31446261815324 * (1 / 300 - 1 / 350))
    assert passed == pytest.approx([0.0, 0.5, 0.5, 0.5 + hot])
