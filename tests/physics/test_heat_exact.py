"""The finite-volume solver against exact solutions and hand calculations."""

from __future__ import annotations

import numpy as np
import pytest

from laydown.physics import cure, moisture
from laydown.physics.heat import Stages, simulate_heat
from laydown.physics.heat_grid import graded_shares
from reference_tables import reference_rows

WALL = [row for row in reference_rows("plane_wall") if row["fourier"]]
SOLID = {row["quantity"]: row for row in reference_rows("thick_solid")}
LUMPED = {row["quantity"]: row for row in reference_rows("lumped_heat")}


def stages(duration, **given):
    """Nothing exchanged but what is given."""
    still = dict.fromkeys(Stages.__slots__, 0.0)
    still |= {f"{side}_{kind}_temperature": 300.0 for side in ("top", "bottom") for kind in ("radiant", "air")}
    return Stages(**(still | {"duration": [duration]} | given))


def slab(thickness, cells, *, conductivity, heat_capacity, start, ratio=1.0, **rest):
    return simulate_heat(
        cell_thickness=thickness * graded_shares(cells, ratio),
        conductivity=[conductivity],
        heat_capacity=[heat_capacity],
        initial_temperature=start,
        **rest,
    )


@pytest.mark.parametrize("row", WALL, ids=lambda r: f"{r['quantity']} {r['biot']} {r['fourier']}")
def test_plane_wall_meets_the_series(row):
    length, k, c = 0.01, 0.2, 2e6
    time = float(row["fourier"]) * length**2 * c / k
    history = slab(
        length,
        200,
        conductivity=k,
        heat_capacity=c,
        start=400.0,
        stages=stages(time, top_heat_transfer_coefficient=float(row["biot"]) * k / length),
        output_times=[time],
        tolerance=1e-4,
    )
    found = {"centre": history.temperature[0, 0, 0], "surface": history.top_surface_temperature[0, 0]}
    share = (found[row["quantity"]] - 300.0) / 100.0

    assert abs(share - float(row["expected"])) <= float(row["tolerance"])


