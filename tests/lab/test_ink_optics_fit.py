"""Films drawn over black and white tell the absorption and scattering of an ink."""

import dataclasses

import numpy as np
import pytest

from laydown.data.colorimetric import tristimulus_weights
from laydown.domain.quantity import Grade, Quantity
from laydown.errors import InvalidInput
from laydown.lab.drawdown_model import DrawdownModel
from laydown.lab.ink_optics_fit import FilmReading, fit_ink_optics
from laydown.models.ink_optics import surface
from laydown.physics.saunderson import measured_reflectance
from reference_tables import reference_rows

K1, K2 = surface()
NM = np.arange(380, 731, 10.0)
WHITE = (np.exp(np.log(2e3) + 2 * np.exp(-(NM - 380) / 15)), 9.7e4 * (550 / NM) ** 0.5)
RED = (np.exp(np.log(4e3) + 5.2 / (1 + np.exp((NM - 600) / 10))), 3e4 * (550 / NM) ** 0.7)


def thickness(metres, percent=8.0):
    share = 1 + percent / 100
    return Quantity(value=metres, low=metres / share, high=metres * share, grade=Grade.MEASURED, source="gauge")


def film(ink, metres, *, rng=None, noise=0.0, error=0.0, gloss=0.0):
    bare = FilmReading(
        label=f"{metres * 1e6:.0f} µm",
        thickness=thickness(metres),
        over_black=(0.1,) * 36,
        over_white=(0.5,) * 36,
        black=(0.05,) * 36,
        white=(0.80,) * 36,
    )
    model = DrawdownModel(films=[bare], k1=K1, k2=K2, gloss=gloss)
    over = [
        model.reflectance(np.log(ink[0]), np.log(ink[1]), metres * np.exp(error), card)
        for card in (bare.black, bare.white)
    ]
    if rng is not None:
        over = [readings + noise * rng.standard_normal(36) for readings in over]
    return dataclasses.replace(bare, over_black=tuple(over[0]), over_white=tuple(over[1]))


def test_the_published_check_film_gives_back_its_k_and_s():
    rows = [
        row
        for row in reference_rows("km_check_values")
        if row["quantity"] == "reflectance" and row["absorption_per_um"] == "0.002" and row["thickness_um"] == "30"
    ]
    over = {float(row["substrate"]): float(row["expected"]) for row in rows}
    assert set(over) == {0.0, 0.8}

    def seen(internal):
        return (float(measured_reflectance(internal, k1=K1, k2=K2)),) * 36

    fit = fit_ink_optics(
        [
            FilmReading(
                label="check",
                thickness=thickness(30e-6, 0.1),
                over_black=seen(over[0.0]),
                over_white=seen(over[0.8]),
                black=seen(0.0),
                white=seen(0.8),
            )
        ]
    )

    assert fit.scattering[:, 1] == pytest.approx(np.full(36, 0.1e6), rel=0.02)
    assert fit.absorption[:, 1] == pytest.approx(np.full(36, 0.002e6), rel=0.05)
    assert np.all(fit.scattering[:, 0] <= 0.1e6)
    assert np.all(fit.scattering[:, 2] >= 0.1e6)


@pytest.mark.parametrize("ink", [WHITE, RED], ids=["white", "red"])
def test_nine_of_ten_bands_lie_in_their_interval_with_noise_and_films_of_unsure_thickness(ink):
    rng = np.random.default_rng(11)
    inside = []
    for _ in range(4):
        errors = np.log(1.08) / 1.645 * rng.standard_normal(2)
        films = [
            film(ink, metres, rng=rng, noise=0.003, error=error)
            for metres, error in zip((12e-6, 40e-6), errors, strict=True)
        ]
        fit = fit_ink_optics(films)
        for found, true in ((fit.absorption, ink[0]), (fit.scattering, ink[1])):
            inside.append(np.mean((found[:, 0] <= true) & (true <= found[:, 2])))

    # Neighbouring bands and all bands of one thickness hang together: eight spectra are far fewer independent ones.
    assert 0.75 <= np.mean(inside) <= 1.0


def test_several_thicknesses_tell_more_than_one():
    one = fit_ink_optics([film(WHITE, 25e-6)])
    three = fit_ink_optics([film(WHITE, metres) for metres in (12e-6, 25e-6, 50e-6)])

    def width(fit):
        return float(np.log(fit.scattering[:, 2] / fit.scattering[:, 0]).mean())

    assert width(three) < width(one) < np.log(fit_ratio(one.prior_scattering))
    assert three.contrast_ratio.spread < one.contrast_ratio.spread
    assert len(three.checks) == 6
    assert all(check.low <= check.reading <= check.high for check in three.checks)


def fit_ratio(quantity):
    return quantity.high / quantity.low


def test_the_result_fits_an_ink_s_record_and_foretells_its_contrast():
    fit = fit_ink_optics([film(WHITE, metres) for metres in (12e-6, 25e-6)])

    light = tristimulus_weights("D65/10")[:, 1]
    usual = film(WHITE, 25.4e-6)
    true = np.array(usual.over_black) @ light / (np.array(usual.over_white) @ light)
    assert fit.contrast_ratio.low <= true <= fit.contrast_ratio.high
    assert fit.optics.scattering == pytest.approx(WHITE[1], rel=0.05)
    assert len(fit.optics.colour.spectrum) == 36


def test_readings_without_gloss_give_the_same_ink():
    with_gloss = fit_ink_optics([film(RED, 20e-6)])
    without = fit_ink_optics(
        [
            dataclasses.replace(
                film(RED, 20e-6),
                **{
                    what: tuple(np.array(getattr(film(RED, 20e-6), what)) - K1)
                    for what in ("over_black", "over_white", "black", "white")
                },
            )
        ],
        gloss_included=False,
    )

    np.testing.assert_allclose(without.scattering[:, 1], with_gloss.scattering[:, 1], rtol=1e-3)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"over_black": (0.5,) * 35}, "the spectrum over black of 25 µm has 35 values; 36 are needed"),
        ({"white": (0.06,) * 36}, "differ by less than 0.2 in reflectance; were they mixed up"),
        ({"over_white": (50.0,) * 36}, "reflectance over white of 25 µm is 50"),
        ({"thickness": thickness(2e-3)}, "thickness of 25 µm is 0.002"),
    ],
)
def test_a_film_cannot_be_in_a_wrong_state(change, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        dataclasses.replace(film(WHITE, 25e-6), **change)


def test_films_that_cannot_be_fitted_are_refused():
    with pytest.raises(InvalidInput, match="at least one film"):
        fit_ink_optics([])
    with pytest.raises(InvalidInput, match="labels must differ"):
        fit_ink_optics([film(WHITE, 25e-6)] * 2)
