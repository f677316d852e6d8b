import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown import units
from laydown.errors import OutOfRange
from laydown.physics.ink_use import ink_to_mix, ink_volume
from laydown.physics.trade_wet_height import trade_wet_height
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted


@pytest.mark.parametrize(
    "row", reference_rows("ink_per_solid"), ids=lambda row: f"{row['place']} {row['quantity']}".replace("/", "-")
)
def test_height_volume_and_mass_of_a_solid_are_met(row):
    thickness = units.from_micron(float(row["fabric_thickness_um"])) if row["fabric_thickness_um"] else math.nan
    height = trade_wet_height(
        units.from_threads_per_cm(float(row["threads_per_cm"])),
        units.from_micron(float(row["thread_um"])),
        thickness,
        "plain",
    )
    volume = float(ink_volume(height, float(row["area_m2"])))
    mass = float(ink_to_mix(volume, units.from_g_per_ml(float(row["density_g_per_ml"]))))

    found = {
        "height_um": units.to_micron(height),
        "volume_cm3": units.to_cm3(volume),
        "mass_g": units.to_gram(mass),
    }
    assert found[row["quantity"]] == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_a_micron_on_a_square_metre_is_a_cubic_centimetre_and_prints_multiply():
    assert units.to_cm3(float(ink_volume(1e-6, 1.0))) == pytest.approx(1.0)
    assert units.to_cm3(float(ink_volume(1e-6, 1.0, 144))) == pytest.approx(144.0)


@given(st.floats(1e-9, 1e-2), st.floats(800, 2500), st.floats(0, 0.95))
def test_what_is_taken_less_what_is_wasted_is_what_is_printed(volume, density, waste):
    taken = ink_to_mix(volume, density, waste)

    assert taken * (1 - waste) == pytest.approx(volume * density)


@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda: ink_volume(-1e-6, 1.0), "wet laydown"),
        (lambda: ink_volume(1e-6, -1.0), "printed area"),
        (lambda: ink_volume(1e-6, 1.0, -1), "number of prints"),
        (lambda: ink_volume(1e-6, 1.0, math.inf), "number of prints"),
        (lambda: ink_to_mix(-1.0, 1300.0), "ink volume"),
        (lambda: ink_to_mix(1.0, 0.5), "ink density"),
        (lambda: ink_to_mix(1.0, 1300.0, 0.96), "waste"),
        (lambda: ink_to_mix(1.0, 1300.0, -0.1), "waste"),
    ],
)
def test_impossible_inputs_are_out_of_range(call, quantity):
    with pytest.raises(OutOfRange) as caught:
        call()

    assert (caught.value.model, caught.value.quantity) == ("ink use", quantity)
