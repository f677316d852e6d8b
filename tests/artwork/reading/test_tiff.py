import numpy as np
import pytest
from art_files import noise, resolution, tiff

from laydown.errors import InvalidInput

GREY_FROM_WHITE, GREY, RGB, PALETTE, CMYK, LAB = 0, 1, 2, 3, 5, 8


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("deflate", [False, True])
def test_rgba_with_straight_alpha(read, written, order, bits, deflate):
    samples = noise(20, 30, 4, high=2**bits)

    picture = read(
        written(tiff(samples, photometric=RGB, bits=bits, extra=(2,), order=order, deflate=deflate)), width=0.05
    )

    assert np.array_equal(picture.pixels, samples >> (bits - 8))
    assert (picture.kind, picture.bits) == ("TIFF", bits)


@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("deflate", [False, True])
def test_premultiplied_alpha_is_divided_out(read, written, bits, deflate):
    straight = noise(20, 30, 3).astype(float)
    alpha = noise(20, 30, 1, seed=8).astype(float)
    alpha[:2], alpha[2:4] = 0, 255
    scale = (2**bits - 1) / 255
    samples = np.dstack([np.round(straight * alpha[..., None] / 255 * scale), np.round(alpha * scale)]).astype(int)

    picture = read(written(tiff(samples, photometric=RGB, bits=bits, extra=(1,), deflate=deflate)), width=0.05)

    shown = alpha > 64
    assert np.array_equal(picture.pixels[..., 3], alpha)
    # Colours were rounded to whole steps (cut, from 16 bits) before they were divided by a quarter, and are cut then.
    lost = 0.5 if bits == 8 else 1.0
    assert np.abs(picture.pixels[..., :3].astype(float) - straight)[shown].max() <= lost * 255 / 64 + 1


