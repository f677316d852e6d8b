"""Each refusal of the colour and film formulas names the one argument that is wrong."""

from __future__ import annotations

import numpy as np
import pytest

from laydown.errors import InvalidInput
from laydown.physics import colorimetry, drawdown, grey_scale, optics, saunderson

pytestmark = pytest.mark.interpreted

WHITE = [95.0, 100.0, 108.0]
BAD = [1.0, 2.0, np.nan]
SHORT = [1.0, 2.0]
FINE = [1.0, 2.0, 3.0]


def black_and_white(over_black=0.5, over_white=0.7, thickness=20e-6, black=0.0, white=0.8):
    return drawdown.optics_from_black_and_white(over_black, over_white, thickness, black=black, white=white)


def endless(film=0.5, thickness=20e-6, substrate=0.0, reflectivity=0.9):
    return drawdown.optics_from_reflectivity(film, thickness, substrate=substrate, reflectivity=reflectivity)


def contrast(ratio=0.9, thickness=20e-6, **rest):
    return drawdown.optics_from_contrast_ratio(ratio, thickness, **({"reflectivity": 0.9} | rest))


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: colorimetry.reflectance_to_xyz(np.ones(31), np.ones((36, 3))), "reflectance"),
        (lambda: colorimetry.xyz_to_lab(BAD, WHITE), "xyz"),
        (lambda: colorimetry.xyz_to_lab(SHORT, WHITE), "xyz"),
        (lambda: colorimetry.xyz_to_lab(FINE, [0, 100, 100]), "white"),
        (lambda: colorimetry.xyz_to_lab(FINE, SHORT), "white"),
        (lambda: colorimetry.lab_to_xyz(BAD, WHITE), "lab"),
        (lambda: colorimetry.lab_to_xyz(FINE, [FINE]), "white"),
        (lambda: colorimetry.srgb_from_8bit([0, 256, 0]), "srgb"),
        (lambda: colorimetry.srgb_from_8bit([0, -1, 0]), "srgb"),
        (lambda: colorimetry.srgb_from_8bit(SHORT), "srgb"),
        (lambda: colorimetry.srgb_to_8bit(BAD), "srgb"),
        (lambda: colorimetry.srgb_to_xyz([0, 0, 1.1]), "srgb"),
        (lambda: colorimetry.srgb_to_xyz(BAD), "srgb"),
        (lambda: colorimetry.xyz_to_srgb(BAD), "xyz"),
        (lambda: colorimetry.adapt_bradford(BAD, WHITE, WHITE), "xyz"),
        (lambda: colorimetry.adapt_bradford(FINE, WHITE, [0, 1, 1]), "white"),
        (lambda: grey_scale.staining_grade(SHORT, FINE), "reference_lab"),
        (lambda: grey_scale.staining_grade(FINE, BAD), "sample_lab"),
        (lambda: grey_scale.change_grade(BAD, FINE), "reference_lab"),
        (lambda: grey_scale.change_grade(FINE, SHORT), "sample_lab"),
        (lambda: grey_scale.staining_grade_of_difference(-0.1), "difference"),
        (lambda: grey_scale.change_grade_of_difference(np.nan), "difference"),
        (lambda: grey_scale.staining_difference_at_grade(0.9), "grade"),
        (lambda: grey_scale.change_difference_at_grade(5.1), "grade"),
        (lambda: saunderson.internal_reflectance(0.01, k1=0.04, k2=0.6), "measured"),
        (lambda: saunderson.external_reflection(0.9), "refractive_index"),
        (lambda: optics.reflectivity(-1.0, 1.0), "absorption"),
        (lambda: optics.reflectivity(1.0, np.inf), "scattering"),
        (lambda: optics.reflectivity(0.0, 0.0), "scattering"),
        (lambda: optics.absorption_from_reflectivity(1.1, 1.0), "reflectivity"),
        (lambda: optics.absorption_from_reflectivity(0.0, 1.0), "reflectivity"),
        (lambda: optics.absorption_from_reflectivity(0.5, -1.0), "scattering"),
        (lambda: optics.film_r0_and_transmittance(-1.0, 1.0, 1.0), "absorption"),
        (lambda: optics.film_r0_and_transmittance(1.0, 1.0, -1.0), "thickness"),
        (lambda: black_and_white(black=0.9, white=0.8), "black"),
        (lambda: black_and_white(black=-0.1), "black"),
        (lambda: black_and_white(white=1.1), "white"),
        (lambda: black_and_white(over_black=1.1), "over_black"),
        (lambda: black_and_white(over_white=1.1), "over_white"),
        (lambda: black_and_white(over_black=0.8, over_white=0.8), "over_black"),
        (lambda: black_and_white(over_white=0.95), "over_black"),
        (lambda: black_and_white(thickness=0.0), "thickness"),
        (lambda: endless(film=0.95), "over_substrate"),
        (lambda: endless(film=1.1), "over_substrate"),
        (lambda: endless(substrate=-0.1), "substrate"),
        (lambda: endless(reflectivity=1.1), "reflectivity"),
        (lambda: endless(thickness=np.nan), "thickness"),
        (lambda: contrast(1.0), "contrast_ratio"),
        (lambda: contrast(0.0), "contrast_ratio"),
        (lambda: contrast(thickness=-1.0), "thickness"),
        (lambda: contrast(reflectivity=1.1), "reflectivity"),
        (lambda: contrast(black=-0.1), "black"),
        (lambda: contrast(white=1.1), "white"),
    ],
)
def test_a_refusal_names_exactly_the_argument_that_is_wrong(call, where):
    with pytest.raises(InvalidInput) as refusal:
        call()

    assert refusal.value.where == where


def test_the_ends_of_what_a_colour_or_a_grade_may_be_are_allowed():
    assert colorimetry.srgb_from_8bit([0, 255, 0]).tolist() == [0.0, 1.0, 0.0]
    assert colorimetry.srgb_to_xyz([0.0, 0.0, 0.0]).tolist() == [0.0, 0.0, 0.0]
    assert grey_scale.staining_difference_at_grade(5.0) == grey_scale.change_difference_at_grade(5.0) == 0
    assert grey_scale.staining_grade_of_difference(grey_scale.staining_difference_at_grade(1.0)) == pytest.approx(1.0)
    assert optics.absorption_from_reflectivity(1.0, 3.0) == 0
    assert optics.film_reflectance(1.0, 1.0, 0.0, [0.0, 1.0]).tolist() == [0.0, 1.0]
