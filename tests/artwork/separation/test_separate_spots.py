"""Spot plates of the file, used as they are."""

from dataclasses import replace

import numpy as np
import pytest

from artwork.separation.drawings import WHITE_CLOTH, layers, picture
from laydown.artwork.picture import SpotPlate
from laydown.artwork.separate_spots import separate_spots
from laydown.domain.stack import Role
from laydown.errors import InvalidInput

LEFT, RIGHT = np.zeros((40, 60), dtype=np.uint8), np.zeros((40, 60), dtype=np.uint8)
LEFT[5:35, 5:30], RIGHT[5:35, 30:55] = 255, 255
GRADED = np.tile(np.linspace(0, 255, 60).astype(np.uint8), (40, 1))


def art(**tones):
    spots = tuple(SpotPlate(name=name, tone=tone, srgb="#000000") for name, tone in tones.items())
    return replace(picture(np.zeros((40, 60, 3)), np.zeros((40, 60))), spots=spots)


def plates_of(picture_, layers_, inks, **more):
    return {plate.name: plate for plate in separate_spots(picture_, layers_, inks, **more)[0]}


def test_spot_plates_are_used_as_they_are():
    found = plates_of(art(one=GRADED), layers("Red"), {"one": "Red"})
    assert (found["Red"].tone() == GRADED).all()
    # Red needs all the white on black, and the white follows its tone.
    assert (found["underbase"].tone() == GRADED).all()


def test_a_plate_of_white_is_white_that_shows():
    found = plates_of(art(shirt=LEFT, badge=RIGHT), layers("Red"), {"shirt": "Plain White", "badge": "Red"})
    assert [plate.role for plate in found.values()] == [Role.UNDERBASE, Role.COLOUR]
    assert (found["underbase"].tone() == np.maximum(LEFT, RIGHT)).all()
    choked = plates_of(art(shirt=LEFT), layers("Red"), {"shirt": "Plain White"}, choke_width=4e-3)
    assert (choked["underbase"].tone() == LEFT).all()


def test_white_below_a_colour_is_choked():
    found = plates_of(art(badge=RIGHT), layers("Red"), {"badge": "Red"}, choke_width=0.1 / 60 * 2)
    assert (found["underbase"].tone()[20] == 255).sum() == 25 - 4
    assert (found["underbase"].tone()[:, 20] == 0).all()


def test_on_white_cloth_named_plates_have_no_white_below():
    assert set(plates_of(art(badge=RIGHT), layers("Red", cloth_srgb=WHITE_CLOTH), {"badge": "Red"})) == {"Red"}


def test_an_opaque_ink_has_less_white_below():
    found = plates_of(art(a=LEFT, b=RIGHT), layers("Red", "Navy"), {"a": "Red", "b": "Navy"})
    below = found["underbase"].tone()[20]
    assert below[10] == 255
    assert below[40] < 128


def test_plates_that_nobody_asks_for_are_left_out():
    assert set(plates_of(art(a=LEFT, b=RIGHT), layers("Red"), {"a": "Red"})) == {"underbase", "Red"}
    assert separate_spots(art(a=LEFT), layers("Red"), {}) == ((), ())


@pytest.mark.parametrize(
    ("inks", "words"),
    [
        ({"c": "Red"}, "no spot plate 'c'; it has a, b"),
        ({"a": "Mauve"}, "no ink 'Mauve'"),
        ({"a": "Red", "b": "Red"}, "two spot plates"),
    ],
)
def test_plates_and_inks_that_are_not_there_are_refused(inks, words):
    with pytest.raises(InvalidInput, match=words):
        separate_spots(art(a=LEFT, b=RIGHT), layers("Red"), inks)
