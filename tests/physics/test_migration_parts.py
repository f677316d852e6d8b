"""Parts of the migration solver by themselves: its grid, its means over a zone, its source, and its ledger."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from independent_migration import solve_one
from migration_cases import print_, still

from laydown.physics import migration
from laydown.physics import migration_grid as grid
from laydown.physics import migration_kernel as kernel
from laydown.physics.migration import simulate_migration

pytestmark = pytest.mark.interpreted

BETWEEN = (grid.FEWEST + grid.MOST) // 2
"""A number of cells that neither limit touches."""


def counts(thickness, capacity=0.0, reaction_length=1.0):
    shape = np.shape(thickness)
    return grid.cells_per_layer(
        np.array(thickness), np.broadcast_to(capacity, shape), np.broadcast_to(reaction_length, shape)
    ).tolist()


def test_a_clear_layer_has_cells_of_the_clear_width_and_a_blocking_one_of_the_blocking_width():
    assert counts([[BETWEEN * grid.CLEAR_CELL]]) == [BETWEEN]
    assert counts([[BETWEEN * grid.BLOCKING_CELL]], capacity=0.01) == [BETWEEN]
    assert counts([[(BETWEEN + 0.01) * grid.CLEAR_CELL]]) == [BETWEEN + 1]


def test_a_short_reaction_length_is_cut_into_its_cells():
    length = 1e-6
    thickness = BETWEEN / grid.CELLS_PER_REACTION_LENGTH * length

    assert counts([[thickness]], capacity=0.5, reaction_length=length) == [BETWEEN]
    assert counts([[thickness]], capacity=0.0, reaction_length=length) < [BETWEEN]


def test_no_layer_has_fewer_or_more_cells_than_the_limits():
    assert counts([[1e-9]]) == [grid.FEWEST]
    assert counts([[1.0]]) == [grid.MOST]


def test_each_layer_is_cut_for_nine_samples_in_ten_and_for_blocker_in_any_of_them():
    # Eleven samples, evenly apart: the tenth of them is the quantile.
    base = np.arange(11.0) - 9.0
    thickness = np.column_stack([BETWEEN + 2 * base, BETWEEN + 5 + base]) * grid.CLEAR_CELL
    capacity = np.zeros((11, 2))

    assert counts(thickness, capacity) == [BETWEEN, BETWEEN + 5]
    capacity[3, 1] = 0.1
    finer = np.ceil((BETWEEN + 5) * grid.CLEAR_CELL / grid.BLOCKING_CELL - 1e-9)
    assert counts(thickness, capacity) == [BETWEEN, finer]


def test_the_reaction_length_of_nine_samples_in_ten_is_resolved_in_each_layer():
    ratio = np.column_stack([BETWEEN + np.arange(11.0) - 9.0, np.full(11, BETWEEN + 3.0)])
    thickness = 1e-6 * ratio / grid.CELLS_PER_REACTION_LENGTH

    assert counts(thickness, 0.1, 1e-6) == [BETWEEN, BETWEEN + 3]


def test_zones_of_many_samples_and_days_are_those_of_each():
    rng = np.random.default_rng(3)
    thickness = np.repeat(rng.uniform(1e-6, 3e-6, (3, 2)), 4, axis=1)
    layer, value = np.repeat([0, 1], 4), rng.uniform(0, 1, (3, 5, 8))
    together = grid.zone_mean(thickness, layer, value, 7e-6)

    assert together.shape == (3, 5)
    for i in range(3):
        for day in range(5):
            alone = grid.zone_mean(thickness[i : i + 1], layer, value[i : i + 1, day : day + 1], 7e-6)
            assert alone[0, 0] == pytest.approx(together[i, day], rel=1e-14)


def test_a_zone_takes_no_hint_from_the_layer_above():
    # The lower layer holds 3 everywhere, the upper one a cliff: 3 µm of it and 2 of the lower layer's 6 µm.
    thickness, layer = np.array([[2.0, 2.0, 2.0, 1.0, 1.0, 1.0]]), np.array([0, 0, 0, 1, 1, 1])
    for top in ([0.0, 0.0, 600.0], [600.0, 0.0, 0.0]):
        value = np.array([[[3.0, 3.0, 3.0, *top]]])
        for depth in (4.0, 5.5, 6.0):
            expected = (600.0 + 3.0 * (depth - 3.0)) / depth
            assert grid.zone_mean(thickness, layer, value, depth)[0, 0] == pytest.approx(expected, rel=1e-12)


def test_the_zone_that_is_seen_counts_free_and_bound_dye():
    case = still(60.0, capacity=0.2, reaction_length=8e-6, surface_concentration=0.4, cells=[8])
    history = simulate_migration(**case)

    assert history.bound.max() > 0.01
    # A zone deeper than the film is all of it.
    whole = (history.balance.free + history.balance.bound) / 40e-6
    assert history.top_zone(1.0) == pytest.approx(whole, rel=1e-12)


def test_dye_that_is_missing_counts_by_all_that_was_given_and_no_dye_misses_none():
    balance = simulate_migration(**still(10.0, release_ref=1e-6, cells=[5])).balance
    leaking = replace(balance, lost=balance.lost + 1.2e-6)

    # 120 µm of reservoir: 1.2 µm of full shade is a hundredth.
    assert leaking.residual() == pytest.approx(0.01, rel=1e-6)
    assert simulate_migration(**still(10.0, reservoir_depth=0.0, cells=[5])).balance.residual().tolist() == [[0.0]]


def test_many_samples_side_by_side_are_followed_as_few_are(monkeypatch):
    case = print_(2, seed=5, layers=1)
    few = simulate_migration(**case, cells=[6], tolerance=1e-2)
    monkeypatch.setattr(migration, "FEW", 1)
    many = simulate_migration(**case, cells=[6], tolerance=1e-2)

    for name in ("free", "bound", "reservoir", "steps", "refused_steps"):
        assert np.array_equal(getattr(few, name), getattr(many, name))
    assert np.array_equal(few.balance.lost, many.balance.lost)


def knots_of(fallen, slope, at):
    """Knots of a fall of the reservoir's logarithm that is a cubic, so that the interpolation is exact."""
    at = np.array(at)
    return np.stack([at, fallen(at), slope(at)])


