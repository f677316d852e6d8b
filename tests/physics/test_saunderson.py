import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.physics.saunderson import external_reflection, internal_reflectance, measured_reflectance
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted

surfaces = st.floats(0, 0.9)


@pytest.mark.parametrize("row", reference_rows("saunderson"), ids=lambda row: f"{row['k2']} {row['internal']}")
def test_measured_reflectance_has_the_check_values(row):
    measured = measured_reflectance(float(row["internal"]), k1=float(row["k1"]), k2=float(row["k2"]))
    assert measured == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", reference_rows("surface_reflection"), ids=lambda row: row["refractive_index"])
def test_a_surface_reflects_by_its_refractive_index(row):
    k1 = external_reflection(float(row["refractive_index"]))
    assert k1 == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(R=st.floats(0, 1), k1=surfaces, k2=surfaces)
def test_internal_reflectance_undoes_the_correction(R, k1, k2):
    measured = measured_reflectance(R, k1=k1, k2=k2)

    assert k1 <= measured <= 1 + 1e-15
    assert internal_reflectance(min(measured, 1.0), k1=k1, k2=k2) == pytest.approx(R, abs=1e-12)


@given(R=st.floats(0, 1))
def test_no_surface_changes_nothing(R):
    assert measured_reflectance(R, k1=0.0, k2=0.0) == pytest.approx(R, abs=1e-15)


def test_a_perfect_white_stays_white_below_any_surface():
    np.testing.assert_allclose(measured_reflectance(1.0, k1=0.04, k2=[0.0, 0.4, 0.6]), 1.0, atol=1e-15)


@pytest.mark.parametrize("measured", [0.03, 1.01, np.nan])
def test_a_reading_that_no_film_with_this_surface_has_is_refused(measured):
    with pytest.raises(InvalidInput, match="measured"):
        internal_reflectance([0.5, measured], k1=0.04, k2=0.6)


@pytest.mark.parametrize(("k1", "k2"), [(1.0, 0.5), (-0.1, 0.5), (0.04, 1.0), (0.04, np.nan)])
def test_impossible_surfaces_are_refused(k1, k2):
    with pytest.raises(InvalidInput, match="k1"):
        measured_reflectance(0.5, k1=k1, k2=k2)


def test_nothing_is_thinner_than_air():
    with pytest.raises(InvalidInput, match="below 1"):
        external_reflection(0.99)
