import numpy as np
import pytest
from art_files import noise, pdf, stream

from laydown.artwork.reading import Limits, read_picture
from laydown.artwork.reading.limits import MEBI
from laydown.errors import InvalidInput

RED = "[/Separation /Flame#20Red /DeviceCMYK << /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 0.9 0.8 0] /N 1 >>]"
GOLD = "[/Separation /Gold /DeviceRGB << /FunctionType 2 /Domain [0 1] /C0 [1 1 1] /C1 [0.8 0.6 0.1] /N 1 >>]"
ALL = "[/Separation /All /DeviceGray << /FunctionType 2 /Domain [0 1] /C0 [1] /C1 [0] /N 1 >>]"
NONE = "[/Separation /None /DeviceGray << /FunctionType 2 /Domain [0 1] /C0 [1] /C1 [0] /N 1 >>]"
CYAN = "[/Separation /Cyan /DeviceCMYK << /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [1 0 0 0] /N 1 >>]"
SPACES = f"/ColorSpace << /Red {RED} /Gold {GOLD} /All {ALL} /None {NONE} /Cyan {CYAN} >>"
MM = 0.001


def at(array, x, y, *, box=(72, 36)):
    """The value at a place given in points from the lower left corner."""
    rows, columns = array.shape[:2]
    return array[int((box[1] - y) / box[1] * rows), int(x / box[0] * columns)]


def plates(picture):
    return {spot.name: spot.tone for spot in picture.spots}


def test_vector_art_on_a_transparent_page(read, written):
    picture = read(written(pdf(b"1 0 0 rg 18 9 36 18 re f")))

    assert (picture.width, picture.height) == pytest.approx((0.0254, 0.0127))
    assert (picture.columns, picture.rows) == (300, 150)
    assert tuple(at(picture.pixels, 36, 18)) == (255, 0, 0, 255)
    assert at(picture.pixels, 5, 5)[3] == 0
    assert (picture.pixels[..., 3] / 255).mean() == pytest.approx(0.25, rel=0.002)
    assert picture.spots == ()


def test_half_transparent_paint_has_straight_alpha(read, written):
    picture = read(written(pdf(b"/G gs 1 0 0 rg 0 0 72 36 re f", resources="/ExtGState << /G << /ca 0.5 >> >>")))

    red, green, blue, alpha = (int(one) for one in at(picture.pixels, 36, 18))
    assert abs(alpha - 128) <= 1
    assert (red >= 254, green <= 1, blue <= 1) == (True, True, True)


@pytest.mark.parametrize(
    ("page", "width", "height"),
    [
        ("", 72, 36),
        ("/CropBox [9 9 63 27]", 54, 18),
        ("/Rotate 90", 36, 72),
        ("/UserUnit 2", 144, 72),
        ("/CropBox [9 9 63 27] /Rotate 270 /UserUnit 2", 36, 108),
    ],
)
def test_the_size_of_the_page(read, written, page, width, height):
    picture = read(written(pdf(b"0 0 72 36 re f", page=page)))

    assert (picture.width, picture.height) == pytest.approx((width / 72 * 0.0254, height / 72 * 0.0254))
    assert picture.pixels[..., 3].all()


def test_spot_plates_hold_their_tones_where_they_are_and_nothing_else(read, inspect, written):
    content = b"/Red cs 0.5 scn 0 0 24 36 re f /Gold cs 1 scn 24 0 24 36 re f 0 0 1 rg 48 0 24 36 re f"
    path = written(pdf(content, resources=SPACES))

    picture = read(path)
    tones = plates(picture)

    assert inspect(path).spots == ("Gold", "Flame Red")
    assert set(tones) == {"Flame Red", "Gold"}
    assert at(tones["Flame Red"], 12, 18) in {127, 128}
    assert at(tones["Flame Red"], 36, 18) == at(tones["Flame Red"], 60, 18) == 0
    assert at(tones["Gold"], 36, 18) == 255
    assert at(tones["Gold"], 12, 18) == at(tones["Gold"], 60, 18) == 0
    assert tuple(at(picture.pixels, 60, 18)) == (0, 0, 255, 255)
    assert {spot.name: spot.srgb for spot in picture.spots}["Gold"] == "#cc991a"


@pytest.mark.parametrize(
    "over",
    [b"0 0 1 rg", b"0.2 g", b"1 0 0 0 k", b"/DeviceRGB cs 0 1 0 sc", b"/DeviceCMYK cs 0 1 0 0 sc", b"/Gold cs 1 scn"],
)
def test_other_paint_on_top_knocks_the_ink_out(read, written, over):
    tones = plates(read(written(pdf(b"/Red cs 1 scn 0 0 72 36 re f " + over + b" 18 9 36 18 re f", resources=SPACES))))

    assert at(tones["Flame Red"], 36, 18) == 0
    assert at(tones["Flame Red"], 5, 5) == 255
    assert (tones["Flame Red"] / 255).mean() == pytest.approx(0.75, rel=0.002)


