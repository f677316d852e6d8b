"""Each refusal names the one argument that is wrong, and what lies on the edge of a range is taken."""

from __future__ import annotations

import numpy as np
import pytest

from laydown.errors import InvalidInput, OutOfRange
from laydown.physics import arrhenius, hand, heat_grid, ink_use, laydown, moisture, piringer, radiation, sheet, slab

pytestmark = pytest.mark.interpreted

FLUX_RISE = {"flux": 1e3, "conductivity": 0.2, "heat_capacity": 2e6}
CONVECTION = {"heat_transfer_coefficient": 10.0, "conductivity": 0.2, "diffusivity": 1e-7}
LUMPED = {"areal_heat_capacity": 500.0, "heat_transfer_coefficient": 80.0}
PILE = {
    "height": 0.30,
    "conductivity": 0.05,
    "heat_capacity": 1.5e5,
    "heat_transfer_coefficient": 8.0,
    "start": 343.15,
    "surroundings": 295.15,
}
RECTANGLES = {"x": (0, 1), "y": (0, 1), "panel_x": (0, 1), "panel_y": (0, 1), "distance": 1.0}


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: arrhenius.arrhenius_factor(0.0, 1e5, 300.0), "temperature"),
        (lambda: arrhenius.arrhenius_factor(300.0, 1e5, 0.0), "reference"),
        (lambda: arrhenius.arrhenius_factor(300.0, -1.0, 300.0), "activation"),
        (lambda: arrhenius.equivalent_time_of_history([0.0, 1.0], [300.0], 1e5, 300.0), "temperature"),
        (lambda: arrhenius.equivalent_time_of_history([], [], 1e5, 300.0), "temperature"),
        (lambda: arrhenius.equivalent_time_of_history([[0.0, 1.0]], [300.0, 300.0], 1e5, 300.0), "temperature"),
        (lambda: arrhenius.equivalent_time_of_history([0.0], 300.0, 1e5, 300.0), "temperature"),
        (lambda: heat_grid.graded_shares(0), "graded_shares"),
        (
            lambda: heat_grid.stack_cells(
                thickness=[1, 2], conductivity=1, heat_capacity=1, shares=(heat_grid.CLOTH_SHARES,)
            ),
            "shares",
        ),
        (lambda: moisture.vapour_pressure(300.0, 1.2), "relative_humidity"),
        (lambda: moisture.critical_water(0.01, 1.2), "relative_humidity"),
        (lambda: moisture.critical_water(0.01, 0.0), "relative_humidity"),
        (lambda: moisture.regain_water(-1.0, 0.07), "regain_water"),
        (lambda: moisture.regain_water(1.0, -0.07), "regain_water"),
        (lambda: moisture.mixture_regain([0.5, 0.4], [0.1, 0.1]), "shares"),
        (lambda: moisture.mixture_regain([1.5, -0.5], [0.1, 0.1]), "shares"),
        (lambda: moisture.mixture_regain([1.0], [0.1, 0.1]), "shares"),
        (lambda: piringer.piringer_activation(np.nan), "temperature_constant"),
        (lambda: radiation.view_factor_aligned_rectangles(0, 1, 1), "width"),
        (lambda: radiation.view_factor_aligned_rectangles(1, 0, 1), "length"),
        (lambda: radiation.view_factor_aligned_rectangles(1, 1, 0), "distance"),
        *[
            (lambda name=name: radiation.view_factor_parallel_rectangles(**(RECTANGLES | {name: (1, 1)})), name)
            for name in ("x", "y", "panel_x", "panel_y")
        ],
        (lambda: radiation.view_factor_parallel_rectangles(**(RECTANGLES | {"distance": 0.0})), "distance"),
        (
            lambda: radiation.view_factor_spot_to_rectangle(panel_x=(0, 1), panel_y=(0, 1), distance=0),
            "distance",
        ),
        (lambda: radiation.exchange_factor_parallel_plates(0.0, 0.5), "emissivity"),
        (lambda: radiation.exchange_factor_parallel_plates(0.5, 0.0), "emissivity"),
        (lambda: radiation.exchange_factor_parallel_plates(0.5, 0.5, 1.5), "view_factor"),
        (lambda: radiation.combined_radiant_temperature(np.array([300.0]), np.array([0.0])), "exchange_factor"),
        (lambda: radiation.combined_radiant_temperature(np.full(2, 300.0), np.array([2.0, -1.0])), "exchange_factor"),
        (lambda: sheet.sheet_uptake(-0.1), "fourier"),
        (lambda: sheet.permeated(-0.1), "fourier"),
        (lambda: sheet.permeation_flux(-0.1), "fourier"),
        (lambda: sheet.midplane_step(-0.1), "fourier"),
        (lambda: sheet.sheet_uptake_time(1.0), "share"),
        (lambda: sheet.sharp_front_depth(-1.0, 1e-14, 0.1, 1.0), "time"),
        (lambda: sheet.moving_front_depth(-1.0, 1e-14, 0.1, 1.0), "time"),
        (lambda: sheet.semi_infinite_step(0.0, -1.0, 1e-14), "time"),
        (lambda: sheet.semi_infinite_step(-1.0, 1.0, 1e-14), "depth"),
        (lambda: slab.plane_wall_roots(0.0), "biot"),
        (lambda: slab.plane_wall_temperature(1.0, 0.0), "biot"),
        (lambda: slab.plane_wall_temperature(-1.0, 1.0), "plane_wall"),
        (lambda: slab.plane_wall_temperature(1.0, 1.0, -0.1), "plane_wall"),
        (lambda: slab.semi_infinite_step(0.0, 0.0, 1e-7), "time"),
        (lambda: slab.semi_infinite_step(0.0, 1.0, 0.0), "diffusivity"),
        (lambda: slab.semi_infinite_step_depth(0.0, 1.0, 1e-7), "share"),
        (lambda: slab.semi_infinite_step_depth(0.5, 0.0, 1e-7), "time"),
        (lambda: slab.semi_infinite_step_depth(0.5, 1.0, 0.0), "diffusivity"),
        (lambda: slab.semi_infinite_flux_rise(0.0, 0.0, **FLUX_RISE), "time"),
        *[
            (lambda name=name: slab.semi_infinite_flux_rise(0.0, 1.0, **(FLUX_RISE | {name: 0.0})), name)
            for name in ("conductivity", "heat_capacity")
        ],
        (lambda: slab.semi_infinite_convection(0.0, 0.0, **CONVECTION), "time"),
        *[
            (lambda name=name: slab.semi_infinite_convection(0.0, 1.0, **(CONVECTION | {name: 0.0})), name)
            for name in CONVECTION
        ],
        (lambda: slab.lumped_time(300, 400, 350, **LUMPED), "end"),
        (lambda: slab.lumped_time(300, 350, 350, **LUMPED), "end"),
        (
            lambda: slab.lumped_time(300, 340, 350, areal_heat_capacity=500, heat_transfer_coefficient=0),
            "heat_transfer_coefficient",
        ),
        (lambda: slab.lumped_temperature(1, 300, 350, **(LUMPED | {"areal_heat_capacity": 0})), "areal_heat_capacity"),
        (lambda: slab.pile_centre_temperature(1.0, **PILE, open_faces=3), "open_faces"),
        *[
            (lambda name=name: slab.pile_centre_temperature(1.0, **(PILE | {name: 0.0})), name)
            for name in ("height", "conductivity", "heat_capacity", "heat_transfer_coefficient")
        ],
    ],
)  # fmt: skip
def test_a_refusal_names_exactly_the_argument_that_is_wrong(call, where):
    with pytest.raises(InvalidInput) as refusal:
        call()

    assert refusal.value.where == where


