"""What a control chart says, in a crew's words."""

from __future__ import annotations

from laydown.lab.control_chart import LEAST_BASELINE, ControlChart
from laydown.lab.control_rules import (
    ALTERNATING,
    AVOIDING,
    BEYOND,
    FOUR_OF_FIVE,
    HUGGING,
    SAME_SIDE,
    TREND,
    TWO_OF_THREE,
    Finding,
)


def verdict(chart: ControlChart, what: str) -> str:
    """State of a chart as one sentence.

    Parameters
    ----------
    chart : ControlChart
    what : str
        What is checked, as the beginning of a sentence: ``the peak under the print``.
    """
    if not chart.values:
        return f"{what} was never checked"
    if chart.limits is None:
        missing = LEAST_BASELINE - len(chart.values)
        return f"{what} was checked {_times(len(chart.values))}; limits are drawn after {missing} more"
    if chart.in_control:
        return f"{what} varies by chance only"
    last = len(chart.values) - 1
    return next(iter(_signals(chart, what, at=last)), f"{what} is out of control")


def sentences(chart: ControlChart, what: str, *, most: int = 6) -> tuple[str, ...]:
    """Everything that breaks a rule, the newest first."""
    told: list[str] = []
    for place in range(len(chart.values) - 1, -1, -1):
        for sentence in _signals(chart, what, at=place):
            if sentence not in told:
                told.append(sentence)
    return tuple(told[:most])


def rule_sentence(finding: Finding, what: str) -> str:
    """One broken rule as a sentence."""
    count = finding.last - finding.first + 1
    above, higher = ("above", "climbed") if finding.side > 0 else ("below", "fallen")
    row = f"on {count} checks in a row" if count > 1 else "on one check"
    return {
        BEYOND: f"{what} lay {above} its limit {row}",
        SAME_SIDE: f"{what} has been {above} its mean {row}",
        TREND: f"{what} has {higher} on {count} checks in a row",
        TWO_OF_THREE: f"{what} was far {above} its mean on 2 of 3 checks",
        FOUR_OF_FIVE: f"{what} was well {above} its mean on 4 of 5 checks",
        ALTERNATING: f"{what} went up and down in turns on {count} checks: are two people or two probes in turn at it?",
        HUGGING: f"{what} stayed very near its mean on {count} checks: the limits are wider than they need be",
        AVOIDING: f"{what} was never near its mean on {count} checks: two things seem to be mixed in it",
    }[finding.rule]


def _signals(chart: ControlChart, what: str, *, at: int) -> list[str]:
    told = [
        rule_sentence(one, what)
        for one in sorted(chart.findings, key=lambda one: (not one.grave, one.rule != TREND, one.rule))
        if one.last == at
    ]
    if at in chart.mean_signals and (at == 0 or at - 1 not in chart.mean_signals or at == len(chart.values) - 1):
        side = "upwards" if chart.means[at] > chart.mean_high[at] else "downwards"
        told.append(f"{what} has drifted {side} by its weighted mean")
    if at in chart.range_signals:
        told.append(f"{what} jumped further from one check to the next than chance does")
    return told


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
