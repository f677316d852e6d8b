"""The door of the migration solver: what it takes, what it refuses in which words, and how it reads off a zone."""

from __future__ import annotations

import numpy as np
import pytest
from migration_cases import DAY, print_, still

from laydown.errors import ConvergenceError, InvalidInput
from laydown.physics import migration_kernel
from laydown.physics.migration import simulate_migration
from laydown.physics.migration_grid import zone_mean


@pytest.mark.interpreted
def test_a_whole_print_runs_and_every_branch_of_the_solver_with_it():
    # Small on purpose: a coverage run takes this with the compiler off.
    case = print_(1, seed=6, layers=2)
    case["capacity"] = [[0.1, 0.02]]
    history = simulate_migration(**case, cells=[9, 5], tolerance=1e-2)

    assert history.free.shape == history.bound.shape == (1, 7, 14)
    assert history.reservoir.shape == (1, 7)
    assert history.cell_thickness.sum(axis=1) == pytest.approx(np.sum(case["layer_thickness"], axis=1))
    assert history.cell_layer.tolist() == [0] * 9 + [1] * 5
    assert history.output_times.tolist() == case["output_times"].tolist()
    assert history.refused_steps[0] > 0
    assert history.balance.residual().max() <= 1e-12


@pytest.mark.interpreted
def test_defaults_are_no_blocker_and_unit_partition():
    case = still(10.0, layer_thickness=[[20e-6, 20e-6]], release_ref=1e-6)
    plain = simulate_migration(**case)
    named = simulate_migration(**case, capacity=[[0.0, 0.0]], reaction_length=[[3e-6, 3e-6]], partition=[[1.0]])

    assert np.array_equal(plain.free, named.free)


def test_numbers_stand_for_all_samples_and_layers():
    case = print_(3, seed=2, layers=2)
    one = case | {"diffusion_activation": 87e3, "capacity": 0.05, "partition": 1.2}
    each = one | {
        "diffusion_activation": np.full(3, 87e3),
        "capacity": np.full((3, 2), 0.05),
        "partition": np.full((3, 1), 1.2),
    }

    assert np.array_equal(simulate_migration(**one).free, simulate_migration(**each).free)


def test_reading_more_often_changes_little():
    case = print_(8, seed=11, layers=3)
    often = np.unique(np.concatenate([case["output_times"], np.linspace(60.0, 50 * DAY, 40)]))
    seldom, all_ = simulate_migration(**case), simulate_migration(**(case | {"output_times": often}))
    same = np.searchsorted(often, case["output_times"])

    assert np.abs(all_.free[:, same] - seldom.free).max() <= 2e-3 * seldom.free.max()


BAD = [
    ({"times": [0.0]}, "times: must be two or more rising times"),
    ({"times": [0.0, 0.0]}, "times: must be two or more rising times"),
    ({"times": [[0.0, 1.0]]}, r"times: must have 1 dimensions, but has shape \(1, 2\)"),
    ({"output_times": [-1.0]}, "output_times: must be times from 0 to 864000 s that do not fall"),
    ({"output_times": [1e9]}, "output_times: must be times from 0"),
    ({"output_times": [5.0, 4.0]}, "that do not fall"),
    ({"temperature": [[25.0, 25.0]]}, "temperature: must be 200 to 600, but holds 25"),
    ({"temperature": [[300.0, np.nan]]}, "temperature: must be 200 to 600, but holds nan"),
    ({"temperature": [[300.0, 300.0, 300.0]]}, r"temperature: must have shape \(1, 2\), but has \(1, 3\)"),
    ({"layer_thickness": [[0.0]]}, "layer_thickness: must be above 0, but holds 0"),
    ({"layer_thickness": [40e-6]}, r"layer_thickness: must have 2 dimensions, but has shape \(1,\)"),
    ({"layer_thickness": np.zeros((0, 1))}, "at least one sample and one layer"),
    ({"diffusivity_ref": -1e-15}, "diffusivity_ref: must be above 0, but holds -1e-15"),
    ({"diffusivity_ref": "fast"}, "diffusivity_ref: must be numbers"),
    ({"capacity": -0.1}, "capacity: must be at least 0, but holds -0.1"),
    ({"capacity": np.inf}, "capacity: must be at least 0, but holds inf"),
    ({"reaction_length": 0.0}, "reaction_length: must be above 0"),
    ({"partition": [[1.0, 2.0]]}, r"partition: must have shape \(1, 0\)"),
    ({"reservoir_depth": -1e-6}, "reservoir_depth: must be at least 0"),
    ({"reservoir_start": np.nan}, "reservoir_start: must be at least 0, but holds nan"),
    ({"release_ref": -1.0}, "release_ref: must be at least 0"),
    ({"release_activation": -1.0}, "release_activation: must be at least 0"),
    ({"diffusion_activation": -1.0}, "diffusion_activation: must be at least 0"),
    ({"diffusion_reference": 25.0}, "diffusion_reference: must be 200 to 600 K, but is 25"),
    ({"release_reference": np.nan}, "release_reference: must be 200 to 600 K"),
    ({"surface_concentration": -0.1}, "surface_concentration: must be at least 0"),
    ({"loss_ref": np.nan}, "loss_ref: must be"),
    ({"cells": [2]}, "cells: must be 1 whole numbers of at least 3, one a layer"),
    ({"cells": [4, 4]}, "cells: must be 1 whole numbers"),
    ({"cells": [4.5]}, "cells: must be 1 whole numbers"),
    ({"tolerance": 0.0}, "tolerance: must be 1e-9 to 0.1, but is 0"),
    ({"tolerance": np.nan}, "tolerance: must be 1e-9 to 0.1"),
]


