"""Fit the bleed model to the readings of one cloth lot: draws of its inputs that agree with them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Practice
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import Garment, History
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput
from laydown.lab.evidence import Evidence, Leg, SwatchRecord, gather, holds_of, lightest_area
from laydown.lab.likelihood import Noise, Observed, usual_noise
from laydown.lab.model_error import later_error, with_model_error
from laydown.lab.prior import BleedPrior, plain_prior
from laydown.lab.problem import FitProblem
from laydown.lab.rounds import Effort, Sampled, sample_posterior
from laydown.lab.swatch_model import SwatchModel, SwatchPrediction
from laydown.models.appearance import visible_areas
from laydown.models.bleed import bleed_inputs
from laydown.models.bleed_prior import BLEED_DIMENSIONS, FINDING_DIMENSIONS, prior_fingerprint
from laydown.models.cloth import describe_cloth
from laydown.models.sampling import SampleSet
from laydown.units import from_day

Values = NDArray[np.float64]

FEW = 50.0
"""Effective draws below which a fit says so."""

DRAWS = 400
"""Draws that a finding holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BleedFit:
    """Posterior of one cloth lot.

    Attributes
    ----------
    evidence : Evidence
    prior : BleedPrior
        What was known before: of no test, or of other lots and cloths.
    samples : SampleSet
        Joint draws along all `DIMENSIONS`, alike in weight.
    oven_error : ndarray, shape (size,)
        How much warmer the oven was than its dial [K].
    discrepancy : ndarray, shape (size,)
        Relative error of the model in the colour that dye brings.
    predictions : tuple of SwatchPrediction
        For each swatch, at the draws.
    observed : tuple of Observed
    noise : Noise
    practice : Practice
        What the shop had weighed when it was fitted.
    effective : float
        Independent draws that the draws are worth.
    rounds, runs : int
        Rounds of the sampler, and how often the models were run.
    notes : tuple of str
    """

    evidence: Evidence
    prior: BleedPrior
    samples: SampleSet
    oven_error: Values
    discrepancy: Values
    predictions: tuple[SwatchPrediction, ...]
    observed: tuple[Observed, ...]
    noise: Noise
    practice: Practice
    effective: float
    rounds: int
    runs: int
    notes: tuple[str, ...]

    def positions(self, dimensions: tuple[str, ...] = BLEED_DIMENSIONS) -> Values:
        """Draws along the named directions, shape (size, directions)."""
        return np.column_stack([self.samples.normal(name) for name in dimensions])


def fit_bleed(
    shop: Shop,
    garment: Garment,
    records: tuple[SwatchRecord, ...],
    *,
    prior: BleedPrior | None = None,
    noise: Noise | None = None,
    effort: Effort | None = None,
    draws: int = DRAWS,
    seed: int = 0,
) -> BleedFit:
    """Fit the bleed model to all swatches of one cloth lot.

    Parameters
    ----------
    shop : Shop
        Its dryers, presses, climate and practice made the swatches.
    garment : Garment
        The cloth, with the lot that was tested in ``garment.lot``.
    records : tuple of SwatchRecord
        Swatches with their protocols and readings; what cannot be used is told in ``evidence.unused``.
    prior : BleedPrior, optional
        What other lots and cloths tell (`laydown.lab.pooling.prior_from`); left out: the shipped tables alone.
    noise : Noise, optional
        Errors of readings and model; left out: `usual_noise`.
    effort : Effort, optional
    draws : int
        Draws to keep.
    seed : int
        The same seed gives the same draws.

    Returns
    -------
    BleedFit
        Without usable readings the prior itself.

    Notes
    -----
    See `laydown.lab.rounds.sample_posterior` and docs/lab/calibration.md.
    """
    evidence = gather(shop, garment, records)
    effort = effort or Effort()
    first = effort.first if evidence.swatches else max(2, draws)
    problem = FitProblem(
        shop=shop,
        evidence=evidence,
        prior=prior or plain_prior(),
        noise=noise or usual_noise(),
        first=first,
        seed=seed,
    )
    if not evidence.swatches:
        notes: tuple[str, ...] = ("there is no reading to fit to: this is what was known before",)
        return _fitted(shop, problem, Sampled(points=problem.first_points, predicted=(), effective=first), notes)
    found = sample_posterior(problem, effort, draws, np.random.default_rng(seed))
    notes = ()
    if found.effective < FEW:
        notes = (
            (
                f"the draws are worth only {found.effective:.0f} independent ones after {found.rounds} rounds: "
                "read the bands as rough; contradicting or very many readings can cause that"
            ),
        )
    return _fitted(shop, problem, found, notes)


