"""Promises of the film files, read back by other libraries."""

import io
import re

import imagecodecs
import numpy as np
import pikepdf
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from artwork.films.read_back import tiff_bits
from artwork.halftone.plates import DEVICE, plate, unpacked
from artwork.halftone.screens import halftone
from laydown import units
from laydown.artwork.films.marks import Words, film_stamps, reading_side
from laydown.artwork.films.sheet import sheet_for, sheet_rows
from laydown.artwork.films.tone_strip import TONES, strip_patches
from laydown.artwork.films.write import LONGEST_NAME, Film, FilmKind, film_code, film_name, write_films
from laydown.artwork.halftone import DotShape, Stochastic, halftone_rows
from laydown.artwork.plate import Plate
from laydown.artwork.tone_curve import STRAIGHT, starting_curve
from laydown.domain.stack import Role
from laydown.errors import InvalidInput


def ramp(rows=60, columns=150):
    tones = np.tile(np.linspace(0, 255, columns), (rows, 1))
    tones[:8], tones[8:16] = 255, 0
    return tones


def film(tones=None, **more):
    return Film(plate=plate(ramp() if tones is None else tones), screening=halftone(), **more)


def written(tmp_path, films, **more):
    asked = {"order": "Harbour 12", "resolution": DEVICE} | more
    return write_films(films, tmp_path / "films", **asked)


def test_the_tiff_says_its_size_exactly_and_holds_every_bit(tmp_path):
    one = film(mesh="90/48", curve=starting_curve(), least=0.08, most=0.92)
    (done,) = written(tmp_path, [one])
    sheet = done.sheet
    with Image.open(tmp_path / "films" / done.files[0]) as image:
        tags = image.tag_v2
        assert image.size == (sheet.columns, sheet.rows)
        assert (tags[282], tags[283], tags[296]) == (720, 720, 2)
        assert (tags[259], tags[262], tags[258]) == (4, 0, (1,))
        assert tags[278] == sheet.rows
        assert len(tags[273]) == 1
        assert image.size[0] / float(tags[282]) == pytest.approx(units.to_inch(sheet.width), rel=1e-12)
        assert tags[270] == "Harbour 12 colour 1, Red plastisol, 55 lines/in, 22.5?, elliptical dots"
    code = film_code(one, sheet, order="Harbour 12", mirrored=False)

    np.testing.assert_array_equal(
        tiff_bits(tmp_path / "films" / done.files[0]),
        imagecodecs.ccittfax4_decode(code, height=sheet.rows, width=sheet.columns).astype(bool),
    )


def test_the_image_on_the_film_is_the_halftone_bit_by_bit_at_its_size(tmp_path):
    one = film()
    (done,) = written(tmp_path, [one])
    sheet = done.sheet
    bits = tiff_bits(tmp_path / "films" / done.files[0])
    image = bits[sheet.top : sheet.top + sheet.image_rows, sheet.left : sheet.left + sheet.image_columns]

    np.testing.assert_array_equal(
        image, unpacked(halftone_rows(one.plate, one.screening, resolution=DEVICE), sheet.image_columns)
    )
    assert sheet.image_columns / DEVICE == pytest.approx(one.plate.width, abs=0.5 / DEVICE)
    assert sheet.image_rows / DEVICE == pytest.approx(one.plate.height, abs=0.5 / DEVICE)
    inked = np.flatnonzero(image[:8].all(axis=0))
    assert inked[-1] - inked[0] + 1 == sheet.image_columns


def test_nothing_stands_within_a_millimetre_of_the_image(tmp_path):
    (done,) = written(tmp_path, [film(np.zeros((60, 150)))])
    sheet, away = done.sheet, round(0.9e-3 * DEVICE)
    bits = tiff_bits(tmp_path / "films" / done.files[0])

    assert not bits[
        sheet.top - away : sheet.top + sheet.image_rows + away,
        sheet.left - away : sheet.left + sheet.image_columns + away,
    ].any()
    assert bits.any()


