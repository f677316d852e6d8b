"""From the colours that an order names to inks of the shelf."""

import pytest

from laydown.domain.colour import Colour
from laydown.domain.ink import InkFamily
from laydown.errors import InvalidInput, NotFound
from laydown.planning.wanted import CLOSE_ENOUGH, nearest_colour, resolve_inks
from small_shop import a_print, additive, barrier, colour, poly_white, reducer, shop, white

RED, BLUE, YELLOW = colour("Red"), colour("Blue", "#1f4e9c"), colour("Yellow", "#f6c915")
SHELF = shop(inks=(white(), poly_white(), RED, BLUE, YELLOW, barrier(), additive(), reducer()))


def resolve(*inks, owner=SHELF):
    return resolve_inks(owner, a_print(*inks), condition="D65/10")


def test_white_may_be_any_white_of_the_shelf():
    wanted, notes = resolve(("white", 0.4))

    assert wanted.white_coverage == 0.4
    assert [ink.name for ink in wanted.whites] == ["Plain White", "Polyester White"]
    assert wanted.colours == ()
    assert notes == ()


@pytest.mark.parametrize("written", ["White", " WHITE "])
def test_white_is_read_however_it_is_written(written):
    assert resolve((written, 0.4))[0].white_coverage == 0.4


def test_a_named_white_is_the_only_one():
    wanted, _ = resolve(("Polyester White", 0.4), ("Red", 0.1))

    assert [ink.name for ink in wanted.whites] == ["Polyester White"]
    assert wanted.white_coverage == 0.4


def test_white_beside_a_named_white_is_that_one():
    wanted, _ = resolve(("white", 0.1), ("Polyester White", 0.3))

    assert wanted.white_coverage == pytest.approx(0.4)
    assert [ink.name for ink in wanted.whites] == ["Polyester White"]


def test_two_named_whites_are_refused():
    with pytest.raises(InvalidInput, match="print 'front': 'Plain White' and 'Polyester White' are both whites"):
        resolve(("Plain White", 0.1), ("Polyester White", 0.1))


def test_named_colours_keep_their_order_and_shares():
    wanted, notes = resolve(("Blue", 0.2), ("Red", 0.1))

    assert [(ink.name, share) for ink, share in wanted.colours] == [("Blue", 0.2), ("Red", 0.1)]
    assert wanted.white_coverage == 0
    assert len(wanted.whites) == 2
    assert notes == ()


def test_an_srgb_colour_goes_to_the_nearest_shelf_ink_and_says_so():
    wanted, notes = resolve(("#c0101e", 0.3))

    assert [ink.name for ink, _ in wanted.colours] == ["Red"]
    (note,) = notes
    assert note.startswith("front: Red stands in for #c0101e (ΔE00 0.")


def test_a_colour_far_from_every_ink_has_to_be_mixed():
    _, (note,) = resolve(("#2f7d3a", 0.3))

    assert "no shelf ink is close to #2f7d3a" in note
    assert "mix the colour and check it before the run" in note


def test_two_colours_that_meet_in_one_ink_are_one_screen():
    wanted, notes = resolve(("#c0101e", 0.3), ("Red", 0.1))

    assert [(ink.name, pytest.approx(share)) for ink, share in wanted.colours] == [("Red", 0.4)]
    assert len(notes) == 1


def test_an_srgb_white_is_white_whichever_white_is_chosen():
    wanted, (note,) = resolve(("#f7f7f4", 0.3))

    assert wanted.white_coverage == 0.3
    assert len(wanted.whites) == 2
    assert note == "front: white stands in for #f7f7f4 (ΔE00 0.0)"


def test_an_unknown_ink_is_told_with_what_is_there():
    with pytest.raises(NotFound, match=r"no ink named 'Rot'.*'Red'"):
        resolve(("Rot", 0.3))


@pytest.mark.parametrize("name", ["Dark Barrier", "Stretch Additive", "Reducer"])
def test_what_is_not_printed_on_its_own_is_refused(name):
    with pytest.raises(InvalidInput, match=f"print 'front': '{name}' is a .*, not an ink to print a colour with"):
        resolve((name, 0.3))


def test_an_empty_shelf_has_nothing_near():
    with pytest.raises(NotFound, match=r"there is no ink named '#c0101e'$"):
        nearest_colour(shop(inks=()), Colour(srgb="#c0101e"), condition="D65/10")


def test_the_nearest_ink_is_at_no_difference_from_its_own_colour():
    for ink in (RED, BLUE, YELLOW):
        found, difference = nearest_colour(SHELF, ink.optics.colour, condition="D50/2")
        assert found is ink
        assert difference < 1e-6 < CLOSE_ENOUGH


def test_a_colour_of_a_chemistry_without_a_white_stands_in_for_nothing():
    water = colour("Water Red", family=InkFamily.WATER_BASED)

    assert nearest_colour(shop(inks=(white(), water, RED)), RED.optics.colour, condition="D65/10")[0] is RED
    assert nearest_colour(shop(inks=(water,)), RED.optics.colour, condition="D65/10")[0] is water
