"""Simulation-based calibration: ranks of truths among the draws of their fits are uniform."""

import numpy as np
import pytest

from lab.swatches import SHORT_TEST, lab_cloth, lab_shop, swatch
from laydown.lab.rank_check import THINNED, Ranks, rank_check
from small_shop import blocking_white, printed, stack


@pytest.mark.slow
def test_truths_lie_anywhere_among_the_draws_of_their_fits():
    cloth = lab_cloth()
    found = rank_check(
        lab_shop(), cloth, swatch(cloth, stack=stack(printed(blocking_white()))), SHORT_TEST, cases=32, seed=7
    )

    # Twelve quantities: one in a thousand such runs would have a p-value below 1e-4 by chance.
    assert min(found.p_values(bins=4).values()) > 1e-4
    assert found.effective.min() > 30
    assert 0.72 <= found.inside.mean() <= 0.99


def ranks_of(columns):
    cases = columns.shape[0]
    return Ranks(
        quantities=tuple(f"q{i}" for i in range(columns.shape[1])),
        ranks=columns.astype(np.int64),
        effective=np.ones(cases),
        inside=np.ones(cases, dtype=bool),
    )


def test_uniform_ranks_pass_and_crowded_ones_do_not():
    rng = np.random.default_rng(0)
    uniform = rng.integers(0, THINNED + 1, 400)
    too_sure = np.where(rng.random(400) < 0.3, rng.choice([0, THINNED], 400), uniform)
    shifted = np.minimum(uniform + 10, THINNED)

    p = ranks_of(np.column_stack([uniform, too_sure, shifted])).p_values()

    assert p["q0"] > 0.01
    assert p["q1"] < 1e-6
    assert p["q2"] < 1e-6
