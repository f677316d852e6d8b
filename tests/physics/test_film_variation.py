import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from laydown.errors import OutOfRange
from laydown.physics.film_variation import smoothed_variation, thickness_factors

pytestmark = pytest.mark.interpreted

deviations = st.floats(1e-3, 1.5)


@given(deviations, st.integers(2, 32))
def test_factors_are_positive_and_keep_mean_and_deviation_exactly(variation, points):
    factors, weights = thickness_factors(variation, points)

    assert (factors > 0).all()
    assert (weights >= 0).all()
    assert weights.sum() == pytest.approx(1, abs=1e-13)
    assert (weights * factors).sum() == pytest.approx(1, abs=1e-12)
    assert (weights * (factors - 1) ** 2).sum() == pytest.approx(variation**2, rel=1e-9)


def test_third_moment_is_that_of_the_gamma_distribution():
    factors, weights = thickness_factors(0.4, 3)

    assert (weights * (factors - 1) ** 3).sum() == pytest.approx(2 * 0.4**4, rel=1e-9)


@pytest.mark.parametrize("variation", [0.1, 0.25, 0.5])
def test_a_smooth_average_over_the_film_agrees_with_adaptive_integration(variation):
    shape = variation**-2
    exact, _ = integrate.quad(lambda t: np.exp(-2 * t) * stats.gamma.pdf(t, shape, scale=1 / shape), 0, 20)
    factors, weights = thickness_factors(variation, 8)

    assert (weights * np.exp(-2 * factors)).sum() == pytest.approx(exact, rel=1e-6)


@pytest.mark.parametrize("variation", [0.0, 1e-5])
def test_an_even_film_has_its_mean_thickness_everywhere(variation):
    factors, weights = thickness_factors(variation, 4)

    assert (factors == 1).all()
    assert weights.sum() == pytest.approx(1)


def test_a_small_deviation_gives_the_points_of_a_normal_distribution():
    factors, weights = thickness_factors(1e-3, 3)

    assert (factors - 1) / 1e-3 == pytest.approx([-np.sqrt(3), 0, np.sqrt(3)], abs=5e-3)
    assert weights == pytest.approx([1 / 6, 2 / 3, 1 / 6], abs=1e-3)


def test_many_deviations_at_once_give_what_each_gives_alone():
    many = np.array([[0.0, 0.1], [0.3, 1.2]])
    factors, weights = thickness_factors(many)

    assert factors.shape == weights.shape == (2, 2, 5)
    for place in np.ndindex(2, 2):
        alone = thickness_factors(many[place])
        assert factors[place] == pytest.approx(alone[0], rel=1e-12)
        assert weights[place] == pytest.approx(alone[1], rel=1e-9)


@given(deviations, st.floats(0, 1), st.integers(0, 3))
def test_smoothing_never_roughens_and_each_pass_multiplies(variation, smoothing, passes):
    smoothed = smoothed_variation(variation, smoothing, passes)

    assert smoothed <= variation
    assert smoothed == pytest.approx(variation * smoothing**passes)


@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda: thickness_factors(-0.1), "relative standard deviation"),
        (lambda: thickness_factors(1.6), "relative standard deviation"),
        (lambda: thickness_factors(float("nan")), "relative standard deviation"),
        (lambda: thickness_factors(0.2, 1), "number of points"),
        (lambda: thickness_factors(0.2, 33), "number of points"),
        (lambda: smoothed_variation(-0.1, 0.5), "relative standard deviation"),
        (lambda: smoothed_variation(0.1, 1.5), "smoothing"),
        (lambda: smoothed_variation(0.1, 0.5, -1), "smoothing passes"),
    ],
)
def test_impossible_inputs_are_out_of_range(call, quantity):
    with pytest.raises(OutOfRange) as caught:
        call()

    assert (caught.value.model, caught.value.quantity) == ("film thickness variation", quantity)


def test_one_pass_is_meant_when_no_number_is_given():
    assert smoothed_variation(0.3, 0.5) == smoothed_variation(0.3, 0.5, 1)