def test_strokes_and_what_a_page_starts_with(read, written):
    """Paint set by nobody is black of the process, and not on any plate."""
    content = b"0 0 20 36 re f q /Red CS 1 SCN 4 w 30 0 m 30 36 l S Q 40 0 m 40 36 l 4 w S"
    tones = plates(read(written(pdf(content, resources=SPACES))))

    assert at(tones["Flame Red"], 30, 18) == 255
    assert at(tones["Flame Red"], 10, 18) == at(tones["Flame Red"], 40, 18) == 0


def test_transparent_paint_has_part_of_its_tone(read, written):
    tones = plates(
        read(
            written(
                pdf(
                    b"/G gs /Red cs 1 scn 0 0 72 36 re f",
                    resources=f"{SPACES} /ExtGState << /G << /ca 0.25 >> >>",
                )
            )
        )
    )

    assert abs(int(at(tones["Flame Red"], 36, 18)) - 64) <= 1


@pytest.mark.parametrize("state", ["/op true /OP true", "/BM /Multiply"])
def test_what_overprints_leaves_the_ink_below(read, written, state):
    picture = read(
        written(
            pdf(
                b"/Red cs 1 scn 0 0 72 36 re f /G gs 0 0 1 rg 18 9 36 18 re f /Gold cs 1 scn 40 9 14 18 re f",
                resources=f"{SPACES} /ExtGState << /G << {state} >> >>",
            )
        )
    )

    tones = plates(picture)
    assert (tones["Flame Red"] == 255).all()
    assert at(tones["Gold"], 47, 18) == 255
    assert any("overprints" in note for note in picture.notes) == ("op" in state)


def test_registration_colour_is_on_every_plate_and_none_is_on_no_plate(read, written):
    content = b"/Red cs 1 scn 0 0 24 36 re f /All cs 1 scn 24 0 24 36 re f /None cs 1 scn 48 0 24 36 re f"
    tones = plates(read(written(pdf(content, resources=SPACES))))

    assert at(tones["Flame Red"], 36, 18) == at(tones["Gold"], 36, 18) == 255
    assert at(tones["Flame Red"], 60, 18) == at(tones["Gold"], 60, 18) == 0
    assert set(tones) == {"Flame Red", "Gold"}


def test_process_inks_by_name_are_no_spots(read, written):
    picture = read(written(pdf(b"/Cyan cs 1 scn 0 0 36 36 re f /Red cs 1 scn 36 0 36 36 re f", resources=SPACES)))

    assert set(plates(picture)) == {"Flame Red"}
    assert at(plates(picture)["Flame Red"], 10, 18) == 0
    assert at(picture.pixels, 10, 18)[3] == 255
    assert any("process inks named in the PDF are in the picture" in note for note in picture.notes)


def test_several_inks_in_one_space_are_taken_apart(read, written):
    many = stream(b"{ pop pop pop 0.2 0.4 0.6 }", "/FunctionType 4 /Domain [0 1 0 1 0 1] /Range [0 1 0 1 0 1]")
    content = b"/Many cs 0.2 0.4 0.8 scn 0 0 36 36 re f"
    resources = "/ColorSpace << /Many [/DeviceN [/First /Black /Third] /DeviceRGB 10 0 R] >>"

    picture = read(written(pdf(content, resources=resources, objects=(many,))))
    tones = plates(picture)

    assert set(tones) == {"First", "Third"}
    assert at(tones["First"], 10, 18) == 51
    assert at(tones["Third"], 10, 18) == 204
    assert at(tones["First"], 60, 18) == 0


def test_an_image_in_a_spot_ink_keeps_every_tone(written):
    tone = noise(36, 72, 1)
    image = stream(
        tone.tobytes(),
        f"/Type /XObject /Subtype /Image /Width 72 /Height 36 /BitsPerComponent 8 /ColorSpace {RED} /Interpolate false",
    )
    path = written(pdf(b"q 72 0 0 36 0 0 cm /I Do Q", resources="/XObject << /I 10 0 R >>", objects=(image,)))

    plate = plates(read_picture(path, limits=Limits(resolution_per_inch=72)))["Flame Red"]

    assert plate.shape == tone.shape
    assert np.abs(plate.astype(int) - tone).max() <= 1