@pytest.mark.parametrize(
    ("model", "low", "high"),
    [
        (lambda v: ink_use.ink_to_mix(1.0, v), 1.0, 2e4),
        (lambda v: ink_use.ink_to_mix(1.0, 1300.0, v), 0.0, 0.95),
        (lambda v: laydown.ink_mass(1e-5, v), 1.0, 2e4),
        (lambda v: hand.hand_mass([v], 1e3, 1.0, 1.0), 0.0, 0.01),
        (lambda v: hand.hand_mass([1e-4], v, 1.0, 1.0), 1.0, 2e4),
        (lambda v: hand.hand_mass([1e-4], 1e3, v, 1.0), 0.0, 1.0),
        (lambda v: hand.hand_mass([1e-4], 1e3, 1.0, v), 0.0, 10.0),
        (lambda v: hand.hand_class(v, [0.1]), 0.0, 100.0),
        (lambda v: piringer.piringer_diffusivity(v, 300.0, polymer_constant=0, temperature_constant=0), 30.0, 2000.0),
        (lambda v: piringer.piringer_diffusivity(300.0, v, polymer_constant=0, temperature_constant=0), 250.0, 500.0),
    ],
)
def test_a_model_holds_on_both_ends_of_its_range_and_not_beyond(model, low, high):
    assert np.isfinite(model(low))
    assert np.isfinite(model(high))
    for beyond in (np.nextafter(low, -np.inf), np.nextafter(high, np.inf)):
        with pytest.raises(OutOfRange):
            model(beyond)


def test_half_a_kelvin_is_a_temperature():
    assert arrhenius.arrhenius_factor(0.5, 0.0, 0.25) == 1.0


def test_no_print_and_half_a_print_take_none_and_half_the_ink():
    assert ink_use.ink_volume(1e-4, 2.0, 0) == 0
    assert ink_use.ink_volume(1e-4, 2.0, 0.5) == pytest.approx(1e-4)


def test_black_plates_exchange_all_that_they_see():
    assert radiation.exchange_factor_parallel_plates(1.0, 1.0, 0.25) == pytest.approx(0.25)


def test_cloth_without_mass_holds_no_water():
    assert moisture.regain_water(0.0, 0.07) == 0


def test_a_body_that_stays_as_warm_takes_no_time_and_small_differences_count_like_large_ones():
    assert slab.lumped_time(340.0, 340.0, 300.0, **LUMPED) == 0
    # 0.5 K down to 0.25 K: tau ln 2.
    assert slab.lumped_time(300.5, 300.25, 300.0, **LUMPED) == pytest.approx(500 / 80 * np.log(2))
