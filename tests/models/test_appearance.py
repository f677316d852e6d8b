"""How a print looks over its cloth."""

from dataclasses import replace

import numpy as np
import pytest

from laydown.domain.colour import Colour
from laydown.domain.stack import Role
from laydown.models.appearance import area_reflectance, judge_opacity, visible_areas
from laydown.models.cloth import describe_cloth
from laydown.models.colour import lab_of
from laydown.models.film import build_film
from laydown.models.ink_optics import ink_spectra, internal, surface
from laydown.models.sampling import corner_set, median_set, sample_set
from laydown.physics.film_variation import thickness_factors
from laydown.physics.optics import film_reflectance
from laydown.physics.saunderson import measured_reflectance
from small_shop import NO_PRACTICE, barrier, blend, cloth, colour, flashed_twice, garment, printed, q, stack, white

SAMPLES = sample_set(24)
CONDITION = "D65/10"
DARK = cloth()
PALE = describe_cloth(garment(colour=Colour(srgb="#f3f3ef")))


def film_of(stack_, on=DARK, samples=SAMPLES):
    return build_film(stack_, on, samples, practice=NO_PRACTICE)


def opacity(stack_, on=DARK, *, limit=7.0, samples=SAMPLES, thickened=1.0):
    film = film_of(stack_, on, samples)
    film = replace(film, dry=film.dry * thickened)
    return judge_opacity(stack_, film, on, samples, limit=limit, condition=CONDITION)


def names(*passes):
    return [(area.name, area.rows) for area in visible_areas(stack(*passes))]


RED, BLUE = colour("Red"), colour("Blue", "#1f4e9c")
BASE = printed(role=Role.UNDERBASE, flash=True, coverage=0.6)


def spot(ink, coverage=0.3, **more):
    return printed(ink, "120/34", Role.COLOUR, coverage=coverage, **more)


def test_a_white_alone_shows_one_white_area():
    assert names(printed()) == [("white", (0,))]


def test_passes_of_one_white_make_one_area():
    assert names(*flashed_twice().passes) == [("white", (0, 1))]


def test_colours_that_cover_their_underbase_leave_no_white():
    assert names(BASE, spot(RED), spot(BLUE)) == [("Red", (0, 1)), ("Blue", (0, 2))]


def test_an_underbase_wider_than_its_colours_shows_as_white():
    assert names(BASE, spot(RED)) == [("white", (0,)), ("Red", (0, 1))]


def test_a_highlight_lies_on_the_underbase_and_not_on_the_colours():
    highlight = printed(through="61/64", role=Role.HIGHLIGHT, coverage=0.2)

    assert names(BASE, spot(RED), spot(BLUE, flash=True), highlight) == [
        ("white", (0, 3)),
        ("Red", (0, 1)),
        ("Blue", (0, 2)),
    ]


def test_colours_without_a_white_stand_for_themselves():
    assert names(spot(RED), spot(BLUE)) == [("Red", (0,)), ("Blue", (1,))]


def test_a_bare_barrier_shows_under_its_own_name():
    down = printed(barrier(), role=Role.BARRIER, flash=True)

    assert names(down) == [("Dark Barrier", (0,))]
    assert names(down, printed()) == [("white", (0, 1))]


@pytest.mark.parametrize("on", [DARK, PALE], ids=["dark", "pale"])
def test_a_thick_white_approaches_its_own_colour_on_any_cloth(on):
    differences = [opacity(stack(), on, thickened=x)[2].max() for x in (1, 4, 16, 64, 256)]

    assert (np.diff(differences) <= 1e-12).all()
    assert differences[-1] < 0.1


def test_on_cloth_of_its_own_colour_no_film_is_seen():
    own = describe_cloth(garment(colour=white().optics.colour))
    for thickened in (0.2, 1.0, 5.0):
        assert opacity(stack(), own, thickened=thickened)[2].max() < 1e-6


def test_more_ink_covers_better_in_every_sample():
    one, two = opacity(stack())[2], opacity(flashed_twice())[2]

    assert (two < one).all()


def test_a_darker_cloth_shows_more():
    grey = describe_cloth(garment(colour=Colour(srgb="#777777")))

    assert (opacity(stack(), grey)[2] < opacity(stack(), DARK)[2]).all()


def test_a_white_is_judged_against_its_own_full_colour():
    forecast, *_ = opacity(stack())
    spectra = ink_spectra(white())

    assert forecast.target_lab == pytest.approx(lab_of(spectra.full_hiding, CONDITION))
    assert forecast.area == "white"


