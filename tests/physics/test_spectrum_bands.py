"""Spectra come to the bands of the weights without being bent."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.physics.spectrum import WAVELENGTH_NM
from laydown.physics.spectrum_bands import in_bands


@given(st.lists(st.floats(0, 1), min_size=36, max_size=36))
def test_bands_that_were_measured_are_taken_as_they_are(values):
    assert in_bands(values, start_nm=380, step_nm=10).tolist() == values


@given(
    st.sampled_from([(380.0, 5.0, 71), (360.0, 20.0, 20), (390.0, 3.3333333333, 100), (340.0, 12.5, 40)]),
    st.lists(st.floats(-1, 1), min_size=4, max_size=4),
)
def test_a_cubic_is_met_exactly_between_measured_bands(grid, coefficients):
    start, step, count = grid
    measured = start + step * np.arange(count)

    def cubic(nm):
        return np.polyval(coefficients, (nm - 550) / 200)

    within = (measured[0] <= WAVELENGTH_NM) & (measured[-1] >= WAVELENGTH_NM)

    np.testing.assert_allclose(
        in_bands(cubic(measured), start_nm=start, step_nm=step)[within], cubic(WAVELENGTH_NM)[within], atol=1e-9
    )


def test_beyond_the_ends_the_last_value_stands():
    bands = in_bands([0.2, *[0.5] * 29, 0.7], start_nm=400, step_nm=10)

    assert bands[:3].tolist() == [0.2, 0.2, 0.2]
    assert bands[-4:].tolist() == [0.7] * 4


def test_many_spectra_are_brought_at_once():
    both = np.array([np.linspace(0, 1, 31), np.linspace(1, 0, 31)])

    bands = in_bands(both, start_nm=400, step_nm=10)

    assert bands.shape == (2, 36)
    np.testing.assert_array_equal(bands[1], in_bands(both[1], start_nm=400, step_nm=10))


@pytest.mark.parametrize(
    ("start", "step", "count", "sentence"),
    [
        (410, 10, 30, "runs from 410 to 700 nm; a colour needs 400 to 700 nm"),
        (400, 10, 30, "runs from 400 to 690 nm"),
        (380, 25, 20, "step of 25 nm is too wide"),
        (400, 10, 1, "too wide"),
    ],
)
def test_a_spectrum_that_gives_no_colour_is_refused(start, step, count, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        in_bands([0.5] * count, start_nm=start, step_nm=step)
