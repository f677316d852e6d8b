"""Colours as spectra."""

import numpy as np
import pytest

from laydown.domain.colour import Colour
from laydown.errors import InvalidInput
from laydown.models.colour import lab_of, reflectance


def test_a_measured_spectrum_is_taken_as_it_is():
    given = tuple(np.linspace(0.1, 0.8, 36))

    np.testing.assert_array_equal(reflectance(Colour(spectrum=given)), given)


@pytest.mark.parametrize("condition", ["D65/10", "D50/2"])
def test_a_lab_colour_comes_back_under_the_light_it_was_measured_in(condition):
    found = reflectance(Colour(lab=(62.0, 18.0, -9.0), lab_condition=condition))

    assert lab_of(found, condition) == pytest.approx([62, 18, -9], abs=1e-6)


@pytest.mark.parametrize(("srgb", "lightness"), [("#ffffff", 100.0), ("#000000", 0.0), ("#777777", 50.0)])
def test_a_grey_has_its_lightness_and_no_chroma(srgb, lightness):
    lab = lab_of(reflectance(Colour(srgb=srgb)), "D65/2")

    assert lab[0] == pytest.approx(lightness, abs=0.05)
    assert np.hypot(lab[1], lab[2]) < 0.05


def test_many_spectra_give_many_colours():
    both = np.stack([reflectance(Colour(srgb="#c01725")), reflectance(Colour(srgb="#1c3f94"))])

    found = lab_of(both[:, None, :], "D65/10")

    assert found.shape == (2, 1, 3)
    assert found[0, 0] == pytest.approx(lab_of(both[0], "D65/10"))


def test_a_colour_that_no_surface_can_have_is_refused_by_name():
    with pytest.raises(InvalidInput, match="Lab 90, 140, 0 is a colour that no surface can have"):
        reflectance(Colour(lab=(90.0, 140.0, 0.0)))