def test_between_knots_the_reservoir_falls_by_the_cubic_of_values_and_slopes():
    def fallen(s):
        return 0.1 * s + 0.05 * s**2 + 0.02 * s**3

    def slope(s):
        return 0.1 + 0.1 * s + 0.06 * s**2

    knots = knots_of(fallen, slope, [0.0, 0.5, 2.0, 3.0])
    for s, before in ((0.0, 0), (0.3, 0), (0.5, 0), (0.9, 1), (1.9, 1), (2.7, 2), (3.0, 2)):
        share, fall, knot = kernel.reservoir_at(s, 0, 2, knots)
        assert share == pytest.approx(np.exp(-fallen(s)), rel=1e-13)
        assert fall == pytest.approx(slope(s), rel=1e-12)
        assert knot == before


EPS = 1e-7


@pytest.mark.parametrize(
    ("released", "rate", "tilt", "wrong"),
    [
        # Steady, rising from zero, falling to a half: straight lines, which the step can follow.
        (lambda s: s, lambda s: 1 + 0 * s, 0.0, 0.0),
        (lambda s: s**2, lambda s: 2 * s, 1.0, 0.0),
        (lambda s: (4 * s - s**2) / 3, lambda s: (4 - 2 * s) / 3, -1 / 3, 0.0),
        # s³: a tilt of 1 at most; the rate at the end is 3 where the line gives 2: 0.3 of it.
        (lambda s: s**3, lambda s: 3 * s**2, 1.0, 0.3),
        # 1 - (1 - s)³: after a quarter 0.578 is out, where the line of tilt -1 gives 0.4375.
        (lambda s: 1 - (1 - s) ** 3, lambda s: 3 * (1 - s) ** 2, -1.0, 1 - 0.75**3 - 0.4375),
        # 3s² - 2s³ is odd about the middle: no tilt; the quarter and three quarters are off by 0.09375, the end by 0.3.
        (lambda s: 3 * s**2 - 2 * s**3, lambda s: 6 * s - 6 * s**2, 0.0, 0.3),
    ],
)
def test_release_in_a_step_is_taken_as_a_line_and_its_mismatch_is_told(released, rate, tilt, wrong):
    knots = knots_of(lambda s: EPS * released(s), lambda s: EPS * rate(s), [0.0, 1.0])
    share, found_tilt, found_wrong, after, _ = kernel.source_of_step(0.0, 1.0, 1.0, 0, 0, knots)

    assert share == pytest.approx(EPS, rel=1e-6)
    assert after == pytest.approx(1 - EPS, abs=1e-14)
    assert found_tilt == pytest.approx(tilt, abs=1e-6)
    assert found_wrong / EPS == pytest.approx(wrong, abs=1e-6)


