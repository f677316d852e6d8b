"""A full shirt front: every pixel arrives, and is held once."""

import numpy as np
import pytest
from PIL import Image

from laydown.artwork.reading import Limits, Reader, read_picture
from laydown.artwork.reading.limits import MEBI


@pytest.fixture(scope="module")
def shirt_front(tmp_path_factory):
    """Soft tones, a little grain and a cut-out edge, 4500 x 5400."""
    draw = np.random.default_rng(0)
    y, x = np.mgrid[0:5400, 0:4500]
    pixels = np.empty((5400, 4500, 4), np.uint8)
    pixels[..., 0] = 128 + 100 * np.sin(x / 300) + draw.integers(0, 6, x.shape)
    pixels[..., 1], pixels[..., 2] = y // 22, (x + y) // 40
    pixels[..., 3] = 255 * ((x - 2250) ** 2 + (y - 2700) ** 2 < 2000**2)
    path = tmp_path_factory.mktemp("large") / "front.png"
    Image.fromarray(pixels).save(path, dpi=(300, 300))
    return path, pixels


def in_process(path):
    with Image.open(path) as image:
        return np.asarray(image)


@pytest.mark.slow
def test_a_worker_hands_over_the_very_pixels_of_a_full_shirt_front(shirt_front):
    path, pixels = shirt_front

    read = read_picture(path).pixels

    assert np.array_equal(read, pixels)
    assert np.array_equal(read, in_process(path))


@pytest.mark.slow
def test_the_worker_holds_the_pixels_once(shirt_front):
    """Decoding goes straight into the memory that is handed over: the worker's own part stays small."""
    path, pixels = shirt_front
    own = 90 * MEBI  # interpreter, libraries and the decoder's buffers, as address space

    with Reader(Limits(memory_bytes=pixels.nbytes + own)) as reader:
        assert read_picture(path, reader=reader).pixels.shape == pixels.shape
