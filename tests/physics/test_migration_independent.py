"""The compiled solver and scipy's LSODA on the same equations, written twice."""

from __future__ import annotations

import numpy as np
import pytest
from independent_migration import solve_one
from migration_cases import print_

from laydown.physics.migration import simulate_migration

QUICK, MANY = range(8), range(8, 40)


def compare(seed):
    """Largest difference of free, bound and reservoir, by the most dye anywhere: default cells, and doubled ones."""
    case = print_(
        2,
        seed=seed,
        layers=1 + seed % 4,
        blockers=seed % 3 > 0,
        reaction_length=(2e-6, 10e-6),
        thickness=(8e-6, 30e-6),
    )
    history = simulate_migration(**case)
    cells = np.bincount(history.cell_layer)
    fine = simulate_migration(**case, cells=2 * cells, tolerance=1e-4)
    free, bound, reservoir = solve_one(case, 0, cells, 3)
    most = (free + bound).max()

    def difference(found, factor):
        pairs = ((found.free[0], free), (found.bound[0], bound))
        worst = max(np.abs(a.reshape(*b.shape, factor).mean(axis=2) - b).max() for a, b in pairs) / most
        return max(worst, np.abs(found.reservoir[0] - reservoir).max())

    assert most > 1e-3
    return difference(history, 1), difference(fine, 2)


@pytest.mark.parametrize("seed", [*QUICK, *(pytest.param(s, marks=pytest.mark.slow) for s in MANY)])
def test_solver_agrees_with_an_independent_one_within_a_thousandth_of_the_most_dye(seed):
    default, fine = compare(seed)

    assert default <= 1e-3
    assert fine <= 3e-4
