"""From an order with art to plates, films, previews and the ticket, on the shipped orders with art."""

import struct
from functools import cache

import numpy as np
import pytest
from PIL import Image

from laydown.documents.order_file import order_text
from laydown.documents.template import demo_folder
from laydown.domain.art import ArtRequest
from laydown.domain.stack import Role
from laydown.errors import InvalidInput, NotFound
from laydown.services.art import USUAL_RULING, read_art_print
from laydown.services.plates import FilmWishes, checks_of, plates_of, write_plates
from laydown.services.preview import preview
from laydown.services.shelves import read_order
from laydown.services.tickets import ticket
from laydown.units import from_per_inch
from planned import COTTON, invented_shop, planned

pytestmark = pytest.mark.slow

FLAT, TONED = "19-lighthouse-tees", "20-night-ferry-tees"
INKS = ("white", "Beacon Red", "Gorse Yellow", "Estuary Blue")


@cache
def made(key):
    return plates_of(invented_shop(), planned(key), demo_folder())


def square(path, rgba, *, size=200, filled=100):
    pixels = np.zeros((size, size, 4), dtype=np.uint8)
    start = (size - filled) // 2
    pixels[start : start + filled, start : start + filled] = rgba
    Image.fromarray(pixels).save(path, dpi=(50.8, 50.8))
    return path


def art_print(path, request=None, garment="Quayside tee black"):
    shop = invented_shop()
    return read_art_print(
        path,
        request or ArtRequest(),
        name=path.name,
        place="front",
        garment=shop.garment(garment),
        shop=shop,
        where="o.toml, print[1].artwork",
    )


def test_a_white_square_on_black_is_white_of_its_own_area(tmp_path):
    print_ = art_print(square(tmp_path / "a.png", (255, 255, 255, 255)))

    # 200 pixels at 50.8 an inch are 100 mm; half as wide and high is a quarter of the rectangle.
    assert print_.width == pytest.approx(0.1)
    assert [use.ink for use in print_.inks] == ["white"]
    assert print_.inks[0].coverage == pytest.approx(0.25, rel=2e-3)
    assert print_.art.inked == pytest.approx(0.25, rel=2e-3)
    assert print_.art.plates[0].area == pytest.approx(0.0025, rel=2e-3)
    assert print_.art.plates[0].edge_length == pytest.approx(0.2, rel=0.05)
    assert print_.ruling is None


def test_art_of_the_colour_of_the_garment_needs_no_ink_unless_the_customer_wants_it(tmp_path):
    shop = invented_shop()
    rgb = tuple(int(shop.garment("Quayside tee black").colour.srgb[i : i + 2], 16) for i in (1, 3, 5))
    path = square(tmp_path / "a.png", (*rgb, 255))

    with pytest.raises(InvalidInput, match=r"o\.toml, print\[1\]\.artwork: all of it equals the colour of"):
        art_print(path)
    assert art_print(path, ArtRequest(open_cloth=False)).art.inked == pytest.approx(0.25, rel=2e-3)


def test_a_dark_ink_on_a_white_garment_needs_no_white(tmp_path):
    print_ = art_print(square(tmp_path / "a.png", (20, 20, 20, 255)), garment="Quayside tee white")

    assert print_.art.underbase == 0
    assert [use.ink for use in print_.inks] == ["Lamp Black"]


def test_a_named_ink_that_is_not_there_is_refused_at_its_place(tmp_path):
    with pytest.raises(NotFound, match=r"no ink named 'Moon dust'"):
        art_print(square(tmp_path / "a.png", (255, 255, 255, 255)), ArtRequest(inks=("Moon dust",)))


def test_a_file_that_is_no_picture_is_refused_in_one_sentence(tmp_path):
    (tmp_path / "a.png").write_bytes(b"not a picture")

    with pytest.raises(InvalidInput, match=r"o\.toml, print\[1\]\.artwork: a\.png") as caught:
        art_print(tmp_path / "a.png")
    assert "\n" not in str(caught.value)


def test_the_plan_lays_white_where_the_art_needs_it_and_counts_every_ink():
    plan = planned(FLAT)
    print_, stack = plan.order.prints[0], plan.prints[0].stack

    assert {use.ink for use in print_.inks} == set(INKS)
    for p in stack.inked:
        if p.role is not Role.COLOUR:
            assert p.coverage == pytest.approx(print_.art.underbase)
    assert len(plan.prints[0].production.inks) == len(stack.inked)