@pytest.mark.interpreted
@pytest.mark.parametrize(("change", "message"), BAD, ids=[f"{next(iter(c))} {i}" for i, (c, _) in enumerate(BAD)])
def test_what_cannot_be_used_is_refused_with_place_and_allowed_range(change, message):
    with pytest.raises(InvalidInput, match=message):
        simulate_migration(**(still(10.0) | change))


def test_a_case_that_takes_too_many_steps_says_which_sample():
    # A tight tolerance on a quick release after a quick release: fifteen thousand separate pulses.
    times = np.linspace(0.0, 60 * DAY, 30001)
    pulses = np.where(np.arange(30001) % 2, 420.0, 300.0)
    case = still(
        60.0,
        times=times,
        temperature=[np.full(30001, 300.0), pulses],
        layer_thickness=[[40e-6]] * 2,
        release_ref=1e-9,
        release_activation=120e3,
        tolerance=1e-9,
        cells=[4],
    )
    with pytest.raises(ConvergenceError, match="dye migration: sample 1 needs more than 20000 time steps"):
        simulate_migration(**case)


def zone(thickness, layer, value, depth):
    return zone_mean(np.array([thickness]), np.array(layer), np.array([[value]]), depth)[0, 0]


@pytest.mark.interpreted
def test_a_zone_of_whole_cells_is_their_mean():
    assert zone([1.0, 1.0, 1.0, 2.0, 2.0, 2.0], [0, 0, 0, 1, 1, 1], [9.0, 8.0, 7.0, 3.0, 2.0, 1.0], 4.0) == 1.5


@pytest.mark.interpreted
def test_a_zone_that_cuts_a_cell_is_exact_for_a_parabola():
    edges = np.linspace(0.0, 2.0, 9)
    means = np.diff(edges**3) / np.diff(edges)
    for depth in (0.1, 0.3, 0.77, 1.99):
        exact = (2.0**3 - (2.0 - depth) ** 3) / depth
        assert zone(np.diff(edges), [0] * 8, means, depth) == pytest.approx(exact, rel=1e-12)


@pytest.mark.interpreted
def test_a_zone_takes_no_hint_from_the_layer_below():
    for low in (0.0, 1e6):
        assert zone([1.0, 1.0, 1.0, 2.0, 2.0, 2.0], [0, 0, 0, 1, 1, 1], [low] * 3 + [3.0] * 3, 5.0) == pytest.approx(
            3.0
        )


@pytest.mark.interpreted
def test_a_zone_deeper_than_the_film_is_the_whole_film():
    assert zone([1.0, 1.0, 1.0], [0] * 3, [1.0, 2.0, 6.0], 99.0) == pytest.approx(3.0)


@pytest.mark.interpreted
def test_a_zone_at_a_cliff_stays_between_its_faces():
    values = [0.8, 0.8, 0.8, 0.0, 0.0, 0.0]
    found = [zone([1.0] * 6, [0] * 6, values, depth) * depth for depth in np.linspace(0.1, 6, 60)]

    assert (np.diff(found) >= -1e-12).all()
    assert min(found) >= 0
    assert max(found) == pytest.approx(2.4)


@pytest.mark.interpreted
def test_a_zone_needs_a_depth():
    history = simulate_migration(**still(1.0))

    with pytest.raises(InvalidInput, match="depth: must be above zero, but is 0 m"):
        history.top_zone(0.0)


@pytest.mark.interpreted
def test_the_constants_of_the_method_hold_their_order_conditions():
    # Consistency of ROS3 in the transformed form: the weights of a constant slope add up to the step.
    k = migration_kernel
    g = k.GAMMA
    # One linear equation u' = z u (z = -2/step) has the stages below; the result must match exp to third order.
    errors = []
    for z in (0.1, 0.05):
        one = 1 / (1 / g - z)
        k1 = one * z
        k2 = one * (z * (1 + k1) + k.C21 * k1)
        k3 = one * (z * (1 + k1) + k.C31 * k1 + k.C32 * k2)
        errors.append(abs(1 + k1 + k.M2 * k2 + k.M3 * k3 - np.exp(z)))
    assert np.log2(errors[0] / errors[1]) == pytest.approx(4.0, abs=0.15)
    # L-stable: at z to minus infinity the result is zero.
    z = -1e12
    one = 1 / (1 / g - z)
    k1 = one * z
    k2 = one * (z * (1 + k1) + k.C21 * k1)
    k3 = one * (z * (1 + k1) + k.C31 * k1 + k.C32 * k2)
    assert 1 + k1 + k.M2 * k2 + k.M3 * k3 == pytest.approx(0.0, abs=1e-6)
