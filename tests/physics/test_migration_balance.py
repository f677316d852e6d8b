"""Dye is kept, whatever the print and its life; and the limits that reason demands."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from migration_cases import DAY, print_, still

from laydown.physics.migration import simulate_migration


def wild(seed):
    """Anything from clean film to a dye bath, from frost to a forgotten dryer."""
    rng = np.random.default_rng(seed)

    def decades(low, high, size):
        return 10 ** rng.uniform(np.log10(low), np.log10(high), size)

    layers, samples, count = rng.integers(1, 5), 2, rng.integers(2, 12)
    shape = (samples, layers)
    times = np.concatenate([[0.0], np.cumsum(decades(0.1, 3e6, count - 1))])
    loss = np.where(rng.random(samples) < 0.2, np.inf, decades(1e-13, 1e-8, samples))
    return {
        "times": times,
        "temperature": rng.uniform(230, 480, (samples, count)),
        "output_times": np.sort(rng.uniform(0, times[-1], 4)),
        "layer_thickness": decades(2e-6, 1e-4, shape),
        "diffusivity_ref": decades(1e-17, 1e-13, shape),
        "diffusion_activation": rng.uniform(5e4, 1.2e5, samples),
        "diffusion_reference": 298.15,
        "capacity": decades(1e-3, 3, shape) * (rng.random(shape) < 0.6),
        "reaction_length": decades(3e-7, 1e-4, shape),
        "partition": decades(0.05, 20, (samples, layers - 1)),
        "reservoir_depth": decades(1e-5, 3e-4, samples),
        "reservoir_start": rng.uniform(0, 1, samples),
        "release_ref": decades(1e-6, 1e-1, samples) * (rng.random(samples) < 0.9),
        "release_activation": rng.uniform(8e4, 2e5, samples),
        "release_reference": 433.15,
        "loss_ref": np.where(rng.random(samples) < 0.5, loss, 0.0),
        "surface_concentration": rng.uniform(0, 1, samples) if rng.random() < 0.3 else None,
    }


@settings(deadline=None, max_examples=150)
@given(st.integers(0, 2**32))
def test_balance_closes_and_nothing_is_negative(seed):
    case = wild(seed)
    history = simulate_migration(**case)
    capacity = case["capacity"][:, history.cell_layer][:, None]

    assert history.balance.residual().max() <= 1e-9
    assert history.free.min() >= -5e-7
    assert (history.bound >= -0.01 * capacity).all()
    assert (history.bound <= 1.01 * capacity).all()
    assert ((np.diff(history.reservoir, axis=1)) <= 0).all()
    assert (history.steps + history.refused_steps).max() < 10_000


@pytest.mark.parametrize("layers", [1, 4])
def test_balance_of_ordinary_prints_closes_to_round_off(layers):
    assert simulate_migration(**print_(32, seed=1, layers=layers)).balance.residual().max() <= 1e-12


@pytest.mark.parametrize("layers", [1, 2, 3, 4])
@pytest.mark.parametrize("blockers", [False, True])
def test_dye_of_ordinary_prints_never_falls_a_millionth_of_the_full_shade_below_zero(layers, blockers):
    history = simulate_migration(**print_(64, seed=6, layers=layers, blockers=blockers))

    assert history.free.min() >= -5e-7
    assert history.bound.min() >= -1e-9


@pytest.mark.interpreted
def test_without_release_the_film_stays_clean():
    case = still(30.0, capacity=0.1, partition=1.0, cells=[6])
    history = simulate_migration(**case)

    assert history.free.max() == 0
    assert history.bound.max() == 0
    assert history.reservoir[0, -1] == 1.0


@pytest.mark.interpreted
def test_given_for_ever_dye_spreads_evenly_through_clear_film():
    history = simulate_migration(**still(4000.0, release_ref=1e-5, reservoir_depth=20e-6, cells=[10]))

    assert history.reservoir[0, -1] == pytest.approx(0, abs=1e-9)
    assert history.free[0, -1] == pytest.approx(0.5, rel=1e-6)


@pytest.mark.interpreted
def test_at_equilibrium_layers_hold_dye_in_the_ratio_of_their_partition():
    case = still(
        4000.0,
        layer_thickness=[[20e-6, 10e-6, 20e-6]],
        partition=[[3.0, 0.2]],
        release_ref=1e-5,
        reservoir_depth=10e-6,
        cells=[6, 4, 6],
    )
    history = simulate_migration(**case)
    layer = [history.free[0, -1, history.cell_layer == i] for i in range(3)]
    alone = 10e-6 / (20e-6 + 3.0 * 10e-6 + 0.6 * 20e-6)

    for values, share in zip(layer, (1.0, 3.0, 0.6), strict=True):
        assert values == pytest.approx(share * alone, rel=1e-5)


@pytest.mark.interpreted
def test_capacity_far_above_the_dye_lets_nothing_through():
    case = still(
        365.0,
        layer_thickness=[[30e-6, 20e-6]],
        capacity=[[3.0, 0.0]],
        reaction_length=1e-6,
        partition=1.0,
        release_ref=1e-6,
        reservoir_depth=10e-6,
        cells=[12, 4],
    )
    history = simulate_migration(**case)

    assert history.balance.bound[0, -1] == pytest.approx(10e-6, rel=1e-6)
    assert history.top_zone()[0, -1] < 1e-9


def test_blocker_once_used_up_lets_the_rest_through():
    # 30 µm of capacity 0.1 binds 3 µm of the 10 µm that come; the rest spreads over the film.
    case = still(3000.0, layer_thickness=[[30e-6, 20e-6]], capacity=[[0.1, 0.0]], reaction_length=1e-6)
    history = simulate_migration(**(case | {"release_ref": 1e-6, "reservoir_depth": 10e-6}))

    assert history.balance.bound[0, -1] == pytest.approx(3e-6, rel=1e-4)
    assert history.free[0, -1] == pytest.approx(7e-6 / 50e-6, rel=1e-3)


@pytest.mark.interpreted
def test_a_losing_top_face_empties_the_film_and_the_ledger_says_so():
    case = still(2000.0, release_ref=1e-5, reservoir_depth=10e-6, loss_ref=1e-9, cells=[8])
    history = simulate_migration(**case)

    assert history.balance.lost[0, -1] == pytest.approx(10e-6, rel=1e-6)
    assert history.free.max() < 1e-6
    assert history.balance.residual().max() <= 1e-12


@pytest.mark.interpreted
def test_a_held_face_fills_the_film_to_its_concentration():
    history = simulate_migration(**still(4000.0, surface_concentration=0.3, capacity=0.05, cells=[8]))

    assert history.free[0, -1] == pytest.approx(0.3, rel=1e-5)
    assert history.balance.entered[0, -1] == pytest.approx(0.35 * 40e-6, rel=1e-5)
    assert history.balance.residual().max() <= 1e-12


def test_nothing_is_reported_before_anything_happened():
    history = simulate_migration(**still(2.0, release_ref=1e-4, output_times=[0.0, 0.0, DAY]))

    assert history.free[0, :2].max() == 0
    assert history.free[0, 2].max() > 0


def top(**change):
    case = print_(24, seed=8, layers=2)
    case["capacity"] = np.full((24, 2), 0.1)
    return simulate_migration(**(case | change)).top_zone()


def test_a_hotter_life_brings_more_dye_to_the_top():
    case = print_(24, seed=8, layers=2)
    cold = top()
    hot = top(temperature=case["temperature"] + np.where(case["temperature"] > 310, 12.0, 0.0))

    assert (hot > cold - 1e-5).all()
    assert (hot[:, -1] > cold[:, -1])[cold[:, -1] > 1e-4].all()


def test_a_longer_stay_in_the_dryer_brings_more_dye_to_the_top():
    case = print_(24, seed=8, layers=2)
    longer = np.where(case["times"] > 80, case["times"] + 30.0, case["times"])
    later = case["output_times"] + 30.0

    short, long = top(), top(times=longer, output_times=later)
    assert (long >= short - 1e-5).all()
    assert (long[:, -1] > short[:, -1])[short[:, -1] > 1e-4].all()


@pytest.mark.parametrize("blockers", [False, True])
def test_dye_at_the_top_does_not_fall_with_the_days_while_the_top_attracts_it(blockers):
    # One layer: nothing above the top zone can draw dye off again once the cloth has stopped giving.
    history = simulate_migration(**print_(48, seed=4, layers=1, blockers=blockers))

    assert (np.diff(history.top_zone(), axis=1) >= -2e-5).all()


def test_more_blocker_never_lets_more_dye_to_the_top():
    capacity = np.array([0.0, 0.01, 0.03, 0.1, 0.3, 1.0])
    case = still(
        60.0,
        layer_thickness=np.tile([20e-6, 25e-6], (6, 1)),
        temperature=np.full((6, 2), 298.15),
        capacity=np.column_stack([capacity, np.zeros(6)]),
        release_ref=1e-6,
        reservoir_depth=30e-6,
    )
    found = simulate_migration(**case)

    # The top layer binds nothing, so what is there is free.
    assert (np.diff(found.top_zone()[:, -1]) < 0).all()
    assert (np.diff(found.balance.bound[:, -1]) > 0).all()


def test_equal_samples_give_equal_answers_wherever_they_stand():
    case = print_(5, seed=3, layers=3)
    together = simulate_migration(**case)
    for sample in (0, 4):
        alone = {
            name: value[sample : sample + 1] if np.ndim(value) and np.shape(value)[0] == 5 else value
            for name, value in case.items()
        }
        history = simulate_migration(**alone, cells=np.bincount(together.cell_layer))
        assert np.array_equal(history.free[0], together.free[sample])
        assert np.array_equal(history.bound[0], together.bound[sample])
