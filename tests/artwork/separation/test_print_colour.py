"""The colours of a print: solids as the layered optics have them, dots by area."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from artwork.separation.drawings import BLACK_CLOTH, cloth_spectrum, ink, layers
from laydown.artwork.print_colour import Films, ink_film, print_lab, print_layers, print_linear_srgb, print_xyz
from laydown.artwork.print_colour_primaries import primaries
from laydown.data.colorimetric import tristimulus_weights
from laydown.errors import InvalidInput
from laydown.models.colour import lab_of
from laydown.models.ink_optics import ink_spectra, internal, surface
from laydown.physics.film_variation import thickness_factors
from laydown.physics.optics import film_reflectance
from laydown.physics.saunderson import measured_reflectance
from small_shop import barrier, white

WEIGHTS = tristimulus_weights("D65/10")
TONE = st.floats(0, 1)


def piled(cloth_reflectance, *films, variation=0.25):
    """XYZ of films on a cloth, layer upon layer, by the plain functions of physics."""
    k1, k2 = surface()
    factors, weights = thickness_factors(variation, points=3) if variation else (np.ones(1), np.ones(1))
    seen = np.zeros(36)
    for factor, weight in zip(factors, weights, strict=True):
        below = internal(cloth_reflectance)
        for of, thickness in films:
            spectra = ink_spectra(of)
            below = film_reflectance(spectra.absorption, spectra.scattering, thickness * factor, below)
        seen += weight * measured_reflectance(below, k1=k1, k2=k2)
    return seen @ WEIGHTS


FILMS = Films()
CLOTH = cloth_spectrum(BLACK_CLOTH)


@pytest.mark.interpreted
def test_solids_are_the_layered_films_of_the_optics():
    print_ = layers("Yellow", "Red", highlight=True)
    base, yellow, red = white(), ink("Yellow"), ink("Red")
    expected = {
        (1, 0, 0, 0): piled(CLOTH, (base, FILMS.white)),
        (0, 1, 0, 0): piled(CLOTH, (yellow, FILMS.colour)),
        (1, 0, 1, 0): piled(CLOTH, (base, FILMS.white), (red, FILMS.colour)),
        (1, 1, 1, 1): piled(
            CLOTH, (base, FILMS.white), (yellow, FILMS.colour), (red, FILMS.colour), (base, FILMS.highlight)
        ),
    }
    for tones, xyz in expected.items():
        assert print_xyz(np.array(tones, dtype=float), print_) == pytest.approx(xyz, rel=1e-10)


@pytest.mark.interpreted
def test_bare_cloth_is_as_measured():
    assert print_lab(np.zeros(2), layers("Red")) == pytest.approx(lab_of(CLOTH, "D65/10"), abs=1e-9)


def test_a_barrier_lies_under_all_white_and_under_nothing_else():
    with_barrier = print_layers(CLOTH, white=white(), barrier=barrier(), colours=(ink("Red"),), variation=0.25)
    expected = piled(CLOTH, (barrier(), FILMS.barrier), (white(), FILMS.white))
    assert print_xyz(np.array([1.0, 0.0]), with_barrier) == pytest.approx(expected, rel=1e-10)
    assert print_xyz(np.array([0.0, 1.0]), with_barrier) == pytest.approx(
        print_xyz(np.array([0.0, 1.0]), layers("Red"))
    )


def test_a_film_straight_on_cloth_may_be_thinner_than_one_on_white():
    films = Films(colour_on_cloth=6e-6)
    thin = print_layers(CLOTH, white=white(), colours=(ink("Red"),), films=films, variation=0.25)
    assert print_xyz(np.array([0.0, 1.0]), thin) == pytest.approx(piled(CLOTH, (ink("Red"), 6e-6)), rel=1e-10)
    assert print_xyz(np.array([1.0, 1.0]), thin) == pytest.approx(print_xyz(np.array([1.0, 1.0]), layers("Red")))


@given(tones=st.tuples(TONE, TONE, TONE))
def test_dots_mix_their_primaries_by_demichels_shares(tones):
    print_ = layers("Yellow", "Red")
    expected = np.zeros(3)
    for corner in np.ndindex(2, 2, 2):
        share = np.prod([t if on else 1 - t for t, on in zip(tones, corner, strict=True)])
        expected += share * print_xyz(np.array(corner, dtype=float), print_)
    assert print_xyz(np.array(tones), print_) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(low=TONE, high=TONE, share=TONE)
def test_colour_is_linear_in_the_area_of_each_plate(low, high, share):
    print_ = layers("Red")
    ends = print_xyz(np.array([[0.4, low], [0.4, high]]), print_)
    between = print_xyz(np.array([0.4, (1 - share) * low + share * high]), print_)
    assert between == pytest.approx((1 - share) * ends[0] + share * ends[1], rel=1e-9, abs=1e-9)


def test_many_points_on_several_threads_equal_few_on_one():
    tones = np.random.default_rng(2).random((5000, 3))
    print_ = layers("Yellow", "Red")
    assert (print_xyz(tones, print_)[:50] == print_xyz(tones[:50], print_)).all()


def test_every_set_of_plates_has_a_primary():
    names = ("Yellow", "Red", "Blue", "Green", "Navy", "Black")
    table = primaries(layers(*names, highlight=True))
    assert table.shape == (2**8, 3)
    assert (table > 0).all()
    assert table.max() < WEIGHTS.sum(axis=0).max()


@pytest.mark.parametrize("condition", ["D50/2", "D65/2", "A/10"])
def test_the_condition_is_that_of_the_layers(condition):
    lab = print_lab(np.zeros(2), replace(layers("Red"), condition=condition))
    assert lab == pytest.approx(lab_of(CLOTH, condition), abs=1e-9)


def test_linear_srgb_of_white_cloth_is_near_one():
    bare = print_linear_srgb(np.zeros(1), print_layers(np.ones(36), colours=(ink("Red"),)))
    assert bare == pytest.approx(1.0, abs=2e-3)


@pytest.mark.parametrize(
    ("tones", "words"), [([0.5], "do not fit 2 plates"), ([0.5, 1.2], "between 0 and 1"), ([np.nan, 0], "between 0")]
)
def test_tones_that_cannot_be_are_refused(tones, words):
    with pytest.raises(InvalidInput, match=words):
        print_xyz(np.array(tones), layers("Red"))


def test_layers_that_cannot_be_are_refused():
    red = ink_film(ink("Red"), 15e-6)
    with pytest.raises(InvalidInput, match="there is no white"):
        print_layers(CLOTH, barrier=barrier(), colours=(ink("Red"),))
    with pytest.raises(InvalidInput, match="stands twice"):
        print_layers(CLOTH, colours=(ink("Red"), ink("Red")))
    with pytest.raises(InvalidInput, match="at least one ink"):
        print_layers(CLOTH)
    with pytest.raises(InvalidInput, match="not an ink to print a colour with"):
        print_layers(CLOTH, colours=(barrier(),))
    with pytest.raises(InvalidInput, match="36 values from 0 to 1"):
        print_layers(CLOTH[:5], colours=(ink("Red"),))
    with pytest.raises(InvalidInput, match="more than the 18"):
        replace(layers("Red"), colours=tuple(replace(red, name=str(i)) for i in range(19)))
    with pytest.raises(InvalidInput, match="not negative"):
        replace(red, absorption=-red.absorption)
