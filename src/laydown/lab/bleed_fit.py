"""Fit the bleed model to the readings of one cloth lot: draws of its inputs that agree with them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.costs import Practice
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import Garment
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput
from laydown.lab.evidence import Evidence, Leg, SwatchRecord, gather
from laydown.lab.likelihood import Noise, Observed, Outputs, log_likelihoods, observe, usual_noise
from laydown.lab.posterior import (
    adapt,
    effective_size,
    normalised,
    prior_proposal,
    systematic,
)
from laydown.lab.prior import BleedPrior, plain_prior
from laydown.lab.surrogate import Surrogate, train
from laydown.lab.swatch_model import SwatchModel, SwatchPrediction
from laydown.models.appearance import visible_areas
from laydown.models.bleed_prior import BLEED_DIMENSIONS, FINDING_DIMENSIONS, prior_fingerprint
from laydown.models.sampling import DIMENSIONS, SampleSet, sample_set, spread_over

Values = NDArray[np.float64]

NUISANCES = (
    "mesh volume",
    "transfer",
    "wet hit",
    "solids",
    "surface fill",
    "roughness",
    "white scattering",
    "colour scattering",
    "panel temperature",
    "radiant exchange",
    "air coefficient",
    "cloth mass",
    "cloth conductivity",
    "moisture",
    "flash exchange",
    "pile conductivity",
    "pile density",
    "storage temperature",
)
"""Directions that move a swatch's colour beside those of bleed."""

OVEN, DISCREPANCY = "oven temperature", "discrepancy"
FITTED = (*BLEED_DIMENSIONS, *NUISANCES, OVEN, DISCREPANCY)
"""Directions of the fit, one standard normal each."""

FORWARD = len(FITTED) - 1
"""All but the last reach the models; the discrepancy only reaches the likelihood."""

FEW = 50.0
DRAWS = 400
"""Draws that a finding holds."""

MOST_TRAINED = 640
"""Points that a surrogate is trained on: the latest."""

