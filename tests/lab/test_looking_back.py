"""Spoiled and claimed pieces by what orders have in common."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lab.outcomes import claim, outcome
from laydown.domain.outcome import CAUSES, Claim
from laydown.errors import InvalidInput
from laydown.lab.looking_back import GROUPINGS, by_cause, by_group, design_effect


def test_pieces_are_counted_by_cause_with_claims_beside_misprints():
    outcomes = [
        outcome(1, misprints=(("smeared", 4), ("scorched", 1))),
        outcome(2, misprints=(("smeared", 2),), claims=(claim(pieces=9),)),
    ]

    found = by_cause(outcomes)

    assert [(g.name, g.spoiled, g.claimed, g.orders) for g in found] == [
        ("dye came through", 0, 9, 1),
        ("smeared", 6, 0, 2),
        ("scorched", 1, 0, 1),
    ]
    assert {g.pieces for g in found} == {207}
    assert all(g.interval[0] <= g.share <= g.interval[1] for g in found)


def test_the_lot_that_bleeds_stands_out_and_the_others_do_not():
    good = [outcome(i, lot="A", misprints=(("smeared", 2),)) for i in range(12)]
    bad = [outcome(100 + i, lot="B", misprints=(("smeared", 2),), claims=(claim(pieces=40),)) for i in range(6)]

    found = by_group([*good, *bad], "lot")

    assert [(g.name, g.stands_out) for g in found] == [("red tee, lot B", True), ("red tee, lot A", False)]
    assert found[0].against == pytest.approx(2 / 102)


def test_one_bad_order_is_bad_luck_while_the_same_pieces_over_many_orders_are_not():
    """Forty spoiled pieces of one order say less of its ink than two in each of twenty."""
    quiet = [outcome(i, inks=("white",)) for i in range(20)]
    once = [outcome(100 + i, inks=("red",), misprints=(("smeared", 40),) if i == 0 else ()) for i in range(20)]
    often = [outcome(100 + i, inks=("red",), misprints=(("smeared", 2),)) for i in range(20)]

    assert not any(g.stands_out for g in by_group([*quiet, *once], "ink"))
    assert [g.name for g in by_group([*quiet, *often], "ink") if g.stands_out] == ["red"]


def test_an_order_counts_with_each_of_its_inks_and_once_with_its_dryer_day():
    outcomes = [outcome(1, inks=("white", "red"), dryer="Tunnel"), outcome(2, inks=("white",))]

    assert {g.name: g.orders for g in by_group(outcomes, "ink")} == {"white": 2, "red": 1}
    assert {g.name for g in by_group(outcomes, "dryer day")} == {"Tunnel, 2026-03-02", "not noted, 2026-03-02"}


@given(
    st.lists(
        st.tuples(st.integers(0, 50), st.sampled_from("AB"), st.sampled_from(CAUSES), st.integers(1, 60)), max_size=12
    ),
    st.sampled_from([name for name, _ in GROUPINGS]),
)
def test_no_piece_is_lost_and_no_share_leaves_its_interval(rows, grouping):
    outcomes = [
        outcome(i, pieces=pieces, lot=lot, misprints=((cause, bad),))
        for i, (pieces, lot, cause, bad) in enumerate(rows)
    ]

    found = by_group(outcomes, grouping)

    assert sum(g.spoiled for g in found) == sum(bad for *_, bad in rows)
    assert sum(g.spoiled for g in by_cause(outcomes)) == sum(bad for *_, bad in rows)
    assert all(0 <= g.interval[0] <= g.share + 1e-12 and g.share - 1e-12 <= g.interval[1] <= 1 for g in found)


def test_orders_alike_have_no_design_effect_and_no_orders_neither():
    assert design_effect([(100, 5)] * 10) == 1.0
    assert design_effect([(100, 50), (100, 0)]) > 10
    assert design_effect([]) == design_effect([(0, 0), (10, 0)]) == 1.0


def test_no_outcomes_give_no_groups():
    assert by_cause([]) == by_group([], "cloth") == ()


def test_an_unknown_grouping_or_cause_is_refused_with_what_is_allowed():
    with pytest.raises(InvalidInput, match="possible are cloth, ink, lot, dryer day"):
        by_group([], "moon")
    with pytest.raises(InvalidInput, match="no cause of a claim"):
        Claim(cause="bad luck", pieces=1, received_on=dt.date(2026, 3, 2))
    with pytest.raises(InvalidInput, match="claimed pieces"):
        Claim(cause="other", pieces=0, received_on=dt.date(2026, 3, 2))
