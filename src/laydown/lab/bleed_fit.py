"""Fit the bleed model to the readings of one cloth lot: draws of its inputs that agree with them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import Garment
from laydown.domain.shop import Shop
from laydown.lab.evidence import Evidence, Leg, SwatchEvidence, SwatchRecord, gather
from laydown.lab.likelihood import Noise, Observed, Outputs, log_likelihoods, observe, usual_noise
from laydown.lab.posterior import (
    Pool,
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
from laydown.models.bleed_prior import BLEED_DIMENSIONS, prior_fingerprint
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

FIRST_RUNS, NEXT_RUNS, LAST_RUNS = 240, 160, 400
MOST_ROUNDS = 5
WANTED = 200.0
"""Effective draws at which a fit is done; after `MOST_ROUNDS` rounds it stops all the same and says what it has."""

FEW = 50.0
DRAWS = 400
"""Draws that a finding holds."""

MOST_TRAINED = 640
"""Points that a surrogate is trained on: the latest."""

BEND = 0.5
"""Colour change [ΔE] from which on the surrogate works on its logarithm rather than on itself."""


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
    effective: float
    rounds: int
    runs: int
    notes: tuple[str, ...]

    @property
    def positions(self) -> Values:
        """Draws along `BLEED_DIMENSIONS`, shape (size, 10)."""
        return np.column_stack([self.samples.normal(name) for name in BLEED_DIMENSIONS])


def fit_bleed(
    shop: Shop,
    garment: Garment,
    records: tuple[SwatchRecord, ...],
    *,
    prior: BleedPrior | None = None,
    noise: Noise | None = None,
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
    models are run on a part of it; this goes on until the weights true by surrogate leave `WANTED` effective draws.
    The draws rest on true runs only: docs/lab/calibration.md.
    """
    evidence = gather(shop, garment, records)
    fitter = _Fitter(
        shop=shop, evidence=evidence, prior=prior or plain_prior(), noise=noise or usual_noise(), seed=seed
    )
    return fitter.fit(draws)


def finding_of(fit: BleedFit, *, fitted_at: dt.datetime) -> ClothFinding:
    """Finding of the lot that was fitted, for the shop's plans; a lot that has no name counts as the cloth.

    Raises
    ------
    InvalidInput
        When ``fitted_at`` has no time zone.
    """
    garment = fit.evidence.garment
    return ClothFinding(
        level=Level.LOT if garment.lot.strip() else Level.CLOTH,
        garment=garment.name,
        lot=garment.lot.strip(),
        dye=garment.dye,
        dimensions=BLEED_DIMENSIONS,
        draws=tuple(tuple(float(x) for x in row) for row in fit.positions),
        swatches=tuple(one.swatch.number for one in fit.evidence.swatches),
        readings=fit.evidence.readings,
        fitted_at=fitted_at,
        priors=prior_fingerprint(garment.dye),
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


class _Fitter:
    """One fit on its way: runs of the models, surrogates, rounds."""

    def __init__(self, *, shop: Shop, evidence: Evidence, prior: BleedPrior, noise: Noise, seed: int) -> None:
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
        kept: list[tuple[Values, Values, list[SwatchPrediction], float]] = []
        rounds = 0
        for rounds in range(1, MOST_ROUNDS + 1):
            surrogate = train(trained_points[-MOST_TRAINED:, :FORWARD], trained[-MOST_TRAINED:])
            pool = adapt(partial(self._cheap, surrogate), proposal, self._rng)
            proposal = pool.proposal
            points, count, cheap = self._choose(pool, NEXT_RUNS if rounds == 1 else LAST_RUNS, surrogate)
            predicted = self._predict(points)
            true = self._likelihood(predicted, points).sum(axis=1)
            weight = count * np.exp(_capped(true - cheap))
            weight /= weight.sum()
            kept.append((points, weight, predicted, effective_size(weight)))
            trained_points = np.concatenate([trained_points, points])
            trained = np.concatenate([trained, self._reduced(predicted)])
            if sum(size for *_, size in kept) >= WANTED and kept[-1][-1] >= WANTED / 2:
                break
        return self._finish(kept, rounds, draws)

    def _first_points(self) -> Values:
        """Prior points by a Latin hypercube, through the same columns as any other sample set."""
        drawn = sample_set(FIRST_RUNS, seed=self._seed + 1).points
        columns = [drawn[:, DIMENSIONS.index(name)] for name in (*BLEED_DIMENSIONS, *NUISANCES)]
        return np.column_stack([*columns, self._rng.standard_normal((FIRST_RUNS, 2))])

    def _choose(self, pool: Pool, size: int, surrogate: Surrogate) -> tuple[Values, Values, Values]:
        """Points of the pool to run the models at, how often each was drawn, and their cheap log-likelihood."""
        drawn = systematic(pool.weight, size, self._rng)
        at, count = np.unique(drawn, return_counts=True)
        points = pool.points[at]
        return points, count.astype(float), self._cheap(surrogate, points)

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

    def _finish(
        self, kept: list[tuple[Values, Values, list[SwatchPrediction], float]], rounds: int, draws: int
    ) -> BleedFit:
        """Put the rounds together, each by its effective size, and draw alike."""
        sizes = np.array([size for *_, size in kept])
        share = sizes / sizes.sum()
        weight = np.concatenate([s * w for s, (_, w, _, _) in zip(share, kept, strict=True)])
        points = np.concatenate([p for p, *_ in kept])
        at = systematic(weight, draws, self._rng)
        at = self._rng.permutation(at)
        predictions = [
            SwatchPrediction(
                colour=np.concatenate([k[2][i].colour for k in kept])[at],
                clean=np.concatenate([k[2][i].clean for k in kept])[at],
                grade=np.concatenate([k[2][i].grade for k in kept])[at],
            )
            for i in range(len(self._models))
        ]
        points = points[at]
        discrepancy = self._discrepancy(points)
        effective = min(float(sizes.sum()), effective_size(weight))
        notes = []
        if effective < FEW:
            notes.append(
                f"the draws are worth only {effective:.0f} independent ones after {rounds} rounds: "
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
            effective=effective,
            rounds=rounds,
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
            effective=float(len(drawn)),
            rounds=0,
            runs=0,
            notes=("there is no reading to fit to: this is what was known before",),
        )


def _capped(log_ratio: Values) -> Values:
    """Keep ratios within what a double holds; only their differences count."""
    return np.asarray(log_ratio - log_ratio.max())


__all__ = ["BleedFit", "SwatchEvidence", "finding_of", "fit_bleed", "forecast_swatch", "normalised"]
