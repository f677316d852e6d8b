import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from laydown.data.colorimetric import tristimulus_weights, white_point
from laydown.errors import ConvergenceError, InvalidInput
from laydown.physics import spectrum
from laydown.physics.colorimetry import (
    reflectance_to_xyz,
    srgb_from_8bit,
    srgb_to_8bit,
    srgb_to_xyz,
    xyz_to_lab,
    xyz_to_srgb,
)

pytestmark = pytest.mark.interpreted

W = tristimulus_weights("D65/2")
bytes_of_colour = st.tuples(*[st.integers(0, 255)] * 3)


def roughness(reflectance):
    """Sum of squared steps in z, R = (1 + tanh z)/2."""
    return (np.diff(np.arctanh(2 * reflectance - 1)) ** 2).sum()


@given(values=bytes_of_colour)
@example(values=(255, 255, 254))
@example(values=(0, 0, 1))
@example(values=(255, 0, 0))
@example(values=(0, 255, 0))
@example(values=(0, 0, 255))
@example(values=(255, 255, 0))
@example(values=(0, 255, 255))
@example(values=(255, 0, 255))
def test_every_srgb_colour_has_a_spectrum_of_its_own_colour(values):
    srgb = srgb_from_8bit(values)
    reflectance = spectrum.reflectance_of_srgb(srgb, W)
    xyz = reflectance_to_xyz(reflectance, W)

    assert reflectance.shape == spectrum.WAVELENGTH_NM.shape
    if max(values) > 0 and min(values) < 255:
        assert (reflectance > 0).all()
        assert (reflectance < 1).all()
    # The standard's rounded white is moved onto that of the weights: 0.02 at most.
    np.testing.assert_allclose(xyz, srgb_to_xyz(srgb), atol=0.02)
    np.testing.assert_array_equal(srgb_to_8bit(xyz_to_srgb(xyz)), values)


@given(values=bytes_of_colour, condition=st.sampled_from(["D65/10", "D50/2", "D65/2", "A/10"]))
def test_the_spectrum_of_a_colour_has_that_colour_to_1e_6(values, condition):
    # Any spectrum whose steps are not too sharp gives a colour that certainly exists.
    weights = tristimulus_weights(condition)
    target = reflectance_to_xyz(spectrum.reflectance_of_srgb(srgb_from_8bit(values), W), weights)

    xyz = reflectance_to_xyz(spectrum.reflectance_of_xyz(target, weights), weights)
    np.testing.assert_allclose(xyz, target, atol=1e-6)


def test_black_and_white_have_the_only_spectra_they_can_have():
    np.testing.assert_array_equal(spectrum.reflectance_of_srgb([0, 0, 0], W), np.zeros(36))
    np.testing.assert_array_equal(spectrum.reflectance_of_srgb([1, 1, 1], W), np.ones(36))


def test_a_grey_is_flat():
    reflectance = spectrum.reflectance_of_xyz(0.18 * white_point("D65/10"), tristimulus_weights("D65/10"))
    np.testing.assert_allclose(reflectance, 0.18, atol=1e-12)


@given(values=st.tuples(*[st.integers(20, 235)] * 3), seed=st.integers(0, 1000))
def test_no_neighbouring_spectrum_of_the_colour_is_smoother(values, seed):
    reflectance = spectrum.reflectance_of_srgb(srgb_from_8bit(values), W)
    z = np.arctanh(2 * reflectance - 1)
    # A small step that keeps the colour: off the three directions that would change it.
    slope = 2 * reflectance * (1 - reflectance)
    step = np.random.default_rng(seed).normal(size=36)
    change = slope[:, None] * W
    step -= change @ np.linalg.lstsq(change, step, rcond=None)[0]

    slope_of_roughness = 2 * (np.diff(z) * np.diff(step)).sum()
    assert slope_of_roughness == pytest.approx(0, abs=1e-6 * (1 + roughness(reflectance)))


def test_a_lab_colour_comes_back_under_its_own_light():
    weights, white = tristimulus_weights("D50/2"), white_point("D50/2")
    reflectance = spectrum.reflectance_of_lab([40, 50, 30], weights)
    np.testing.assert_allclose(xyz_to_lab(reflectance_to_xyz(reflectance, weights), white), [40, 50, 30], atol=1e-8)


