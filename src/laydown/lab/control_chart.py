"""Control charts of daily checks: individuals with moving range (Shewhart), and the weighted mean (EWMA).

Terms and constants: ISO 7870-2 (Shewhart charts), ISO 7870-6 (EWMA charts). A check of a day is a single value, so the
spread comes from the moving range of two: sigma = MR / 1.128, limits = centre +- 2.66 MR, limit of the range 3.267 MR.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from laydown.errors import InvalidInput
from laydown.lab.control_rules import Finding, broken_rules

D2 = 1.128
"""Mean range of two values of unit deviation (2 / sqrt(pi))."""

D4 = 3.267
"""Limit of the moving range, by its mean."""

E2 = 2.660
"""Limits of the individuals, by the mean moving range: 3 / d2."""

LAMBDA, WIDTH = 0.2, 2.7
"""Weight of the newest check, and the limits in deviations of the mean: a shift of one deviation is told after about
ten checks and a false alarm comes about every 370 (J. M. Lucas and M. S. Saccucci, Technometrics 32 (1990) 1-12; from
memory)."""

LEAST_BASELINE, MOST_BASELINE = 8, 25
"""Checks that limits are reckoned from: with fewer no limits are drawn; further ones are held against them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits of a chart, in the unit of the checks.

    Attributes
    ----------
    centre, sigma : float
        Mean and standard deviation by chance alone.
    low, high : float
        Three deviations from the centre.
    range_mean, range_high : float
        Of the moving range.
    checks : int
        Number of checks they rest on.
    """

    centre: float
    sigma: float
    low: float
    high: float
    range_mean: float
    range_high: float
    checks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlChart:
    """A chart of checks in the order in which they were made.

    Attributes
    ----------
    values : tuple of float
    limits : Limits or None
        None with too few checks.
    ranges : tuple of float or None
        Moving range of each check; None of the first.
    means, mean_low, mean_high : tuple of float
        Weighted mean after each check, and its limits.
    findings : tuple of Finding
        Broken run rules of the individuals.
    range_signals, mean_signals : tuple of int
        Checks whose range, or weighted mean, lies outside its limits.
    """

    values: tuple[float, ...]
    limits: Limits | None
    ranges: tuple[float | None, ...]
    means: tuple[float, ...]
    mean_low: tuple[float, ...]
    mean_high: tuple[float, ...]
    findings: tuple[Finding, ...]
    range_signals: tuple[int, ...]
    mean_signals: tuple[int, ...]

    @property
    def bad(self) -> frozenset[int]:
        """Checks at which the process was out of control."""
        grave = {i for one in self.findings if one.grave for i in range(one.first, one.last + 1)}
        return frozenset(grave | set(self.range_signals) | set(self.mean_signals))

    @property
    def in_control(self) -> bool:
        """Whether the newest check shows nothing that needs somebody."""
        return len(self.values) - 1 not in self.bad

    @property
    def last_good(self) -> int | None:
        """Newest check at which the process was in control; None when there is none."""
        return next((i for i in range(len(self.values) - 1, -1, -1) if i not in self.bad), None)


def limits_of(values: Sequence[float]) -> Limits:
    """Limits from checks that vary by chance alone.

    Parameters
    ----------
    values : sequence of float
        At least 2, in the order in which they were made.

    Raises
    ------
    InvalidInput
        With fewer than two values, or one that is no number.
    """
    if len(values) < 2 or not all(math.isfinite(value) for value in values):
        raise InvalidInput("limits need at least two checks that are numbers", where="control chart")
    centre = math.fsum(values) / len(values)
    ranges = [abs(later - earlier) for earlier, later in itertools.pairwise(values)]
    mean = math.fsum(ranges) / len(ranges)
    return Limits(
        centre=centre,
        sigma=mean / D2,
        low=centre - 3 * mean / D2,
        high=centre + 3 * mean / D2,
        range_mean=mean,
        range_high=D4 * mean,
        checks=len(values),
    )


def ewma(
    values: Sequence[float],
    *,
    centre: float,
    sigma: float,
    weight: float = LAMBDA,
    width: float = WIDTH,
    settled: bool = False,
) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Exponentially weighted moving average and its limits after each value.

    Parameters
    ----------
    values : sequence of float
    centre, sigma : float
        Of the single values.
    weight : float
        Of the newest value, above 0 and up to 1.
    width : float
        Limits in standard deviations of the average.
    settled : bool
        Whether to use the limits of a long series from the start.

    Returns
    -------
    (tuple, tuple, tuple) of float
        Average, lower and upper limit.

    Raises
    ------
    InvalidInput
        When the weight lies outside its bounds.
    """
    if not 0 < weight <= 1:
        raise InvalidInput(f"the weight is {weight:g}; it must lie above 0 and be at most 1", where="control chart")
    means, low, high = [], [], []
    mean = centre
    for i, value in enumerate(values, start=1):
        mean = weight * value + (1 - weight) * mean
        share = 1.0 if settled else 1 - (1 - weight) ** (2 * i)
        half = width * sigma * math.sqrt(weight / (2 - weight) * share)
        means.append(mean)
        low.append(centre - half)
        high.append(centre + half)
    return tuple(means), tuple(low), tuple(high)


