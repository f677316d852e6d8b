"""Colours of a file with a profile against arithmetic from the profile's own primaries and tables."""

import warnings
import zlib

import numpy as np
import profiles_made as made
import pytest
from art_files import chunk, noise, png, tiff
from PIL import Image


def tagged(samples, icc, **options):
    return png(samples, chunks=chunk(b"iCCP", b"made\0\0" + zlib.compress(icc)), **options)


def expected_rgb(samples, primaries, gamma, white=made.D65_XY):
    linear = (samples / 255.0) ** gamma
    return made.srgb_from_d50(linear @ made.to_d50(primaries, white).T)


@pytest.mark.parametrize(
    ("primaries", "gamma", "white"),
    [
        (made.WIDE, made.GAMMA, made.D65_XY),
        (((0.7347, 0.2653), (0.1596, 0.8404), (0.0366, 0.0001)), 461 / 256, (0.3457, 0.3585)),
        (((0.68, 0.32), (0.265, 0.69), (0.15, 0.06)), 666 / 256, (0.314, 0.351)),
    ],
    ids=["wide", "very wide under D50", "cinema"],
)
def test_wide_gamut_rgb(read, written, primaries, gamma, white):
    samples = noise(40, 50, 3)

    picture = read(written(tagged(samples, made.matrix_profile(primaries, gamma, white))), width=0.05)

    difference = np.abs(picture.pixels[..., :3] - expected_rgb(samples, primaries, gamma, white))
    # Clipped or dark channels cross a steep curve: there a step of the profile's fixed-point numbers shows.
    assert np.quantile(difference, 0.99) <= 1.0
    assert difference.max() <= 3.0
    assert picture.profile == "Wide test space"
    assert picture.notes[1:] == () or "profile" not in " ".join(picture.notes)


def test_the_arithmetic_of_this_test_agrees_with_published_matrices():
    """XYZ under D65 of the wide space as its specification prints it, to its five places."""
    published = np.array([[0.57667, 0.18556, 0.18823], [0.29734, 0.62736, 0.07529], [0.02703, 0.07069, 0.99134]])
    d65 = made.adaptation(made.D50, made.xyz_of(made.D65_XY)) @ made.to_d50(made.WIDE)

    assert np.abs(d65 - published).max() < 5e-5


def test_colour_science_agrees_on_the_wide_space(read, written):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

    samples = noise(30, 30, 3)

    picture = read(written(tagged(samples, made.matrix_profile())), width=0.05)

    wide = colour.RGB_Colourspace("wide", np.array(made.WIDE), np.array(made.D65_XY))
    srgb = colour.RGB_COLOURSPACES["sRGB"]
    linear = colour.RGB_to_RGB((samples / 255) ** made.GAMMA, wide, srgb, chromatic_adaptation_transform="Bradford")
    expected = 255 * colour.models.eotf_inverse_sRGB(np.clip(linear, 0, 1))
    assert np.quantile(np.abs(picture.pixels[..., :3] - expected), 0.99) <= 1.0


def test_alpha_is_left_alone_and_16_bits_are_converted_too(read, written):
    samples = noise(40, 50, 4, high=65536)

    picture = read(written(tagged(samples, made.matrix_profile(), bits=16)), width=0.05)

    eight = samples >> 8
    assert np.array_equal(picture.pixels[..., 3], eight[..., 3])
    difference = np.abs(picture.pixels[..., :3] - expected_rgb(eight[..., :3], made.WIDE, made.GAMMA))
    assert np.quantile(difference, 0.99) <= 1.0


def test_a_palette_is_converted_by_its_profile(read, written):
    palette = noise(256, 3, 1)
    samples = noise(20, 20, 1, seed=3)

    picture = read(written(tagged(samples, made.matrix_profile(), palette=palette)), width=0.05)

    difference = np.abs(picture.pixels[..., :3] - expected_rgb(palette[samples], made.WIDE, made.GAMMA))
    assert np.quantile(difference, 0.99) <= 1.0