def test_thick_solid_under_a_flux_meets_the_exact_rise():
    row = SOLID["flux_rise"]
    time, k = float(row["time_s"]), float(row["conductivity"])
    # A flux that does not care about the surface: hardly any conductance to something very hot.
    flux = {"top_heat_transfer_coefficient": 1e-6, "top_air_temperature": float(row["flux"]) * 1e6 + 300}
    history = slab(
        0.02,
        200,
        ratio=1.02,
        conductivity=k,
        heat_capacity=k / float(row["diffusivity"]),
        start=300.0,
        stages=stages(time, **flux),
        output_times=[time],
        tolerance=1e-4,
    )

    rise = history.top_surface_temperature[0, 0] - 300.0
    assert abs(rise - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.interpreted
def test_thick_solid_in_cold_air_meets_the_book():
    row = SOLID["convection_surface_kelvin"]
    time, k = float(row["time_s"]), float(row["conductivity"])
    history = slab(
        1.5,
        120,
        ratio=1.05,
        conductivity=k,
        heat_capacity=k / float(row["diffusivity"]),
        start=float(row["start_celsius"]) + 273.15,
        stages=stages(
            time,
            top_heat_transfer_coefficient=float(row["heat_transfer_coefficient"]),
            top_air_temperature=float(row["surroundings_celsius"]) + 273.15,
        ),
        output_times=[time],
        tolerance=1e-3,
    )

    assert abs(history.top_surface_temperature[0, 0] - float(row["expected"])) <= float(row["tolerance"])


def test_frost_goes_as_deep_as_the_book_says():
    row = SOLID["freezing_depth"]
    time, depth, cells = float(row["time_s"]), 8.0, 400
    history = slab(
        depth,
        cells,
        conductivity=1.0,
        heat_capacity=1 / float(row["diffusivity"]),
        start=float(row["start_celsius"]) + 273.15,
        stages=stages(
            time,
            top_heat_transfer_coefficient=1e7,
            top_air_temperature=float(row["surroundings_celsius"]) + 273.15,
        ),
        output_times=[time],
        tolerance=1e-3,
    )
    below_surface = depth - (np.arange(cells) + 0.5) * depth / cells
    frost = np.interp(-273.15, -history.temperature[0, 0], below_surface)

    assert abs(frost - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.interpreted
def test_thin_print_in_hot_air_takes_the_time_of_a_lumped_body():
    row = LUMPED["time"]
    start, end, air = (float(row[f"{w}_celsius"]) + 273.15 for w in ("start", "end", "surroundings"))
    both = {
        f"{side}_{what}": value
        for side in ("top", "bottom")
        for what, value in (
            ("heat_transfer_coefficient", float(row["heat_transfer_coefficient"]) / 2),
            ("air_temperature", air),
        )
    }
    history = slab(
        1e-4,
        3,
        conductivity=1e4,
        heat_capacity=float(row["areal_heat_capacity"]) / 1e-4,
        start=start,
        stages=stages(7.0, **both),
        output_times=[6.0, 6.10, 6.105, 6.11, 7.0],
        tolerance=1e-4,
    )
    time = cure.gel_time(history.times, history.temperature, end)[0]

    assert abs(time - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.interpreted
def test_thin_print_under_a_panel_warms_at_the_rate_of_its_capacity():
    row = LUMPED["rate"]
    history = slab(
        1e-4,
        3,
        conductivity=1e4,
        heat_capacity=float(row["areal_heat_capacity"]) / 1e-4,
        start=300.0,
        stages=stages(
            1.0,
            top_heat_transfer_coefficient=1e-6,
            top_air_temperature=float(row["flux"]) * 1e6 + 300,
        ),
        output_times=[1.0],
    )
    rate = history.temperature[0, 0].mean() - 300.0

    assert abs(rate - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.interpreted
def test_a_radiating_thin_print_meets_the_integral_of_the_fourth_power_law():
    # dT/dt = s (P^4 - T^4)  =>  s t = [ln((P+T)/(P-T))/2 + arctan(T/P)]/(2 P^3) between start and end.
    panel, start, factor, capacity = 700.0, 300.0, 0.4, 240.0
    history = slab(
        1e-4,
        3,
        conductivity=1e6,
        heat_capacity=capacity / 1e-4,
        start=start,
        stages=stages(40.0, top_radiant_temperature=panel, top_exchange_factor=factor),
        output_times=np.linspace(1.0, 40.0, 14),
        tolerance=1e-5,
    )

    def primitive(t):
        return (np.log((panel + t) / (panel - t)) / 2 + np.arctan(t / panel)) / (2 * panel**3)

    end = history.temperature[0, :, 1]
    took = (primitive(end) - primitive(start)) * capacity / (factor * 5.670374419e-8)
    assert np.abs(took - history.times).max() < 1e-3


@pytest.mark.interpreted
@pytest.mark.parametrize("row", reference_rows("wet_bulb"), ids=lambda r: r["place"])
def test_wet_cloth_in_moving_air_takes_the_wet_bulb_temperature(row):
    air = float(row["air_celsius"]) + 273.15
    both = {
        f"{side}_{what}": value
        for side in ("top", "bottom")
        for what, value in (
            ("heat_transfer_coefficient", 40.0),
            ("air_temperature", air),
            ("vapour_factor", 1.0),
        )
    }
    pressure = moisture.vapour_pressure(air, float(row["relative_humidity"]))
    history = slab(
        5e-4,
        4,
        conductivity=60.0,
        heat_capacity=5e5,
        start=air,
        water=0.2,
        critical_water=0.002,
        stages=stages(120.0, **both, vapour_pressure=pressure),
        output_times=[120.0],
    )

    assert history.water[0, 0] > 4 * 0.002
    celsius = history.temperature[0, 0].mean() - 273.15
    assert abs(celsius - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.interpreted
def test_drying_at_room_temperature_takes_the_latent_heat_of_all_the_water():
    water = moisture.regain_water(0.150, 0.07)
    both = {
        f"{side}_{what}": value
        for side in ("top", "bottom")
        for what, value in (
            ("heat_transfer_coefficient", 1e4),
            ("air_temperature", 293.15),
            ("vapour_factor", 1e-5),
        )
    }
    history = slab(
        5e-4,
        4,
        conductivity=0.06,
        heat_capacity=4e5,
        start=293.15,
        water=water / 4,
        critical_water=water / 4 / 0.65,
        stages=stages(3e5, **both),
        output_times=[3e5],
    )
    heat_in = history.top_heat[0, 0] + history.bottom_heat[0, 0]

    assert history.evaporated_water[0, 0] == pytest.approx(water, rel=1e-6)
    assert heat_in == pytest.approx(water * moisture.latent_heat(293.15), rel=1e-4)