def test_a_colour_is_judged_against_itself_over_a_white():
    # The paler the cloth below the underbase, the nearer it comes; over a hiding white it has arrived.
    over_dark, over_pale = (opacity(stack(BASE, spot(RED, 0.6)), on)[2] for on in (DARK, PALE))
    hidden = opacity(stack(BASE, spot(RED, 0.6)), DARK)[0]
    film = film_of(stack(BASE, spot(RED, 0.6)))
    buried = replace(film, dry=film.dry * np.array([[1000.0], [1.0]]))

    _, _, arrived = judge_opacity(stack(BASE, spot(RED, 0.6)), buried, DARK, SAMPLES, limit=7.0, condition=CONDITION)

    assert (over_pale < over_dark).all()
    assert arrived.max() < 0.05
    assert hidden.area == "Red"


def test_a_colour_without_a_white_is_judged_over_paper():
    paper = describe_cloth(garment(colour=Colour(spectrum=(0.85,) * 36)))

    assert opacity(stack(spot(RED)), paper)[2].max() < 1e-6


def test_the_worst_area_is_shown_and_any_area_that_misses_counts():
    pale_ink = colour("Thin Yellow", "#f6c915", 0.2)
    both = stack(BASE, spot(pale_ink, 0.2), spot(BLUE, 0.2))
    forecast, missed, shown = opacity(both, limit=3.0)
    alone = [opacity(stack(BASE, spot(ink, 0.6)), limit=3.0) for ink in (pale_ink, BLUE)]

    assert forecast.area in {"white", "Thin Yellow"}
    assert forecast.difference.p50 == pytest.approx(max(a[0].difference.p50 for a in (*alone, opacity(stack(BASE)))))
    assert np.median(shown) == pytest.approx(forecast.difference.p50)
    for one in alone:
        assert (missed >= one[1]).all()


def test_the_risk_is_the_share_of_samples_beyond_the_limit():
    _, _, differences = opacity(stack())
    limit = float(np.median(differences))

    forecast, missed, _ = opacity(stack(), limit=limit)

    assert forecast.risk == pytest.approx((differences > limit).mean()) == missed.mean()
    assert opacity(stack(), limit=100.0)[0].risk == 0


def test_one_film_equals_the_textbook_averaged_over_its_thickness():
    one, samples = stack(), median_set()
    film = film_of(one, samples=samples)
    k1, k2 = surface()
    spectra = ink_spectra(white())
    factors, weights = thickness_factors(film.variation, points=3)
    below = internal(DARK.reflectance())

    local = [
        measured_reflectance(
            film_reflectance(spectra.absorption, spectra.scattering, film.dry[0, 0] * f, below), k1=k1, k2=k2
        )
        for f in factors[0]
    ]
    found = area_reflectance(visible_areas(one)[0], film, DARK, samples)[0, 0]

    np.testing.assert_allclose(found, np.tensordot(weights[0], local, 1), rtol=1e-10)


def test_dye_in_the_film_darkens_it_in_every_band_it_absorbs():
    one = stack()
    film = film_of(one)
    (area,) = visible_areas(one)
    absorption = np.zeros((SAMPLES.size, 36))
    absorption[:, :18] = 1e5

    clean = area_reflectance(area, film, DARK, SAMPLES)[:, 0]
    dyed = area_reflectance(
        area, film, DARK, SAMPLES, dye=np.full((SAMPLES.size, 1, 1), 0.1), dye_absorption=absorption
    )[:, 0]

    assert (dyed[:, :18] < clean[:, :18]).all()
    np.testing.assert_allclose(dyed[:, 18:], clean[:, 18:], rtol=1e-13)


def test_a_drawdown_that_is_known_worse_spreads_the_cover_wider():
    lines = corner_set(tuple({"white scattering": z} for z in (-1.5, 0.0, 1.5)))
    spreads = []
    for ratio in (q(0.76), q(0.76, 0.73, 0.79), q(0.76, 0.68, 0.84)):
        ink = white(optics=replace(white().optics, contrast_ratio=ratio))
        differences = opacity(stack(printed(ink)), samples=lines)[2]
        assert (np.diff(differences) <= 0).all()
        spreads.append(np.ptp(differences))

    assert spreads[0] == 0
    assert spreads[0] < spreads[1] < spreads[2]


def test_the_condition_decides_the_light():
    film = film_of(stack(), on=describe_cloth(blend()))
    labs = {
        condition: judge_opacity(stack(), film, describe_cloth(blend()), SAMPLES, limit=7, condition=condition)[0].lab
        for condition in ("D65/10", "D50/2")
    }

    assert labs["D65/10"] != labs["D50/2"]
