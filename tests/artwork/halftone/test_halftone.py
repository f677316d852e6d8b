"""Promises of plates broken into dots."""

import numpy as np
import pytest

from artwork.halftone.plates import DEVICE, overflowing, plate, unpacked
from artwork.halftone.screens import SCREENS, halftone
from laydown import units
from laydown.artwork.halftone import DotShape, Stochastic, device_shape, halftone_rows, told_screening
from laydown.errors import InvalidInput

PER_CENT = np.arange(1, 100)


def bits(one, screening, *, resolution=DEVICE, **more):
    rows = halftone_rows(one, screening, resolution=resolution, **more)
    return unpacked(rows, device_shape(one, resolution)[1])


def mixed(rows=90, columns=77):
    """Tones of every kind: bare, solid, flat and noisy grey."""
    rng = np.random.default_rng(5)
    tones = rng.integers(1, 255, (rows, columns))
    tones[:, :20], tones[:30], tones[40:60, 30:] = 0, 255, 128
    tones[70:75] = 0
    return tones


def strongest_wave(dots):
    """Cycles per pixel across and down: the highest bin of a transform, then the highest point between the bins."""
    edge = dots.shape[0]
    window = np.hanning(edge)
    waves = (dots - dots.mean()) * window[:, None] * window[None, :]
    spectrum = np.abs(np.fft.rfft2(waves))
    y, x = np.unravel_index(np.argmax(spectrum), spectrum.shape)
    fine = np.linspace(-1, 1, 81) / edge
    down, across = np.fft.fftfreq(edge)[y] + fine, np.fft.rfftfreq(edge)[x] + fine
    place = np.arange(edge)
    zoomed = np.exp(-2j * np.pi * down[:, None] * place) @ waves @ np.exp(-2j * np.pi * place[:, None] * across)
    y, x = np.unravel_index(np.argmax(np.abs(zoomed)), zoomed.shape)
    return across[x], down[y]


@pytest.mark.parametrize("shape", DotShape)
def test_a_patch_of_every_per_cent_covers_its_area_within_half_a_per_cent(shape):
    """Through the whole path, on a patch of an inch; tones 1 to 99 of the plate stand for the per cents."""
    table = np.zeros(256)
    table[PER_CENT] = PER_CENT / 100
    for index in PER_CENT:
        inked = bits(plate(np.full((300, 300), index)), halftone(shape=shape), shares=table).mean()
        assert abs(inked - table[index]) <= 0.005


def test_scattered_dots_cover_their_area_within_half_a_per_cent():
    for tone in range(3, 255, 7):
        inked = bits(plate(np.full((320, 320), tone)), Stochastic(dot=70e-6)).mean()
        assert abs(inked - tone / 255) <= 0.005


@pytest.mark.parametrize(("lpi", "degree"), SCREENS)
@pytest.mark.parametrize("shape", [DotShape.SQUARE, DotShape.ELLIPTICAL, DotShape.LINE])
def test_angle_and_ruling_measured_by_fourier_transform_are_those_asked_for(lpi, degree, shape):
    """Within 0.3 % of ruling and 0.15°, the device's grid included."""
    dots = bits(plate(np.full((300, 300), 120)), halftone(lpi, degree, shape))
    across, down = strongest_wave(dots)
    # Rows of pixels are counted downwards, angles upwards.
    wave = complex(across, -down)
    along = -90 if shape is DotShape.LINE else 0

    assert abs(wave) * units.to_per_inch(DEVICE) == pytest.approx(lpi, rel=0.003)
    off = (np.degrees(np.angle(wave)) + along - degree + 45) % 90 - 45
    assert abs(off) <= 0.15


def test_lines_run_along_their_angle():
    """At 0° rows of pixels are all ink or all open."""
    dots = bits(plate(np.full((60, 60), 128)), halftone(60.0, 0.0, DotShape.LINE), shares=np.full(256, 0.5))

    assert set(dots.mean(axis=1)) == {0.0, 1.0}
    assert dots.mean() == 0.5