@pytest.mark.parametrize("per_inch", [360.0, 600.0, 720.0, 1016.0])
def test_the_pdf_page_is_as_large_as_the_film_and_shows_the_same_bits(tmp_path, per_inch):
    resolution = units.from_per_inch(per_inch)
    (done,) = written(tmp_path, [film()], resolution=resolution)
    tiff, pdf = (tmp_path / "films" / name for name in done.files)
    sheet, bits = done.sheet, tiff_bits(tiff)
    with pikepdf.open(pdf) as document:
        assert len(document.pages) == 1
        box = [float(value) for value in document.pages[0].mediabox]
        image = document.pages[0].Resources.XObject["/Film"]
        assert image["/Filter"] == "/CCITTFaxDecode"
        assert image["/BitsPerComponent"] == 1
        coded = image.read_raw_bytes()
        assert "/CreationDate" not in document.docinfo
    np.testing.assert_allclose(box, [0, 0, sheet.columns * 72 / per_inch, sheet.rows * 72 / per_inch], atol=1e-6)
    assert box[2] / 72 == pytest.approx(units.to_inch(sheet.width), rel=1e-9)
    decoded = imagecodecs.ccittfax4_decode(coded, height=sheet.rows, width=sheet.columns).astype(bool)
    np.testing.assert_array_equal(decoded, bits)
    page = pypdfium2.PdfDocument(pdf.read_bytes())[0]
    (shown,) = page.get_objects()
    np.testing.assert_array_equal(shown.get_bitmap().to_numpy().reshape(bits.shape) < 128, bits)
    # Page and image are as large as each other, in single precision.
    np.testing.assert_allclose(shown.get_bounds(), (0, 0, *page.get_size()), rtol=1e-6)


def test_a_mirrored_film_is_the_mirror_image_bit_by_bit():
    one = film()
    rows, columns = 144, 360
    sheet = sheet_for(rows, columns, DEVICE)
    words = Words(
        plate="red", order="12", ink="Red", mesh="90/48", screening=one.screening, curve=STRAIGHT, mirrored=False
    )

    def bits(*, mirrored):
        image = halftone_rows(one.plate, one.screening, resolution=DEVICE)
        return unpacked(sheet_rows(sheet, image, film_stamps(sheet, words), mirrored=mirrored), sheet.columns)

    np.testing.assert_array_equal(bits(mirrored=True), bits(mirrored=False)[:, ::-1])


def test_a_film_says_which_way_it_reads(tmp_path):
    (straight,) = written(tmp_path, [film()])
    first = tiff_bits(tmp_path / "films" / straight.files[0])
    (mirrored,) = written(tmp_path, [film()], mirrored=True)
    second = tiff_bits(tmp_path / "films" / mirrored.files[0])[:, ::-1]
    top = straight.sheet.top

    np.testing.assert_array_equal(first[top:], second[top:])
    assert (first[:top] != second[:top]).any()
    assert "inked side" in reading_side(mirrored=False)
    assert reading_side(mirrored=False).startswith("Not mirrored")
    assert "through the film" in reading_side(mirrored=True)


def test_a_film_names_plate_order_ink_mesh_and_screen():
    words = Words(
        plate="underbase", order="12", ink="White", mesh="61/64", screening=halftone(), curve=STRAIGHT, mirrored=True
    )

    assert words.lines() == (
        "underbase",
        "order 12 · White · mesh 61/64 · 55 lines/in, 22.5°, elliptical dots",
        reading_side(mirrored=True),
    )


def test_targets_of_all_plates_lie_on_each_other(tmp_path):
    """The four targets are the same pixels whatever the plates print and are called."""
    done = written(tmp_path, [film(), film(np.full((60, 150), 255), mesh="43/80")])
    one, other = (tiff_bits(tmp_path / "films" / each.files[0]) for each in done)
    corner = round(15.5e-3 * DEVICE)

    for rows in (slice(0, done[0].sheet.top), slice(-round(24e-3 * DEVICE), None)):
        for columns in (slice(0, corner), slice(-corner, None)):
            np.testing.assert_array_equal(one[rows, columns], other[rows, columns])
            assert one[rows, columns].any()


