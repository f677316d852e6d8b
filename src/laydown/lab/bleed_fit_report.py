"""What a fit found, for people: inputs before and after, readings beside the model, what pulls, what contradicts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.forecast import Spread
from laydown.lab.bleed_fit import BleedFit
from laydown.lab.bleed_fit_doubts import doubts
from laydown.lab.evidence import SwatchEvidence
from laydown.lab.likelihood import left_out
from laydown.lab.offsets import stain_as_read
from laydown.lab.posterior import effective_size, normalised
from laydown.lab.reading_words import colour_words, grade_words
from laydown.models.bleed import bleed_inputs
from laydown.models.bleed_prior import BLEED_DIMENSIONS
from laydown.models.cloth import describe_cloth
from laydown.models.sampling import Z95, percentiles, spread_over

Values = NDArray[np.float64]

LEANS = 20.0
"""Without a reading on which all hangs fewer effective draws are left: what the rest says is then not told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InputTold:
    """One input before and after the readings.

    Attributes
    ----------
    prior, posterior : tuple of float
        5th, 50th and 95th percentile [SI]; for a capacity, which every ink has its own of, as a factor on the ink's.
    kept : float
        Share of the prior's standard deviation that is left, in its own spread: 1 means that nothing was learnt.
    """

    name: str
    prior: tuple[float, float, float]
    posterior: tuple[float, float, float]
    kept: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingTold:
    """One reading, or the mean of repeats, beside what the fit says of it.

    Attributes
    ----------
    swatch : int
    numbers : tuple of int
    about : str
        Part, time and kind, in words.
    read : float
        How far the dye moved the colour [ΔE], or the grade.
    predicted : Spread
        With the errors of readings and model.
    residual : float
        Read less predicted, by the standard deviation that both errors make.
    pull : float or None
        How far the forecast moves because of it, by the forecast's standard deviation; None where the draws hang on it
        so much that they do not tell.
    without : float or None
        Forecast (median, the report's ``day``) that the other readings alone would give.
    """

    swatch: int
    numbers: tuple[int, ...]
    about: str
    read: float
    predicted: Spread
    residual: float
    pull: float | None
    without: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BleedFitReport:
    """All of it.

    Attributes
    ----------
    inputs : tuple of InputTold
    readings : tuple of ReadingTold
        The one that pulls most comes first.
    day : float
        Day of ``forecast``.
    forecast : Spread or None
        Colour difference of the first swatch on that day [CIEDE2000]; None where there is no swatch.
    discrepancy : Spread
        Relative error that the model needs to meet the readings.
    conflicts : tuple of str
        What contradicts what, in sentences; empty when all agrees.
    unused : tuple of str
        Readings left out, each with its reason.
    effective : float
        Independent draws that the fit is worth.
    rounds, runs : int
    notes : tuple of str
    """

    inputs: tuple[InputTold, ...]
    readings: tuple[ReadingTold, ...]
    day: float
    forecast: Spread | None
    discrepancy: Spread
    conflicts: tuple[str, ...]
    unused: tuple[str, ...]
    effective: float
    rounds: int
    runs: int
    notes: tuple[str, ...]


def report_fit(fit: BleedFit, *, forecast: Values | None = None, day: float = 30.0) -> BleedFitReport:
    """Tell what a fit found.

    Parameters
    ----------
    fit : BleedFit
    forecast : ndarray, shape (draws,), optional
        Colour difference on ``day`` in each draw (`laydown.lab.bleed_fit.forecast_swatch`): how much a reading pulls
        is told by it. Left out: by the stain of the last reading.
    day : float
    """
    readings: list[ReadingTold] = []
    judged = forecast if forecast is not None else _last_stain(fit)
    for index, swatch in enumerate(fit.evidence.swatches):
        readings += _readings(fit, index, swatch, judged)
    readings.sort(key=lambda one: -(np.inf if one.pull is None else one.pull))
    return BleedFitReport(
        inputs=inputs_told(fit),
        readings=tuple(readings),
        day=day,
        forecast=percentiles(forecast) if forecast is not None else None,
        discrepancy=percentiles(fit.discrepancy),
        conflicts=doubts(fit),
        unused=fit.evidence.unused,
        effective=fit.effective,
        rounds=fit.rounds,
        runs=fit.runs,
        notes=fit.notes,
    )