def test_tones_get_a_ruling_and_finer_meshes():
    assert planned(TONED).order.prints[0].ruling == pytest.approx(40 / 0.0254)
    assert planned(FLAT).order.prints[0].ruling is None
    assert pytest.approx(45 / 0.0254) == USUAL_RULING
    meshes = [p.screen.mesh.count for key in (FLAT, TONED) for p in planned(key).prints[0].stack.inked[:1]]
    assert meshes[1] > meshes[0]


def test_the_order_with_its_art_is_written_as_it_asked(tmp_path):
    folder = tmp_path / "orders"
    (folder / "art").mkdir(parents=True)
    (folder / "art" / "lighthouse.svg").write_bytes((demo_folder() / "art" / "lighthouse.svg").read_bytes())
    (folder / "o.toml").write_text(order_text(planned(FLAT).order), encoding="utf-8")

    assert read_order(folder / "o.toml", invented_shop()) == planned(FLAT).order


@pytest.mark.parametrize("key", [FLAT, TONED])
def test_every_plate_has_its_pass_and_every_ink_its_plate(key):
    plates = made(key)

    assert plates.plates[0].role is Role.UNDERBASE
    assert {p.ink for p in plates.plates} == {
        p.ink.name for p in planned(key).prints[0].stack.inked if p.ink is not None
    }
    for plate, pass_ in zip(plates.plates, plates.passes, strict=True):
        assert pass_.ink.name == plate.ink


def test_films_are_written_in_the_size_of_the_print(tmp_path):
    wishes = FilmWishes(resolution=from_per_inch(180))
    written = write_plates(invented_shop(), planned(FLAT), made(FLAT), tmp_path, wishes=wishes)

    assert len(written) == 4
    for film in written:
        sheet = film.sheet
        assert sheet.resolution == pytest.approx(180 / 0.0254)
        data = (tmp_path / film.files[0]).read_bytes()
        assert struct.unpack("<2sHI", data[:8])[:2] in {(b"II", 42), (b"MM", 42)}
        with Image.open(tmp_path / film.files[0]) as image:
            assert image.size == (sheet.columns, sheet.rows)
            assert image.info["compression"] == "group4"


def test_dots_of_an_unknown_shape_are_refused():
    with pytest.raises(InvalidInput, match="there is no dot 'stars'; allowed are round, elliptical, square, line and"):
        write_plates(invented_shop(), planned(TONED), made(TONED), "never", wishes=FilmWishes(shape="stars"))


def test_checks_name_the_plate_and_what_would_help():
    found = [(plate, check) for plate, check in checks_of(made(TONED)) if not check.ok]

    assert found
    assert all(plate in {p.name for p in made(TONED).plates} and check.remedy for plate, check in found)


def test_the_print_comes_close_to_the_art_and_stays_so_on_cotton():
    seen = preview(invented_shop(), planned(FLAT), demo_folder(), day=30.0, columns=400, made=made(FLAT))

    assert seen.from_art.mean < 3.0
    assert seen.from_today.worst < 0.5
    assert seen.png().startswith(b"\x89PNG")
    assert "against the art" in seen.sentence


def test_dye_changes_a_print_on_polyester_and_the_sentence_says_where(tmp_path):
    shop = invented_shop()
    square(tmp_path / "a.png", (255, 255, 255, 255))
    (tmp_path / "o.toml").write_text(
        '[order]\nname = "Club"\nquantity = 50\ndue = 2026-12-10\n[garment]\n'
        'reference = "Spinnaker polyester tee red"\n[[print]]\nplace = "front"\nartwork = "a.png"\n',
        encoding="utf-8",
    )
    from laydown.services.planning import plan_order

    plan = plan_order(shop, read_order(tmp_path / "o.toml", shop))
    early, late = (preview(shop, plan, tmp_path, day=day, columns=200) for day in (1.0, 60.0))

    assert 0 < early.from_today.worst < late.from_today.worst
    assert "by day 60 the dye changes the print" in late.sentence
    assert "white" in late.sentence


def test_the_ticket_shows_the_plates_on_a_page_of_their_own():
    import pypdfium2

    document = pypdfium2.PdfDocument(ticket(invented_shop(), planned(FLAT), folder=demo_folder()))
    text = document[1].get_textpage().get_text_bounded()

    assert len(document) == 2
    for name in ("underbase", "Beacon Red", "Gorse Yellow", "Estuary Blue"):
        assert name in text


def test_a_print_without_art_has_no_plates_and_says_what_to_do():
    with pytest.raises(InvalidInput, match="name an art file and leave the coverage out to get plates"):
        plates_of(invented_shop(), planned(COTTON), demo_folder())
