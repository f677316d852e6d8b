import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown import units
from laydown.errors import InvalidInput
from laydown.physics import optics
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted

absorptions = st.floats(0, 1e6)
scatterings = st.floats(0, 5e5)
thicknesses = st.floats(0, 500e-6)
reflectances = st.floats(0, 1)


def textbook(K, S, X, Rg):
    """Kubelka's formula as printed, for K, S > 0."""
    a = 1 + K / S
    b = np.sqrt(a * a - 1)
    coth = 1 / np.tanh(b * S * X)
    return (1 - Rg * (a - b * coth)) / (a - Rg + b * coth)


def km_value(row):
    K, S = (float(row[f"{name}_per_um"]) * 1e6 for name in ("absorption", "scattering"))
    if row["quantity"] == "reflectivity":
        return optics.reflectivity(K, S)
    X = units.from_micron(float(row["thickness_um"]))
    R0, T = optics.film_r0_and_transmittance(K, S, X)
    if row["quantity"] == "r0":
        return R0
    if row["quantity"] == "transmittance":
        return T
    Rg = float(row["substrate"])
    if row["quantity"] == "stacked":
        return optics.stack_on(R0, T, Rg)
    assert row["quantity"] == "reflectance"
    return optics.film_reflectance(K, S, X, Rg)


