import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.data.colorimetric import tristimulus_weights, white_point
from laydown.errors import InvalidInput
from laydown.physics import colorimetry

pytestmark = pytest.mark.interpreted

D65 = np.array([95.047, 100.0, 108.883])
D50 = np.array([96.422, 100.0, 82.521])
bytes_of_colour = st.tuples(*[st.integers(0, 255)] * 3)
labs = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


@pytest.fixture(scope="module")
def library():
    """Return an independent colour library; it warns of optional parts that are not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


def chromaticity(xyz):
    return np.asarray(xyz)[:2] / np.sum(xyz)


def test_lab_agrees_with_an_independent_library(library):
    xyz = np.random.default_rng(0).uniform(0, 110, (500, 3))
    xyz[:50] *= 0.01  # the straight piece near black

    expected = library.XYZ_to_Lab(xyz / 100, chromaticity(D65))
    np.testing.assert_allclose(
        colorimetry.xyz_to_lab(xyz, library.xy_to_XYZ(chromaticity(D65)) * 100), expected, atol=1e-9
    )


def test_bradford_adaptation_agrees_with_an_independent_library(library):
    xyz = np.random.default_rng(1).uniform(0, 100, (100, 3))

    expected = library.chromatic_adaptation(xyz / 100, D65 / 100, D50 / 100, method="Von Kries", transform="Bradford")
    np.testing.assert_allclose(colorimetry.adapt_bradford(xyz, D65, D50) / 100, expected, atol=1e-12)


def test_srgb_agrees_with_an_independent_library(library):
    srgb = np.random.default_rng(2).uniform(0, 1, (500, 3))
    srgb[:50] *= 0.05  # the straight piece near black
    space = library.RGB_COLOURSPACES["sRGB"]

    linear = library.models.eotf_sRGB(srgb)
    np.testing.assert_allclose(colorimetry.srgb_to_xyz(srgb), 100 * linear @ space.matrix_RGB_to_XYZ.T, atol=1e-9)


def test_a_spectrum_has_the_colour_that_fine_integration_gives(library):
    from laydown.physics.spectrum import WAVELENGTH_NM

    # A smooth red: 10 nm weights and 1 nm integration must agree to a few hundredths.
    reflectance = 0.05 + 0.6 / (1 + np.exp(-(WAVELENGTH_NM - 600) / 12))
    sd = library.SpectralDistribution(reflectance, WAVELENGTH_NM)
    cmfs = library.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says that it extends the spectrum to the observer's range
        expected = library.sd_to_XYZ(sd, cmfs, library.SDS_ILLUMINANTS["D65"], method="Integration")

    xyz = colorimetry.reflectance_to_xyz(reflectance, tristimulus_weights("D65/10"))
    np.testing.assert_allclose(xyz, expected, atol=0.03)


def test_white_is_100_0_0_and_black_is_0_0_0():
    for white in (D65, D50):
        np.testing.assert_allclose(colorimetry.xyz_to_lab(white, white), [100, 0, 0], atol=1e-12)
        np.testing.assert_allclose(colorimetry.xyz_to_lab([0, 0, 0], white), [0, 0, 0], atol=1e-12)


@given(lab=labs)
def test_lab_comes_back_from_xyz(lab):
    np.testing.assert_allclose(colorimetry.xyz_to_lab(colorimetry.lab_to_xyz(lab, D65), D65), lab, atol=1e-9)


def test_lab_is_continuous_where_its_two_pieces_meet():
    limit = colorimetry.LAB_LIMIT * 100
    below, above = (colorimetry.xyz_to_lab(np.full(3, limit * f), [100, 100, 100]) for f in (1 - 1e-9, 1 + 1e-9))

    assert below[0] == pytest.approx(8, abs=1e-6)
    np.testing.assert_allclose(below, above, atol=1e-6)


@given(values=bytes_of_colour)
def test_every_8_bit_colour_comes_back(values):
    xyz = colorimetry.srgb_to_xyz(colorimetry.srgb_from_8bit(values))
    np.testing.assert_array_equal(colorimetry.srgb_to_8bit(colorimetry.xyz_to_srgb(xyz)), values)


def test_srgb_white_has_the_standard_s_own_rounding_of_d65():
    np.testing.assert_allclose(colorimetry.srgb_to_xyz([1, 1, 1]), [95.05, 100, 108.90], atol=1e-9)


def test_a_colour_outside_srgb_is_clipped_for_the_screen():
    np.testing.assert_allclose(colorimetry.xyz_to_srgb([20, 60, 10])[0], 0, atol=1e-12)
    np.testing.assert_allclose(colorimetry.xyz_to_srgb([200, 200, 200]), 1, atol=1e-12)


@given(lab=labs)
def test_adapting_there_and_back_changes_nothing(lab):
    xyz = colorimetry.lab_to_xyz(lab, D65)
    there = colorimetry.adapt_bradford(xyz, D65, D50)
    np.testing.assert_allclose(colorimetry.adapt_bradford(there, D50, D65), xyz, atol=1e-9)


def test_adaptation_turns_one_white_into_the_other():
    np.testing.assert_allclose(colorimetry.adapt_bradford(D65, D65, D50), D50, atol=1e-12)


def test_images_and_lists_of_spectra_keep_their_shape():
    weights = tristimulus_weights("D65/10")
    xyz = colorimetry.reflectance_to_xyz(np.full((4, 7, 36), 0.5), weights)

    assert xyz.shape == (4, 7, 3)
    np.testing.assert_allclose(xyz[0, 0], 0.5 * white_point("D65/10"), atol=1e-12)
    assert colorimetry.xyz_to_lab(xyz, white_point("D65/10")).shape == (4, 7, 3)
    assert colorimetry.lab_to_xyz(xyz, D65).shape == (4, 7, 3)


@pytest.mark.parametrize(
    ("call", "what"),
    [
        (lambda: colorimetry.reflectance_to_xyz(np.ones(31), tristimulus_weights("D65/10")), "bands"),
        (lambda: colorimetry.reflectance_to_xyz(np.ones(36), np.ones((36, 4))), "bands"),
        (lambda: colorimetry.xyz_to_lab([1, 2], D65), "xyz: needs three"),
        (lambda: colorimetry.xyz_to_lab([1, 2, np.nan], D65), "finite"),
        (lambda: colorimetry.xyz_to_lab([1, 2, 3], [0, 100, 100]), "white"),
        (lambda: colorimetry.lab_to_xyz([1, 2, 3], [[1, 2, 3]]), "white"),
        (lambda: colorimetry.srgb_from_8bit([0, 256, 0]), "between 0 and 255"),
        (lambda: colorimetry.srgb_to_xyz([0, 0, -0.1]), "between 0 and 1"),
        (lambda: colorimetry.srgb_to_xyz([0, 0, 1.1]), "between 0 and 1"),
    ],
)
def test_what_is_no_colour_is_refused(call, what):
    with pytest.raises(InvalidInput, match=what):
        call()


def test_what_a_screen_cannot_show_is_shown_as_near_as_it_can():
    assert colorimetry.srgb_to_8bit([-0.1, 0.5, 1.2]).tolist() == [0, 128, 255]
    assert colorimetry.srgb_to_8bit([0.0, 0.5, 1.0]).dtype == np.uint8
