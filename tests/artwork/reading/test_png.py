import struct

import numpy as np
import pytest
from art_files import chunk, noise, phys, png

from laydown.errors import InvalidInput


def test_rgba_comes_back_exactly_at_the_size_in_the_file(read, written):
    pixels = noise(60, 80, 4)

    picture = read(written(png(pixels, chunks=phys(10000))))

    assert np.array_equal(picture.pixels, pixels)
    assert (picture.width, picture.height) == pytest.approx((0.008, 0.006))
    assert (picture.kind, picture.bits, picture.profile, picture.spots) == ("PNG", 8, "", ())
    assert picture.notes == ()


def test_rgb_is_opaque(read, written):
    pixels = noise(30, 40, 3)

    picture = read(written(png(pixels)), width=0.05)

    assert np.array_equal(picture.pixels[..., :3], pixels)
    assert (picture.pixels[..., 3] == 255).all()


def test_16_bits_are_cut_to_the_upper_8(read, written):
    samples = noise(20, 30, 4, high=65536)

    picture = read(written(png(samples, bits=16)), width=0.05)

    assert np.array_equal(picture.pixels, samples >> 8)
    assert picture.bits == 16


@pytest.mark.parametrize(("bits", "top"), [(1, 1), (2, 3), (4, 15), (8, 255), (16, 65535)])
def test_grey_of_any_depth_spans_black_to_white(read, written, bits, top):
    samples = noise(16, 24, 1, high=top + 1)

    picture = read(written(png(samples, bits=bits)), width=0.05)

    expected = samples >> 8 if bits == 16 else samples * (255 // top)
    assert all(np.array_equal(picture.pixels[..., k], expected) for k in range(3))
    assert (picture.pixels[..., 3] == 255).all()


@pytest.mark.parametrize("bits", [8, 16])
def test_grey_with_alpha(read, written, bits):
    samples = noise(16, 24, 2, high=2**bits)

    picture = read(written(png(samples, bits=bits)), width=0.05)

    expected = samples >> (bits - 8)
    assert np.array_equal(picture.pixels[..., [0, 1, 2, 3]], expected[..., [0, 0, 0, 1]])


@pytest.mark.parametrize("bits", [1, 2, 4, 8])
def test_a_palette_with_alphas(read, written, bits):
    entries = 2**bits
    palette = noise(entries, 3, 1, seed=9)
    alphas = noise(1, entries, 1, seed=10)[0]
    samples = noise(16, 24, 1, high=entries)

    picture = read(
        written(png(samples, bits=bits, palette=palette, chunks=chunk(b"tRNS", alphas.tobytes()))), width=0.05
    )

    assert np.array_equal(picture.pixels[..., :3], palette[samples])
    assert np.array_equal(picture.pixels[..., 3], alphas[samples])


def test_a_palette_without_alphas_is_opaque(read, written):
    palette = noise(256, 3, 1, seed=9)
    samples = noise(16, 24, 1)

    picture = read(written(png(samples, palette=palette)), width=0.05)

    assert np.array_equal(picture.pixels[..., :3], palette[samples])
    assert (picture.pixels[..., 3] == 255).all()


@pytest.mark.parametrize(("bits", "clear"), [(1, 1), (2, 2), (4, 9), (8, 77), (16, 0x1234)])
def test_one_transparent_grey(read, written, bits, clear):
    samples = noise(16, 24, 1, high=2**bits)
    samples[3:6] = clear
    if bits == 16:
        samples[7] = clear ^ 1  # the same upper byte is another grey

    picture = read(written(png(samples, bits=bits, chunks=chunk(b"tRNS", struct.pack(">H", clear)))), width=0.05)

    assert np.array_equal(picture.pixels[..., 3] == 0, samples == clear)
    assert set(np.unique(picture.pixels[..., 3])) <= {0, 255}


def test_one_transparent_colour(read, written):
    pixels = noise(16, 24, 3)
    pixels[2:5] = (9, 8, 7)

    picture = read(written(png(pixels, chunks=chunk(b"tRNS", struct.pack(">HHH", 9, 8, 7)))), width=0.05)

    assert np.array_equal(picture.pixels[..., 3] == 0, (pixels == (9, 8, 7)).all(axis=2))
    assert np.array_equal(picture.pixels[..., :3], pixels)


def test_pixels_that_are_not_square_give_a_size_that_is_not(read, written):
    picture = read(written(png(noise(40, 40, 3), chunks=phys(4000, 2000))))

    assert (picture.width, picture.height) == pytest.approx((0.01, 0.02))


@pytest.mark.parametrize("chunks", [b"", phys(4000, unit=0), phys(0)])
def test_without_any_size_the_order_has_to_say(read, written, chunks):
    path = written(png(noise(40, 40, 3), chunks=chunks))

    with pytest.raises(InvalidInput, match=r"^art\.png: it does not say how large it is printed; give the width"):
        read(path)
    assert read(path, height=0.03).width == pytest.approx(0.03)


def test_a_gamma_without_a_profile_is_mentioned(read, written):
    picture = read(written(png(noise(8, 8, 3), chunks=chunk(b"gAMA", struct.pack(">I", 100000)))), width=0.05)

    assert any("gamma of 1 " in note for note in picture.notes)


def test_a_header_alone_is_refused_by_its_pixels_before_they_are_decoded(read, written):
    bomb = bytearray(png(noise(4, 4, 1)))
    bomb[16:24] = struct.pack(">II", 100_000, 100_000)
    bomb[29:33] = struct.pack(">I", __import__("zlib").crc32(bytes(bomb[12:29])))

    with pytest.raises(InvalidInput, match="its header says 100000 x 100000 pixels; allowed are 120 million"):
        read(written(bytes(bomb)), width=0.1)


def test_facts_tell_what_the_header_says(inspect, written):
    facts = inspect(written(png(noise(30, 40, 2, high=65536), bits=16, chunks=phys(4000))))

    assert (facts.columns, facts.rows, facts.bits, facts.colour, facts.alpha) == (40, 30, 16, "grey", True)
    assert (facts.width, facts.height) == pytest.approx((0.010, 0.0075))
    assert facts.aspect == pytest.approx(4 / 3)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_truncated_file_is_refused_in_one_sentence(read, written, share):
    whole = png(noise(60, 60, 3))

    with pytest.raises(InvalidInput, match=r"^art\.png: it is not a PNG that can be read \(.*\); open it"):
        read(written(whole[: int(len(whole) * share)]), width=0.05)


def test_a_picture_written_by_another_library(read, written):
    import imagecodecs

    pixels = noise(33, 47, 4)
    made = imagecodecs.png_encode(pixels)

    assert np.array_equal(read(written(made), width=0.05).pixels, pixels)
