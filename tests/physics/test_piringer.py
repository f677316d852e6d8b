"""Piringer's upper bound against every value computed from the published formula, and its worked example."""

from __future__ import annotations

import numpy as np
import pytest

from laydown.data.piringer import piringer_polymer, piringer_polymers
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput, NotFound, OutOfRange
from laydown.physics import sheet
from laydown.physics.piringer import piringer_activation, piringer_diffusivity
from laydown.units import from_celsius, from_day
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted


def diffusivity(polymer, molar_mass, celsius):
    row = piringer_polymer(polymer)
    return piringer_diffusivity(
        molar_mass,
        from_celsius(celsius),
        polymer_constant=row.polymer_constant,
        temperature_constant=row.temperature_constant,
    )


@pytest.mark.parametrize(
    "row", reference_rows("piringer_diffusivity"), ids=lambda r: f"{r['polymer']} {r['molar_mass']} {r['celsius']}"
)
def test_diffusivity_meets_the_table(row):
    cm2_per_s = diffusivity(row["polymer"], float(row["molar_mass"]), float(row["celsius"])) * 1e4

    assert abs(cm2_per_s - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.parametrize("row", reference_rows("piringer_activation"), ids=lambda r: r["temperature_constant_k"])
def test_activation_energy_meets_the_table(row):
    kj = piringer_activation(float(row["temperature_constant_k"])) / 1e3

    assert abs(kj - float(row["expected"])) <= float(row["tolerance"])


def test_activation_energy_is_the_slope_of_the_diffusivity():
    t = np.array([300.0, 300.1])
    d = piringer_diffusivity(331, t, polymer_constant=6.4, temperature_constant=1577)

    assert -8.31446261815324 * np.diff(np.log(d)) / np.diff(1 / t) == pytest.approx(piringer_activation(1577), rel=1e-6)


def worked_example():
    # 100 µm of density 0.945 g/cm³ with 5000 mg/kg: per dm² that is 1 cm³ of film.
    available = 0.945e-3 * 5000
    d = diffusivity("LDPE", 531, 5)
    fo = d * from_day(10) / 100e-6**2
    return {
        "available_mg_per_dm2": available,
        "diffusivity_cm2_per_s": d * 1e4,
        "fourier": fo,
        # One face open: a sheet of double thickness with both faces open.
        "finite_sheet_mg_per_dm2": available * sheet.sheet_uptake(fo / 4),
        "migrated_mg_per_dm2": available * sheet.sheet_uptake(fo / 4),
        "semi_infinite_mg_per_dm2": available * 2 * np.sqrt(fo / np.pi),
    }


@pytest.mark.parametrize("row", reference_rows("piringer_migration"), ids=lambda r: r["quantity"])
def test_worked_example_of_the_guide(row):
    assert abs(worked_example()[row["quantity"]] - float(row["expected"])) <= float(row["tolerance"])


def test_larger_molecules_and_colder_polymer_are_slower():
    d = diffusivity("plasticised PVC", np.array([238.0, 331.0, 639.0])[:, None], np.array([25.0, 60.0, 160.0]))

    assert (np.diff(d, axis=0) < 0).all()
    assert (np.diff(d, axis=1) > 0).all()


def test_every_polymer_of_the_table_says_where_it_comes_from():
    assert len(piringer_polymers()) == 15
    for name, polymer in piringer_polymers().items():
        assert polymer.name == name
        assert polymer.grade is Grade.PUBLISHED
        assert "EUR 27529" in polymer.source
        assert polymer.temperature_constant >= 0


def test_an_unknown_polymer_is_not_found_and_the_known_ones_are_listed():
    with pytest.raises(NotFound, match=r"no polymer named 'unobtainium'; .*'plasticised PVC'"):
        piringer_polymer("unobtainium")


@pytest.mark.parametrize(("mass", "kelvin", "quantity"), [(5, 300, "molar mass"), (300, 700, "temperature")])
def test_outside_its_range_it_is_not_used(mass, kelvin, quantity):
    with pytest.raises(OutOfRange, match=quantity):
        piringer_diffusivity(mass, kelvin, polymer_constant=0, temperature_constant=0)


def test_a_constant_that_is_no_number_is_refused():
    with pytest.raises(InvalidInput, match="temperature_constant"):
        piringer_activation(np.nan)
