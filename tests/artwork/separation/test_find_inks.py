"""Inks for a picture: those whose colours it has, few where few are asked for."""

from itertools import pairwise

import numpy as np
import pytest

from artwork.separation.drawings import (
    BLACK_CLOTH,
    BLUE,
    GREEN,
    RED,
    SHELF,
    WHITE_CLOTH,
    YELLOW,
    box,
    cloth_spectrum,
    disc,
    even,
    ink,
    picture,
    shapes,
)
from laydown.artwork.find_inks import find_inks
from laydown.artwork.separate import separate
from laydown.errors import InvalidInput
from small_shop import additive, barrier, white


def found(art, cloth=BLACK_CLOTH, shelf=SHELF, **asked):
    return find_inks(art, shelf, cloth=cloth_spectrum(cloth), variation=0.25, **asked)


def names(choice):
    return {i.name for i in choice.colours}


BADGE = shapes((RED, disc(0.4, 0.5, 0.3)), (YELLOW, disc(0.7, 0.5, 0.2)), ("#ffffff", box(0.3, 0.45, 0.5, 0.55)))


def test_drawn_art_gets_the_inks_that_have_its_colours():
    choice = found(BADGE)
    assert choice.drawn
    assert choice.white is not None
    assert names(choice) == {"Red", "Yellow"}
    assert all(match.asked < 3 for match in choice.matches)
    assert any("prints as Red with Plain White" in note for note in choice.notes)


def test_smoothed_edges_bring_no_ink():
    fine = shapes((RED, disc(0.5, 0.5, 0.35)), ("#ffffff", disc(0.5, 0.5, 0.2)), side=200, finer=6)
    assert names(found(fine)) == {"Red"}


def test_the_cloths_own_colour_is_left_open_unless_refused():
    art = shapes((RED, disc(0.5, 0.5, 0.3)), ground=BLACK_CLOTH)
    assert [m.open for m in found(art).matches] == [True, False]
    refused = found(art, open_cloth=False)
    assert not any(m.open for m in refused.matches)


def test_art_that_is_all_cloth_needs_no_ink():
    choice = found(even(BLACK_CLOTH))
    assert choice.layers is None
    assert choice.inks == ()
    assert choice.matches[0].share == pytest.approx(1.0)


@pytest.mark.parametrize("srgb", [RED, GREEN, BLUE])
def test_on_white_cloth_a_colour_needs_no_white(srgb):
    choice = found(even(srgb), WHITE_CLOTH)
    assert choice.white is None
    assert len(choice.colours) == 1


@pytest.mark.parametrize("at_most", [1, 2, 3, 4])
def test_no_more_inks_than_asked_for(at_most):
    art = shapes(
        (RED, box(0, 0, 0.3, 1)),
        (YELLOW, box(0.3, 0, 0.6, 1)),
        (BLUE, box(0.6, 0, 0.8, 1)),
        ("#ffffff", box(0.8, 0, 1, 1)),
    )
    assert len(found(art, at_most=at_most).inks) <= at_most


def test_more_inks_never_come_out_further_from_the_art():
    import skimage.data

    art = picture(skimage.data.coffee()[::6, ::6])
    worst = [
        separate(art, choice.layers).mean_difference
        for n in (1, 2, 3, 5)
        if (choice := found(art, at_most=n)).layers is not None
    ]
    assert all(more <= fewer + 0.3 for fewer, more in pairwise(worst))


def test_a_small_emblem_is_not_given_up_for_a_large_ground():
    art = shapes((RED, box(0.02, 0.02, 0.98, 0.98)), (YELLOW, disc(0.5, 0.5, 0.05)), side=200)
    assert names(found(art, at_most=3)) == {"Red", "Yellow"}


def test_named_inks_are_used_and_no_others():
    choice = found(BADGE, named=(ink("Blue"), ink("Yellow")))
    assert names(choice) == {"Blue", "Yellow"}
    assert max(match.asked for match in choice.matches) > 6
    assert any("no ink comes close to" in note for note in choice.notes)


def test_a_photograph_prints_in_dots():
    import skimage.data

    choice = found(picture(skimage.data.chelsea()[::6, ::6]), at_most=4)
    assert not choice.drawn
    assert any("prints in dots" in note for note in choice.notes)
    assert 1 <= len(choice.inks) <= 4


def test_the_order_of_the_shelf_does_not_matter():
    assert names(found(BADGE, shelf=SHELF[::-1])) == names(found(BADGE))


def test_colours_are_printed_from_light_to_dark():
    art = shapes((BLUE, box(0, 0, 0.3, 1)), (YELLOW, box(0.3, 0, 0.6, 1)), (RED, box(0.6, 0, 1, 1)))
    assert [i.name for i in found(art).colours] == ["Yellow", "Red", "Blue"]


def test_shares_are_those_of_the_rectangle():
    art = shapes((RED, box(0.0, 0.0, 0.5, 1.0)), (YELLOW, box(0.5, 0.0, 0.75, 1.0)))
    assert [round(m.share, 2) for m in found(art).matches] == [0.5, 0.25]


def test_a_shelf_that_prints_nothing_is_refused():
    with pytest.raises(InvalidInput, match="neither a white nor a colour"):
        found(BADGE, shelf=(additive(),))
    with pytest.raises(InvalidInput, match="not an ink to print a colour with"):
        found(BADGE, named=(barrier(),))
    with pytest.raises(InvalidInput, match="2 inks are named, but at most 1"):
        found(BADGE, named=(ink("Red"), ink("Blue")), at_most=1)


def test_a_shelf_without_white_prints_what_it_can():
    choice = found(BADGE, shelf=tuple(i for i in SHELF if i.name != white().name))
    assert choice.white is None
    assert choice.colours


def test_inks_that_white_does_not_go_with_are_passed_over():
    from dataclasses import replace

    from laydown.domain.ink import InkFamily

    other = replace(ink("Red"), name="Water red", family=InkFamily.WATER_BASED, gel_temperature=None)
    assert "Water red" not in names(found(even(RED), shelf=(*SHELF, other)))


def test_every_colour_of_the_art_is_shown_with_its_difference():
    choice = found(BADGE)
    assert len(choice.matches) == 3
    assert all(np.isfinite(m.difference) and m.difference >= m.asked >= 0 for m in choice.matches)
    assert choice.difference == pytest.approx(
        sum(m.share * m.difference for m in choice.matches) / sum(m.share for m in choice.matches)
    )