BEND = 0.5
"""Colour change [ΔE] from which on the surrogate works on its logarithm rather than on itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How hard a fit tries.

    Attributes
    ----------
    first, second, later : int
        Runs of the models: at the prior, in the first round, in each round after it.
    rounds : int
        Most rounds.
    wanted : float
        Effective draws at which it is done; after the last round it stops all the same and says what it has.
    """

    first: int = 240
    second: int = 160
    later: int = 320
    rounds: int = 6
    wanted: float = 200.0


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
    log_likelihood : tuple of ndarray, shape (size, groups + grades)
        For each swatch.
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
    log_likelihood: tuple[Values, ...]
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
    The models are run at prior points, a surrogate is trained, a pool is drawn from the surrogate's posterior and the
    models are run on a part of it; this goes on until the weights true by surrogate leave enough effective draws.
    The draws rest on true runs only: docs/lab/calibration.md.
    """
    evidence = gather(shop, garment, records)
    fitter = _Fitter(
        shop=shop,
        evidence=evidence,
        prior=prior or plain_prior(),
        noise=noise or usual_noise(),
        effort=effort or Effort(),
        seed=seed,
    )
    return fitter.fit(draws)


def finding_of(fit: BleedFit, *, fitted_at: dt.datetime) -> ClothFinding:
    """Finding of the lot that was fitted, for the shop's plans; a lot that has no name counts as the cloth.

    Raises
    ------
    InvalidInput
        When ``fitted_at`` has no time zone, or the fit took other lots in: plans do that themselves
        (`laydown.models.bleed_pooling.finding_for`), and what they tell would count twice.
    """
    if fit.prior.readings:
        raise InvalidInput("a finding rests on the readings of one lot alone, and this fit took other lots in")
    garment = fit.evidence.garment
    return ClothFinding(
        level=Level.LOT if garment.lot.strip() else Level.CLOTH,
        garment=garment.name,
        lot=garment.lot.strip(),
        dye=garment.dye,
        dimensions=FINDING_DIMENSIONS,
        draws=tuple(tuple(float(x) for x in row) for row in fit.positions(FINDING_DIMENSIONS)),
        swatches=tuple(one.swatch.number for one in fit.evidence.swatches),
        readings=fit.evidence.readings,
        fitted_at=fitted_at,
        priors=prior_fingerprint(garment.dye, fit.practice),
        effective=fit.effective,
        notes=fit.notes,
    )


def forecast_swatch(
    shop: Shop, fit: BleedFit, record: SwatchRecord, days: tuple[float, ...], *, part: str = ""
) -> Values:
    """Colour difference of a swatch's lightest area on later days, after the fit, shape (draws, days) [CIEDE2000].

    Parameters
    ----------
    shop : Shop
    fit : BleedFit
        Its draws are joint: what it found of this print's film and heat is used as well. The model's own error is not
        in it (`BleedFit.discrepancy`).
    record : SwatchRecord
    days : tuple of float
        Days after the dryer, rising.
    part : str
        Part of the swatch whose life is followed; empty: one that was never warmed again.
    """
    from laydown.lab.evidence import holds_of, lightest_area
    from laydown.units import from_day

    assert record.swatch.stack is not None  # a swatch without a print has no forecast
    model = SwatchModel(shop, fit.evidence.garment, record.swatch)
    times = tuple(from_day(day) for day in days)
    areas = visible_areas(record.swatch.stack)
    area = areas[lightest_area(areas, shop.preferences.condition)]
    leg = Leg(part=part, holds=holds_of(record.protocol, part, times), times=times)
    return model.differences(leg, area, fit.samples, oven_error=fit.oven_error)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Round:
    """Points of one round, how often each was drawn, what the models say of them, and what they were drawn by."""

    points: Values
    count: Values
    true: Values
    predicted: list[SwatchPrediction]
    surrogate: Surrogate
    log_evidence: float


class _Fitter:
    """One fit on its way: runs of the models, surrogates, rounds."""

    def __init__(
        self, *, shop: Shop, evidence: Evidence, prior: BleedPrior, noise: Noise, effort: Effort, seed: int
    ) -> None:
        self._effort, self._practice = effort, shop.practice
        self._evidence, self._prior, self._noise = evidence, prior, noise
        self._rng = np.random.default_rng(seed)
        self._seed = seed
        self._factor = prior.factor()
        self._models = [SwatchModel(shop, evidence.garment, one.swatch) for one in evidence.swatches]
        self._oven = read_table("calibration")["oven"]["temperature_error"]
        self._observed: list[Observed] = []
        self._runs = 0

    def fit(self, draws: int) -> BleedFit:
        if not self._models:
            return self._prior_only(draws)
        points = self._first_points()
        predicted = self._predict(points)
        self._observed = [
            observe(one, p, self._noise) for one, p in zip(self._evidence.swatches, predicted, strict=True)
        ]
        trained_points, trained = points, self._reduced(predicted)
        proposal = prior_proposal(len(FITTED))
        kept: list[_Round] = []
        for number in range(1, self._effort.rounds + 1):
            surrogate = train(trained_points[-MOST_TRAINED:, :FORWARD], trained[-MOST_TRAINED:])
            pool = adapt(partial(self._cheap, surrogate), proposal, self._rng)
            proposal = pool.proposal
            drawn = systematic(pool.weight, self._effort.second if number == 1 else self._effort.later, self._rng)
            at, count = np.unique(drawn, return_counts=True)
            points = pool.points[at]
            predicted = self._predict(points)
            kept.append(
                _Round(
                    points=points,
                    count=count.astype(float),
                    true=self._likelihood(predicted, points).sum(axis=1),
                    predicted=predicted,
                    surrogate=surrogate,
                    log_evidence=pool.log_evidence,
                )
            )
            trained_points = np.concatenate([trained_points, points])
            trained = np.concatenate([trained, self._reduced(predicted)])
            weight = self._weights(kept)
            if number > 1 and effective_size(weight) >= self._effort.wanted:
                break
        return self._finish(kept, weight, draws)

    def _weights(self, rounds: list[_Round]) -> Values:
        """Weight of every point of every round, adding up to 1.

        Each point counts by its true likelihood beside the density that all rounds together drew it with (the balance
        heuristic): a round whose surrogate was poor does no harm to the others.
        """
        points = np.concatenate([one.points for one in rounds])
        drawn = [np.log(one.count.sum()) + self._cheap(one.surrogate, points) - one.log_evidence for one in rounds]
        count = np.concatenate([one.count for one in rounds])
        true = np.concatenate([one.true for one in rounds])
        return normalised(np.log(count) + true - np.logaddexp.reduce(drawn, axis=0))

    def _first_points(self) -> Values:
        """Prior points by a Latin hypercube, through the same columns as any other sample set."""
        drawn = sample_set(self._effort.first, seed=self._seed + 1).points
        columns = [drawn[:, DIMENSIONS.index(name)] for name in (*BLEED_DIMENSIONS, *NUISANCES)]
        return np.column_stack([*columns, self._rng.standard_normal((self._effort.first, 2))])

    def sample_points(self, points: Values) -> SampleSet:
        """Sample set of fitted points: bleed directions through the prior, all others as they are."""
        columns = sample_set(max(2, len(points)), seed=self._seed + 2).points[: len(points)].copy()
        bleed = self._prior.mean + points[:, : len(BLEED_DIMENSIONS)] @ self._factor.T
        for i, name in enumerate(BLEED_DIMENSIONS):
            columns[:, DIMENSIONS.index(name)] = bleed[:, i]
        for i, name in enumerate(NUISANCES, start=len(BLEED_DIMENSIONS)):
            columns[:, DIMENSIONS.index(name)] = points[:, i]
        return SampleSet(columns)

    def _predict(self, points: Values) -> list[SwatchPrediction]:
        samples = self.sample_points(points)
        oven = self._oven_error(points)
        self._runs += len(points)
        return [
            model.predict(one, samples, oven) for model, one in zip(self._models, self._evidence.swatches, strict=True)
        ]

    def _oven_error(self, points: Values) -> Values:
        return spread_over(self._oven, points[:, FITTED.index(OVEN)])

    def _discrepancy(self, points: Values) -> Values:
        return spread_over(self._noise.discrepancy, points[:, FITTED.index(DISCREPANCY)])

    def _likelihood(self, predicted: list[SwatchPrediction], points: Values) -> Values:
        discrepancy = self._discrepancy(points)
        return np.concatenate(
            [
                log_likelihoods(o, o.outputs(p), self._noise, discrepancy)
                for o, p in zip(self._observed, predicted, strict=True)
            ],
            axis=1,
        )

    def _reduced(self, predicted: list[SwatchPrediction]) -> Values:
        """All outputs side by side, changes bent so that small ones count as much as large ones."""
        parts = []
        for o, p in zip(self._observed, predicted, strict=True):
            out = o.outputs(p)
            parts += [np.arcsinh(out.change / BEND), out.clean, out.grade]
        return np.concatenate(parts, axis=1)

    def _cheap(self, surrogate: Surrogate, points: Values) -> Values:
        """Log-likelihood by the surrogate, its own error counted as noise."""
        found = surrogate.predict(points[:, :FORWARD])
        discrepancy = self._discrepancy(points)
        total, start = np.zeros(len(points)), 0
        for o in self._observed:
            n, g, k = o.place.size, len(o.directions), o.grade.size
            change = BEND * np.sinh(found[:, start : start + n])
            error = surrogate.error[start : start + n] * np.hypot(change, BEND)
            out = Outputs(
                change=change,
                clean=found[:, start + n : start + n + g],
                grade=found[:, start + n + g : start + n + g + k],
            )
            total += log_likelihoods(o, out, self._noise, discrepancy, extra=error**2).sum(axis=1)
            start += n + g + k
        return total

    def _finish(self, kept: list[_Round], weight: Values, draws: int) -> BleedFit:
        """Draw alike from the weighted points of all rounds."""
        points = np.concatenate([one.points for one in kept])
        at = self._rng.permutation(systematic(weight, draws, self._rng))
        predictions = [
            SwatchPrediction(
                colour=np.concatenate([one.predicted[i].colour for one in kept])[at],
                clean=np.concatenate([one.predicted[i].clean for one in kept])[at],
                grade=np.concatenate([one.predicted[i].grade for one in kept])[at],
            )
            for i in range(len(self._models))
        ]
        points = points[at]
        discrepancy = self._discrepancy(points)
        effective = effective_size(weight)
        notes = []
        if effective < FEW:
            notes.append(
                f"the draws are worth only {effective:.0f} independent ones after {len(kept)} rounds: "
                "read the bands as rough; contradicting or very many readings can cause that"
            )
        return BleedFit(
            evidence=self._evidence,
            prior=self._prior,
            samples=self.sample_points(points),
            oven_error=self._oven_error(points),
            discrepancy=discrepancy,
            log_likelihood=tuple(
                log_likelihoods(o, o.outputs(p), self._noise, discrepancy)
                for o, p in zip(self._observed, predictions, strict=True)
            ),
            predictions=tuple(predictions),
            observed=tuple(self._observed),
            noise=self._noise,
            practice=self._practice,
            effective=effective,
            rounds=len(kept),
            runs=self._runs,
            notes=tuple(notes),
        )

    def _prior_only(self, draws: int) -> BleedFit:
        drawn = sample_set(max(2, draws), seed=self._seed + 1).points
        columns = [drawn[:, DIMENSIONS.index(name)] for name in (*BLEED_DIMENSIONS, *NUISANCES)]
        points = np.column_stack([*columns, self._rng.standard_normal((len(drawn), 2))])
        return BleedFit(
            evidence=self._evidence,
            prior=self._prior,
            samples=self.sample_points(points),
            oven_error=self._oven_error(points),
            discrepancy=self._discrepancy(points),
            log_likelihood=(),
            predictions=(),
            observed=(),
            noise=self._noise,
            practice=self._practice,
            effective=float(len(drawn)),
            rounds=0,
            runs=0,
            notes=("there is no reading to fit to: this is what was known before",),
        )