@pytest.mark.parametrize(("capacity", "coarsest"), [(0.0, 4), (0.12, 8)])
def test_the_scheme_is_of_fourth_order_within_a_layer_with_and_without_blocker(capacity, coarsest):
    case = still(20.0, layer_thickness=[[60e-6]], release_ref=1e-6, capacity=capacity, reaction_length=8e-6)
    dye = []
    for n in (coarsest, 2 * coarsest, 4 * coarsest):
        history = simulate_migration(**case, cells=[n], tolerance=1e-7)
        dye.append((history.free + history.bound)[0, 0].reshape(coarsest, -1).mean(axis=1))
    first, second = (np.abs(np.diff(dye, axis=0))).max(axis=1)

    assert np.log2(first / second) == pytest.approx(4.0, abs=0.5)


def bent(dye, blocker, *, ahead=0.0, before=0.0):
    """Share by which binding in each of five cells is corrected; the outer cells know one neighbour only."""
    n = 5
    cells, work = np.zeros((10, n)), np.zeros((kernel.WORK_ROWS, n))
    cells[kernel.BINDING], cells[kernel.SPENDING] = 3.0, 7.0
    cells[kernel.SLOPE_BELOW], cells[kernel.SLOPE_ABOVE] = [0.0, 0.5, 0.5, 0.5, 1.0], [1.0, 0.5, 0.5, 0.5, 0.0]
    work[kernel.DYE], work[kernel.BLOCKER], work[kernel.BENT] = dye, blocker, before
    kernel.bend_reaction(n, ahead, cells, work)

    assert work[kernel.SPENDS] / 7.0 == pytest.approx(work[kernel.BINDS] / 3.0, rel=1e-14)
    return work[kernel.BINDS] / 3.0 - 1.0


def test_binding_is_corrected_by_what_the_mean_of_a_product_has_over_the_product_of_the_means():
    # In a cell of width 1 the mean of (a + p x)(b + q x) is a b + p q/12.
    dye, blocker = 0.5 - 0.08 * np.arange(5), 0.2 + 0.1 * np.arange(5)

    assert bent(dye, blocker) == pytest.approx(-0.08 * 0.1 / (12 * dye * blocker), rel=1e-12)


def test_the_correction_of_binding_is_carried_on_from_the_step_before_and_bounded():
    dye, blocker = 0.5 - 0.08 * np.arange(5), 0.2 + 0.1 * np.arange(5)
    now = bent(dye, blocker)

    assert bent(dye, blocker, ahead=0.5, before=-0.01) == pytest.approx(now + 0.5 * (now + 0.01), rel=1e-12)
    steep = bent(np.array([1.0, 1e-1, 1e-2, 1e-3, 1e-4]), np.array([1e-4, 1e-3, 1e-2, 1e-1, 1.0]))
    assert steep[2] == pytest.approx(-kernel.MOST_BEND)
    assert bent(np.zeros(5), blocker).tolist() == [0.0] * 5


def test_a_clean_film_is_crossed_from_a_twentieth_of_a_cell_s_diffusion_time_in_steps_eight_times_as_long():
    # Cells of 4 µm: h0 = 400 s. Up to 60 days the steps 1, 8, 64, ... times that add up in six, or seven when halved.
    history = simulate_migration(**still(60.0, cells=[10]))

    assert 6 <= history.steps[0] <= 7
    assert history.refused_steps[0] == 0


def test_a_short_release_after_a_long_rest_enters_as_the_independent_solver_says():
    # Ten days cold, half a minute hot, one day cold: what is in the film has come in within that half minute.
    hot = 433.15
    times = [0.0, 864000.0, 864005.0, 864035.0, 864040.0, 950000.0]
    case = print_(1, seed=1, layers=1) | {
        "times": np.array(times),
        "temperature": [[290.0, 290.0, hot, hot, 290.0, 290.0]],
        "output_times": np.array([864035.0, 950000.0]),
        "layer_thickness": [[12e-6]],
        "capacity": [[0.0]],
        "release_ref": [4e-3],
        "release_activation": [140e3],
        "diffusivity_ref": [[2e-15]],
    }
    history = simulate_migration(**case, cells=[16])
    free, _, reservoir = solve_one(case, 0, np.array([16]), 4)

    assert np.abs(history.free[0] - free).max() <= 2e-3 * free.max()
    assert np.abs(history.reservoir[0] - reservoir).max() <= 1e-5
    assert history.balance.residual().max() <= 1e-12


def test_a_look_at_the_start_alone_takes_no_step():
    history = simulate_migration(**still(1.0, release_ref=1e-4, output_times=[0.0], cells=[5]))

    assert history.steps.tolist() == [0]
    assert history.free.max() == 0
    assert history.reservoir.tolist() == [[1.0]]