def test_elliptical_dots_touch_along_one_direction_first():
    """At half tone they hang together in chains along the rows, and do not across them."""
    dots = bits(plate(np.full((60, 60), 128)), halftone(60.0, 0.0, DotShape.ELLIPTICAL))

    assert dots.all(axis=0).any() != dots.all(axis=1).any()


@pytest.mark.parametrize("screening", [halftone(), halftone(shape=DotShape.LINE), Stochastic(dot=80e-6)])
def test_solid_and_bare_pixels_never_get_dots(screening):
    tones = mixed()
    art = np.repeat(np.repeat(tones, 3, axis=0), 3, axis=1)
    dots = bits(plate(tones, art_per_inch=240), screening, shares=np.full(256, 0.5))

    assert dots.shape == art.shape
    assert dots[art == 255].all()
    assert not dots[art == 0].any()
    assert 0.4 < dots[(art > 0) & (art < 255)].mean() < 0.6


def test_each_device_pixel_takes_the_tone_that_its_centre_lies_in():
    """A drawn rectangle keeps its edges: each is off by less than a device pixel."""
    tones = np.zeros((200, 300))
    tones[37:101, 53:222] = 255
    dots = bits(plate(tones), halftone())
    inked = np.argwhere(dots)

    assert dots[inked[:, 0].min() : inked[:, 0].max() + 1, inked[:, 1].min() : inked[:, 1].max() + 1].all()
    for found, drawn in ((inked.min(axis=0), (37, 53)), (inked.max(axis=0) + 1, (101, 222))):
        assert np.abs(found - 2.4 * np.asarray(drawn)).max() <= 0.5


@pytest.mark.interpreted
@pytest.mark.parametrize("columns", [8, 77, 80])
def test_a_mirrored_plate_is_the_exact_mirror_image(columns):
    one = plate(mixed(columns=max(columns, 40))[:, :columns])
    with overflowing():
        mirrored, straight = bits(one, halftone(), mirrored=True), bits(one, halftone())

    np.testing.assert_array_equal(mirrored, straight[:, ::-1])


def test_bands_leave_no_trace():
    one = plate(mixed())

    for screening in (halftone(), Stochastic(dot=80e-6)):
        whole = bits(one, screening, art_rows=1000)
        np.testing.assert_array_equal(bits(one, screening, art_rows=7), whole)
        np.testing.assert_array_equal(bits(one, screening), whole)


def test_a_device_coarser_than_the_art_is_served_too():
    dots = bits(plate(mixed(), art_per_inch=1440), halftone(45.0))

    assert dots.shape == (45, 38)


@pytest.mark.parametrize(("per_inch", "shape"), [(720.0, (720, 1440)), (600.0, (600, 1200)), (1016.0, (1016, 2032))])
def test_a_plate_is_as_many_device_pixels_as_its_size_says(per_inch, shape):
    assert device_shape(plate(np.zeros((300, 600))), units.from_per_inch(per_inch)) == shape


def test_what_is_left_over_in_a_rows_last_byte_is_open():
    one = plate(np.full((10, 77), 255))
    rows = np.concatenate(list(halftone_rows(one, halftone(), resolution=DEVICE)))

    assert device_shape(one, DEVICE)[1] == 8 * 23 + 1
    assert (rows[:, -1] == 0b1000_0000).all()


@pytest.mark.parametrize("shares", [np.zeros(255), np.full(256, 1.1), np.full(256, np.nan)])
def test_shares_that_are_none_are_refused(shares):
    with pytest.raises(InvalidInput, match="256 numbers from 0 to 1"):
        bits(plate(mixed()), halftone(), shares=shares)


def test_a_resolution_out_of_this_world_is_refused():
    with pytest.raises(InvalidInput, match="resolution of the device"):
        device_shape(plate(mixed()), 10.0)


def test_a_screen_is_told_in_the_trades_words():
    assert told_screening(halftone(55.0, 22.5)) == "55 lines/in, 22.5°, elliptical dots"
    assert told_screening(halftone(45.0, 0.0, DotShape.LINE)) == "45 lines/in, 0°, lines"
    assert told_screening(Stochastic(dot=150e-6)) == "stochastic, dots of 150 µm"
