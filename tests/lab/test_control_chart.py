"""Control charts against a handbook's worked examples, and every run rule where it fires and where it stays silent."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.lab import control_rules as rules
from laydown.lab.control_chart import D2, D4, E2, LEAST_BASELINE, control_chart, ewma, limits_of
from laydown.lab.control_words import sentences, verdict
from reference_tables import reference_rows

BATCHES = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
CALM = (160.0, 161.0, 159.0, 160.0, 160.5, 161.0, 160.0, 159.5)
WHAT = "the peak under the print"


@pytest.mark.parametrize("row", reference_rows("individuals_chart"), ids=lambda row: row["quantity"])
def test_individuals_limits_are_those_of_the_handbook(row):
    found = getattr(limits_of(BATCHES), row["quantity"])

    assert abs(found - float(row["expected"])) <= float(row["tolerance"])


def test_ewma_averages_are_those_of_the_handbook():
    rows = reference_rows("ewma_chart")
    means, _, _ = ewma([float(row["value"]) for row in rows], centre=50.0, sigma=2.0539, weight=0.3, width=3.0)

    for row, mean in zip(rows, means, strict=True):
        assert abs(mean - float(row["expected"])) <= float(row["tolerance"]), row["check"]


@pytest.mark.parametrize("row", reference_rows("ewma_limits"), ids=lambda row: row["side"])
def test_ewma_limits_of_a_long_series_are_those_of_the_handbook(row):
    _, low, high = ewma((50.0,), centre=50.0, sigma=2.0539, weight=0.3, width=3.0, settled=True)
    found = high[0] if row["side"] == "high" else low[0]

    assert abs(found - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.parametrize("row", reference_rows("range_constants"), ids=lambda row: row["name"])
def test_constants_are_those_of_the_standard(row):
    found = {"d2": D2, "D4": D4, "E2": E2}[row["name"]]

    assert abs(found - float(row["expected"])) <= float(row["tolerance"])


def test_the_constants_follow_from_the_normal_law():
    d3 = math.sqrt(2 - 4 / math.pi)

    assert pytest.approx(2 / math.sqrt(math.pi), abs=5e-4) == D2
    assert pytest.approx(1 + 3 * d3 / (2 / math.sqrt(math.pi)), abs=5e-4) == D4
    assert pytest.approx(3 / D2, abs=5e-4) == E2


def test_limits_of_an_ewma_widen_to_those_of_a_long_series():
    _, _, high = ewma([0.0] * 200, centre=0.0, sigma=1.0, weight=0.2, width=2.7)

    assert high[0] == pytest.approx(2.7 * 0.2)
    assert all(later > earlier for earlier, later in itertools.pairwise(high[:40]))
    assert high[-1] == pytest.approx(2.7 * math.sqrt(0.2 / 1.8))


FIRING = [
    (rules.BEYOND, (0.1, 3.1), 1),
    (rules.BEYOND, (0.1, -3.1), -1),
    (rules.SAME_SIDE, (0.1, 0.5, 0.2, 0.6, 0.3, 0.4, 0.2, 0.5, 0.1), 1),
    (rules.TREND, (-0.9, -0.5, -0.2, 0.1, 0.4, 0.8), 1),
    (rules.TREND, (0.9, 0.5, 0.2, -0.1, -0.4, -0.8), -1),
    (rules.ALTERNATING, (0.5, -0.5) * 7, 0),
    (rules.TWO_OF_THREE, (2.1, 0.0, 2.2), 1),
    (rules.FOUR_OF_FIVE, (-1.1, -1.2, 0.3, -1.3, -1.4), -1),
    (rules.HUGGING, (0.5, -0.4, -0.6, 0.2, 0.3) * 3, 0),
    (rules.AVOIDING, (1.5, -1.5, -1.2, 1.3, 1.6, -1.4, -1.1, 1.2), 0),
]
SILENT = [
    (rules.BEYOND, (3.0, -3.0)),
    (rules.SAME_SIDE, (0.1, 0.5, 0.2, 0.6, 0.3, 0.4, 0.2, 0.5, -0.1, 0.2)),
    (rules.TREND, (-0.9, -0.5, -0.2, 0.1, 0.4, 0.4, 0.8)),
    (rules.ALTERNATING, (0.5, -0.5) * 6 + (0.5,)),
    (rules.TWO_OF_THREE, (2.1, 0.0, 0.0, 2.2, 0.0, -2.2)),
    (rules.FOUR_OF_FIVE, (-1.1, -1.2, 0.3, 0.3, -1.3, -1.4)),
    (rules.HUGGING, ((0.5, -0.4, -0.6, 0.2, 0.3) * 3)[:14]),
    (rules.AVOIDING, (1.5, -1.5, -1.2, 1.3, 0.9, 1.6, -1.4, -1.1)),
]


@pytest.mark.parametrize(("rule", "scores", "side"), FIRING)
def test_a_rule_fires_where_it_is_broken(rule, scores, side):
    found = [one for one in rules.broken_rules(scores) if one.rule == rule]

    assert [(one.side, one.last) for one in found] == [(side, len(scores) - 1)]


@pytest.mark.parametrize(("rule", "scores"), SILENT)
def test_a_rule_stays_silent_just_short_of_it(rule, scores):
    assert rule not in {one.rule for one in rules.broken_rules(scores)}


@given(st.lists(st.floats(-5, 5), max_size=60))
def test_findings_lie_within_the_series_and_mirror_with_it(scores):
    found = rules.broken_rules(scores)
    mirrored = rules.broken_rules([-z for z in scores])

    assert all(0 <= one.first <= one.last < len(scores) for one in found)
    assert sorted((one.rule, one.first, one.last, -one.side) for one in found) == sorted(
        (one.rule, one.first, one.last, one.side) for one in mirrored
    )


def test_chance_alone_goes_beyond_a_limit_as_often_as_the_normal_law_says():
    scores = np.random.default_rng(11).standard_normal(20_000).tolist()
    beyond = [one for one in rules.broken_rules(scores) if one.rule == rules.BEYOND]
    count = sum(one.last - one.first + 1 for one in beyond)

    # 0.27 % of 20000 is 54; four deviations of that count to either side.
    assert 54 - 4 * math.sqrt(54) <= count <= 54 + 4 * math.sqrt(54)


def test_a_shift_of_three_deviations_is_told_within_three_checks():
    rng = np.random.default_rng(12)
    told = 0
    for _ in range(60):
        values = (160 + rng.standard_normal(25)).tolist() + (163.0 + rng.standard_normal(3)).tolist()
        told += bool(control_chart(values, baseline=25).bad & {25, 26, 27})

    # A single check is beyond in half of the cases, two of three beyond two deviations in nearly all.
    assert told >= 54


def test_a_drift_does_not_move_the_limits_it_is_held_against():
    values = [*CALM, *(160.0 + 0.8 * i for i in range(1, 12))]
    chart = control_chart(values)

    assert chart.limits.checks < 14
    assert chart.limits.high < 164
    assert verdict(chart, WHAT) == f"{WHAT} has climbed on 12 checks in a row"
    assert not chart.in_control
    assert chart.last_good is not None
    assert chart.last_good < 8


def test_the_words_name_side_and_number():
    low = control_chart([*CALM, 150.0])

    assert f"{WHAT} lay below its limit on one check" in sentences(low, WHAT)
    assert f"{WHAT} jumped further from one check to the next than chance does" in sentences(low, WHAT)
    assert verdict(control_chart(CALM), WHAT) == f"{WHAT} varies by chance only"


def test_before_there_are_enough_checks_no_limits_are_drawn():
    for count in range(LEAST_BASELINE):
        chart = control_chart(CALM[:count])
        assert chart.limits is None
        assert chart.bad == frozenset()
    assert verdict(control_chart(()), WHAT) == f"{WHAT} was never checked"
    assert verdict(control_chart(CALM[:1]), WHAT) == f"{WHAT} was checked once; limits are drawn after 7 more"


def test_a_gauge_that_always_shows_the_same_has_limits_of_its_own_fineness():
    chart = control_chart([160.0] * 10, least_sigma=0.5)

    assert (chart.limits.low, chart.limits.high) == (158.5, 161.5)
    assert chart.in_control
    assert control_chart([160.0] * 10).findings == ()


@pytest.mark.parametrize("values", [(1.0,), (), (1.0, math.nan)])
def test_limits_need_two_numbers(values):
    with pytest.raises(InvalidInput, match="at least two checks"):
        limits_of(values)


def test_what_is_no_number_is_refused():
    with pytest.raises(InvalidInput, match="no number"):
        control_chart([math.inf] * 9)
    with pytest.raises(InvalidInput, match="weight"):
        ewma((1.0,), centre=0.0, sigma=1.0, weight=0.0)
