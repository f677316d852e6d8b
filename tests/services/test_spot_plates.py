"""Spot plates of a PDF, used as the file has them."""

from dataclasses import replace

import numpy as np
import pytest

from artwork.reading.art_files import pdf
from laydown.artwork.picture import Picture, SpotPlate
from laydown.documents.order_file import order_text
from laydown.domain.art import ArtRequest
from laydown.domain.stack import Role
from laydown.services.art import MIXED_SPOTS, printing_inks, read_art_print
from laydown.services.art_spots import spot_inks
from laydown.services.planning import plan_order
from laydown.services.plates import plates_of
from laydown.services.shelves import read_order
from planned import invented_shop

FLAME = "[/Separation /Flame /DeviceRGB << /FunctionType 2 /Domain [0 1] /C0 [1 1 1] /C1 [0.78 0.06 0.18] /N 1 >>]"
WHITE = "[/Separation /White /DeviceRGB << /FunctionType 2 /Domain [0 1] /C0 [1 1 1] /C1 [0.95 0.95 0.95] /N 1 >>]"
SPACES = f"/ColorSpace << /F {FLAME} /W {WHITE} >>"
SQUARES = b"/F cs 1 scn 0 0 18 36 re f /W cs 1 scn 36 0 18 36 re f"


def picture(**spots):
    pixels = np.zeros((10, 20, 4), dtype=np.uint8)
    made = []
    for name, (srgb, columns) in spots.items():
        tone = np.zeros((10, 20), dtype=np.uint8)
        tone[:, columns] = 255
        pixels[:, columns] = (100, 100, 100, 255)
        made.append(SpotPlate(name=name, tone=tone, srgb=srgb))
    return Picture(pixels=pixels, width=0.1, height=0.05, spots=tuple(made))


def inks_of(of, named=()):
    return spot_inks(of, printing_inks(invented_shop()), named, condition="D65/10")


def test_a_spot_plate_takes_the_nearest_ink_and_one_called_white_any_white():
    found = inks_of(picture(Flame=("#c8102e", slice(0, 5)), White=("#f2f2f2", slice(5, 9))))

    assert found.by_name("Some White") == {"Flame": "Beacon Red", "White": "Some White"}
    assert found.by_name(None) == {"Flame": "Beacon Red"}


def test_a_spot_plate_named_like_an_ink_takes_that_ink_whatever_it_looks_like():
    found = inks_of(picture(**{"estuary blue": ("#c8102e", slice(0, 5))}))

    assert [ink.name for ink in found.colours] == ["Estuary Blue"]


def test_named_inks_are_the_only_ones_offered():
    found = inks_of(picture(Flame=("#c8102e", slice(0, 5))), named=(invented_shop().ink("Estuary Blue"),))

    assert [ink.name for ink in found.colours] == ["Estuary Blue"]
    assert found.warnings[0].startswith("no ink comes close")


def test_a_file_that_prints_more_than_its_spot_plates_is_separated_anew():
    both = picture(Flame=("#c8102e", slice(0, 5)))
    pixels = both.pixels.copy()
    pixels[:, 5:15] = (10, 200, 10, 255)

    assert inks_of(replace(both, pixels=pixels)) is None
    assert inks_of(replace(both, spots=())) is None


@pytest.mark.slow
def test_the_plates_of_a_pdf_go_all_the_way_to_the_films(tmp_path):
    shop = invented_shop()
    (tmp_path / "a.pdf").write_bytes(pdf(SQUARES, resources=SPACES))
    (tmp_path / "o.toml").write_text(
        '[order]\nname = "Club"\nquantity = 50\ndue = 2026-12-10\n[garment]\nreference = "Quayside tee black"\n'
        '[[print]]\nplace = "front"\nwidth_mm = 200\nartwork = "a.pdf"\n',
        encoding="utf-8",
    )
    order = read_order(tmp_path / "o.toml", shop)
    print_ = order.prints[0]

    assert {use.ink: use.coverage for use in print_.inks} == pytest.approx(
        {"white": 0.25, "Beacon Red": 0.25}, abs=3e-3
    )
    assert any("the spot plate Flame" in note for note in print_.art.notes)
    assert MIXED_SPOTS not in print_.art.warnings
    assert "a.pdf" in order_text(order)

    made = plates_of(shop, plan_order(shop, order), tmp_path)
    red = next(plate for plate in made.plates if plate.role is Role.COLOUR)
    under = next(plate for plate in made.plates if plate.role is Role.UNDERBASE)
    columns = red.shape[1]
    assert red.tone()[:, : columns // 5].min() == 255
    assert red.tone()[:, columns // 3 :].max() == 0
    assert under.tone()[:, int(0.6 * columns) : int(0.7 * columns)].min() == 255


def test_art_without_spot_plates_keeps_its_way(tmp_path):
    from PIL import Image

    shop = invented_shop()
    Image.new("RGBA", (40, 40), (255, 255, 255, 255)).save(tmp_path / "a.png", dpi=(50, 50))
    print_ = read_art_print(
        tmp_path / "a.png",
        ArtRequest(),
        name="a.png",
        place="front",
        garment=shop.garment("Quayside tee black"),
        shop=shop,
        where="o.toml",
    )

    assert [use.ink for use in print_.inks] == ["white"]