def test_an_indexed_image_in_a_spot_ink(read, written):
    levels = bytes([0, 85, 170, 255])
    image = stream(
        np.repeat(np.arange(4, dtype=np.uint8), 2).tobytes(),
        f"/Type /XObject /Subtype /Image /Width 8 /Height 1 /BitsPerComponent 8 "
        f"/ColorSpace [/Indexed {RED} 3 <{levels.hex()}>]",
    )
    path = written(pdf(b"q 72 0 0 36 0 0 cm /I Do Q", resources="/XObject << /I 10 0 R >>", objects=(image,)))

    plate = plates(read(path))["Flame Red"]

    assert [int(at(plate, x, 18)) for x in (9, 27, 45, 63)] == [0, 85, 170, 255]


def test_images_and_shadings_of_process_colours_knock_out_by_their_outline(read, written):
    rgb = stream(
        noise(8, 8, 3).tobytes(),
        "/Type /XObject /Subtype /Image /Width 8 /Height 8 /BitsPerComponent 8 /ColorSpace /DeviceRGB /SMask 11 0 R",
    )
    mask = stream(
        bytes([255, 0]), "/Type /XObject /Subtype /Image /Width 2 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceGray"
    )
    shading = (
        b"<< /ShadingType 2 /ColorSpace /DeviceRGB /Coords [0 0 72 0] /Function << /FunctionType 2 /Domain [0 1] "
        b"/C0 [1 0 0] /C1 [0 0 0] /N 1 >> /Extend [true true] >>"
    )
    content = (
        b"/Red cs 1 scn 0 0 72 36 re f q 20 0 0 36 0 0 cm /I Do Q q 30 0 10 36 re W n /H sh Q "
        b"q 10 0 0 36 60 0 cm BI /W 1 /H 1 /BPC 8 /CS /G ID \x00 EI Q"
    )
    resources = f"{SPACES} /XObject << /I 10 0 R >> /Shading << /H 12 0 R >>"

    plate = plates(read(written(pdf(content, resources=resources, objects=(rgb, mask, shading)))))["Flame Red"]

    assert [int(at(plate, x, 18)) for x in (3, 17, 25, 35, 50, 65)] == [0, 255, 255, 0, 255, 0]


def test_a_shading_in_a_spot_ink_runs_through_its_tones(read, written):
    shading = (
        f"<< /ShadingType 2 /ColorSpace {RED} /Coords [0 0 72 0] /Function << /FunctionType 2 /Domain [0 1] "
        "/C0 [0] /C1 [1] /N 1 >> >>"
    ).encode()

    plate = plates(read(written(pdf(b"/H sh", resources="/Shading << /H 10 0 R >>", objects=(shading,)))))["Flame Red"]

    ramp = plate[75].astype(float)
    assert np.abs(ramp - (np.arange(300) + 0.5) / 300 * 255).max() <= 3


def test_forms_and_patterns_are_followed(read, written):
    form = stream(
        b"/Red cs 1 scn 0 0 20 36 re f 0 0 1 rg 5 5 10 10 re f",
        f"/Type /XObject /Subtype /Form /BBox [0 0 40 40] /Resources << {SPACES} >>",
    )
    tile = stream(
        b"/Gold cs 0.6 scn 0 0 9 9 re f",
        f"/Type /Pattern /PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 9 9] /XStep 9 /YStep 9 "
        f"/Resources << {SPACES} >>",
    )
    content = b"/F Do /Pattern cs /P scn 36 0 36 36 re f"
    resources = "/XObject << /F 10 0 R >> /Pattern << /P 11 0 R >>"

    tones = plates(read(written(pdf(content, resources=resources, objects=(form, tile)))))

    assert at(tones["Flame Red"], 2, 2) == 255
    assert at(tones["Flame Red"], 10, 10) == at(tones["Flame Red"], 50, 10) == 0
    assert abs(int(at(tones["Gold"], 50, 18)) - 153) <= 1


def test_a_soft_mask_of_process_grey_still_masks(read, written):
    """The mask's own grey must not be turned to white."""
    group = stream(
        b"0 g 0 0 36 36 re f 1 g 36 0 36 36 re f",
        "/Type /XObject /Subtype /Form /BBox [0 0 72 36] /Group << /S /Transparency /CS /DeviceGray >>",
    )
    resources = f"{SPACES} /ExtGState << /G << /SMask << /S /Luminosity /G 10 0 R >> >> >>"

    plate = plates(read(written(pdf(b"/G gs /Red cs 1 scn 0 0 72 36 re f", resources=resources, objects=(group,)))))[
        "Flame Red"
    ]

    assert at(plate, 18, 18) == 0
    assert at(plate, 54, 18) == 255


