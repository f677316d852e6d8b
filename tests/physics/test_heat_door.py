"""The door of the heat solver: shapes, names, pressure, and what its balances say is missing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from heat_cases import dryer, flash

from laydown.errors import InvalidInput
from laydown.physics.heat import Stages, simulate_heat

pytestmark = pytest.mark.interpreted

ROWS = dict.fromkeys(Stages.__slots__, 0.1) | {
    f"{side}_{kind}_temperature": 400.0 for side in ("top", "bottom") for kind in ("radiant", "air")
}
DRY = {
    "cell_thickness": [1e-4, 1e-4],
    "conductivity": 0.1,
    "heat_capacity": 1e6,
    "initial_temperature": 300.0,
    "output_times": [1.0, 3.0],
}
WET = DRY | {"water": [[1e-2, 2e-2]], "critical_water": [[1e-3, 3e-3]]}


def stages(**rows):
    return Stages(**(ROWS | {"duration": [1.0, 2.0]} | rows))


@pytest.mark.parametrize(
    ("change", "where"),
    [
        *[
            ({name: np.nan}, name)
            for name in ("cell_thickness", "conductivity", "heat_capacity", "contact_resistance", "initial_temperature")
        ],
        *[({name: np.nan}, name) for name in ("water", "critical_water")],
        *[({name: 0.0}, name) for name in ("cell_thickness", "conductivity", "heat_capacity", "initial_temperature")],
        *[({name: -1.0}, name) for name in ("contact_resistance", "water", "critical_water")],
        ({"contact_resistance": [0.0, 0.0]}, "contact_resistance"),
        ({"water": 0.01}, "critical_water"),
        ({"initial_temperature": [300.0, 300.0, 300.0]}, "simulate_heat"),
        ({"output_times": []}, "output_times"),
        ({"output_times": [1.0, 1.0]}, "output_times"),
        ({"output_times": [1.0, 4.0]}, "output_times"),
        ({"tolerance": 0.0}, "tolerance"),
        ({"pressure": 0.0}, "tolerance"),
        ({"stages": stages(duration=[1.0, 0.0])}, "duration"),
        ({"stages": stages(top_exchange_factor=1.1)}, "top_exchange_factor"),
        ({"stages": stages(vapour_pressure=-1.0)}, "vapour_pressure"),
    ],
)
def test_a_refusal_names_exactly_the_argument_that_is_wrong(change, where):
    with pytest.raises(InvalidInput) as refusal:
        simulate_heat(**(DRY | {"stages": stages()} | change))

    assert refusal.value.where == where


def test_a_face_that_is_not_there_is_refused_as_a_cell():
    with pytest.raises(InvalidInput) as refusal:
        simulate_heat(**DRY, stages=stages()).face_temperature(1)

    assert refusal.value.where == "cell"


def test_one_sample_is_one_sample_and_steps_are_whole_numbers():
    history = simulate_heat(**DRY, stages=stages())

    assert history.temperature.shape == (1, 2, 2)
    assert history.steps.dtype == history.refused_steps.dtype == np.int64


def test_a_time_a_hair_off_the_end_of_a_long_stage_is_its_end():
    history = simulate_heat(**(DRY | {"output_times": [1000 + 5e-7]}), stages=stages(duration=[1000.0]))

    assert history.times.tolist() == [1000.0]


def test_wet_samples_dry_side_by_side_as_they_do_alone():
    alone = simulate_heat(**WET, stages=stages(top_vapour_factor=1.0))
    other = {"critical_water": [[1e-3, 3e-3], [4e-2, 0.0]], "water": [[1e-2, 2e-2], [3e-2, 0.0]]}
    together = simulate_heat(**(WET | other), stages=stages(top_vapour_factor=1.0))

    assert alone.evaporated_water[0, -1] > 0
    assert np.array_equal(together.water[0], alone.water[0])


def test_half_the_pressure_of_the_air_lets_twice_the_vapour_go():
    # At first only: what leaves cools the face. One cell and ten millionths of a second; no vapour in the air.
    case = WET | {"cell_thickness": [1e-4], "water": 1e-2, "critical_water": 1e-3, "output_times": [1e-5]}
    around = stages(
        duration=[1e-5],
        top_vapour_factor=1.0,
        bottom_vapour_factor=0.0,
        top_heat_transfer_coefficient=20.0,
        vapour_pressure=0.0,
    )
    full, half = (simulate_heat(**case, stages=around, pressure=p).evaporated_water[0, 0] for p in (101325.0, 50662.5))

    assert half / full == pytest.approx(2.0, rel=1e-4)


def test_hardly_any_air_is_a_pressure():
    history = simulate_heat(**DRY, stages=stages(), pressure=0.5)

    assert np.isfinite(history.temperature).all()


def test_heat_that_is_missing_counts_by_all_that_moved_and_one_kelvin_s_worth():
    history = simulate_heat(**DRY, stages=stages(top_heat_transfer_coefficient=50.0))
    cut = replace(history, stored_heat=history.stored_heat - 7.0)
    moved = abs(cut.stored_heat) + abs(history.top_heat) + abs(history.bottom_heat)

    # 2 x 0.1 mm of 1e6 J/(m³ K) take 200 J/m² for a kelvin.
    assert cut.energy_residual() == pytest.approx(7.0 / (moved + 200.0), rel=1e-6)


def test_water_that_is_missing_counts_by_the_water_at_the_start_and_dry_cloth_misses_none():
    history = simulate_heat(**WET, stages=stages(top_vapour_factor=1.0))
    leaking = replace(history, evaporated_water=history.evaporated_water - 3e-3)

    assert leaking.water_residual() == pytest.approx(np.full((1, 2), 0.1), rel=1e-9)
    assert simulate_heat(**DRY, stages=stages()).water_residual().tolist() == [[0.0, 0.0]]


def test_steps_grow_with_the_cube_root_of_the_tolerance():
    case = WET | {"output_times": [3.0]}
    around = stages(duration=[3.0], top_vapour_factor=1.0, top_heat_transfer_coefficient=30.0)
    steps = [simulate_heat(**case, stages=around, tolerance=t).steps[0] for t in (1e-4, 1e-7)]

    assert steps[1] / steps[0] == pytest.approx(10.0, rel=0.35)


def test_a_calm_stack_is_crossed_in_a_few_steps():
    # From 20 ms a step may grow fivefold each time: 1000 s are 7 such steps away.
    history = simulate_heat(
        **(DRY | {"initial_temperature": 400.0, "output_times": [1000.0]}), stages=stages(duration=[1000.0])
    )

    assert history.steps[0] <= 10
    assert history.refused_steps[0] == 0


def test_a_stage_as_short_as_the_first_step_is_one_step_and_twice_as_long_a_one_two():
    for duration, steps in ((0.02, 1), (0.03, 2)):
        case = DRY | {"initial_temperature": 400.0, "output_times": [duration]}
        history = simulate_heat(**case, stages=stages(duration=[duration]))

        assert history.steps.tolist() == [steps]
        assert history.refused_steps.tolist() == [0]


@pytest.mark.parametrize("make", [dryer, flash])
def test_water_costs_at_most_as_many_steps_again_and_few_steps_are_thrown_away(make):
    wet, dry = (
        simulate_heat(**(case | {"output_times": case["output_times"][-1:]}))
        for case in (make(2, seed=6), make(2, seed=6, wet=False))
    )

    assert (wet.steps <= 2 * dry.steps).all()
    assert (wet.refused_steps <= 0.2 * wet.steps).all()
