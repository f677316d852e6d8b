import numpy as np
import pytest

from laydown.errors import InvalidInput, OutOfRange
from laydown.physics.hand import hand_class, hand_mass

pytestmark = pytest.mark.interpreted

LIMITS = [0.020, 0.045, 0.080]


def test_a_solid_of_30_micron_plastisol_weighs_39_gram_a_square_metre_and_half_covered_half_as_much():
    assert hand_mass([30e-6], [1300.0], [1.0], [1.0]) == pytest.approx(0.039)
    assert hand_mass([30e-6], [1300.0], [0.5], [1.0]) == pytest.approx(0.0195)


def test_films_add_up_and_a_stiffer_ink_counts_for_more():
    mass = hand_mass([[20e-6], [10e-6]], [[1300.0], [1200.0]], [[1.0], [0.5]], [[1.0], [1.5]])

    assert mass == pytest.approx([20e-6 * 1300 + 10e-6 * 1200 * 0.5 * 1.5])


def test_classes_go_by_limits_and_a_mass_on_a_limit_is_in_the_softer_class():
    assert hand_class(np.array([0.0, 0.020, 0.0201, 0.045, 0.079, 0.2]), LIMITS).tolist() == [0, 0, 1, 1, 2, 3]


@pytest.mark.parametrize("limits", [[0.02, 0.02], [0.04, 0.02], [[0.02, 0.04]], [0.02, float("nan")]])
def test_limits_that_do_not_rise_are_refused(limits):
    with pytest.raises(InvalidInput, match="must rise"):
        hand_class(0.03, limits)


@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda: hand_mass([-1e-6], [1300.0], [1.0], [1.0]), "dry film"),
        (lambda: hand_mass([1e-6], [0.0], [1.0], [1.0]), "film density"),
        (lambda: hand_mass([1e-6], [1300.0], [1.2], [1.0]), "covered share"),
        (lambda: hand_mass([1e-6], [1300.0], [1.0], [-1.0]), "hand factor"),
        (lambda: hand_class(-0.1, LIMITS), "film mass"),
        (lambda: hand_class(float("nan"), LIMITS), "film mass"),
    ],
)
def test_impossible_inputs_are_out_of_range(call, quantity):
    with pytest.raises(OutOfRange) as caught:
        call()

    assert (caught.value.model, caught.value.quantity) == ("hand", quantity)