def inputs_told(fit: BleedFit) -> tuple[InputTold, ...]:
    """Inputs of the bleed model before and after the readings."""
    inputs = bleed_inputs(describe_cloth(fit.evidence.garment))
    quantities = {
        "release": inputs.release,
        "release energy": inputs.release_energy,
        "reservoir depth": inputs.reservoir_depth,
        "dye strength": inputs.peak_absorption,
        "diffusion": inputs.diffusivity,
        "diffusion energy": inputs.diffusion_energy,
        "partition": inputs.partition,
        "reaction length": inputs.reaction_length,
    }
    found = []
    before = np.random.default_rng(0).standard_normal((4000, len(BLEED_DIMENSIONS)))
    before = fit.prior.mean + before @ fit.prior.factor().T
    for i, name in enumerate(BLEED_DIMENSIONS):
        old, new = before[:, i], fit.samples.normal(name)
        quantity = quantities.get(name)
        # An ink's capacity is its own; what is found is how far all of that kind are off what their sheets say.
        shown = [
            spread_over(quantity, z) if quantity is not None else np.exp(z / Z95 * np.log(2.5)) for z in (old, new)
        ]
        told = [tuple(float(x) for x in np.percentile(values, (5, 50, 95))) for values in shown]
        found.append(
            InputTold(
                name=name,
                prior=(told[0][0], told[0][1], told[0][2]),
                posterior=(told[1][0], told[1][1], told[1][2]),
                kept=float(new.std() / np.sqrt(fit.prior.covariance[i, i])),
            )
        )
    return tuple(found)


def _readings(fit: BleedFit, index: int, swatch: SwatchEvidence, judged: Values) -> list[ReadingTold]:
    observed, noise = fit.observed[index], fit.noise
    outputs = observed.outputs(fit.predictions[index])
    rng = np.random.default_rng(index)
    found: list[ReadingTold] = []
    stain = stain_as_read(observed, outputs, noise, fit.discrepancy)
    for point, members in enumerate(observed.members):
        spread = np.sqrt(noise.reading**2 / observed.repeats[point] + (fit.discrepancy * outputs.change[:, point]) ** 2)
        draws = outputs.change[:, point] + spread * rng.standard_normal(spread.size)
        read = float(np.median(stain[:, point]))
        seen = [swatch.colours[i] for i in members]
        pull, without = _pull(left_out(observed, outputs, noise, fit.discrepancy, point=point), judged)
        found.append(
            ReadingTold(
                swatch=swatch.swatch.number,
                numbers=tuple(one.number for one in seen),
                about=colour_words(swatch, seen[0]),
                read=read,
                predicted=percentiles(draws),
                residual=float(np.median((stain[:, point] - outputs.change[:, point]) / spread)),
                pull=pull,
                without=without,
            )
        )
    for i, graded in enumerate(swatch.grades):
        spread = np.hypot(noise.grade, fit.discrepancy * np.clip(5 - outputs.grade[:, i], 0.0, 1.45))
        draws = np.clip(outputs.grade[:, i] + spread * rng.standard_normal(spread.size), 1.0, 5.0)
        pull, without = _pull(left_out(observed, outputs, noise, fit.discrepancy, grade=i), judged)
        found.append(
            ReadingTold(
                swatch=swatch.swatch.number,
                numbers=(graded.number,),
                about=grade_words(swatch, graded),
                read=graded.grade,
                predicted=percentiles(draws),
                residual=float(np.median((graded.grade - np.clip(outputs.grade[:, i], 1, 5)) / spread)),
                pull=pull,
                without=without,
            )
        )
    return found


def _pull(log_alone: Values, judged: Values) -> tuple[float | None, float | None]:
    """How far a reading moves the forecast, and what it would be without: draws weighed as if it were not there."""
    weight = normalised(-log_alone)
    if effective_size(weight) < min(LEANS, 0.5 * weight.size):
        return None, None
    spread = float(judged.std())
    moved = abs(float(weight @ judged) - float(judged.mean())) / spread if spread > 0 else 0.0
    order = np.argsort(judged)
    middle = float(judged[order][np.searchsorted(np.cumsum(weight[order]), 0.5)])
    return moved, middle


def _last_stain(fit: BleedFit) -> Values:
    """Stain of the last colour that was read, or the last grade."""
    for observed, predicted in zip(fit.observed, fit.predictions, strict=True):
        outputs = observed.outputs(predicted)
        if outputs.change.shape[1]:
            return outputs.change[:, -1]
        if outputs.grade.shape[1]:
            return -outputs.grade[:, -1]
    return np.zeros(fit.samples.size)