def _fitted(shop: Shop, problem: FitProblem, found: Sampled, notes: tuple[str, ...]) -> BleedFit:
    return BleedFit(
        evidence=problem.evidence,
        prior=problem.prior,
        samples=problem.sample_points(found.points),
        oven_error=problem.oven_error(found.points),
        discrepancy=problem.discrepancy(found.points),
        predictions=found.predicted,
        observed=problem.observed,
        noise=problem.noise,
        practice=shop.practice,
        effective=found.effective,
        rounds=found.rounds,
        runs=problem.runs,
        notes=notes,
    )


def finding_of(fit: BleedFit, *, fitted_at: dt.datetime) -> ClothFinding:
    """Finding of the lot that was fitted, for the shop's plans; a lot that has no name counts as the cloth.

    The model's own error is put on the dye's strength, so that plans have it in their bands.

    Raises
    ------
    InvalidInput
        When ``fitted_at`` has no time zone, or the fit took other lots in: plans do that themselves
        (`laydown.models.bleed_pooling.finding_for`), and what they tell would count twice.
    """
    if fit.prior.readings:
        raise InvalidInput("a finding rests on the readings of one lot alone, and this fit took other lots in")
    garment = fit.evidence.garment
    draws = fit.positions(FINDING_DIMENSIONS)
    at = FINDING_DIMENSIONS.index("dye strength")
    unknown = describe_cloth(replace(garment, history=History.NEVER_PRINTED))
    prior = bleed_inputs(unknown).peak_absorption
    if fit.evidence.swatches:
        draws[:, at] = with_model_error(draws[:, at], prior, fit.discrepancy, np.random.default_rng(0))
    return ClothFinding(
        level=Level.LOT if garment.lot.strip() else Level.CLOTH,
        garment=garment.name,
        lot=garment.lot.strip(),
        dye=garment.dye,
        dimensions=FINDING_DIMENSIONS,
        draws=tuple(tuple(float(x) for x in row) for row in draws),
        swatches=tuple(one.swatch.number for one in fit.evidence.swatches),
        readings=fit.evidence.readings,
        fitted_at=fitted_at,
        priors=prior_fingerprint(garment.dye, fit.practice),
        effective=fit.effective,
        notes=fit.notes,
    )


def forecast_swatch(
    shop: Shop,
    fit: BleedFit,
    record: SwatchRecord,
    days: tuple[float, ...],
    *,
    part: str = "",
    model_error: bool = False,
    curve: bool = False,
) -> Values:
    """Colour difference of a swatch's lightest area on later days, after the fit, shape (draws, days) [CIEDE2000].

    Parameters
    ----------
    shop : Shop
    fit : BleedFit
        Its draws are joint: what it found of this print's film and heat is used as well.
    record : SwatchRecord
    days : tuple of float
        Days after the dryer, rising.
    part : str
        Part of the swatch whose life is followed; empty: one that was never warmed again.
    model_error : bool
        Whether the model's own error is put on it, as far as the swatch's readings leave it open: without it the bands
        are those of a perfect model.
    curve : bool
        Whether the days are points of one curve to be drawn, so that the error makes no steps between them.
    """
    assert record.swatch.stack is not None  # a swatch without a print has no forecast
    model = SwatchModel(shop, fit.evidence.garment, record.swatch)
    times = tuple(from_day(day) for day in days)
    areas = visible_areas(record.swatch.stack)
    area = areas[lightest_area(areas, shop.preferences.condition)]
    leg = Leg(part=part, holds=holds_of(record.protocol, part, times), times=times)
    found = model.differences(leg, area, fit.samples, oven_error=fit.oven_error)
    numbers = [one.swatch.number for one in fit.evidence.swatches]
    if not model_error or record.swatch.number not in numbers:
        return found
    at = numbers.index(record.swatch.number)
    outputs = fit.observed[at].outputs(fit.predictions[at])
    rng = np.random.default_rng(record.swatch.number)
    error = later_error(fit.observed[at], outputs, fit.noise, fit.discrepancy, days=len(days), curve=curve, rng=rng)
    return found * (1 + error)
