"""Samples of uncertain inputs."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.models.sampling import DIMENSIONS, Z95, corner_set, median_set, percentiles, sample_set, spread_over
from small_shop import q

SIGNED = st.floats(-1e3, 1e3)
POSITIVE = st.floats(1e-6, 1e6)


def test_every_direction_has_one_point_in_each_of_its_strata():
    from scipy.special import ndtr

    points = sample_set(64).points

    strata = np.floor(ndtr(points) * 64).astype(int)
    for column in strata.T:
        assert sorted(column) == list(range(64))


def test_the_same_seed_gives_the_same_points():
    np.testing.assert_array_equal(sample_set(32, seed=7).points, sample_set(32, seed=7).points)


def test_another_seed_gives_other_points():
    assert not np.array_equal(sample_set(32, seed=7).points, sample_set(32, seed=8).points)


def test_directions_are_drawn_independently_of_each_other():
    correlation = np.corrcoef(sample_set(256).points.T) - np.eye(len(DIMENSIONS))

    # Among the 300 pairs, chance alone reaches four standard errors (0.25) less than once in fifty draws.
    assert np.abs(correlation).max() < 0.25


def test_directions_have_different_names():
    assert len(set(DIMENSIONS)) == len(DIMENSIONS)


@pytest.mark.parametrize("size", [1, 0, -3])
def test_fewer_than_two_samples_are_refused(size):
    with pytest.raises(InvalidInput, match=f"at least 2 samples, not {size}"):
        sample_set(size)


@given(low=POSITIVE, middle=POSITIVE, high=POSITIVE)
def test_the_ends_of_an_interval_lie_at_5_and_95_per_cent(low, middle, high):
    low, middle, high = sorted((low, middle, high))

    found = spread_over(q(middle, low, high), np.array([-Z95, 0.0, Z95]))

    assert found == pytest.approx([low, middle, high], rel=1e-9)


@given(low=SIGNED, middle=SIGNED, high=SIGNED)
def test_an_interval_that_reaches_below_zero_has_its_ends_at_5_and_95_per_cent_too(low, middle, high):
    low, middle, high = sorted((low, middle, high))

    found = spread_over(q(middle, low - 1e3, high), np.array([-Z95, 0.0, Z95]))

    assert found == pytest.approx([low - 1e3, middle, high], rel=1e-9, abs=1e-9)


@given(low=POSITIVE, middle=POSITIVE, high=POSITIVE)
def test_a_positive_quantity_stays_positive_in_every_sample(low, middle, high):
    low, middle, high = sorted((low, middle, high))

    assert (spread_over(q(middle, low, high), np.linspace(-6, 6, 25)) > 0).all()


def test_an_interval_that_begins_at_zero_gives_no_negative_sample():
    values = spread_over(q(0.05, 0.0, 0.1), np.linspace(-6, 6, 25))

    assert values.min() == 0.0
    assert values.max() > 0.1


def test_a_further_place_never_gives_a_smaller_value():
    z = np.linspace(-4, 4, 81)

    for quantity in (q(2.0, 1.0, 9.0), q(0.0, -1.0, 3.0), q(5.0, 5.0, 6.0), q(5.0, 4.0, 5.0)):
        assert (np.diff(spread_over(quantity, z)) >= 0).all()


def test_a_quantity_without_spread_is_the_same_in_every_sample():
    samples = sample_set(16)

    assert (samples.of(q(3.5), "release") == 3.5).all()


def test_nine_samples_of_ten_lie_in_the_interval():
    values = sample_set(200).of(q(1.0, 0.5, 3.0), "diffusion")

    assert 0.89 <= ((values >= 0.5) & (values <= 3.0)).mean() <= 0.91


def test_the_median_set_holds_every_input_at_its_best_estimate():
    samples = median_set()

    assert samples.size == 1
    assert samples.of(q(1.0, 0.2, 9.0), "transfer") == pytest.approx([1.0])


def test_a_corner_moves_only_the_directions_that_it_names():
    samples = corner_set(({"transfer": -1.0}, {}, {"release": 2.0, "transfer": 1.0}))

    assert samples.normal("transfer").tolist() == [-1.0, 0.0, 1.0]
    assert samples.normal("release").tolist() == [0.0, 0.0, 2.0]
    assert not samples.points[1].any()
    assert np.count_nonzero(samples.points) == 3


def test_a_corner_of_an_unknown_direction_is_a_mistake():
    with pytest.raises(ValueError, match="tuple"):
        corner_set(({"colour of the moon": 1.0},))


def test_percentiles_are_those_of_the_sample():
    spread = percentiles(np.arange(101.0))

    assert (spread.p10, spread.p50, spread.p90) == (10.0, 50.0, 90.0)


@given(st.lists(st.floats(-1e9, 1e9), min_size=1, max_size=300))
def test_percentiles_are_those_of_numpy_to_the_last_bit(values):
    spread = percentiles(np.array(values))

    assert [spread.p10, spread.p50, spread.p90] == np.percentile(values, (10, 50, 90)).tolist()


def test_a_sample_that_is_not_a_number_has_no_percentiles():
    spread = percentiles(np.array([1.0, math.nan, 3.0]))

    assert all(math.isnan(p) for p in (spread.p10, spread.p50, spread.p90))
