"""Promises of the fax coding: other libraries read back every bit."""

import io

import imagecodecs
import numpy as np
import pytest
from PIL import Image

from laydown import units
from laydown.artwork.films.g4 import G4Encoder
from laydown.artwork.films.tiff import tiff_file


def coded(bits, *, bands=None):
    encoder = G4Encoder(bits.shape[1])
    for band in np.array_split(bits, bands or 1):
        encoder.add(np.packbits(band, axis=1))
    return encoder.finish()


def decoded_by_pillow(data, shape):
    rows, columns = shape
    file = tiff_file(data, columns=columns, rows=rows, resolution=units.from_per_inch(720.0), title="a test")
    with Image.open(io.BytesIO(file)) as image:
        return ~np.asarray(image)


def decoded_by_imagecodecs(data, shape):
    rows, columns = shape
    return imagecodecs.ccittfax4_decode(data, height=rows, width=columns).astype(bool)


def assert_read_back(bits):
    data = coded(bits)

    np.testing.assert_array_equal(decoded_by_pillow(data, bits.shape), bits.astype(bool))


@pytest.mark.parametrize("width", [1, 7, 8, 9, 63, 64, 65, 200])
@pytest.mark.parametrize("share", [0.0, 0.02, 0.5, 0.98, 1.0])
def test_scattered_pixels_are_read_back(width, share):
    rng = np.random.default_rng(width)

    assert_read_back(rng.random((12, width)) < share)
    assert_read_back(np.repeat(rng.random((6, width)) < share, 3, axis=0))
