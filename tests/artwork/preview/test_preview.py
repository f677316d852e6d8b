"""Pictures of prints: the optics' own colours, averaged in linear light, and differences where they are."""

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from laydown.artwork.picture import Picture
from laydown.artwork.plate import Plate, StoredTone
from laydown.artwork.preview import (
    StainKey,
    art_image,
    difference,
    map_pixels,
    plate_picture,
    png_bytes,
    print_image,
    seen_at,
    with_cloth,
)
from laydown.artwork.print_colour import print_layers, print_xyz
from laydown.domain.stack import Role
from laydown.errors import InvalidInput
from laydown.physics.colorimetry import srgb_to_xyz
from small_shop import cloth, colour, white

RED = colour("Red")
LAYERS = print_layers(cloth().reflectance(), white=white(), colours=(RED,))
SHOWN = replace(LAYERS, condition="D65/2")
ROWS, COLUMNS = 60, 80


def plate(role, ink, values):
    return Plate(name=ink, role=role, ink=ink, tones=StoredTone(values=values), width=0.16, height=0.12)


def full(tone):
    return np.full((ROWS, COLUMNS), tone, dtype=np.uint8)


def half():
    values = full(0)
    values[:, : COLUMNS // 2] = 255
    return values


def test_a_solid_print_has_the_colour_of_its_film_everywhere():
    image = print_image(
        (plate(Role.UNDERBASE, white().name, full(255)), plate(Role.COLOUR, "Red", full(255))), LAYERS, columns=40
    )

    assert image.xyz.shape == (30, 40, 3)
    assert np.allclose(image.xyz, print_xyz([1.0, 1.0], SHOWN), atol=1e-4)


def test_an_open_print_shows_the_cloth():
    image = print_image((plate(Role.COLOUR, "Red", full(0)),), LAYERS, columns=40)

    assert np.allclose(image.xyz, print_xyz([0.0, 0.0], SHOWN), atol=1e-4)


def test_tones_mix_as_the_separation_mixes_them():
    tones = (plate(Role.UNDERBASE, white().name, full(102)), plate(Role.COLOUR, "Red", full(153)))

    assert np.allclose(print_image(tones, LAYERS, columns=40).xyz, print_xyz([0.4, 0.6], SHOWN), atol=1e-4)


def test_an_edge_is_averaged_in_linear_light_and_not_taken_for_an_overprint():
    stripes = full(0)
    stripes[:, ::2] = 255
    other = 255 - stripes
    image = print_image(
        (plate(Role.UNDERBASE, white().name, stripes), plate(Role.COLOUR, "Red", other)), LAYERS, columns=40
    )

    mean = 0.5 * (print_xyz([1.0, 0.0], SHOWN) + print_xyz([0.0, 1.0], SHOWN))
    assert np.allclose(image.xyz, mean, atol=1e-4)


def test_a_stain_takes_its_share_of_the_colour_on_top():
    solid = (plate(Role.UNDERBASE, white().name, full(255)), plate(Role.COLOUR, "Red", half()))
    stain = {StainKey(ink="", on_white=True): np.array([0.5, 0.5, 0.5])}
    clean, stained = (print_image(solid, LAYERS, columns=COLUMNS, stain=s) for s in (None, stain))

    assert np.allclose(stained.xyz[:, 45:], 0.5 * clean.xyz[:, 45:])
    assert np.allclose(stained.xyz[:, :35], clean.xyz[:, :35])


def test_the_worst_spot_is_found_and_named():
    solid = (plate(Role.UNDERBASE, white().name, full(255)), plate(Role.COLOUR, "Red", half()))
    stain = {StainKey(ink="", on_white=True): np.array([0.5, 0.5, 0.5])}
    found = difference(*(print_image(solid, LAYERS, columns=COLUMNS, stain=s) for s in (None, stain)))

    assert found.worst > 5
    assert found.across > 0.08
    assert 0 < found.mean < found.worst
    assert seen_at(solid, LAYERS, across=found.across, down=found.down) == "white"
    assert seen_at(solid, LAYERS, across=0.01, down=0.05) == "Red on white"


def test_the_same_image_twice_has_no_difference():
    image = print_image((plate(Role.COLOUR, "Red", half()),), LAYERS, columns=COLUMNS)

    assert difference(image, image).worst == 0
    assert map_pixels(difference(image, image), columns=30).min() == 255


def test_art_is_shown_over_the_cloth_with_its_own_colours():
    pixels = np.zeros((ROWS, COLUMNS, 4), dtype=np.uint8)
    pixels[:, :40] = (200, 30, 60, 255)
    image = art_image(Picture(pixels=pixels, width=0.16, height=0.12), LAYERS, columns=COLUMNS)

    assert np.allclose(image.xyz[:, :38], srgb_to_xyz([200 / 255, 30 / 255, 60 / 255]), atol=1e-3)
    assert np.allclose(image.xyz[:, 42:], print_xyz([0.0, 0.0], SHOWN), atol=1e-4)


def test_a_margin_of_cloth_grows_the_picture_by_its_size():
    image = print_image((plate(Role.COLOUR, "Red", full(255)),), LAYERS, columns=80)
    grown = with_cloth(image, LAYERS, margin=0.02)

    assert grown.xyz.shape == (80, 100, 3)
    assert grown.width == pytest.approx(0.20)
    assert np.allclose(grown.xyz[0, 0], print_xyz([0.0, 0.0], SHOWN), atol=1e-4)


def test_the_png_says_what_its_pixels_mean_and_how_large_they_are():
    image = print_image((plate(Role.COLOUR, "Red", full(255)),), LAYERS, columns=80)
    data = png_bytes(image.srgb, width=image.width)
    read = Image.open(BytesIO(data))

    assert b"sRGB" in data
    assert read.size == (80, 60)
    assert read.size[0] / read.info["dpi"][0] * 0.0254 == pytest.approx(0.16, rel=1e-3)
    assert np.array_equal(np.asarray(read), image.srgb)


def test_the_picture_of_a_plate_is_black_where_it_prints():
    data, size = plate_picture(plate(Role.COLOUR, "Red", half()), columns=40)
    grey = np.asarray(Image.open(BytesIO(data)))

    assert size == (40, 30)
    assert grey[:, :18].max() == 0
    assert grey[:, 22:].min() == 255


def test_a_plate_without_a_film_is_refused():
    with pytest.raises(InvalidInput, match="no film for the plate 'Blue'"):
        print_image((plate(Role.COLOUR, "Blue", full(255)),), LAYERS, columns=40)


def test_a_print_without_plates_is_refused():
    with pytest.raises(InvalidInput, match="no plate to show"):
        print_image((), LAYERS, columns=40)
