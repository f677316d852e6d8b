"""Softness, stretch and toughness of a film."""

import itertools

import numpy as np
import pytest

from laydown.data.read import read_table
from laydown.domain.order import HAND_CLASSES, Requirements
from laydown.domain.stack import Role
from laydown.models.film import build_film
from laydown.models.hand_and_stretch import judge_hand, judge_stretch, lowest_toughness
from laydown.models.sampling import sample_set
from small_shop import (
    NO_PRACTICE,
    additive,
    cloth,
    colour,
    flashed_twice,
    garment,
    printed,
    q,
    reducer,
    smoothing,
    stack,
    white,
)

SAMPLES = sample_set(40)
ELASTIC = cloth(garment({"nylon": 0.92, "elastane": 0.08}, stretch=q(0.9, 0.8, 1.1)))


def film_of(stack_, on=None):
    return build_film(stack_, on or cloth(), SAMPLES, practice=NO_PRACTICE)


def hand(stack_, limit="heavy"):
    return judge_hand(film_of(stack_), limit=limit)


def stretch(stack_, on=ELASTIC):
    return judge_stretch(film_of(stack_), on, SAMPLES)


def test_hand_is_film_times_density_and_factor():
    film = film_of(stack(printed(white(hand_factor=1.25))))

    forecast, _ = judge_hand(film, limit="heavy")

    assert forecast.film_areal_mass.p50 == pytest.approx(np.median(film.dry[0]) * 1400 * 1.25)


def test_the_class_is_that_of_the_median_film():
    limits = [row["film_mass"].value for row in read_table("hand").values()]
    for passes in (stack(printed(through="120/34")), stack(), flashed_twice(), flashed_twice(through="24/145")):
        forecast, _ = hand(passes)
        median = forecast.film_areal_mass.p50
        assert forecast.hand_class == HAND_CLASSES[sum(median > limit for limit in limits)]


def test_more_film_never_feels_softer():
    masses = [hand(stack(printed(through=m)))[0].film_areal_mass.p50 for m in ("120/34", "61/64", "43/80", "24/145")]

    assert (np.diff(masses) > 0).all()


def test_a_narrower_limit_is_missed_at_least_as_often():
    missed = [hand(flashed_twice(), limit)[1] for limit in HAND_CLASSES]

    for tighter, wider in itertools.pairwise(missed):
        assert (tighter >= wider).all()
    assert missed[-1].sum() == 0
    assert missed[0].mean() == 1


def test_how_much_of_the_rectangle_is_printed_does_not_change_how_the_print_feels():
    few, many = (hand(stack(printed(coverage=c)))[0] for c in (0.1, 0.9))

    assert few == many


def test_a_small_colour_adds_by_its_share_of_the_print():
    base = printed(coverage=0.8)
    spot = printed(colour(), "120/34", Role.COLOUR, coverage=0.2)
    film = film_of(stack(base, spot))

    forecast, _ = judge_hand(film, limit="heavy")

    assert forecast.film_areal_mass.p50 == pytest.approx(np.median((film.dry[0] + 0.25 * film.dry[1]) * 1400))


def test_an_ink_that_stretches_less_than_the_cloth_cracks():
    forecast, cracks = stretch(stack())

    assert forecast.risk == cracks.mean() > 0.9
    assert forecast.ink == "Plain White"


def test_an_ink_that_stretches_further_does_not():
    forecast, cracks = stretch(stack(printed(white(elongation=q(2.0, 1.6, 2.4)))))

    assert forecast.risk == cracks.mean() == 0


def test_a_cotton_jersey_is_no_trouble_for_a_usual_ink():
    assert stretch(stack(), cloth())[0].risk <= 0.05


def test_enough_additive_makes_a_stiff_white_stretch():
    risks = [
        stretch(stack(printed(additive=additive(), additive_share=share) if share else printed()))[0].risk
        for share in (0.0, 0.15, 0.3)
    ]

    assert risks[0] > risks[-1]
    assert risks == sorted(risks, reverse=True)


def test_reducer_brings_no_stretch():
    plain, thinned = (stretch(stack(p))[0] for p in (printed(), printed(additive=reducer(), additive_share=0.05)))

    assert plain.elongation == thinned.elongation


def test_one_stiff_ink_in_the_stack_is_enough():
    soft, stiff = white("Soft", elongation=q(2.0)), colour("Stiff", elongation=q(0.5))

    forecast, cracks = stretch(stack(printed(soft, flash=True), smoothing(), printed(stiff, "120/34", Role.COLOUR)))

    assert forecast.ink == "Stiff"
    assert cracks.all()


def test_a_sample_fails_when_any_of_its_inks_cracks_there():
    # The first is stiffer at the median, the second in the lower tail.
    steady, shaky = white("Steady", elongation=q(1.0)), colour("Shaky", elongation=q(1.1, 0.3, 1.2))
    both = stretch(stack(printed(steady), printed(shaky, "120/34", Role.COLOUR)))
    alone = [stretch(stack(printed(used)))[1] for used in (steady, shaky)]

    np.testing.assert_array_equal(both[1], np.maximum(*alone))
    assert both[0].ink == "Steady"


def test_the_weakest_ink_decides_toughness():
    film = film_of(stack(printed(white(toughness=4)), printed(colour(toughness=2), "120/34", Role.COLOUR)))

    assert lowest_toughness(film, Requirements(wash=2)) == (2, False)
    assert lowest_toughness(film, Requirements(wash=3)) == (2, True)
