"""Observed orders in space and time, and the total error that the defaults promise."""

from __future__ import annotations

import numpy as np
import pytest
from migration_cases import DAY, print_, still

from laydown.physics import migration_grid
from laydown.physics.migration import simulate_migration


def dye(history):
    return history.free + history.bound


def smooth(layers, **given):
    """Slow, steady release for twenty days into a film of 60 µm or three layers of 65 µm."""
    thickness = [[60e-6]] if layers == 1 else [[20e-6, 15e-6, 30e-6]]
    d = [[2e-15]] if layers == 1 else [[2e-15, 0.6e-15, 6e-15]]
    rows = {"layer_thickness": thickness, "diffusivity_ref": d, "release_ref": 1e-6, "tolerance": 1e-7}
    if layers == 3:
        rows["partition"] = [[2.0, 0.6]]
    return still(20.0, **(rows | given))


BLOCKED = {
    1: {"capacity": 0.12, "reaction_length": 8e-6},
    3: {"capacity": [[0.05, 0.0, 0.1]], "reaction_length": [[8e-6, 1e-6, 10e-6]]},
}


def space_errors(case, layers, counts):
    """Largest differences between grids of doubled cells, as means over the coarsest."""
    means = []
    for n in counts:
        found = dye(simulate_migration(**case, cells=[n] * layers))[0, 0]
        means.append(found.reshape(layers * counts[0], -1).mean(axis=1))
    return np.abs(np.diff(np.array(means), axis=0)).max(axis=1)


def order(errors):
    return np.log2(errors[:-1] / errors[1:])


def test_space_error_within_a_layer_falls_with_the_fourth_power_of_the_cell():
    errors = space_errors(smooth(1), 1, (4, 8, 16))

    assert errors[-1] < 2e-6
    assert order(errors) == pytest.approx(4.0, abs=0.3)


def test_space_error_within_a_blocking_layer_falls_with_the_fourth_power_of_the_cell():
    errors = space_errors(smooth(1, **BLOCKED[1]), 1, (8, 16, 32))

    assert order(errors) == pytest.approx(4.0, abs=0.3)


@pytest.mark.parametrize("given", [{}, BLOCKED[3]], ids=["clear", "blocked"])
def test_space_error_of_layers_that_part_dye_falls_with_the_cube_of_the_cell(given):
    errors = space_errors(smooth(3, **given), 3, (8, 16, 32, 64))

    assert order(errors) == pytest.approx(3.0, abs=0.15)


def test_space_error_of_fresh_strong_blocker_falls_with_the_fourth_power_of_the_cell():
    case = smooth(1, capacity=1e6, reaction_length=10e-6)
    errors = space_errors(case, 1, (8, 16, 32, 64))

    assert order(errors) == pytest.approx(4.0, abs=0.15)


def test_a_sharp_front_behind_a_held_face_is_of_second_order_in_space():
    # The front is a twentieth of the film wide and has gone half way; the face is at its concentration from the start
    # on, a jump that the first cell cannot follow.
    case = smooth(
        1, capacity=0.3, reaction_length=3e-6, surface_concentration=0.1, release_ref=0.0, diffusivity_ref=1e-15
    )
    errors = space_errors(case, 1, (40, 80, 160, 320))

    assert 20e-6 < simulate_migration(**case).balance.bound[0, 0] / 0.3 < 40e-6
    assert order(errors)[-1] == pytest.approx(2.0, abs=0.2)
    assert (order(errors) >= 2).all()


