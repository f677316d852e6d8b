"""Check of the fit on itself: truths drawn from the prior lie anywhere among the draws of their posterior.

Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari and Gelman 2018): a truth is drawn from the prior,
readings are simulated for it and fitted. Over many truths the rank of the truth among the draws is uniform, in every
direction and for every quantity that follows from them, when sampler and likelihood are right.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.garment import Garment
from laydown.domain.protocol import Protocol
from laydown.domain.shop import Shop
from laydown.domain.swatch import Swatch
from laydown.lab.bleed_fit import fit_bleed, forecast_swatch
from laydown.lab.evidence import Leg, SwatchRecord, holds_of, lightest_area
from laydown.lab.likelihood import usual_noise
from laydown.lab.problem import DISCREPANCY, FITTED, OVEN
from laydown.lab.rounds import Effort
from laydown.lab.simulated import Truth, simulated_record
from laydown.lab.swatch_model import SwatchModel
from laydown.models.appearance import visible_areas
from laydown.models.bleed_prior import BLEED_DIMENSIONS
from laydown.models.sampling import corner_set, spread_over
from laydown.units import from_day

Values = NDArray[np.float64]

THINNED = 63
"""Draws that a truth is ranked among: 64 ranks."""

DAY = 30.0
FORECAST = f"colour difference on day {DAY:g}"
QUICK = Effort(first=160, second=120, later=160, rounds=6, wanted=120.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranks:
    """Ranks of the truth, 0 to ``THINNED``; one row a case, one column a quantity.

    Attributes
    ----------
    quantities : tuple of str
    ranks : ndarray of int, shape (cases, quantities)
    effective : ndarray, shape (cases,)
        Independent draws that each fit was worth.
    inside : ndarray of bool, shape (cases,)
        Whether the 90 % band of the forecast held the truth's.
    """

    quantities: tuple[str, ...]
    ranks: NDArray[np.int64]
    effective: Values
    inside: NDArray[np.bool_]

    def p_values(self, *, bins: int = 8) -> dict[str, float]:
        """Chance of ranks as uneven as these or more, by a chi-square test in equal bins, for each quantity."""
        from scipy.stats import chisquare

        cut = self.ranks * bins // (THINNED + 1)
        return {
            name: float(chisquare(np.bincount(cut[:, i], minlength=bins)).pvalue)
            for i, name in enumerate(self.quantities)
        }


def rank_check(
    shop: Shop,
    garment: Garment,
    swatch: Swatch,
    protocol: Protocol,
    *,
    cases: int,
    seed: int = 0,
    effort: Effort = QUICK,
) -> Ranks:
    """Draw truths, simulate their readings, fit them, and rank the truths among the draws.

    Parameters
    ----------
    shop, garment, swatch, protocol
        The swatch that is simulated.
    cases : int
    seed : int
    effort : Effort
    """
    rng = np.random.default_rng(seed)
    quantities = (*BLEED_DIMENSIONS, DISCREPANCY, FORECAST)
    ranks = np.zeros((cases, len(quantities)), dtype=np.int64)
    effective, inside = np.zeros(cases), np.zeros(cases, dtype=bool)
    noise = usual_noise()
    for case in range(cases):
        truth = Truth(positions=dict(zip(FITTED, rng.standard_normal(len(FITTED)).tolist(), strict=True)))
        record = simulated_record(shop, garment, swatch, protocol, truth, rng=rng)
        fit = fit_bleed(shop, garment, (record,), effort=effort, seed=seed * 100_000 + case)
        forecast = forecast_swatch(shop, fit, record, (DAY,))[:, 0]
        true_forecast = _true_forecast(shop, garment, record, truth)
        draws = np.column_stack([fit.positions(), fit.discrepancy, forecast])
        true = [truth.positions[name] for name in BLEED_DIMENSIONS]
        true += [float(spread_over(noise.discrepancy, truth.of(DISCREPANCY))[0]), true_forecast]
        taken = draws[rng.choice(len(draws), THINNED, replace=False)]
        ranks[case] = (taken < np.array(true)).sum(axis=0)
        effective[case] = fit.effective
        low, high = np.percentile(forecast, (5, 95))
        inside[case] = low <= true_forecast <= high
    return Ranks(quantities=quantities, ranks=ranks, effective=effective, inside=inside)


def _true_forecast(shop: Shop, garment: Garment, record: SwatchRecord, truth: Truth) -> float:
    """Colour difference of the swatch on `DAY` under the truth."""
    assert record.swatch.stack is not None  # it was simulated
    areas = visible_areas(record.swatch.stack)
    times = (from_day(DAY),)
    leg = Leg(part="", holds=holds_of(record.protocol, "", times), times=times)
    samples = corner_set(({k: v for k, v in truth.positions.items() if k not in {OVEN, DISCREPANCY}},))
    oven = spread_over(read_table("calibration")["oven"]["temperature_error"], truth.of(OVEN))
    area = areas[lightest_area(areas, shop.preferences.condition)]
    return float(SwatchModel(shop, garment, record.swatch).differences(leg, area, samples, oven_error=oven)[0, 0])
