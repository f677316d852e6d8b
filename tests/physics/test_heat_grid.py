"""Cells add up to the layers that they were cut from."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.physics.heat_grid import CLOTH_SHARES, FILM_SHARES, PALLET_SHARES, graded_shares, stack_cells

pytestmark = pytest.mark.interpreted


@given(st.integers(1, 40), st.floats(0.6, 1.7))
def test_shares_add_up_and_grow_downwards_by_the_ratio(cells, ratio):
    shares = graded_shares(cells, ratio)

    assert shares.sum() == pytest.approx(1.0)
    assert shares[:-1] == pytest.approx(ratio * shares[1:])


def test_default_pallet_is_finest_below_the_cloth():
    assert np.all(np.diff(PALLET_SHARES) < 0)
    assert np.ptp(CLOTH_SHARES) == np.ptp(FILM_SHARES) == 0


def test_layers_keep_their_thickness_and_properties():
    cells = stack_cells(
        thickness=[[6e-3, 5e-4, 1e-4], [8e-3, 7e-4, 2e-4]],
        conductivity=[0.2, 0.06, 0.17],
        heat_capacity=[1.8e6, 5e5, 1.9e6],
        shares=(PALLET_SHARES, CLOTH_SHARES, FILM_SHARES),
    )
    pallet, cloth, film = cells.layers

    assert cells.thickness.shape == cells.conductivity.shape == cells.heat_capacity.shape == (2, 30)
    assert [s.stop - s.start for s in cells.layers] == [12, 12, 6]
    assert cells.thickness[:, film].sum(axis=1) == pytest.approx([1e-4, 2e-4])
    assert cells.thickness[:, pallet].sum(axis=1) == pytest.approx([6e-3, 8e-3])
    assert np.all(cells.conductivity[:, cloth] == 0.06)
    assert np.all(cells.heat_capacity[:, film] == 1.9e6)


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: graded_shares(0), "graded_shares"),
        (lambda: graded_shares(3, 0.0), "graded_shares"),
        (
            lambda: stack_cells(thickness=[1, 2], conductivity=1, heat_capacity=1, shares=(CLOTH_SHARES,)),
            "shares",
        ),
    ],
)
def test_impossible_cuts_are_refused(call, where):
    with pytest.raises(InvalidInput, match=where):
        call()


def test_a_layer_has_as_many_cells_as_asked_for_and_equal_ones_unless_told():
    assert graded_shares(4).tolist() == [0.25] * 4
    assert graded_shares(3, 2.0) == pytest.approx(np.array([4, 2, 1]) / 7)
