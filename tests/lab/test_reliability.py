"""Forecast risks against outcomes."""

from __future__ import annotations

import datetime as dt
import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lab.outcomes import PRINTED, TODAY, claim, outcome, with_risk
from laydown.domain.outcome import Requirement
from laydown.errors import InvalidInput
from laydown.lab.proportion import exact_interval, jeffreys_interval, wilson_interval
from laydown.lab.reliability import brier_score, equal_bins, reliability
from reference_tables import reference_rows

METHODS = {"wilson": wilson_interval, "exact": exact_interval}


@pytest.mark.parametrize("row", reference_rows("proportion_interval"), ids=lambda r: f"{r['method']} {r['events']}")
def test_intervals_of_a_share_are_those_of_the_published_examples(row):
    low, high = METHODS[row["method"]](int(row["events"]), int(row["of"]), chance=float(row["chance"]))

    assert low == pytest.approx(float(row["expected_low"]), abs=float(row["tolerance"]))
    assert high == pytest.approx(float(row["expected_high"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", reference_rows("brier_score"))
def test_the_score_is_that_of_briers_own_example(row):
    risks, missed = (np.array([float(v) for v in row[name].split()]) for name in ("risks", "missed"))

    found = brier_score(risks, missed, equal_bins(risks)).score

    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(st.integers(0, 60), st.integers(0, 60), st.sampled_from([0.5, 0.9, 0.99]))
def test_every_interval_holds_the_share_that_was_counted(a, b, chance):
    events, of = min(a, b), max(a, b, 1)

    for interval in (wilson_interval, exact_interval, jeffreys_interval):
        low, high = interval(events, of, chance=chance)
        assert 0 <= low <= events / of + 1e-12
        assert events / of - 1e-12 <= high <= 1


@pytest.mark.parametrize(("events", "of"), [(3, 17), (1, 4), (40, 90)])
def test_between_jeffreys_ends_lies_the_chance_that_was_asked_for(events, of):
    low, high = jeffreys_interval(events, of)

    x = low + (high - low) * (np.arange(20_000) + 0.5) / 20_000
    logs = (events - 0.5) * np.log(x) + (of - events - 0.5) * np.log1p(-x)
    logs += math.lgamma(of + 1) - math.lgamma(events + 0.5) - math.lgamma(of - events + 0.5)

    assert np.exp(logs).mean() * (high - low) == pytest.approx(0.9, abs=1e-6)


@given(
    st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=80),
    st.integers(1, 8),
)
def test_the_parts_of_the_score_add_up_and_no_order_is_lost(pairs, bins):
    risks, missed = np.array([p for p, _ in pairs]), np.array([float(e) for _, e in pairs])
    groups = equal_bins(risks, bins=bins)

    found = brier_score(risks, missed, groups)
    parts = found.reliability - found.resolution + found.uncertainty + found.within

    assert parts == pytest.approx(found.score, abs=1e-12)
    assert sorted(i for at in groups for i in at) == list(range(len(pairs)))
    assert all(risks[a].max() < risks[b].min() for a, b in itertools.pairwise(groups))


def test_equal_risks_are_never_parted_and_bins_are_about_equal():
    assert [at.size for at in equal_bins(np.full(40, 0.05))] == [40]
    assert [at.size for at in equal_bins(np.linspace(0, 1, 40))] == [8] * 5
    assert equal_bins(np.zeros(0)) == []


def test_a_risk_that_comes_true_as_often_as_promised_fits_and_one_that_comes_true_more_often_is_too_hopeful():
    kept = [with_risk(i, 0.05, missed=i < 2) for i in range(40)]
    broken = [with_risk(i, 0.05, missed=i < 12) for i in range(40)]

    (bin_,) = reliability(kept, Requirement.BLEED, today=TODAY).bins
    assert (bin_.orders, bin_.missed, bin_.fits) == (40, 2, True)
    words = reliability(broken, Requirement.BLEED, today=TODAY).words
    assert words[0] == "Of 40 orders with a risk of 5.0%, 12 missed; 5.0% was promised: too hopeful."
    assert words[-1].endswith("2.0 were to be expected: the forecasts are too hopeful.")


def test_a_forecaster_without_skill_has_no_resolution_and_a_perfect_one_no_score():
    perfect = [with_risk(i, float(i < 20), missed=i < 20) for i in range(40)]
    constant = [with_risk(i, 0.5, missed=i < 20) for i in range(40)]

    score = reliability(perfect, Requirement.BLEED, today=TODAY).brier
    assert score is not None
    assert (score.score, score.reliability, score.resolution) == (0.0, 0.0, 0.25)
    score = reliability(constant, Requirement.BLEED, today=TODAY).brier
    assert score is not None
    assert (score.score, score.resolution, score.uncertainty) == (0.25, 0.0, 0.25)


def test_bleed_is_unknown_until_its_day_unless_it_came_through_before():
    soon = PRINTED + dt.timedelta(days=20)
    outcomes = [outcome(1), outcome(2, claims=(claim(),)), outcome(3, risks=())]

    early = reliability(outcomes, Requirement.BLEED, today=soon)
    late = reliability(outcomes, Requirement.BLEED, today=PRINTED + dt.timedelta(days=30))

    assert (early.orders, early.missed, early.pending, early.without) == (1, 1, 1, 1)
    assert (late.orders, late.missed, late.pending, late.without) == (2, 1, 0, 1)


def test_cover_is_judged_at_once_and_a_few_spoiled_pieces_are_no_miss():
    risks = ((Requirement.OPACITY, 0.1),)
    few = outcome(1, risks=risks, misprints=(("too little cover", 3),))
    many = outcome(2, risks=risks, misprints=(("too little cover", 30),))
    other = outcome(3, risks=risks, misprints=(("smeared", 60),))

    found = reliability([few, many, other], Requirement.OPACITY, today=PRINTED)

    assert (found.orders, found.missed) == (3, 1)


def test_without_orders_nothing_is_claimed():
    found = reliability([], Requirement.ALL, today=TODAY)

    assert (found.bins, found.brier, found.orders) == ((), None, 0)
    assert found.words == ("No order is known to have met or missed this yet.",)


@pytest.mark.parametrize(("events", "of", "chance"), [(3, 2, 0.9), (-1, 5, 0.9), (1, 2, 0.2), (1, 2, 1.0)])
def test_impossible_counts_are_refused(events, of, chance):
    for interval in (wilson_interval, exact_interval, jeffreys_interval):
        with pytest.raises(InvalidInput):
            interval(events, of, chance=chance)


def test_fewer_than_one_bin_is_refused():
    with pytest.raises(InvalidInput, match="0 bins"):
        equal_bins(np.ones(3), bins=0)
