"""The searches for gel and cure refuse what is no record of temperatures, and take what just is one."""

from __future__ import annotations

import numpy as np
import pytest

from laydown.errors import InvalidInput
from laydown.physics.cure import fusion_cure, gel_time
from laydown.physics.saunderson import external_reflection

pytestmark = pytest.mark.interpreted
TWO = np.full((1, 2, 1), 400.0)
THREE_SAMPLES = np.full((3, 2, 1), 400.0)


@pytest.mark.parametrize(
    ("times", "temperature", "words"),
    [
        ([0.0], np.full((1, 1, 1), 400.0), "times: must be at least two rising times"),
        ([0.0, 0.0], TWO, "times: must be at least two rising times"),
        ([1.0, 0.0], TWO, "times: must be at least two rising times"),
        ([[0.0, 1.0]], TWO, "times: must be at least two rising times"),
        ([0.0, 1.0], np.full((1, 3, 1), 400.0), r"temperature: needs the shape \(sample, 2, cell\)"),
        ([0.0, 1.0], np.full((1, 2, 0), 400.0), r"temperature: needs the shape \(sample, 2, cell\)"),
        ([0.0, 1.0], np.full((1, 2), 400.0), r"temperature: needs the shape \(sample, 2, cell\)"),
        ([0.0, 1.0], np.full((1, 2, 1), np.nan), "temperature: must be finite kelvin above zero"),
        ([0.0, 1.0], np.full((1, 2, 1), np.inf), "temperature: must be finite kelvin above zero"),
        ([0.0, 1.0], np.full((1, 2, 1), 0.0), "temperature: must be finite kelvin above zero"),
    ],
)
def test_what_is_no_record_is_refused(times, temperature, words):
    with pytest.raises(InvalidInput, match=words):
        gel_time(times, temperature, 300.0)


def test_two_times_are_a_record_and_any_kelvin_above_zero_is_a_temperature():
    assert gel_time([0.0, 1.0], np.full((1, 2, 1), 0.5), 0.4) == 0.0


@pytest.mark.parametrize("level", [[350.0, 351.0], [[350.0]], np.full((3, 1), 350.0)])
def test_a_level_is_one_number_or_one_a_sample(level):
    with pytest.raises(InvalidInput, match="gel_temperature: must be one number or 3 numbers"):
        gel_time([0.0, 1.0], THREE_SAMPLES, level)


@pytest.mark.parametrize("level", [350.0, [350.0], [350.0, 350.0, 350.0]])
def test_one_level_serves_all_samples(level):
    assert list(gel_time([0.0, 1.0], THREE_SAMPLES, level)) == [0.0, 0.0, 0.0]


def test_a_film_that_is_hot_at_the_start_has_gelled_at_once_and_a_cold_one_never():
    film = np.array([[[400.0], [500.0]], [[300.0], [310.0]]])

    found = gel_time([2.0, 3.0], film, [400.0, 320.0])

    assert found[0] == 2.0
    assert np.isnan(found[1])


def test_a_hold_may_be_as_long_as_the_record_and_no_longer():
    film = np.full((1, 3, 1), 450.0)

    assert fusion_cure([1.0, 2.0, 4.0], film, fusion_temperature=433.0, hold=3.0).reached.all()
    for hold in (3.5, -0.1):
        with pytest.raises(InvalidInput):
            fusion_cure([1.0, 2.0, 4.0], film, fusion_temperature=433.0, hold=hold)


def test_a_surface_of_air_reflects_nothing_and_water_two_per_cent():
    assert external_reflection(1.0) == 0.0
    assert external_reflection(4 / 3) == pytest.approx((1 / 7) ** 2)
    with pytest.raises(InvalidInput, match=r"refractive_index: 0\.9 is below 1"):
        external_reflection(0.9)