@pytest.mark.parametrize(("photometric", "bits"), [(GREY, 1), (GREY, 8), (GREY, 16), (GREY_FROM_WHITE, 1)])
@pytest.mark.parametrize("order", ["<", ">"])
def test_grey_and_black_and_white(read, written, photometric, bits, order):
    samples = noise(16, 24, 1, high=2**bits)

    picture = read(written(tiff(samples, photometric=photometric, bits=bits, order=order)), width=0.05)

    eight = samples >> 8 if bits == 16 else samples * (255 // (2**bits - 1))
    expected = 255 - eight if photometric == GREY_FROM_WHITE else eight
    assert all(np.array_equal(picture.pixels[..., k], expected) for k in range(3))


def test_16_bit_grey_that_counts_from_white(read, written):
    samples = noise(16, 24, 1, high=65536)

    picture = read(written(tiff(samples, photometric=GREY_FROM_WHITE, bits=16)), width=0.05)

    assert np.array_equal(picture.pixels[..., 0], 255 - (samples >> 8))


@pytest.mark.parametrize("extra", [1, 2])
def test_grey_with_either_alpha(read, written, extra):
    samples = noise(16, 24, 2)
    samples[..., 1] = np.where(samples[..., 1] > 127, 255, 0)
    if extra == 1:
        samples[..., 0][samples[..., 1] == 0] = 0

    picture = read(written(tiff(samples, photometric=GREY, extra=(extra,))), width=0.05)

    shown = samples[..., 1] == 255
    assert np.array_equal(picture.pixels[..., 3], samples[..., 1])
    assert np.array_equal(picture.pixels[..., 0][shown], samples[..., 0][shown])


def test_a_palette(read, written):
    palette = noise(256, 3, 1)
    samples = noise(16, 24, 1, seed=4)

    picture = read(
        written(tiff(samples, photometric=PALETTE, tags={320: (3, tuple(int(v) * 257 for v in palette.T.ravel()))})),
        width=0.05,
    )

    assert np.array_equal(picture.pixels[..., :3], palette[samples])


def test_cmyk_without_a_profile_is_read_and_called_a_guess(read, written):
    samples = np.zeros((8, 8, 4), np.uint8)
    samples[:4, :, 3] = 255

    picture = read(written(tiff(samples, photometric=CMYK)), width=0.05)

    assert (picture.pixels[:4, :, :3] == 0).all()
    assert (picture.pixels[4:, :, :3] == 255).all()
    assert any("CMYK without a usable profile" in note for note in picture.notes)


def test_lab_is_turned_into_srgb(read, written):
    samples = np.zeros((8, 8, 3), np.uint8)
    samples[..., 0] = 255
    samples[4:, :, 0] = 0

    picture = read(written(tiff(samples, photometric=LAB)), width=0.05)

    assert (picture.pixels[:4, :, :3] >= 254).all()
    assert (picture.pixels[4:, :, :3] <= 1).all()


@pytest.mark.parametrize(("unit", "per", "width"), [(2, 100, 0.3 * 0.0254), (3, 40, 0.0075)])
def test_resolution_by_inch_and_centimetre(inspect, written, unit, per, width):
    facts = inspect(written(tiff(noise(20, 30, 3), photometric=RGB, tags=resolution(per, unit))))

    assert facts.width == pytest.approx(width)
    assert facts.height == pytest.approx(width / 1.5)


@pytest.mark.parametrize("tags", [{}, resolution(100, 1), resolution(0, 2)])
def test_a_resolution_that_says_nothing_is_none(inspect, written, tags):
    assert inspect(written(tiff(noise(20, 30, 3), photometric=RGB, tags=tags))).width is None


@pytest.mark.parametrize(
    ("mark", "turned"),
    [
        (1, lambda a: a),
        (2, lambda a: a[:, ::-1]),
        (3, lambda a: a[::-1, ::-1]),
        (4, lambda a: a[::-1]),
        (5, lambda a: a.transpose(1, 0, 2)),
        (6, lambda a: a.transpose(1, 0, 2)[:, ::-1]),
        (7, lambda a: a.transpose(1, 0, 2)[::-1, ::-1]),
        (8, lambda a: a.transpose(1, 0, 2)[::-1]),
    ],
)
@pytest.mark.parametrize("deflate", [False, True])
def test_every_orientation_is_turned_the_right_way_up(read, written, mark, turned, deflate):
    samples = noise(20, 30, 3)
    tags = {274: (3, (mark,)), 282: (5, ((100, 1),)), 283: (5, ((50, 1),)), 296: (3, (2,))}

    picture = read(written(tiff(samples, photometric=RGB, tags=tags, deflate=deflate)))

    expected = turned(samples)
    assert np.array_equal(picture.pixels[..., :3], expected)
    across, down = (50, 100) if mark >= 5 else (100, 50)
    assert picture.width == pytest.approx(expected.shape[1] / across * 0.0254)
    assert picture.height == pytest.approx(expected.shape[0] / down * 0.0254)


def test_pages_are_counted_and_chosen(read, inspect, written):
    path = written(tiff(noise(20, 30, 3), photometric=RGB, pages=3))

    assert inspect(path).pages == 3
    assert read(path, width=0.05, page=3).columns == 30
    with pytest.raises(InvalidInput, match="it has 3 pages, so there is no page 4"):
        read(path, width=0.05, page=4)


def test_channels_without_a_use_are_left_aside_and_mentioned(read, written):
    samples = noise(20, 30, 5)

    picture = read(written(tiff(samples, photometric=RGB, extra=(2, 0))), width=0.05)

    assert np.array_equal(picture.pixels, samples[..., :4])
    assert any("1 channel of the TIFF without a stated use" in note for note in picture.notes)


def test_32_bits_a_channel_are_refused(read, written):
    data = tiff(noise(20, 30, 1, high=65536).astype(np.uint32), photometric=GREY, bits=32)

    with pytest.raises(InvalidInput, match="save it with 8 or 16 bits a channel"):
        read(written(data), width=0.05)


@pytest.mark.parametrize(
    "options",
    [
        {"compression": "lzw", "tile": (32, 32)},
        {"compression": "lzw", "predictor": True},
        {"compression": "zlib", "predictor": True, "byteorder": ">"},
        {"compression": "packbits", "rowsperstrip": 7},
        {"bigtiff": True},
        {"tile": (48, 64)},
        {"compression": "zstd"},
    ],
    ids=str,
)
def test_layouts_that_another_library_writes(read, tmp_path, options):
    import tifffile

    samples = noise(70, 90, 4)
    tifffile.imwrite(tmp_path / "a.tif", samples, photometric="rgb", extrasamples=["unassalpha"], **options)

    assert np.array_equal(read(tmp_path / "a.tif", width=0.05).pixels, samples)


@pytest.mark.parametrize("compression", [None, "zlib"])
def test_channels_that_lie_apart(read, tmp_path, compression):
    import tifffile

    samples = noise(70, 90, 3)
    tifffile.imwrite(
        tmp_path / "a.tif",
        samples.transpose(2, 0, 1),
        photometric="rgb",
        planarconfig="separate",
        compression=compression,
    )

    assert np.array_equal(read(tmp_path / "a.tif", width=0.05).pixels[..., :3], samples)


def test_a_fax_packed_film(read, tmp_path):
    from PIL import Image

    samples = noise(70, 90, 1, high=2).astype(bool)
    Image.fromarray(samples).save(tmp_path / "a.tif", compression="group4")

    picture = read(tmp_path / "a.tif", width=0.05)
    assert np.array_equal(picture.pixels[..., 0], samples * 255)
    assert picture.bits == 1
