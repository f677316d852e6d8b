"""Adhesion and ghosting, each a yes or a no with its reason."""

import pytest

from laydown.domain.colour import Colour
from laydown.domain.ink import Bond
from laydown.models.adhesion import judge_adhesion, surface_of
from laydown.models.cloth import describe_cloth
from laydown.models.ghosting import is_earth_tone, judge_ghosting
from small_shop import additive, blend, blocking_white, garment, nylon_white, polyester, printed, reducer, stack, white


@pytest.mark.parametrize(
    ("of", "surface"),
    [
        (garment(), Bond.COTTON),
        (garment({"cotton": 0.51, "polyester": 0.49}), Bond.COTTON),
        (garment({"cotton": 0.5, "polyester": 0.5}), Bond.POLYESTER),
        (garment({"nylon": 0.5, "cotton": 0.5}), Bond.NYLON),
        (garment({"nylon": 0.49, "cotton": 0.51}), Bond.COTTON),
        (garment({"nylon": 0.92, "elastane": 0.08}), Bond.NYLON),
        (garment(coated=True), Bond.COATED),
        (garment({"nylon": 1.0}, coated=True), Bond.COATED),
        (garment({"wool": 1.0}), Bond.COTTON),
    ],
)
def test_the_surface_is_the_coat_or_the_fibre_that_most_of_the_face_is(of, surface):
    assert surface_of(describe_cloth(of)) is surface


def test_an_ink_holds_on_what_it_is_made_for():
    forecast = judge_adhesion(stack(printed(nylon_white())), describe_cloth(garment({"nylon": 1.0})))

    assert forecast.holds
    assert (forecast.ink, forecast.surface) == ("Nylon White", "nylon")
    assert "made to hold on nylon" in forecast.reason


@pytest.mark.parametrize(("of", "told"), [(garment({"nylon": 1.0}), "nylon"), (garment(coated=True), "coated cloth")])
def test_an_ink_peels_off_what_it_is_not_made_for(of, told):
    forecast = judge_adhesion(stack(), describe_cloth(of))

    assert not forecast.holds
    assert forecast.reason == f"Plain White is not made for {told} and would peel off"


def test_only_the_first_ink_down_has_to_hold_on_the_cloth():
    nylon = describe_cloth(garment({"nylon": 1.0}))

    assert judge_adhesion(stack(printed(nylon_white()), printed()), nylon).holds
    assert not judge_adhesion(stack(printed(), printed(nylon_white())), nylon).holds


def test_what_is_stirred_in_may_bring_the_bond():
    nylon = describe_cloth(garment({"nylon": 1.0}))
    bonding = additive(bonds=frozenset({Bond.NYLON}))

    assert judge_adhesion(stack(printed(additive=bonding, additive_share=0.1)), nylon).holds
    assert not judge_adhesion(stack(printed(additive=reducer(), additive_share=0.1)), nylon).holds


def on(srgb, shares=None):
    return describe_cloth(garment(shares, colour=Colour(srgb=srgb)))


def ghosting(used, of, *, humidity=0.5, stacked_hot=False):
    return judge_ghosting(stack(printed(used)), of, humidity=humidity, stacked_hot=stacked_hot)


@pytest.mark.parametrize(
    ("srgb", "earth"),
    [
        ("#d8c6a0", True),
        ("#5b3a26", True),
        ("#6b5d2e", True),
        ("#1d1e22", False),
        ("#a9cbe3", False),
        ("#c01725", False),
    ],
    ids=["sand", "brown", "olive", "black", "sky", "red"],
)
def test_earth_tones_are_told_from_other_colours(srgb, earth):
    assert is_earth_tone(on(srgb)) is earth


@pytest.mark.parametrize("srgb", ["#f3f3ef", "#a9cbe3", "#5b3a26"], ids=["white", "sky", "brown"])
def test_a_reactive_blocker_may_ghost_on_light_and_earth_tone_cotton(srgb):
    forecast = ghosting(blocking_white(), on(srgb))

    assert forecast.warned
    assert "Blocking White has a reactive blocker" in forecast.reason


@pytest.mark.parametrize(
    ("used", "of", "why"),
    [
        (white(), on("#f3f3ef"), "no reactive blocker"),
        (blocking_white(blocker="binding"), on("#f3f3ef"), "no reactive blocker"),
        (blocking_white(), describe_cloth(blend(0.49)), "too little cotton"),
        (blocking_white(), describe_cloth(polyester("#f3f3ef")), "too little cotton"),
        (blocking_white(), on("#1d1e22"), "too dark"),
        (blocking_white(), on("#20263f"), "too dark"),
    ],
)
def test_nothing_ghosts_without_a_reactive_blocker_cotton_and_cloth_that_shows_it(used, of, why):
    forecast = ghosting(used, of)

    assert not forecast.warned
    assert why in forecast.reason


def test_humid_air_and_warm_piles_are_named_as_helping():
    cloth = on("#a9cbe3")

    assert "help" not in ghosting(blocking_white(), cloth).reason
    assert "humid air will help it" in ghosting(blocking_white(), cloth, humidity=0.6).reason
    both = ghosting(blocking_white(), cloth, humidity=0.7, stacked_hot=True).reason
    assert "humid air and warm piles will help it" in both
