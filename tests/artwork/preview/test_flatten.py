"""Soft transparency is mixed with the cloth; edges keep their alpha."""

import numpy as np
import pytest

from laydown.artwork.flatten import flattened
from laydown.artwork.picture import Picture

CLOTH = (20, 30, 40)


def picture(pixels):
    return Picture(pixels=pixels, width=0.1, height=0.1)


def filled(alpha, rows=40, columns=40, rgb=(200, 100, 60)):
    pixels = np.zeros((rows, columns, 4), dtype=np.uint8)
    pixels[...] = (*rgb, alpha)
    return pixels


def test_an_even_half_transparent_area_becomes_its_mixture_with_the_cloth():
    out = flattened(picture(filled(51)), CLOTH).pixels

    # 51 of 255 is a fifth: a fifth of the way from the cloth to the colour.
    assert np.all(out == [56, 44, 44, 255])


@pytest.mark.parametrize("alpha", [0, 255])
def test_open_and_solid_areas_are_left_as_they_are_without_a_copy(alpha):
    original = picture(filled(alpha))

    assert flattened(original, CLOTH) is original


def test_the_pixels_of_a_hard_edge_keep_their_alpha():
    pixels = filled(255)
    pixels[:, 20] = (200, 100, 60, 120)
    pixels[:, 21:, 3] = 0
    original = picture(pixels)

    assert flattened(original, CLOTH) is original


def test_a_slow_fade_is_mixed_all_the_way_and_its_source_is_not_touched():
    pixels = filled(255, columns=256)
    pixels[..., 3] = np.arange(256, dtype=np.uint8)
    before = pixels.copy()

    out = flattened(picture(pixels), CLOTH).pixels

    assert np.array_equal(pixels, before)
    assert np.all(out[:, 1:, 3] == 255)
    assert np.all(out[:, 0, 3] == 0)
    red = out[0, 1:, 0].astype(int)
    assert np.all(np.diff(red) >= 0)
    assert abs(red[0] - CLOTH[0]) <= 1
    assert red[-1] == 200
