"""What the heat solver refuses, with the name of the argument in the sentence."""

from __future__ import annotations

import numpy as np
import pytest

from laydown.errors import ConvergenceError, InvalidInput
from laydown.physics import heat_kernel
from laydown.physics.heat import Stages, simulate_heat

pytestmark = pytest.mark.interpreted

ROWS = dict.fromkeys(Stages.__slots__, 0.1) | {
    f"{side}_{kind}_temperature": 400.0 for side in ("top", "bottom") for kind in ("radiant", "air")
}
GOOD = {
    "cell_thickness": [1e-4, 1e-4],
    "conductivity": 0.1,
    "heat_capacity": 1e6,
    "initial_temperature": 300.0,
    "stages": Stages(**(ROWS | {"duration": [1.0, 2.0]})),
    "output_times": [1.0, 3.0],
}


def with_stage(**rows):
    return {"stages": Stages(**(ROWS | {"duration": [1.0, 2.0]} | rows))}


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"cell_thickness": [1e-4, 0.0]}, "thickness"),
        ({"conductivity": -1.0}, "conductivity"),
        ({"heat_capacity": np.nan}, "heat_capacity"),
        ({"heat_capacity": 0.0}, "heat_capacity"),
        ({"initial_temperature": 0.0}, "initial_temperature"),
        ({"initial_temperature": [300.0, 300.0, 300.0]}, "cells"),
        ({"initial_temperature": np.zeros((2, 2, 2))}, "initial_temperature"),
        ({"contact_resistance": -1.0}, "contact_resistance"),
        ({"contact_resistance": [0.0, 0.0]}, "contact_resistance"),
        ({"water": 0.01}, "critical_water"),
        ({"water": -0.01, "critical_water": 0.01}, "water"),
        ({"output_times": [1.0, 4.0]}, "output_times"),
        ({"output_times": [-1.0, 2.0]}, "output_times"),
        ({"output_times": [1.0, 1.0]}, "output_times"),
        ({"output_times": []}, "output_times"),
        ({"output_times": [np.nan]}, "output_times"),
        ({"tolerance": 0.0}, "tolerance"),
        ({"pressure": -1.0}, "pressure"),
        (with_stage(duration=[1.0, 0.0]), "duration"),
        (with_stage(duration=[]), "duration"),
        (with_stage(top_air_temperature=[300.0, 300.0, 300.0]), "top_air_temperature"),
        (with_stage(top_exchange_factor=1.1), "top_exchange_factor"),
        (with_stage(bottom_vapour_factor=1.1), "bottom_vapour_factor"),
        (with_stage(vapour_pressure=-1.0), "vapour_pressure"),
        (with_stage(top_heat_transfer_coefficient=np.inf), "top_heat_transfer_coefficient"),
        (
            {"conductivity": np.full((3, 1), 0.1), "heat_capacity": np.full((2, 1), 1e6)},
            "samples",
        ),
    ],
)
def test_bad_input_is_refused_by_name(change, where):
    with pytest.raises(InvalidInput, match=where):
        simulate_heat(**(GOOD | change))


def test_there_is_no_face_above_the_last_cell():
    history = simulate_heat(**GOOD)

    history.face_temperature(0)
    for cell in (1, -1):
        with pytest.raises(InvalidInput, match="cells with one are 0 to 0"):
            history.face_temperature(cell)


def test_one_row_of_anything_serves_all_samples():
    history = simulate_heat(**(GOOD | {"conductivity": np.full((4, 1), 0.1)}))

    assert history.temperature.shape == (4, 2, 2)
    assert np.ptp(history.temperature, axis=0).max() == 0


def test_output_times_that_mean_the_end_of_a_stage_hit_it():
    nearly = np.array([1.0 - 1e-13, 3.0 + 1e-13])
    history = simulate_heat(**(GOOD | {"output_times": nearly}))

    assert history.times.tolist() == [1.0, 3.0]


def test_a_solver_that_gives_up_says_so(monkeypatch):
    def gave_up(*arguments):
        arguments[-1][:] = 0
        arguments[-1][1, 0] = -1

    monkeypatch.setattr(heat_kernel, "simulate_batch", gave_up)
    with pytest.raises(ConvergenceError, match="sample 1"):
        simulate_heat(**(GOOD | {"conductivity": np.full((3, 1), 0.1)}))


def test_a_solver_that_needs_endless_steps_gives_up():
    steps, refused = heat_kernel.simulate(
        np.array([[100.0], [0.0], [1.0], [300.0], [0.0]]),
        np.array([10.0, 10.0]),
        np.array([1.0]),
        np.array([[np.nan, 0.0, 10.0, 0.0, 0.0, 0.0, 0.0, 0.0]]),
        np.array([1.0]),
        0.1,
        np.empty((1, 1)),
        np.empty((1, 2)),
        np.empty((1, 6)),
    )

    assert steps == -1
    assert refused > 3
