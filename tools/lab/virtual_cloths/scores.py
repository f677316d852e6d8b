"""How good the forecasts and the decisions of the study were, in numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from tools.lab.virtual_cloths import bench
from tools.lab.virtual_cloths.one_cloth import DAYS, LEVELS, LIMIT, Outcome

Values = NDArray[np.float64]

FORECASTS = ("swatch", "order", "prior")
"""Of the swatch itself after the fit, of an order by the plan after the test, of that order before it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Accuracy:
    """Accuracy of one forecast on a group of cloths; one entry a day of `DAYS`.

    Attributes
    ----------
    error : tuple of float
        Median of the absolute difference between the forecast's median and the truth [CIEDE2000].
    inside : tuple of int
        Truths inside the 90 % band.
    width : tuple of float
        Median width of the band.
    """

    cloths: int
    error: tuple[float, ...]
    inside: tuple[int, ...]
    width: tuple[float, ...]


def accuracy(outcomes: Sequence[Outcome], which: str) -> Accuracy:
    """Accuracy of a forecast, one of `FORECASTS`."""
    bands = np.array([getattr(one, which) for one in outcomes])
    truth = np.array([one.true_swatch if which == "swatch" else one.true_order for one in outcomes])
    low, middle, high = bands[:, :, 0], bands[:, :, 1], bands[:, :, 2]
    inside = (truth >= low) & (truth <= high)
    return Accuracy(
        cloths=len(outcomes),
        error=_floats(np.median(np.abs(middle - truth), axis=0)),
        inside=tuple(int(n) for n in inside.sum(axis=0)),
        width=_floats(np.median(high - low, axis=0)),
    )


def shares_below(outcomes: Sequence[Outcome], which: str, day: int) -> Values:
    """For each of `LEVELS`, how often the truth lay below that quantile of the forecast."""
    places = np.array([getattr(one, f"place_{which}")[day] for one in outcomes])
    return np.asarray((places[:, None] < LEVELS[None, :]).mean(axis=0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisions:
    """What the decisions on a group of cloths cost.

    Attributes
    ----------
    before, after, perfect : float
        Mean cost of an order: the white chosen by the forecast before the test, after it, and by who knows the truth.
    reprints_before, reprints_after, reprints_perfect : int
        Orders that missed their grade and were printed again.
    changed : int
        Orders for which the test changed the white.
    test : float
        Cost of the test.
    """

    orders: int
    before: float
    after: float
    perfect: float
    reprints_before: int
    reprints_after: int
    reprints_perfect: int
    changed: int
    test: float

    @property
    def worth(self) -> float:
        """What the test saves an order, before its own cost."""
        return self.before - self.after


def decisions(outcomes: Sequence[Outcome]) -> Decisions:
    """Choose a white by lowest expected cost, before the test, after it and knowing the truth; count what it costs."""
    factor = bench.shop().costs.reprint_factor
    costs = np.array([[bench.making(one.cloth, i) for i in range(len(one.grade))] for one in outcomes])
    missed = np.array([one.grade for one in outcomes]) < LIMIT - 0.25
    true = costs * (1 + factor * missed)
    chosen = [
        np.argmin(costs * (1 + factor * np.array([getattr(one, name) for one in outcomes])), axis=1)
        for name in ("risk_before", "risk_after")
    ]
    chosen.append(np.argmin(true, axis=1))
    rows = np.arange(len(outcomes))
    mean = [float(true[rows, one].mean()) for one in chosen]
    again = [int(missed[rows, one].sum()) for one in chosen]
    return Decisions(
        orders=len(outcomes),
        before=mean[0],
        after=mean[1],
        perfect=mean[2],
        reprints_before=again[0],
        reprints_after=again[1],
        reprints_perfect=again[2],
        changed=int((chosen[0] != chosen[1]).sum()),
        test=bench.test_cost(),
    )


def _floats(values: Values) -> tuple[float, ...]:
    return tuple(float(v) for v in values)


__all__ = ["DAYS", "FORECASTS", "Accuracy", "Decisions", "accuracy", "decisions", "shares_below"]
