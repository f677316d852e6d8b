"""The compiled solver against an independent solution of the same equations."""

from __future__ import annotations

import numpy as np
import pytest
from heat_cases import dryer, flash
from independent_heat import solve_one

from laydown.physics.heat import simulate_heat

CASES = [(dryer, sample) for sample in range(20)] + [(flash, sample) for sample in range(14)]


@pytest.mark.parametrize(("make", "sample"), CASES)
def test_default_tolerance_agrees_with_lsoda_within_a_thousandth_of_the_rise_and_of_the_water(make, sample):
    case = make(20, seed=71)
    case["output_times"] = case["output_times"][::6]
    history = simulate_heat(**case)

    other, water = solve_one(case, sample)

    rise = other.max() - np.broadcast_to(case["initial_temperature"], (20, 1))[sample, 0]
    assert rise > 20
    assert np.abs(history.temperature[sample] - other).max() <= 1e-3 * rise
    held = history.initial_water[sample]
    assert np.abs(history.water[sample] - water.sum(axis=1)).max() <= 1e-3 * held


def test_tight_tolerance_agrees_with_lsoda_within_a_hundredth_of_a_kelvin_everywhere():
    for make in (dryer, flash):
        case = make(4, seed=72)
        case["output_times"] = case["output_times"][::6]
        history = simulate_heat(**case, tolerance=1e-3)
        for sample in range(4):
            other, _ = solve_one(case, sample)
            assert np.abs(history.temperature[sample] - other).max() <= 1e-2


@pytest.mark.interpreted
@pytest.mark.parametrize("make", [dryer, flash])
def test_one_sample_agrees_with_lsoda_within_a_hundredth_of_a_kelvin_with_the_compiler_off_too(make):
    case = make(1, seed=73)
    case["output_times"] = case["output_times"][::6]
    history = simulate_heat(**case, tolerance=0.01)
    other, water = solve_one(case, 0)

    assert np.abs(history.temperature[0] - other).max() <= 1e-2
    assert np.abs(history.water[0] - water.sum(axis=1)).max() <= 1e-3 * history.initial_water[0]
