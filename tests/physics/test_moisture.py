"""Water in cloth: short formulas against steam tables and hand calculations."""

from __future__ import annotations

import numpy as np
import pytest

from laydown.errors import InvalidInput
from laydown.physics import moisture
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted


@pytest.mark.parametrize("row", reference_rows("steam"), ids=lambda r: f"{r['quantity']} {r['celsius']}")
def test_steam_formulas_stay_within_what_they_promise(row):
    function = {"pressure": moisture.saturation_vapour_pressure, "latent_heat": moisture.latent_heat}
    value = function[row["quantity"]](float(row["celsius"]) + 273.15)

    assert abs(value - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.parametrize("row", reference_rows("regain_water"), ids=lambda r: f"{r['quantity']} {r['basis']}")
def test_regain_gives_the_water_and_its_heat(row):
    water = moisture.regain_water(float(row["mass_gsm"]) * 1e-3, float(row["regain"]), basis=row["basis"])
    value = water * 1e3 if row["quantity"] == "water" else water * float(row["latent_heat"]) / 1e3

    assert abs(value - float(row["expected"])) <= float(row["tolerance"])


def test_vapour_pressure_is_the_share_of_saturation():
    full = moisture.saturation_vapour_pressure(300.0)

    assert moisture.vapour_pressure(300.0, 0.4) == pytest.approx(0.4 * full)
    assert moisture.vapour_pressure(300.0, 1.0) == full
    assert moisture.vapour_pressure(300.0, 0.0) == 0


def test_vapour_conductance_is_the_lewis_relation_written_out():
    h, temperature, pressure = 35.0, 320.0, 98000.0
    density = pressure * 0.028964 / (8.314462618 * temperature)
    mass_transfer = h / (density * 1007.0)
    by_pressure = mass_transfer * 0.018015 / (8.314462618 * temperature)

    assert moisture.vapour_conductance(h, pressure=pressure) == pytest.approx(by_pressure, rel=1e-4)


@pytest.mark.parametrize("row", reference_rows("psychrometer"), ids=lambda r: r["place"])
def test_vapour_conductance_reproduces_the_ventilated_psychrometer(row):
    # h (T_air - T_wet) = m L  =>  (p_wet - p_air) = coefficient * P * (T_air - T_wet)
    pressure = 101325.0
    conductance = moisture.vapour_conductance(1.0, pressure=pressure)
    coefficient = 1 / (conductance * moisture.latent_heat(float(row["celsius"]) + 273.15) * pressure)

    assert abs(coefficient - float(row["expected"])) <= float(row["tolerance"])


def test_a_blend_takes_each_fibre_by_its_share():
    assert moisture.mixture_regain([0.5, 0.5], [0.085, 0.004]) == pytest.approx(0.0445)
    assert moisture.mixture_regain([1.0, 0.0], [0.07, 0.1]) == 0.07


def test_a_fibre_without_regain_holds_no_water():
    assert moisture.regain_water(0.15, 0.0) == 0


def test_cloth_at_the_humidity_of_its_regain_is_in_balance_with_the_air():
    water = 0.0098
    activity = water / moisture.critical_water(water, 0.65)

    assert activity == pytest.approx(0.65)
    assert moisture.critical_water(water, 1.0) == water


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: moisture.vapour_pressure(300.0, 1.2), "relative_humidity"),
        (lambda: moisture.vapour_pressure(300.0, np.nan), "relative_humidity"),
        (lambda: moisture.critical_water(0.01, 0.0), "relative_humidity"),
        (lambda: moisture.regain_water(-1.0, 0.07), "regain_water"),
        (lambda: moisture.mixture_regain([0.5, 0.4], [0.1, 0.1]), "shares"),
        (lambda: moisture.mixture_regain([1.0], [0.1, 0.1]), "shares"),
    ],
)
def test_impossible_arguments_are_refused_by_name(call, where):
    with pytest.raises(InvalidInput, match=where):
        call()


def test_a_mass_is_that_of_the_cloth_as_weighed_unless_it_is_said_to_be_dry():
    # 107 g of cloth with a regain of 7 % are 100 g of fibre and 7 g of water.
    assert moisture.regain_water(0.107, 0.07) == pytest.approx(0.007)
    assert moisture.regain_water(0.100, 0.07, basis="dry") == pytest.approx(0.007)