@pytest.mark.parametrize("lab", [[50, 120, 0], [20, -80, 40], [99, 0, 40], [101, 0, 0], [0, 5, 0], [-1, 0, 0]])
def test_a_colour_that_no_surface_has_is_refused(lab):
    with pytest.raises(InvalidInput, match="no surface has the colour") as refusal:
        spectrum.reflectance_of_lab(lab, tristimulus_weights("D65/10"))
    assert refusal.value.where == "lab"


def test_a_colour_on_the_skin_of_what_surfaces_can_have_is_refused_or_met():
    # Spectra of two sharp steps are the purest colours there are.
    met, refused = 0, []
    for start in range(0, 36, 3):
        for stop in range(start + 2, 37, 3):
            for share in (0.0, 1e-5):
                sharp = np.full(36, share)
                sharp[start:stop] = 1 - share
                target = reflectance_to_xyz(sharp, W)
                try:
                    reflectance = spectrum.reflectance_of_xyz(target, W)
                except InvalidInput as refusal:
                    refused.append(refusal)
                else:
                    np.testing.assert_allclose(reflectance_to_xyz(reflectance, W), target, atol=1e-6)
                    met += 1

    assert met > 50
    assert any("lies on the edge of what a surface can have" in refusal.what for refusal in refused)
    assert {refusal.where for refusal in refused} == {"xyz"}


@pytest.mark.parametrize("share", [0.1, 0.01, 0.001])
def test_a_colour_just_inside_the_skin_is_met(share):
    for start, stop in [(5, 14), (12, 20), (18, 36), (0, 9)]:
        sharp = np.full(36, share)
        sharp[start:stop] = 1 - share
        target = reflectance_to_xyz(sharp, W)
        np.testing.assert_allclose(reflectance_to_xyz(spectrum.reflectance_of_xyz(target, W), W), target, atol=1e-6)


def test_a_solver_that_does_not_arrive_says_so(monkeypatch):
    monkeypatch.setattr(spectrum, "MOST_STEPS", 1)
    with pytest.raises(ConvergenceError, match="smoothest reflectance"):
        spectrum.reflectance_of_xyz([40, 30, 20], W)


def test_weights_that_tell_no_colours_apart_are_refused():
    for different in ([40, 30, 20], [30, 20, 10]):
        with pytest.raises(InvalidInput, match="no surface has the colour"):
            spectrum.reflectance_of_xyz(different, np.ones((36, 3)))


@pytest.mark.parametrize(
    ("xyz", "weights", "what"),
    [([1, 2], W, "three numbers"), ([1, 2, 3], np.ones((36, 2)), "three columns"), ([1, np.nan, 3], W, "finite")],
)
def test_what_is_no_colour_is_refused(xyz, weights, what):
    with pytest.raises(InvalidInput, match=what):
        spectrum.reflectance_of_xyz(xyz, weights)


def test_room_is_how_far_the_colour_of_a_flat_grey_keeps_from_black_and_white():
    # No spectrum of that colour is everywhere above (or below) its mean.
    for grey in (0.3, 0.8):
        assert spectrum._room(grey * white_point("D65/2"), W) == pytest.approx(min(grey, 1 - grey), abs=1e-9)
    assert spectrum._room(1.1 * white_point("D65/2"), W) == pytest.approx(-0.1, abs=1e-9)


@pytest.mark.parametrize(
    ("xyz", "what"),
    [([1, np.nan, 3], "finite"), ([90.0, 20.5, 10.0], "no surface has the colour X = 90, Y = 20.5, Z = 10: ")],
)
def test_a_refused_colour_is_named_with_its_values(xyz, what):
    with pytest.raises(InvalidInput, match=what) as refusal:
        spectrum.reflectance_of_xyz(xyz, W)

    assert refusal.value.where == "xyz"


@pytest.mark.parametrize(
    "values",
    [(255, 0, 0), (0, 255, 0), (0, 0, 255), (0, 255, 255), (255, 0, 255), (255, 255, 0), (255, 255, 254), (0, 0, 1)],
)
def test_the_corners_of_srgb_take_at_most_ten_steps(values, monkeypatch):
    monkeypatch.setattr(spectrum, "MOST_STEPS", 10)
    reflectance = spectrum.reflectance_of_srgb(srgb_from_8bit(values), W)

    np.testing.assert_allclose(reflectance_to_xyz(reflectance, W), srgb_to_xyz(srgb_from_8bit(values)), atol=0.02)
