from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from laydown.errors import InvalidInput


def blocks() -> np.ndarray:
    """Four flat corners, each its own colour, so that compression moves nothing much."""
    pixels = np.zeros((32, 48, 3), np.uint8)
    pixels[:16, :24], pixels[:16, 24:] = (200, 30, 40), (20, 180, 60)
    pixels[16:, :24], pixels[16:, 24:] = (30, 60, 190), (240, 240, 240)
    return pixels


def jpeg(pixels, **options) -> bytes:
    out = BytesIO()
    image = pixels if isinstance(pixels, Image.Image) else Image.fromarray(pixels)
    image.save(out, "JPEG", quality=95, subsampling=0, **options)
    return out.getvalue()


def exif(**tags) -> Image.Exif:
    made = Image.Exif()
    made.update({{"orientation": 274, "across": 282, "down": 283, "unit": 296}[name]: v for name, v in tags.items()})
    return made


def test_pixels_are_those_that_another_decoder_gives(read, written):
    import imagecodecs

    data = jpeg(blocks())

    picture = read(written(data), width=0.05)

    assert np.abs(picture.pixels[..., :3].astype(int) - imagecodecs.jpeg_decode(data)).max() <= 1
    assert (picture.pixels[..., 3] == 255).all()
    assert (picture.kind, picture.bits) == ("JPEG", 8)


def test_grey(read, written):
    picture = read(written(jpeg(np.full((16, 16), 77, np.uint8))), width=0.05)

    assert np.array_equal(np.unique(picture.pixels[..., :3]), [77])


@pytest.mark.parametrize("unit", ["inch", "centimetre"])
def test_density_of_the_jfif_header(inspect, written, unit):
    data = bytearray(jpeg(blocks(), dpi=(100, 100)))
    if unit == "centimetre":
        place = data.index(b"JFIF") + 7
        data[place], data[place + 1 : place + 5] = 2, (40).to_bytes(2, "big") * 2

    assert inspect(written(bytes(data))).width == pytest.approx(0.48 * 0.0254 if unit == "inch" else 0.012)


def test_a_density_without_a_unit_is_none(inspect, written):
    assert inspect(written(jpeg(blocks()))).width is None


def test_density_of_exif_counts_when_jfif_has_none(inspect, written):
    data = jpeg(blocks(), exif=exif(across=100.0, down=50.0, unit=2))

    facts = inspect(written(data))

    assert (facts.width, facts.height) == pytest.approx((0.48 * 0.0254, 0.64 * 0.0254))


@pytest.mark.parametrize(
    ("mark", "turned"),
    [
        (2, lambda a: a[:, ::-1]),
        (3, lambda a: a[::-1, ::-1]),
        (4, lambda a: a[::-1]),
        (5, lambda a: a.transpose(1, 0, 2)),
        (6, lambda a: a.transpose(1, 0, 2)[:, ::-1]),
        (7, lambda a: a.transpose(1, 0, 2)[::-1, ::-1]),
        (8, lambda a: a.transpose(1, 0, 2)[::-1]),
    ],
)
def test_every_orientation_is_turned_the_right_way_up(read, written, mark, turned):
    data = jpeg(blocks(), exif=exif(orientation=mark, across=100.0, down=50.0, unit=2))

    picture = read(written(data))

    expected = turned(blocks())
    assert picture.pixels.shape[:2] == expected.shape[:2]
    assert np.abs(picture.pixels[..., :3].astype(int) - expected).max() <= 12
    across, down = (50, 100) if mark >= 5 else (100, 50)
    assert (picture.width, picture.height) == pytest.approx(
        (expected.shape[1] / across * 0.0254, expected.shape[0] / down * 0.0254)
    )
    assert any("turned as its orientation mark says" in note for note in picture.notes)


def test_cmyk_that_is_marked_as_turned_over_is_turned_back(read, written):
    """Pillow writes CMYK with the mark and the inversion that belong together."""
    ink = np.zeros((16, 16, 4), np.uint8)
    ink[8:, :, 0] = 255
    data = jpeg(Image.fromarray(ink, "CMYK"))
    assert b"Adobe" in data

    picture = read(written(data), width=0.05)

    assert (picture.pixels[:7, :, :3] >= 250).all()
    assert (picture.pixels[9:, :, 0] <= 5).all()
    assert (picture.pixels[9:, :, 1:3] >= 250).all()
    assert any("CMYK without a usable profile" in note for note in picture.notes)


@pytest.mark.parametrize("share", [0.1, 0.6, 0.95])
def test_a_truncated_file_is_refused(read, written, share):
    data = jpeg(np.random.default_rng(1).integers(0, 255, (64, 64, 3), dtype=np.uint8))

    with pytest.raises(InvalidInput, match="it is not a JPEG that can be read"):
        read(written(data[: int(len(data) * share)]), width=0.05)
