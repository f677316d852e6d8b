from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.report.spread_labels import spread_labels

WANTED = st.lists(st.floats(min_value=-20, max_value=120), min_size=1, max_size=12).map(sorted)


def test_labels_that_do_not_touch_stay_where_they_want_to_be():
    assert spread_labels([10, 30, 60], [8, 8, 8], 0, 100) == (10, 30, 60)


def test_two_labels_in_one_place_move_apart_by_half_each():
    assert spread_labels([50, 50], [10, 10], 0, 100) == (45, 55)


def test_labels_that_do_not_fit_are_squeezed_evenly():
    assert spread_labels([5, 5, 5, 5], [10, 10, 10, 10], 0, 20) == pytest.approx((2.5, 7.5, 12.5, 17.5))


def test_no_labels_take_no_room():
    assert spread_labels([], [], 0, 10) == ()


@given(WANTED, st.floats(min_value=1, max_value=8))
def test_labels_keep_their_order_their_room_and_the_frame(wanted, size):
    placed = spread_labels(wanted, [size] * len(wanted), 0, 100)

    assert all(b - a >= size - 1e-9 for a, b in itertools.pairwise(placed))
    assert placed[0] >= size / 2 - 1e-9
    assert placed[-1] <= 100 - size / 2 + 1e-9


@given(WANTED, st.floats(min_value=1, max_value=8), st.integers(min_value=0, max_value=11), st.floats(-3, 3))
def test_no_other_placement_is_nearer_to_the_wishes(wanted, size, which, nudge):
    """Least squares: moving one label, where it may move, never brings the labels nearer to their wishes."""
    placed = list(spread_labels(wanted, [size] * len(wanted), 0, 100))
    cost = sum((p - w) ** 2 for p, w in zip(placed, wanted, strict=True))
    which %= len(placed)
    placed[which] += nudge
    allowed = all(b - a >= size - 1e-9 for a, b in itertools.pairwise(placed))
    if allowed and placed[0] >= size / 2 and placed[-1] <= 100 - size / 2:
        assert sum((p - w) ** 2 for p, w in zip(placed, wanted, strict=True)) >= cost - 1e-6