def test_a_profile_that_is_srgb_changes_nothing(read, written):
    from PIL import ImageCms

    samples = noise(40, 50, 3)
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()

    picture = read(written(tagged(samples, icc)), width=0.05)

    assert np.array_equal(picture.pixels[..., :3], samples)
    assert "sRGB" in picture.profile


@pytest.mark.parametrize("channels", [1, 2])
def test_grey_with_a_profile(read, written, channels):
    samples = noise(30, 30, channels)

    picture = read(written(tagged(samples, made.grey_profile(1.0))), width=0.05)

    grey = samples if channels == 1 else samples[..., 0]
    expected = made.srgb_from_d50((grey / 255.0)[..., None] * made.D50)
    assert np.abs(picture.pixels[..., :3] - expected).max() <= 1.5
    assert np.array_equal(picture.pixels[..., 3], samples[..., 1] if channels == 2 else np.full_like(grey, 255))
    assert picture.profile == "Grey test space"


def corners(black_l=0.0):
    """CIELAB of 16 overprints: a made-up but orderly press, black where K prints."""
    lab = np.zeros((2, 2, 2, 2, 3))
    for c in (0, 1):
        for m in (0, 1):
            for y in (0, 1):
                light = 95 - 35 * c - 40 * m - 8 * y
                lab[c, m, y, 0] = (light, -30 * c + 60 * m - 4 * y, -40 * c - 4 * m + 70 * y)
                lab[c, m, y, 1] = (black_l, 0, 0)
    lab[0, 0, 0, 0] = (100, 0, 0)
    return lab


@pytest.mark.parametrize("kind", ["TIFF", "JPEG"])
def test_cmyk_with_a_profile_at_its_corners(read, written, kind):
    lab = corners()
    ink = np.array([[c, m, y, k] for c in (0, 1) for m in (0, 1) for y in (0, 1) for k in (0, 1)], np.uint8) * 255
    samples = np.repeat(np.repeat(ink.reshape(4, 4, 4), 16, axis=0), 16, axis=1)
    icc = made.cmyk_profile(lab)
    if kind == "TIFF":
        data = tiff(samples, photometric=5, tags={34675: (7, tuple(icc))})
    else:
        from io import BytesIO

        out = BytesIO()
        Image.fromarray(samples, "CMYK").save(out, "JPEG", quality=100, icc_profile=icc)
        data = out.getvalue()

    picture = read(written(data), width=0.05)

    expected = made.srgb_from_d50(made.d50_from_lab(lab.reshape(16, 3))).reshape(4, 4, 3)
    assert np.abs(picture.pixels[8::16, 8::16, :3] - expected).max() <= (1.5 if kind == "TIFF" else 4)
    assert picture.profile == "Press test space"
    assert not any("CMYK" in note for note in picture.notes)


def test_black_point_compensation_takes_the_darkest_ink_to_black(read, written):
    samples = np.full((8, 8, 4), 255, np.uint8)
    samples[4:] = 0

    icc = made.cmyk_profile(corners(black_l=20), kind=b"scnr")  # of an output profile the way back would be needed

    picture = read(written(tiff(samples, photometric=5, tags={34675: (7, tuple(icc))})), width=0.05)

    assert picture.pixels[0, 0, :3].max() <= 6  # L* 20 without compensation would be 48
    assert picture.pixels[6, 6, :3].min() >= 254


def test_a_broken_profile_is_left_aside_with_a_note(read, written):
    samples = noise(20, 20, 3)
    icc = bytearray(made.matrix_profile())
    icc[36:40] = b"nope"

    picture = read(written(tagged(samples, bytes(icc))), width=0.05)

    assert np.array_equal(picture.pixels[..., :3], samples)
    assert picture.profile == ""
    assert any("profile in the file is broken and was left aside" in note for note in picture.notes)


def test_a_profile_for_other_colours_is_left_aside_with_a_note(read, written):
    samples = noise(20, 20, 3)

    picture = read(written(tagged(samples, made.grey_profile(1.0))), width=0.05)

    assert np.array_equal(picture.pixels[..., :3], samples)
    assert any("'Grey test space' is for GRAY but the art is RGB" in note for note in picture.notes)