def test_an_ink_that_prints_nothing_is_listed_but_gives_no_plate(read, inspect, written):
    path = written(pdf(b"/Red cs 1 scn 0 0 36 36 re f", resources=SPACES))

    picture = read(path)

    assert inspect(path).spots == ("Gold", "Flame Red")
    assert set(plates(picture)) == {"Flame Red"}
    assert any("'Gold' of the PDF prints nothing" in note for note in picture.notes)


@pytest.mark.parametrize(
    ("written_as", "name"), [("Gr#fcn", "Grün"), ("Gr#c3#bcn", "Grün"), ("A#2fB#23", "A/B#"), ("a#0ab", "a b")]
)
def test_names_of_inks_in_any_letters(read, written, written_as, name):
    space = RED.replace("Flame#20Red", written_as)
    data = pdf(b"/S cs 1 scn 0 0 36 36 re f", resources=f"/ColorSpace << /S {space} >>")

    picture = read(written(data))

    assert {k: int(v.max()) for k, v in plates(picture).items()} == {name: 255}


def test_cmyk_is_called_a_guess(read, written):
    assert any("CMYK" in note for note in read(written(pdf(b"0 1 0 0 k 0 0 72 36 re f"))).notes)
    assert not any("CMYK" in note for note in read(written(pdf(b"0 1 0 rg 0 0 72 36 re f"))).notes)


def test_a_coarse_picture_on_the_page_is_mentioned(read, written):
    image = stream(
        noise(36, 72, 3).tobytes(),
        "/Type /XObject /Subtype /Image /Width 72 /Height 36 /BitsPerComponent 8 /ColorSpace /DeviceRGB",
    )
    path = written(pdf(b"q 72 0 0 36 0 0 cm /I Do Q", resources="/XObject << /I 10 0 R >>", objects=(image,)))

    assert any("a picture in it has 72 pixels an inch at 25 mm wide" in note for note in read(path).notes)
    assert any("a picture in it has 36 pixels an inch at 51 mm wide" in note for note in read(path, width=0.0508).notes)


def test_pages_are_chosen_and_missing_ones_refused(read, written):
    with pytest.raises(InvalidInput, match="it has 1 page, so there is no page 2"):
        read(written(pdf(b"")), page=2)


def test_a_locked_file_is_refused(read, tmp_path, written):
    import pikepdf

    with pikepdf.open(written(pdf(b"0 0 9 9 re f"))) as plain:
        plain.save(tmp_path / "locked.pdf", encryption=pikepdf.Encryption(owner="a", user="b"))

    with pytest.raises(InvalidInput, match="locked by a password"):
        read(tmp_path / "locked.pdf")


def test_a_huge_page_needs_a_size_and_is_then_drawn_within_the_limit(read, written):
    path = written(pdf(b"0 0 9 9 re f", box="0 0 14400 14400"))

    with pytest.raises(InvalidInput, match=r"5080.0 x 5080.0 mm large; allowed is 5 to 2000"):
        read(path)
    assert read(path, width=0.05).columns == 591


@pytest.mark.slow
def test_endless_content_is_ended(written):
    content = b"q 0 0 72 36 re W n " + b"/G gs 1 0 0 rg 0 0 72 36 re f " * 300_000
    path = written(pdf(content, resources="/ExtGState << /G << /ca 0.5 /BM /Luminosity >> >>"))

    with pytest.raises(InvalidInput, match=r"more than the allowed 1 s of computing|longer than the allowed"):
        read_picture(path, width=0.3, limits=Limits(cpu=1, wall=10))


def test_a_form_that_draws_itself_ends(read, written):
    form = stream(
        b"/Red cs 1 scn 0 0 20 36 re f /F Do",
        f"/Type /XObject /Subtype /Form /BBox [0 0 40 40] /Resources << {SPACES} /XObject << /F 10 0 R >> >>",
    )

    picture = read(written(pdf(b"/F Do", resources="/XObject << /F 10 0 R >>", objects=(form,))))

    assert at(plates(picture)["Flame Red"], 10, 18) == 255


@pytest.mark.slow
def test_a_stream_that_unpacks_without_end_is_refused(written):
    import zlib

    packed = zlib.compress(b" " * (400 * MEBI), 9)
    data = pdf(b"").replace(
        b"<<  /Length 0 >>\nstream\n\nendstream",
        b"<< /Filter /FlateDecode /Length %d >>\nstream\n" % len(packed) + packed + b"\nendstream",
    )

    with pytest.raises(InvalidInput, match=r"memory|of computing"):
        read_picture(written(data), limits=Limits(memory_bytes=700 * MEBI, cpu=5, wall=20))
