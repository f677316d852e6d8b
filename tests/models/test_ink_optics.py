"""Kubelka-Munk spectra of inks from what a drawdown says."""

from dataclasses import replace

import numpy as np
import pytest

from laydown.data.colorimetric import tristimulus_weights
from laydown.domain.colour import Colour
from laydown.domain.ink import InkKind, InkOptics
from laydown.errors import InvalidInput
from laydown.models.colour import reflectance
from laydown.models.ink_optics import CARD_BLACK, CARD_WHITE, ink_spectra, internal, surface
from laydown.physics.layer_stack import layered_reflectance
from laydown.physics.optics import film_reflectance, reflectivity
from laydown.physics.saunderson import measured_reflectance
from laydown.services.shelves import open_shop
from small_shop import barrier, colour, q, white

SHELF = [ink for ink in open_shop().inks if ink.optics is not None]
LUMINANCE = tristimulus_weights("D65/10")[:, 1]


def drawn(ratio, srgb="#f7f7f4", thickness=25.4e-6):
    return white(optics=InkOptics(colour=Colour(srgb=srgb), contrast_ratio=ratio, contrast_thickness=thickness))


def contrast_by(reflectance_over, ink):
    """Luminance over the black by that over the white half of the card."""
    k1, k2 = surface()
    luminances = [
        measured_reflectance(reflectance_over(ink, card), k1=k1, k2=k2) @ LUMINANCE for card in (CARD_BLACK, CARD_WHITE)
    ]
    return float(luminances[0] / luminances[1])


def one_film(ink, card):
    spectra = ink_spectra(ink)
    return film_reflectance(spectra.absorption, spectra.scattering, ink.optics.contrast_thickness, card)


def seven_layers(ink, card):
    spectra, layers = ink_spectra(ink), 7
    return layered_reflectance(
        np.broadcast_to(spectra.absorption, (1, layers, 36)),
        np.broadcast_to(spectra.scattering, (1, layers, 36)),
        np.full((1, layers), ink.optics.contrast_thickness / layers),
        np.full((1, 36), card),
    )[0]


@pytest.mark.parametrize("ink", SHELF, ids=lambda ink: ink.name)
@pytest.mark.parametrize("kernel", [one_film, seven_layers])
def test_every_shelf_ink_has_the_contrast_ratio_of_its_drawdown(ink, kernel):
    assert contrast_by(kernel, ink) == pytest.approx(ink.optics.contrast_ratio.value, abs=1e-6)


@pytest.mark.parametrize("ink", [white(), colour(), barrier()], ids=lambda ink: ink.name)
def test_a_full_hiding_layer_has_the_asked_colour(ink):
    spectra = ink_spectra(ink)
    asked = reflectance(ink.optics.colour)
    k1, k2 = surface()

    endless = measured_reflectance(reflectivity(spectra.absorption, spectra.scattering), k1=k1, k2=k2)

    # Nothing is darker than the surface's own gloss, nor told from black right above it.
    told = asked > measured_reflectance(0.004, k1=k1, k2=k2)
    np.testing.assert_allclose(endless[told], asked[told], atol=1e-9)
    assert (endless[~told] <= 0.05).all()
    np.testing.assert_array_equal(spectra.full_hiding, asked)


def test_an_ink_that_hides_more_scatters_more():
    scattering = [ink_spectra(drawn(q(ratio))).scattering[0] for ratio in (0.3, 0.6, 0.75, 0.9)]

    assert (np.diff(scattering) > 0).all()


def test_the_same_ratio_in_a_thinner_film_takes_more_scattering():
    thin, thick = (ink_spectra(drawn(q(0.75), thickness=x)).scattering[0] for x in (12.7e-6, 25.4e-6))

    assert thin == pytest.approx(2 * thick, rel=1e-6)


def test_the_spread_of_the_ratio_becomes_a_spread_of_the_scattering():
    ink = drawn(q(0.75, 0.73, 0.77))
    spectra = ink_spectra(ink)

    for bound, ratio in ((spectra.scattering_spread.low, 0.73), (spectra.scattering_spread.high, 0.77)):
        moved = ink_spectra(drawn(q(ratio)))
        np.testing.assert_allclose(bound * spectra.scattering, moved.scattering, rtol=1e-9)
    assert spectra.scattering_spread.value == 1.0


@pytest.mark.parametrize("ratio", [0.01, 0.05])
def test_a_ratio_that_no_film_can_have_is_refused_with_what_is_possible(ratio):
    ink = drawn(q(ratio))

    with pytest.raises(
        InvalidInput, match=r"Plain White: no film has a contrast ratio of 0\.0\d at 25\.4 µm"
    ) as caught:
        ink_spectra(ink)
    assert "possible are 0.0" in str(caught.value)
    assert "inks.toml" in str(caught.value)


def test_measured_spectra_are_taken_as_they_are():
    scattering, absorption = tuple(np.linspace(9e4, 1e5, 36)), tuple(np.linspace(1e2, 5e2, 36))
    ink = white(
        optics=InkOptics(colour=Colour(srgb="#ffffff"), scattering=scattering, absorption=absorption),
    )

    spectra = ink_spectra(ink)

    np.testing.assert_array_equal(spectra.scattering, scattering)
    np.testing.assert_array_equal(spectra.absorption, absorption)
    assert spectra.scattering_spread.spread == 0


def test_what_is_stirred_in_has_no_colour_of_its_own():
    (stretch,) = open_shop().inks_of(InkKind.STRETCH_ADDITIVE)

    with pytest.raises(InvalidInput, match="Bowstring Stretch Additive has no optics"):
        ink_spectra(stretch)


def test_an_ink_with_neither_spectra_nor_ratio_is_refused():
    # A record cannot be made so; the model does not lean on that.
    ink = white()
    optics = replace(ink.optics)
    object.__setattr__(optics, "contrast_ratio", None)
    bare = replace(ink)
    object.__setattr__(bare, "optics", optics)

    with pytest.raises(InvalidInput, match="neither spectra nor a contrast ratio"):
        ink_spectra(bare)


def test_cloth_darker_than_gloss_counts_as_black():
    k1, _ = surface()

    assert internal(np.array([0.0, k1 / 2, k1])) == pytest.approx([0, 0, 0], abs=1e-15)
    assert internal(np.array([1.0])) == pytest.approx([1.0])
    assert (np.diff(internal(np.linspace(k1, 1, 50))) > 0).all()
