from __future__ import annotations

import pytest

from laydown.domain.colour import BANDS, Colour
from laydown.report.hatches import relative_luminance
from laydown.report.swatch_colour import FALLBACK, lab_to_srgb, srgb_of


def test_srgb_is_shown_as_it_is():
    assert srgb_of(Colour(srgb="#8C1D2F")) == "#8c1d2f"


def test_nothing_is_grey():
    assert srgb_of(None) == FALLBACK


@pytest.mark.parametrize("condition", ["D65/10", "D50/2"])
def test_the_perfect_white_and_black_are_white_and_black_under_any_light(condition):
    assert srgb_of(Colour(lab=(100.0, 0.0, 0.0), lab_condition=condition)) == "#ffffff"
    assert lab_to_srgb((0.0, 0.0, 0.0), condition) == "#000000"


def test_a_flat_spectrum_is_a_grey_of_its_own_luminance():
    shown = srgb_of(Colour(spectrum=(0.2,) * BANDS))

    assert shown[1:3] == shown[3:5] == shown[5:7]
    assert relative_luminance(shown) == pytest.approx(0.2, abs=0.003)
