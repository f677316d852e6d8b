"""The readings of a lot as a problem of inference: standard normal inputs, runs of the models, likelihood."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.shop import Shop
from laydown.lab.evidence import Evidence
from laydown.lab.likelihood import Noise, Observed, Outputs, log_likelihoods, observe
from laydown.lab.prior import BleedPrior
from laydown.lab.surrogate import Surrogate
from laydown.lab.swatch_model import SwatchModel, SwatchPrediction
from laydown.models.bleed_prior import BLEED_DIMENSIONS
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

FARTHEST = 4.5
"""A position beyond this many deviations (seven in a million) is taken as there: models refuse absurd inputs."""

BEND = 0.5
"""Colour change [ΔE] from which on the surrogate works on its logarithm rather than on itself."""


class FitProblem:
    """What a fit samples: points are standard normal along `FITTED`, shape (n, len(FITTED)).

    Parameters
    ----------
    shop : Shop
    evidence : Evidence
    prior : BleedPrior
    noise : Noise
    first : int
        Prior points at which the models are run at once; they say in which direction the dye moves each colour.
    seed : int
    """

    def __init__(
        self, *, shop: Shop, evidence: Evidence, prior: BleedPrior, noise: Noise, first: int, seed: int
    ) -> None:
        self.evidence, self.prior, self.noise = evidence, prior, noise
        self.runs = 0
        self._seed = seed
        self._factor = prior.factor()
        self._models = [SwatchModel(shop, evidence.garment, one.swatch) for one in evidence.swatches]
        self._oven = read_table("calibration")["oven"]["temperature_error"]
        self.first_points = self._prior_points(first)
        self.first_predicted = self.predict(self.first_points)
        self.observed: tuple[Observed, ...] = tuple(
            observe(one, p, noise) for one, p in zip(evidence.swatches, self.first_predicted, strict=True)
        )

    def _prior_points(self, size: int) -> Values:
        """Prior points by a Latin hypercube, through the same columns as any other sample set."""
        drawn = sample_set(size, seed=self._seed + 1).points
        columns = [drawn[:, DIMENSIONS.index(name)] for name in (*BLEED_DIMENSIONS, *NUISANCES)]
        return np.column_stack([*columns, np.random.default_rng(self._seed + 3).standard_normal((size, 2))])

    def log_likelihood(self, points: Values) -> Values:
        """Logarithm of the true likelihood, up to nothing left out, shape (n,): one run of the models a point."""
        return np.asarray(self.likelihood(self.predict(points), points).sum(axis=1))

    def sample_points(self, points: Values) -> SampleSet:
        """Sample set of fitted points: bleed directions through the prior, all others as they are."""
        columns = sample_set(max(2, len(points)), seed=self._seed + 2).points[: len(points)].copy()
        points = np.clip(points, -FARTHEST, FARTHEST)
        bleed = self.prior.mean + points[:, : len(BLEED_DIMENSIONS)] @ self._factor.T
        for i, name in enumerate(BLEED_DIMENSIONS):
            columns[:, DIMENSIONS.index(name)] = bleed[:, i]
        for i, name in enumerate(NUISANCES, start=len(BLEED_DIMENSIONS)):
            columns[:, DIMENSIONS.index(name)] = points[:, i]
        return SampleSet(columns)

    def predict(self, points: Values) -> list[SwatchPrediction]:
        """Run the models: one prediction a swatch."""
        samples = self.sample_points(points)
        oven = self.oven_error(points)
        self.runs += len(points)
        return [
            model.predict(one, samples, oven) for model, one in zip(self._models, self.evidence.swatches, strict=True)
        ]

    def oven_error(self, points: Values) -> Values:
        """How much warmer the oven was than its dial, shape (n,) [K]."""
        return spread_over(self._oven, points[:, FITTED.index(OVEN)])

    def discrepancy(self, points: Values) -> Values:
        """Relative error of the model in the colour that dye brings, shape (n,)."""
        return spread_over(self.noise.discrepancy, points[:, FITTED.index(DISCREPANCY)])

    def likelihood(self, predicted: list[SwatchPrediction], points: Values) -> Values:
        """Log-likelihood of each group of colours and each grade of all swatches, shape (n, groups + grades)."""
        discrepancy = self.discrepancy(points)
        return np.concatenate(
            [
                log_likelihoods(o, o.outputs(p), self.noise, discrepancy)
                for o, p in zip(self.observed, predicted, strict=True)
            ],
            axis=1,
        )

    def reduced(self, predicted: list[SwatchPrediction]) -> Values:
        """All outputs side by side, changes bent so that small ones count as much as large ones."""
        parts = []
        for o, p in zip(self.observed, predicted, strict=True):
            out = o.outputs(p)
            parts += [np.arcsinh(out.change / BEND), out.clean, out.grade]
        return np.concatenate(parts, axis=1)

    def cheap(self, surrogate: Surrogate, points: Values) -> Values:
        """Log-likelihood by the surrogate, its own error counted as noise."""
        found = surrogate.predict(points[:, :FORWARD])
        discrepancy = self.discrepancy(points)
        total, start = np.zeros(len(points)), 0
        for o in self.observed:
            n, g, k = o.place.size, len(o.directions), o.grade.size
            change = BEND * np.sinh(found[:, start : start + n])
            error = surrogate.error[start : start + n] * np.hypot(change, BEND)
            out = Outputs(
                change=change,
                clean=found[:, start + n : start + n + g],
                grade=found[:, start + n + g : start + n + g + k],
            )
            total += log_likelihoods(o, out, self.noise, discrepancy, extra=error**2).sum(axis=1)
            start += n + g + k
        return total