def test_time_error_falls_with_the_cube_of_the_step():
    # Warming from cold to warm, so that release starts softly; outputs so close, and a tolerance so wide, that they
    # set the step. The upper half of the film, away from the face where release comes in (there the order is 2.7).
    def run(steps, tolerance, capacity):
        case = still(
            20.0,
            temperature=[[270.0, 310.0]],
            diffusion_activation=0.0,
            capacity=capacity,
            reaction_length=8e-6,
            release_ref=3e-8,
            release_activation=120e3,
            output_times=np.linspace(0, 20 * DAY, steps + 1),
            cells=[24],
            tolerance=tolerance,
        )
        return simulate_migration(**case)

    for capacity, allowed in ((0.0, 0.1), (0.12, 0.35)):
        exact = dye(run(4096, 1e-9, capacity))[0, -1, 12:]
        errors = []
        for steps in (128, 256, 512):
            history = run(steps, 0.1, capacity)
            assert steps <= history.steps[0] <= steps + 4
            errors.append(np.abs(dye(history)[0, -1, 12:] - exact).max())

        assert order(np.array(errors)) == pytest.approx(3.0, abs=allowed)


def test_time_error_follows_the_tolerance():
    for layers in (1, 3):
        case = print_(24, seed=5, layers=layers)
        exact = simulate_migration(**case, tolerance=1e-7)
        scale = dye(exact).max(axis=(1, 2), keepdims=True)
        worst = []
        for tolerance in (1e-2, 1e-3, 1e-4, 1e-5):
            found = simulate_migration(**case, tolerance=tolerance)
            worst.append((np.abs(dye(found) - dye(exact)) / scale).max())
            assert worst[-1] <= 3 * tolerance
        assert (np.diff(worst) < 0).all()


def top_zone_error(case):
    """Error of the dye in the top 10 µm by what is there; below a thousandth of the full shade, by that."""
    found = simulate_migration(**case)
    cells = np.bincount(found.cell_layer)
    fine = simulate_migration(**case, cells=3 * cells, tolerance=1e-5)
    exact = fine.top_zone()
    return np.abs(found.top_zone() - exact) / np.maximum(exact, 1e-3)


@pytest.mark.parametrize("layers", [1, 2, 3, 4])
@pytest.mark.parametrize("blockers", [False, True])
def test_total_error_of_dye_in_the_top_zone_is_below_one_per_cent(layers, blockers):
    errors = [top_zone_error(print_(12, seed=seed, layers=layers, blockers=blockers)) for seed in range(4)]

    assert np.max(errors) <= 0.01


@pytest.mark.slow
@pytest.mark.parametrize("layers", [1, 2, 3, 4])
@pytest.mark.parametrize("reaction_length", [(1e-6, 10e-6), (2e-6, 8e-6)])
def test_total_error_of_dye_in_the_top_zone_on_many_cases(layers, reaction_length):
    errors = np.array(
        [
            top_zone_error(print_(16, seed=seed, layers=layers, reaction_length=reaction_length)).max(axis=1)
            for seed in range(100, 140)
        ]
    )

    assert errors.max() <= 0.01
    assert np.quantile(errors, 0.95) <= 0.0015


def test_the_reference_of_the_total_error_is_itself_converged():
    for layers in (1, 2):
        case = print_(12, seed=2, layers=layers)
        cells = np.bincount(simulate_migration(**case).cell_layer)
        fine = simulate_migration(**case, cells=3 * cells, tolerance=1e-5).top_zone()
        finest = simulate_migration(**case, cells=8 * cells, tolerance=1e-6).top_zone()
        assert (np.abs(fine - finest) / np.maximum(finest, 1e-3)).max() <= 1e-3


def test_cells_grow_with_thickness_and_with_blockers_and_stay_within_their_limits():
    def cells(thickness, capacity, length):
        return migration_grid.cells_per_layer(*(np.array([[v]]) for v in (thickness, capacity, length)))[0]

    assert cells(5e-6, 0.0, 1e-6) == migration_grid.FEWEST
    assert cells(90e-6, 0.0, 1e-6) == 50
    assert cells(40e-6, 0.1, 40e-6) == 27
    assert cells(40e-6, 0.1, 2e-6) == 55
    assert cells(40e-6, 0.1, 0.2e-6) == migration_grid.MOST
