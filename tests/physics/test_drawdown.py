import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from laydown import units
from laydown.errors import InvalidInput
from laydown.physics import drawdown, optics
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted

absorptions = st.floats(0, 2e5)
scatterings = st.floats(1e3, 3e5)
thicknesses = st.floats(2e-6, 100e-6)


@pytest.mark.parametrize(
    "row", reference_rows("white_ink_scattering"), ids=lambda row: f"{row['quantity']} {row['reflectivity']}"
)
def test_a_published_white_ink_scatters_as_much_as_was_computed(row):
    X = units.from_micron(float(row["thickness_um"]))
    ink = drawdown.optics_from_reflectivity(
        float(row["over_black"]), X, substrate=0.0, reflectivity=float(row["reflectivity"])
    )

    value = ink.scattering * X if row["quantity"] == "scattering_times_thickness" else ink.scattering * 1e-6
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(K=absorptions, S=scatterings, X=thicknesses, black=st.floats(0, 0.1), white=st.floats(0.6, 1))
def test_a_film_over_black_and_white_gives_back_its_absorption_and_scattering(K, S, X, black, white):
    over_black, over_white = optics.film_reflectance(K, S, X, np.array([black, white]))
    # The two readings must differ by enough to carry the answer.
    assume(over_white - over_black > 1e-3)

    ink = drawdown.optics_from_black_and_white(over_black, over_white, X, black=black, white=white)
    assert ink.scattering == pytest.approx(S, rel=1e-7)
    assert ink.absorption == pytest.approx(K, rel=1e-7, abs=1e-9 * S)


@given(K=absorptions, S=scatterings, X=thicknesses, substrate=st.floats(0, 1))
def test_a_film_over_one_substrate_and_its_reflectivity_give_back_its_absorption_and_scattering(K, S, X, substrate):
    end = optics.reflectivity(K, S)
    film = optics.film_reflectance(K, S, X, substrate)
    assume(abs(film - end) > 1e-3 and abs(film - substrate) > 1e-3)

    ink = drawdown.optics_from_reflectivity(film, X, substrate=substrate, reflectivity=end)
    assert ink.scattering == pytest.approx(S, rel=1e-7)
    assert ink.absorption == pytest.approx(K, rel=1e-7, abs=1e-9 * S)


@given(K=absorptions, S=scatterings, X=thicknesses, surface=st.sampled_from([(0.0, 0.0), (0.04, 0.6)]))
def test_a_contrast_ratio_and_the_reflectivity_give_back_absorption_and_scattering(K, S, X, surface):
    k1, k2 = surface
    end = optics.reflectivity(K, S)
    ratio = optics.contrast_ratio(K, S, X, k1=k1, k2=k2)
    assume(optics.contrast_ratio(0.0, 0.0, X, k1=k1, k2=k2) + 1e-3 < ratio < 0.999)

    ink = drawdown.optics_from_contrast_ratio(ratio, X, reflectivity=end, k1=k1, k2=k2)
    assert ink.scattering == pytest.approx(S, rel=1e-6)
    assert ink.absorption == pytest.approx(K, rel=1e-6, abs=1e-9 * S)


def test_spectra_are_inverted_band_by_band():
    K, S = np.linspace(0, 5e4, 36), np.linspace(8e4, 1e5, 36)
    over_black, over_white = (optics.film_reflectance(K, S, 20e-6, card) for card in (0.02, 0.85))

    ink = drawdown.optics_from_black_and_white(over_black, over_white, 20e-6, black=0.02, white=0.85)
    np.testing.assert_allclose(ink.absorption, K, rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(ink.scattering, S, rtol=1e-9)


def test_a_film_that_hides_fully_cannot_tell_its_scattering():
    with pytest.raises(InvalidInput, match="thinner"):
        drawdown.optics_from_black_and_white(0.8, 0.8, 50e-6, black=0.01, white=0.8)


def test_a_film_that_looks_endless_cannot_tell_its_scattering():
    with pytest.raises(InvalidInput, match="endlessly thick"):
        drawdown.optics_from_reflectivity(0.5 - 1e-8, 50e-6, substrate=0.0, reflectivity=0.5)


def test_a_film_brighter_than_any_absorbing_film_could_be_is_refused():
    # Over black 0.5 without absorption means 0.6 over 0.8 at most.
    with pytest.raises(InvalidInput, match="no film"):
        drawdown.optics_from_black_and_white(0.5, 0.95, 20e-6, black=0.0, white=0.8)


def test_black_must_be_darker_than_white():
    with pytest.raises(InvalidInput, match="darker"):
        drawdown.optics_from_black_and_white(0.5, 0.6, 20e-6, black=0.8, white=0.1)


@pytest.mark.parametrize("film", [0.0, 0.9, 0.95])
def test_a_film_beyond_its_reflectivity_or_at_its_substrate_is_refused(film):
    with pytest.raises(InvalidInput, match="between"):
        drawdown.optics_from_reflectivity(film, 20e-6, substrate=0.0, reflectivity=0.9)


@pytest.mark.parametrize("ratio", [0.0, 0.0125, 1.0, 1.2, np.nan])
def test_a_contrast_ratio_that_no_film_has_is_refused(ratio):
    with pytest.raises(InvalidInput, match="contrast_ratio"):
        drawdown.optics_from_contrast_ratio(ratio, 20e-6, reflectivity=0.9)


@pytest.mark.parametrize("thickness", [0.0, -1e-6, np.inf, np.nan])
def test_a_drawdown_needs_a_thickness(thickness):
    with pytest.raises(InvalidInput, match="thickness"):
        drawdown.optics_from_reflectivity(0.5, thickness, substrate=0.0, reflectivity=0.9)


def test_a_reflectance_above_1_is_refused():
    with pytest.raises(InvalidInput, match="over_white"):
        drawdown.optics_from_black_and_white(0.5, 1.2, 20e-6, black=0.0, white=0.8)


def test_a_contrast_ratio_is_read_without_a_surface_unless_one_is_given():
    plain = drawdown.optics_from_contrast_ratio(0.9, 20e-6, reflectivity=0.9)
    bare = drawdown.optics_from_contrast_ratio(0.9, 20e-6, reflectivity=0.9, k1=0.0, k2=0.0)

    assert plain == bare
    assert optics.contrast_ratio(plain.absorption, plain.scattering, 20e-6) == pytest.approx(0.9)


def test_a_film_too_thick_to_tell_its_scattering_is_refused_as_too_thick():
    with pytest.raises(InvalidInput, match="thinner") as refusal:
        drawdown.optics_from_reflectivity(0.5 - 1e-8, 50e-6, substrate=0.0, reflectivity=0.5)

    assert refusal.value.where == "thickness"