@pytest.mark.parametrize("screening", [halftone(), halftone(45.0, 45.0, DotShape.ROUND), Stochastic(dot=70e-6)])
def test_patches_of_the_strip_have_the_tones_that_stand_beside_them(screening):
    """Within 1 % of area on 5 mm, where a few dots are cut; the second row prints its tones by the curve."""
    curve = starting_curve()
    (film_label, known), (print_label, wanted) = strip_patches(screening, curve, DEVICE, 142)

    assert [patch.tone for patch in known] == [patch.tone for patch in wanted] == list(TONES)
    assert film_label == "% on film"
    assert print_label.startswith("% in print")
    for patch in (*known, *wanted):
        assert patch.bits.mean() == pytest.approx(patch.film, abs=0.01)
    for patch in known:
        assert patch.film == patch.tone
    for patch in wanted:
        assert curve.print_of(patch.film) == pytest.approx(patch.tone)


def test_without_a_curve_the_strip_has_one_row():
    ((label, patches),) = strip_patches(halftone(), STRAIGHT, DEVICE, 60)

    assert label == "% on film"
    assert len(patches) == len(TONES)


def test_the_strip_on_the_film_is_where_it_should_be(tmp_path):
    (done,) = written(tmp_path, [film(curve=starting_curve())])
    bits = tiff_bits(tmp_path / "films" / done.files[0])
    sheet = done.sheet
    y = sheet.top + sheet.image_rows + sheet.pixels(5.6e-3)
    for _, patches in strip_patches(halftone(), starting_curve(), DEVICE, sheet.pixels(5e-3)):
        for index, patch in enumerate(patches):
            x = 8 * (sheet.pixels(16e-3) // 8 + index * (sheet.pixels(9e-3) // 8))
            edge = patch.bits.shape[0]
            np.testing.assert_array_equal(bits[y : y + edge, x : x + edge], patch.bits)
        y += sheet.pixels(5e-3 + 1.35 * 1.9e-3)


def test_films_repeat_bit_by_bit_whoever_makes_them(tmp_path):
    films = [film(), film(ramp()[::-1]), film(curve=starting_curve())]
    first = written(tmp_path, films, workers=1)
    kept = {name: (tmp_path / "films" / name).read_bytes() for done in first for name in done.files}
    again = written(tmp_path, films, workers=3)

    assert first == again
    assert len(kept) == 6
    for name, data in kept.items():
        assert (tmp_path / "films" / name).read_bytes() == data


class Torn:
    """Tones that cannot be made to the end."""

    shape = (600, 150)

    def band(self, start, stop):
        if start:
            raise InvalidInput("the art is torn")
        return np.zeros((stop - start, 150), np.uint8)


def torn():
    return Film(
        plate=Plate(name="torn", role=Role.COLOUR, ink="Red", tones=Torn(), width=0.0127, height=0.0508),
        screening=halftone(),
    )


def test_when_one_plate_fails_nothing_is_written(tmp_path):
    with pytest.raises(InvalidInput, match="the art is torn"):
        written(tmp_path, [film(np.zeros((600, 150))), torn()])

    assert not (tmp_path / "films").exists()


def test_what_was_in_the_folder_stays_as_it_was(tmp_path):
    (done,) = written(tmp_path, [film(np.zeros((600, 150)))])
    (tmp_path / "films" / "other.txt").write_text("mine")
    before = {path.name: path.read_bytes() for path in (tmp_path / "films").iterdir()}
    with pytest.raises(InvalidInput, match="the art is torn"):
        written(tmp_path, [film(np.full((600, 150), 255)), torn()])

    assert {path.name: path.read_bytes() for path in (tmp_path / "films").iterdir()} == before
    assert done.files[0] in before


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "films").write_text("mine")

    with pytest.raises(InvalidInput, match="a folder is needed"):
        written(tmp_path, [film()])


