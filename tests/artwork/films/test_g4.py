"""Promises of the fax coding: other libraries read back every bit."""

import io

import imagecodecs
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from PIL import Image

from artwork.halftone.plates import overflowing
from laydown import units
from laydown.artwork.films.g4 import G4Encoder
from laydown.artwork.films.tiff import tiff_file
from laydown.errors import InvalidInput


def coded(bits, *, bands=1):
    encoder = G4Encoder(bits.shape[1])
    for band in np.array_split(bits, bands):
        encoder.add(np.packbits(band, axis=1))
    assert encoder.rows == bits.shape[0]
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
    """By libtiff (Pillow) and by imagecodecs' own decoder."""
    data = coded(bits)

    np.testing.assert_array_equal(decoded_by_pillow(data, bits.shape), bits.astype(bool))
    np.testing.assert_array_equal(decoded_by_imagecodecs(data, bits.shape), bits.astype(bool))


@pytest.mark.parametrize("width", [1, 7, 8, 9, 63, 64, 65, 200])
@pytest.mark.parametrize("share", [0.0, 0.02, 0.5, 0.98, 1.0])
def test_scattered_pixels_are_read_back(width, share):
    rng = np.random.default_rng(width)

    assert_read_back(rng.random((12, width)) < share)
    assert_read_back(np.repeat(rng.random((6, width)) < share, 3, axis=0))


@given(hnp.arrays(np.bool_, st.tuples(st.integers(1, 12), st.integers(1, 140))))
def test_any_picture_is_read_back(bits):
    assert_read_back(bits)


@pytest.mark.parametrize("ink", [False, True])
def test_a_run_of_every_length_is_read_back(ink):
    """1 to 2700 pixels and far longer, open and inked: every code word is used."""
    lengths = np.append(np.arange(1, 2701), [5119, 5120, 5121, 8000])
    # Every other row is bare or full, so that no run is coded by the row above.
    rows = np.full((2 * lengths.size, 8100), ink)
    for index, length in enumerate(lengths):
        rows[2 * index] = not ink
        rows[2 * index, 37 : 37 + length] = ink
    assert_read_back(rows)


@pytest.mark.parametrize("shift", range(-6, 7))
def test_edges_that_move_from_row_to_row_are_read_back(shift):
    """Every way of coding an edge by the one above, both ways, at both ends."""
    rows = np.zeros((40, 400), bool)
    for y in range(40):
        for start in (0, 40, 120, 130, 300, 390):
            first = max(0, start + shift * (y % 5))
            rows[y, first : first + 7 + y % 3] = True
    assert_read_back(rows)
    assert_read_back(~rows)


def test_bands_leave_no_trace():
    bits = np.random.default_rng(0).random((50, 333)) < 0.3

    assert coded(bits, bands=7) == coded(bits) == coded(bits, bands=50)


def test_rows_beyond_one_buffer_are_coded_alike():
    bits = np.zeros((30, 300_001), bool)
    bits[3:17, 100_000:200_000] = True

    assert_read_back(bits)


@pytest.mark.interpreted
def test_the_interpreted_writer_gives_what_others_read():
    rng = np.random.default_rng(2)
    bits = np.zeros((8, 3000), bool)
    bits[1:4, :2900], bits[5], bits[6, ::9], bits[7, 1::9] = True, rng.random(3000) < 0.4, True, True
    with overflowing():
        assert_read_back(bits)


@pytest.mark.parametrize("share", [0.01, 0.2, 0.5, 0.99])
def test_libtiff_codes_the_same_picture_in_the_same_bytes(share):
    bits = np.random.default_rng(4).random((200, 900)) < share
    bits[50:100] = np.repeat(bits[50:75], 2, axis=0)
    out = io.BytesIO()
    Image.fromarray(~bits).save(out, "TIFF", compression="group4", tiffinfo={278: 200, 262: 0})
    with Image.open(io.BytesIO(out.getvalue())) as image:
        (start,), (length,) = image.tag_v2[273], image.tag_v2[279]
        np.testing.assert_array_equal(~np.asarray(image), bits)

    assert coded(bits) == out.getvalue()[start : start + length]


@pytest.mark.parametrize("rows", [np.zeros((3, 12), np.uint8), np.zeros((3, 13), np.uint16), np.zeros(13, np.uint8)])
def test_rows_of_another_width_are_refused(rows):
    with pytest.raises(InvalidInput, match=r"needed is uint8 of \(rows, 13\)"):
        G4Encoder(100).add(rows)


def test_a_width_out_of_this_world_is_refused():
    with pytest.raises(InvalidInput, match="width of a film"):
        G4Encoder(0)
