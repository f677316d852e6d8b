"""Are risks of 5 % really 5 %? Forecast risks against outcomes, in bins of equal counts, with Brier's score."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from laydown.domain.outcome import MISSED, OrderOutcome, Requirement
from laydown.domain.reliability import BrierScore, Reliability, RiskBin
from laydown.errors import InvalidInput
from laydown.lab.proportion import exact_interval

Values = NDArray[np.float64]

BINS = 5
FEWEST = 8
"""Orders that a bin holds at least, where there are so many."""

SPOILED_SHARE = 0.1
"""An order has missed a requirement when at least this share of its pieces was spoiled for that reason. Assumed; one
claim with such a cause counts as well, however few pieces came back."""

LATE = frozenset({Requirement.BLEED})
"""Requirements that are judged days after printing: an order is known to have met them only then."""


def reliability(
    outcomes: Sequence[OrderOutcome], requirement: Requirement, *, today: dt.date, bins: int = BINS
) -> Reliability:
    """Compare forecast risks of a requirement with outcomes.

    Parameters
    ----------
    outcomes : sequence of OrderOutcome
    requirement : Requirement
        `Requirement.ALL`: any of those that a plan gives a risk for.
    today : date
        An order whose bleed is still to be judged is pending, unless it already missed.
    bins : int
        Most bins; there are fewer where orders are few.

    Returns
    -------
    Reliability
    """
    risks, missed, pending, without = [], [], 0, 0
    for one in outcomes:
        risk = one.risk(requirement)
        if risk is None:
            without += 1
        elif missed_by(one, requirement):
            risks.append(risk)
            missed.append(1.0)
        elif is_pending(one, requirement, today):
            pending += 1
        else:
            risks.append(risk)
            missed.append(0.0)
    forecast, event = np.array(risks), np.array(missed)
    groups = equal_bins(forecast, bins=bins)
    found = tuple(_bin(forecast[at], event[at]) for at in groups)
    return Reliability(
        requirement=requirement,
        bins=found,
        orders=len(risks),
        missed=int(event.sum()),
        expected=float(forecast.sum()),
        pending=pending,
        without=without,
        brier=brier_score(forecast, event, groups) if risks else None,
        words=_words(found, forecast, event, requirement),
    )


def missed_by(one: OrderOutcome, requirement: Requirement) -> bool:
    """Whether an order is known to have missed a requirement: by a claim, or by the share of its spoiled pieces."""
    causes = frozenset[str]().union(*(c for r, c in MISSED if requirement in {r, Requirement.ALL}))
    if any(claim.cause in causes for claim in one.claims):
        return True
    spoiled = sum(pieces for cause, pieces in one.misprints if cause in causes)
    return one.handled > 0 and spoiled >= SPOILED_SHARE * one.handled


def is_pending(one: OrderOutcome, requirement: Requirement, today: dt.date) -> bool:
    """Whether it is too early to say that an order met a requirement."""
    late = requirement in LATE or requirement is Requirement.ALL
    return late and (today - one.printed_on).days < one.bleed_days


def equal_bins(risks: Values, *, bins: int = BINS) -> list[NDArray[np.intp]]:
    """Indices of each bin, by rising risk: of about equal counts, equal risks never parted.

    Raises
    ------
    InvalidInput
        For fewer than one bin.
    """
    if bins < 1:
        raise InvalidInput(f"there are {bins} bins; at least one is needed")
    order = np.argsort(risks, kind="stable")
    wanted = max(1, min(bins, risks.size // FEWEST))
    size = risks.size / wanted
    found: list[NDArray[np.intp]] = []
    start = 0
    while start < risks.size:
        end = max(start + 1, round(size * (len(found) + 1)))
        while end < risks.size and risks[order[end]] == risks[order[end - 1]]:
            end += 1
        found.append(order[start:end])
        start = end
    return found


def brier_score(risks: Values, missed: Values, groups: Sequence[NDArray[np.intp]]) -> BrierScore:
    """Brier's score and its parts.

    Parameters
    ----------
    risks, missed : ndarray, shape (n,)
        Forecast risks, and 1 where the requirement was missed, 0 where it was met; at least one.
    groups : sequence of ndarray of int
        Bins; together they hold each index once.

    References
    ----------
    G. W. Brier, Monthly Weather Review 78 (1950) 1-3 (his score counts both outcomes, so it is twice this one);
    A. H. Murphy, J. Applied Meteorology 12 (1973) 595-600; the part within bins after D. B. Stephenson, C. A. S. Coelho
    and I. T. Jolliffe, Weather and Forecasting 23 (2008) 752-757.
    """
    n, overall = risks.size, float(missed.mean())
    reliable = resolved = within = 0.0
    for at in groups:
        mean, observed = float(risks[at].mean()), float(missed[at].mean())
        away = risks[at] - mean
        reliable += at.size * (mean - observed) ** 2
        resolved += at.size * (observed - overall) ** 2
        within += float((away**2).sum() - 2 * (away * (missed[at] - observed)).sum())
    return BrierScore(
        score=float(((risks - missed) ** 2).mean()),
        reliability=reliable / n,
        resolution=resolved / n,
        uncertainty=overall * (1 - overall),
        within=within / n,
    )


def _bin(risks: Values, missed: Values) -> RiskBin:
    events = int(missed.sum())
    return RiskBin(
        low=float(risks.min()),
        high=float(risks.max()),
        expected=float(risks.mean()),
        orders=int(risks.size),
        missed=events,
        interval=exact_interval(events, int(risks.size)),
    )


def _words(bins: tuple[RiskBin, ...], risks: Values, missed: Values, requirement: Requirement) -> tuple[str, ...]:
    if not bins:
        return ("No order is known to have met or missed this yet.",)
    found = [_sentence(one) for one in bins]
    n, events, expected = risks.size, int(missed.sum()), float(risks.sum())
    low, high = (n * share for share in exact_interval(events, n))
    if low <= expected <= high:
        verdict = "the forecasts fit so far" + ("" if n >= 30 else ", but these are few orders")
    else:
        verdict = "the forecasts are too hopeful" if expected < low else "the forecasts are too gloomy"
    what = "something" if requirement is Requirement.ALL else requirement.value
    found.append(
        f"Of {_orders(n)} in all, {events} missed {what}; {expected:.1f} {'was' if expected == 1 else 'were'} "
        f"to be expected: {verdict}."
    )
    return tuple(found)


def _sentence(one: RiskBin) -> str:
    span = f"{one.low:.1%}" if one.low == one.high else f"{one.low:.1%} to {one.high:.1%}"
    verdict = "fits" if one.fits else "too hopeful" if one.expected < one.interval[0] else "too gloomy"
    return (
        f"Of {_orders(one.orders)} with a risk of {span}, {one.missed} missed; "
        f"{one.expected:.1%} was promised: {verdict}."
    )


def _orders(n: int) -> str:
    return f"{n} order{'' if n == 1 else 's'}"