def test_only_the_kinds_that_are_asked_for_are_written_and_progress_is_told(tmp_path):
    told = []
    done = written(tmp_path, [film(), film()], kinds=[FilmKind.TIFF], finished=told.append)

    assert sorted(path.name for path in (tmp_path / "films").iterdir()) == [
        "harbour-12-01-colour-1.tif",
        "harbour-12-02-colour-1.tif",
    ]
    assert [each.files for each in done] == [("harbour-12-01-colour-1.tif",), ("harbour-12-02-colour-1.tif",)]
    assert told == [1, 2]


@given(st.text(max_size=80), st.text(max_size=80), st.integers(1, 16))
def test_a_film_has_a_plain_name_whatever_its_plate_is_called(order, name, number):
    found = film_name(order, number, name)

    assert re.fullmatch(r"[a-z0-9-]+", found)
    assert f"{number:02d}" in found
    assert len(found) <= 2 * LONGEST_NAME + 4


@pytest.mark.parametrize("name", ["W" * 80, "…" * 80, "Ünterlage · 白 “x”", "../../etc/passwd", "a\nb"])
def test_names_that_are_long_or_strange_make_a_film_all_the_same(tmp_path, name):
    """Long words end before the right-hand target."""
    one = Film(plate=plate(np.zeros((60, 150)), name=name, ink="I" * 80), screening=halftone(), mesh="43/80")
    (done,) = written(tmp_path, [one], order=name)
    bits = tiff_bits(tmp_path / "films" / done.files[0])
    (plain,) = written(tmp_path, [film(np.zeros((60, 150)))], order="x")
    other = tiff_bits(tmp_path / "films" / plain.files[0])
    corner = round(15.5e-3 * DEVICE)

    np.testing.assert_array_equal(bits[:, -corner:], other[:, -corner:])
    assert {path.parent for path in (tmp_path / "films").rglob("*")} == {tmp_path / "films"}


def test_films_of_no_plate_or_of_plates_of_two_sizes_are_refused(tmp_path):
    with pytest.raises(InvalidInput, match="there is no plate"):
        written(tmp_path, [])
    with pytest.raises(InvalidInput, match="no kind of film file"):
        written(tmp_path, [film()], kinds=[])
    with pytest.raises(InvalidInput, match="must have one size"):
        written(tmp_path, [film(), film(ramp(70))])
    with pytest.raises(InvalidInput, match="no halftone is left"):
        written(tmp_path, [film(least=0.6, most=0.4)])
    assert not (tmp_path / "films").exists()


@pytest.mark.slow
def test_a_film_of_140_million_pixels_is_written_and_read_back(tmp_path, monkeypatch):
    """15 by 18 inches at 720 pixels/in, all of it grey."""
    import tracemalloc

    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", None)
    one = film(np.tile(np.linspace(0, 255, 4500), (5400, 1)))
    write_films([film()], tmp_path / "warm", order="", resolution=DEVICE)
    tracemalloc.start()
    done = written(tmp_path, [one], kinds=[FilmKind.TIFF])
    added = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    sheet = done[0].sheet
    bits = tiff_bits(tmp_path / "films" / done[0].files[0])
    image = bits[sheet.top : sheet.top + sheet.image_rows, sheet.left : sheet.left + sheet.image_columns]

    assert image.shape == (12_960, 10_800)
    assert image.mean() == pytest.approx(0.5, abs=0.002)
    assert added <= 3 * 4500 * 5400
    code = film_code(one, sheet, order="Harbour 12", mirrored=False)
    with Image.open(io.BytesIO((tmp_path / "films" / done[0].files[0]).read_bytes())) as again:
        assert again.tag_v2[279] == (len(code),)