def control_chart(values: Sequence[float], *, baseline: int | None = None, least_sigma: float = 0.0) -> ControlChart:
    """Chart of checks.

    Parameters
    ----------
    values : sequence of float
        In the order in which they were made.
    baseline : int or None
        Number of the first checks that limits rest on; None: `LEAST_BASELINE`, and then each further one up to
        `MOST_BASELINE` as long as it breaks no rule against the limits of those before it.
    least_sigma : float
        Deviation that chance has at least, for example what a gauge can tell apart.

    Raises
    ------
    InvalidInput
        When a value is no number.
    """
    if not all(math.isfinite(value) for value in values):
        raise InvalidInput("a check is no number", where="control chart")
    ranges = (None, *(abs(later - earlier) for earlier, later in itertools.pairwise(values)))
    count = len(values) if len(values) < LEAST_BASELINE else min(len(values), baseline or LEAST_BASELINE)
    if count < LEAST_BASELINE:
        return ControlChart(
            values=tuple(values),
            limits=None,
            ranges=ranges[: len(values)],
            means=(),
            mean_low=(),
            mean_high=(),
            findings=(),
            range_signals=(),
            mean_signals=(),
        )
    chart = _against(values[:count] if baseline is None else values, values[:count], ranges, least_sigma)
    if baseline is not None:
        return chart
    while count < min(len(values), MOST_BASELINE):
        chart = _against(values[: count + 1], values[:count], ranges, least_sigma)
        if count in chart.bad:
            break
        count += 1
    return _against(values, values[:count], ranges, least_sigma)


def _against(
    values: Sequence[float], calm: Sequence[float], ranges: Sequence[float | None], least_sigma: float
) -> ControlChart:
    """Chart of values against limits from some of them."""
    limits = _floored(limits_of(calm), least_sigma)
    means, low, high = ewma(values, centre=limits.centre, sigma=limits.sigma)
    # Gauges round: a value on the very limit is not beyond it.
    slack = 1e-9 * max(1.0, abs(limits.centre))
    scores = [(value - limits.centre) / limits.sigma if limits.sigma > 0 else 0.0 for value in values]
    shown = tuple(ranges[: len(values)])
    return ControlChart(
        values=tuple(values),
        limits=limits,
        ranges=shown,
        means=means,
        mean_low=low,
        mean_high=high,
        findings=broken_rules(scores) if limits.sigma > 0 else (),
        range_signals=tuple(i for i, x in enumerate(shown) if x is not None and x > limits.range_high + slack),
        mean_signals=tuple(i for i, x in enumerate(means) if x > high[i] + slack or x < low[i] - slack),
    )


def _floored(limits: Limits, least_sigma: float) -> Limits:
    if limits.sigma >= least_sigma:
        return limits
    mean = least_sigma * D2
    return Limits(
        centre=limits.centre,
        sigma=least_sigma,
        low=limits.centre - 3 * least_sigma,
        high=limits.centre + 3 * least_sigma,
        range_mean=mean,
        range_high=D4 * mean,
        checks=limits.checks,
    )
