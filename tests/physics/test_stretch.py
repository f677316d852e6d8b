import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from laydown.errors import OutOfRange
from laydown.physics import stretch

pytestmark = pytest.mark.interpreted

elongations = st.floats(0, 6)


@given(elongations, elongations, st.floats(0, 1))
def test_a_mixture_stretches_neither_less_nor_more_than_its_parts(ink, additive, share):
    mixed = stretch.mixed_elongation(ink, additive, share)

    assert min(ink, additive) - 1e-12 <= mixed <= max(ink, additive) + 1e-12


def test_a_third_of_additive_goes_a_third_of_the_way():
    assert stretch.mixed_elongation(0.6, 3.0, 1 / 3) == pytest.approx(1.4)
    assert stretch.mixed_elongation(0.6, 3.0, 0.0) == 0.6
    assert stretch.mixed_elongation(0.6, 3.0, 1.0) == 3.0


def test_a_print_cracks_where_the_cloth_stretches_further_than_the_ink():
    assert stretch.stretch_margin(0.6, 0.35) == pytest.approx(0.25)
    assert stretch.stretch_margin(0.6, 1.0) == pytest.approx(-0.4)


def test_a_stack_holds_no_further_than_its_stiffest_film():
    films = np.array([[1.5, 3.0], [0.8, 4.0]])

    assert stretch.stack_margin(films, np.array([0.5, 1.0])) == pytest.approx([0.3, 2.0])


@given(elongations, elongations, elongations)
def test_the_share_needed_just_reaches_the_cloth(ink, additive, cloth):
    assume(abs(additive - ink) > 1e-6)
    share = float(stretch.additive_needed(ink, additive, cloth))

    if ink >= cloth:
        assert share == 0
    elif additive < cloth:
        assert np.isnan(share)
    else:
        assert 0 < share <= 1
        assert stretch.mixed_elongation(ink, additive, share) == pytest.approx(cloth, abs=1e-9)


@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda: stretch.mixed_elongation(-0.1, 1.0, 0.5), "ink elongation"),
        (lambda: stretch.mixed_elongation(0.1, 21.0, 0.5), "additive elongation"),
        (lambda: stretch.mixed_elongation(0.1, 1.0, 1.1), "additive share"),
        (lambda: stretch.stretch_margin(float("nan"), 0.5), "ink elongation"),
        (lambda: stretch.stretch_margin(0.5, -0.5), "working stretch"),
        (lambda: stretch.additive_needed(-0.5, 1.0, 0.5), "ink elongation"),
        (lambda: stretch.additive_needed(0.5, -1.0, 0.5), "additive elongation"),
        (lambda: stretch.additive_needed(0.5, 1.0, 21.0), "working stretch"),
    ],
)
def test_impossible_inputs_are_out_of_range(call, quantity):
    with pytest.raises(OutOfRange) as caught:
        call()

    assert (caught.value.model, caught.value.quantity) == ("stretch", quantity)