@pytest.mark.parametrize(
    "row", reference_rows("km_check_values"), ids=lambda row: f"{row['quantity']} {row['expected']}"
)
def test_a_film_has_the_kubelka_munk_check_values(row):
    assert km_value(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", reference_rows("contrast_ratio"), ids=lambda row: f"{row['thickness_um']} um")
def test_the_contrast_ratio_of_a_film_has_the_check_values(row):
    ratio = optics.contrast_ratio(
        float(row["absorption_per_um"]) * 1e6,
        float(row["scattering_per_um"]) * 1e6,
        units.from_micron(float(row["thickness_um"])),
        black=float(row["black"]),
        white=float(row["white"]),
    )
    assert ratio == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(K=st.floats(1, 1e6), S=st.floats(1, 5e5), X=st.floats(1e-7, 500e-6), Rg=reflectances)
def test_a_film_follows_the_formula_as_printed(K, S, X, Rg):
    # The printed formula itself loses digits where b S X is small; a film there is nearly its substrate.
    assert optics.film_reflectance(K, S, X, Rg) == pytest.approx(textbook(K, S, X, Rg), abs=1e-9)


def test_a_film_solves_the_kubelka_munk_differential_equation():
    from scipy.integrate import solve_ivp

    for K, S, X, Rg in [(0.01e6, 0.08e6, 25e-6, 0.1), (0.3e6, 0.02e6, 8e-6, 0.9), (0.0, 0.1e6, 40e-6, 0.2)]:
        path = solve_ivp(
            lambda _, R, K=K, S=S: S - 2 * (K + S) * R + S * R**2, (0, X), [Rg], rtol=1e-11, atol=1e-13, method="LSODA"
        )
        assert optics.film_reflectance(K, S, X, Rg) == pytest.approx(path.y[0, -1], abs=1e-8)


@given(S=scatterings, X=thicknesses, Rg=reflectances)
def test_without_absorption_a_film_follows_the_closed_form(S, X, Rg):
    expected = ((1 - Rg) * S * X + Rg) / ((1 - Rg) * S * X + 1)
    assert optics.film_reflectance(0.0, S, X, Rg) == pytest.approx(expected, abs=1e-12)


@given(K=absorptions, X=thicknesses, Rg=reflectances)
def test_without_scattering_light_dies_away_on_its_way_down_and_up(K, X, Rg):
    assert optics.film_reflectance(K, 0.0, X, Rg) == pytest.approx(Rg * np.exp(-2 * K * X), abs=1e-12)


@given(K=absorptions, S=scatterings, Rg=reflectances)
def test_no_film_shows_the_substrate(K, S, Rg):
    assert optics.film_reflectance(K, S, 0.0, Rg) == pytest.approx(Rg, abs=1e-15)


@pytest.mark.parametrize(
    ("K", "S", "Rg", "expected"),
    [
        (0.0, 0.0, 0.3, 0.3),
        (0.0, 1e5, 0.3, 1.0),
        (0.0, 1e5, 1.0, 1.0),
        (1e5, 0.0, 0.3, 0.0),
        (1e5, 1e5, 0.3, 2 - np.sqrt(3)),
    ],
    ids=["clear", "white", "white on white", "black", "grey"],
)
def test_an_endless_film_shows_only_itself_unless_it_is_clear(K, S, Rg, expected):
    assert optics.film_reflectance(K, S, np.inf, Rg) == pytest.approx(expected, abs=1e-14)


def test_an_endless_film_alone_lets_nothing_through_unless_it_is_clear():
    R0, T = optics.film_r0_and_transmittance([0.0, 0.0, 1e5], [0.0, 1e5, 1e5], np.inf)

    np.testing.assert_allclose(R0, [0, 1, 2 - np.sqrt(3)], atol=1e-14)
    np.testing.assert_allclose(T, [1, 0, 0], atol=1e-14)


@given(K=absorptions, S=scatterings, X=thicknesses, Rg=reflectances)
def test_reflectance_lies_between_0_and_1(K, S, X, Rg):
    assert 0 <= optics.film_reflectance(K, S, X, Rg) <= 1


@given(K=st.floats(1, 1e6), S=st.floats(1, 5e5), thin=thicknesses, more=thicknesses, Rg=reflectances)
def test_a_thicker_film_is_nearer_to_its_reflectivity(K, S, thin, more, Rg):
    end = optics.reflectivity(K, S)
    R1, R2 = optics.film_reflectance(K, S, np.array([thin, thin + more]), Rg)

    assert abs(R2 - end) <= abs(R1 - end) + 1e-12
    assert (R2 - end) * (Rg - end) >= -1e-12


@given(K=absorptions, S=scatterings, X=thicknesses, share=st.floats(0, 1), Rg=reflectances)
def test_splitting_a_film_in_two_changes_nothing(K, S, X, share, Rg):
    lower = optics.film_reflectance(K, S, X * share, Rg)

    assert optics.film_reflectance(K, S, X * (1 - share), lower) == pytest.approx(
        optics.film_reflectance(K, S, X, Rg), abs=1e-12
    )


@given(K=absorptions, S=scatterings, X=thicknesses, Rg=st.floats(0, 0.999))
def test_a_film_laid_on_a_substrate_is_the_film_computed_with_it(K, S, X, Rg):
    R0, T = optics.film_r0_and_transmittance(K, S, X)

    assert optics.stack_on(R0, T, Rg) == pytest.approx(optics.film_reflectance(K, S, X, Rg), abs=1e-10)


@given(K=absorptions, S=scatterings, X=thicknesses, share=st.floats(0, 1))
def test_two_parts_of_a_film_let_through_what_the_whole_does(K, S, X, share):
    R1, T1 = optics.film_r0_and_transmittance(K, S, X * share)
    R2, T2 = optics.film_r0_and_transmittance(K, S, X * (1 - share))
    _, T = optics.film_r0_and_transmittance(K, S, X)

    assert optics.stacked_transmittance(R1, T1, R2, T2) == pytest.approx(T, abs=1e-9)


@given(K=absorptions, S=scatterings, X=thicknesses)
def test_a_film_gives_back_no_more_light_than_it_got(K, S, X):
    R0, T = optics.film_r0_and_transmittance(K, S, X)
    whole, through = optics.film_r0_and_transmittance(0.0, S, X)

    assert R0 >= 0
    assert T >= 0
    assert R0 + T <= 1 + 1e-12
    assert whole + through == pytest.approx(1, abs=1e-12)


@given(K=st.floats(1, 1e6), S=st.floats(1, 5e5))
def test_absorption_comes_back_from_reflectivity_and_scattering(K, S):
    R = optics.reflectivity(K, S)
    # Near white K sits in the last digits of 1 - R.
    assert optics.absorption_from_reflectivity(R, S) == pytest.approx(K, rel=1e-6, abs=1e-15 * S)


@given(K=absorptions, S=scatterings, X=st.floats(1e-6, 500e-6), more=st.floats(1e-6, 100e-6))
def test_a_thicker_film_hides_at_least_as_well(K, S, X, more):
    thin, thick = optics.contrast_ratio(K + 1, S + 1, np.array([X, X + more]), black=0.02, white=0.85, k1=0.04, k2=0.6)

    assert 0 < thin <= thick + 1e-12
    assert thick <= 1 + 1e-12


def test_arguments_broadcast():
    R = optics.film_reflectance(np.full((36,), 1e3), 1e5, np.array([[10e-6], [20e-6]]), np.linspace(0, 1, 36))
    assert R.shape == (2, 36)


@pytest.mark.parametrize(
    ("arguments", "where"),
    [
        ((-1.0, 1.0, 1.0, 0.5), "absorption"),
        ((1.0, np.nan, 1.0, 0.5), "scattering"),
        ((1.0, 1.0, -1e-9, 0.5), "thickness"),
        ((1.0, 1.0, 1.0, 1.01), "substrate"),
        ((1.0, 1.0, 1.0, -0.01), "substrate"),
    ],
)
def test_impossible_films_are_refused_by_name(arguments, where):
    with pytest.raises(InvalidInput) as refusal:
        optics.film_reflectance(*arguments)
    assert refusal.value.where == where


def test_a_clear_film_has_no_reflectivity():
    with pytest.raises(InvalidInput, match="neither absorbs nor scatters"):
        optics.reflectivity([1.0, 0.0], [1.0, 0.0])


def test_no_absorption_makes_a_film_reflect_nothing():
    with pytest.raises(InvalidInput, match="endless absorption"):
        optics.absorption_from_reflectivity(0.0, 1e5)
