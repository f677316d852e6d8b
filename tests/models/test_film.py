"""What a stack lays down."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from laydown.data.read import read_table
from laydown.domain.costs import Practice
from laydown.domain.garment import Structure
from laydown.domain.quantity import Grade
from laydown.domain.stack import Role
from laydown.errors import InvalidInput
from laydown.models.film import (
    LAYDOWN_MODELS,
    TRADE_PRESS,
    build_film,
    describe_passes,
    finest_detail,
    mixed_hand_factor,
    trade_press_height,
)
from laydown.models.sampling import median_set, sample_set
from small_shop import (
    MESHES,
    NO_PRACTICE,
    additive,
    cloth,
    colour,
    flashed_twice,
    garment,
    mesh,
    printed,
    q,
    reducer,
    smoothing,
    stack,
    white,
)

SAMPLES = sample_set(32)
LAYDOWN = read_table("laydown")


def film_of(stack_, *, practice=NO_PRACTICE, samples=SAMPLES, on=None, **more):
    return build_film(stack_, on or cloth(), samples, practice=practice, **more)


def median_film(stack_, **more):
    return film_of(stack_, samples=median_set(), **more)


def test_a_hit_leaves_its_transfer_of_the_meshs_volume():
    film = median_film(stack(printed(through="43/80")))

    assert film.wet[0, 0] == pytest.approx(LAYDOWN["stroke"]["transfer"].value * 55e-6)


def test_a_coarser_mesh_lays_more_in_every_sample():
    films = [film_of(stack(printed(through=name))) for name in sorted(MESHES, key=lambda m: MESHES[m][4])]

    for finer, coarser in itertools.pairwise(films):
        assert (coarser.wet > finer.wet).all()
        assert (coarser.dry > finer.dry).all()


def test_a_second_hit_on_wet_ink_leaves_its_assumed_share_of_the_first():
    one, two = (median_film(stack(printed(hits=hits))) for hits in (1, 2))

    assert two.wet[0, 0] / one.wet[0, 0] == pytest.approx(1 + LAYDOWN["stroke on wet ink"]["transfer"].value)


def test_what_a_second_pass_on_a_flashed_film_lays_stays_out_of_the_cloth():
    on_wet = stack(printed(role=Role.UNDERBASE), printed())
    gelled = film_of(flashed_twice())
    wet = film_of(on_wet)

    lost_gelled = gelled.wet[1] * 0.98 - gelled.dry[1]
    lost_wet = wet.wet[1] * 0.98 - wet.dry[1]
    assert (lost_gelled < 0.5 * lost_wet).all()


def test_a_smoothing_pass_between_keeps_the_film_gelled():
    plain = film_of(flashed_twice())
    smoothed = film_of(stack(printed(role=Role.UNDERBASE, flash=True), smoothing(), printed()))

    np.testing.assert_array_equal(smoothed.dry, plain.dry)


def test_a_smoothing_pass_multiplies_the_unevenness_by_its_factor():
    factor = LAYDOWN["smoothing pass"]["smoothing"].value
    plain = film_of(flashed_twice())
    smoothed = film_of(stack(printed(role=Role.UNDERBASE, flash=True), smoothing(), printed()))

    np.testing.assert_allclose(smoothed.variation, factor * plain.variation, rtol=1e-12)


@pytest.mark.parametrize("hits", [1, 2, 3])
@pytest.mark.parametrize("flash", [True, False])
def test_no_ink_is_made_or_lost(hits, flash):
    film = film_of(
        stack(printed(role=Role.UNDERBASE, hits=hits, flash=flash), printed(colour(), "120/34", Role.COLOUR))
    )
    sunk = film.wet - film.dry / 0.98
    fill = SAMPLES.of(cloth().surface_fill, "surface fill")

    assert (sunk >= -1e-12).all()
    assert (sunk.sum(axis=0) <= fill + 1e-12).all()
    np.testing.assert_allclose(sunk.sum(axis=0) + film.total() / 0.98, film.wet.sum(axis=0), rtol=1e-9)


def test_solids_are_what_stays_of_the_film():
    full, half = (median_film(stack(printed(white(solids=q(share))))) for share in (1.0, 0.5))

    assert half.dry[0, 0] == pytest.approx(0.5 * full.dry[0, 0])
    assert half.wet[0, 0] == full.wet[0, 0]


def test_what_the_shop_weighed_replaces_the_published_rule():
    practice = Practice(transfer=q(0.8, 0.79, 0.81, Grade.MEASURED))

    weighed, rule = film_of(stack(), practice=practice), film_of(stack())

    assert np.median(weighed.wet) == pytest.approx(0.8 * 55e-6, rel=1e-2)
    assert np.ptp(weighed.wet) < 0.1 * np.ptp(rule.wet)


def test_a_hairier_cloth_makes_the_film_less_even():
    rib = cloth(garment(structure=Structure.RIB))

    assert (film_of(stack(), on=rib).variation > film_of(stack()).variation).all()


def test_before_a_pass_lies_what_was_printed_up_to_it():
    two = flashed_twice()
    film = film_of(two)

    np.testing.assert_array_equal(film.before(two.passes[0]), film.dry[0])
    np.testing.assert_array_equal(film.before(two.passes[1]), film.total())


def test_two_equal_passes_are_told_apart():
    base = printed(flash=True)
    film = film_of(stack(base, replace(base)))

    np.testing.assert_array_equal(film.before(film.passes[1]), film.total())


@pytest.mark.parametrize("name", ["34/100", "43/80", "120/34"])
def test_the_trade_press_lays_its_height_with_every_hit(name):
    film = film_of(stack(printed(through=name, hits=2)), model=TRADE_PRESS)

    assert film.model == TRADE_PRESS
    np.testing.assert_allclose(film.wet, 2 * trade_press_height(mesh(name)), rtol=1e-12)


def test_the_trade_press_knows_no_spread_of_the_laydown():
    film = film_of(stack(), model=TRADE_PRESS)

    assert np.ptp(film.wet) == 0
    assert np.ptp(film.dry) > 0  # what sinks into the cloth is as uncertain as ever


def test_a_mesh_in_no_band_of_the_trade_press_is_laid_down_by_its_transfer():
    between = replace(printed().screen, mesh=mesh("43/80", count=4250.0))
    odd = stack(replace(printed(), screen=between))

    np.testing.assert_array_equal(film_of(odd, model=TRADE_PRESS).wet, film_of(odd).wet)
    assert trade_press_height(between.mesh) is None


def test_the_rival_stands_beside_every_pass_that_it_covers():
    (covered,) = describe_passes(film_of(stack(printed(hits=2))))
    uncovered = replace(printed(), screen=replace(printed().screen, mesh=mesh("43/80", count=4250.0)))
    (not_covered,) = describe_passes(film_of(stack(uncovered)))

    assert covered.rival_wet == pytest.approx(2 * 0.285 * 135e-6)
    assert covered.wet.p10 <= covered.wet.p50 <= covered.wet.p90
    assert covered.film.p50 < covered.wet.p50
    assert not_covered.rival_wet is None


def test_an_unknown_laydown_model_is_refused_with_those_there_are():
    with pytest.raises(InvalidInput, match="no laydown model 'guess'; known are 'transfer', 'trade press'"):
        film_of(stack(), model="guess")
    assert LAYDOWN_MODELS == ("transfer", "trade press")


@pytest.mark.parametrize("name", MESHES)
def test_the_finest_line_is_three_threads_or_two_threads_and_an_opening(name):
    _, thread, opening, *_ = MESHES[name]

    assert finest_detail(mesh(name)) == pytest.approx(1e-6 * max(3 * thread, 2 * thread + opening))


def test_what_is_stirred_in_softens_by_its_share():
    assert mixed_hand_factor(printed(white(hand_factor=1.4))) == 1.4
    soft = printed(white(hand_factor=1.4), additive=reducer(), additive_share=0.05)
    assert mixed_hand_factor(soft) == pytest.approx(0.95 * 1.4 + 0.05 * 0.5)
    assert mixed_hand_factor(smoothing()) == 0.0


def test_an_additive_changes_neither_laydown_nor_film():
    mixed = film_of(stack(printed(additive=additive(), additive_share=0.25)))

    np.testing.assert_array_equal(mixed.dry, film_of(stack()).dry)
