"""Rounds of a fit: train a surrogate, draw from its posterior, run the true models there, weigh; until it is enough."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from laydown.lab.posterior import adapt, effective_size, normalised, prior_proposal, systematic
from laydown.lab.problem import FITTED, FORWARD, FitProblem
from laydown.lab.surrogate import Surrogate, train
from laydown.lab.swatch_model import SwatchPrediction

Values = NDArray[np.float64]

MOST_TRAINED = 640
"""Points that a surrogate is trained on: the latest."""


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
class Sampled:
    """Draws of a posterior, alike in weight.

    Attributes
    ----------
    points : ndarray, shape (draws, len(FITTED))
    predicted : tuple of SwatchPrediction
        For each swatch, at the points.
    effective : float
        Independent draws that they are worth.
    rounds : int
    """

    points: Values
    predicted: tuple[SwatchPrediction, ...]
    effective: float
    rounds: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Round:
    """Points of one round, how often each was drawn, what the models say of them, and what they were drawn by."""

    points: Values
    count: Values
    true: Values
    predicted: list[SwatchPrediction]
    surrogate: Surrogate
    log_evidence: float


def sample_posterior(problem: FitProblem, effort: Effort, draws: int, rng: np.random.Generator) -> Sampled:
    """Draw from the posterior.

    Parameters
    ----------
    problem : FitProblem
    effort : Effort
    draws : int
    rng : Generator

    Returns
    -------
    Sampled

    Notes
    -----
    A surrogate is trained on the runs so far, a pool is drawn from its posterior, the models are run on a part of the
    pool, and so on. The draws rest on true runs alone: each counts by its true likelihood beside the density that all
    rounds drew it with, so a poor surrogate costs effective draws, not truth.
    """
    points, trained = problem.first_points, problem.reduced(problem.first_predicted)
    proposal = prior_proposal(len(FITTED))
    kept: list[_Round] = []
    weight = np.zeros(0)
    for number in range(1, effort.rounds + 1):
        surrogate = train(points[-MOST_TRAINED:, :FORWARD], trained[-MOST_TRAINED:])
        pool = adapt(partial(problem.cheap, surrogate), proposal, rng)
        proposal = pool.proposal
        drawn = systematic(pool.weight, effort.second if number == 1 else effort.later, rng)
        at, count = np.unique(drawn, return_counts=True)
        new = pool.points[at]
        predicted = problem.predict(new)
        kept.append(
            _Round(
                points=new,
                count=count.astype(float),
                true=problem.likelihood(predicted, new).sum(axis=1),
                predicted=predicted,
                surrogate=surrogate,
                log_evidence=pool.log_evidence,
            )
        )
        points = np.concatenate([points, new])
        trained = np.concatenate([trained, problem.reduced(predicted)])
        weight = _weights(problem, kept)
        if number > 1 and effective_size(weight) >= effort.wanted:
            break
    return _alike(kept, weight, draws, rng)


def _weights(problem: FitProblem, rounds: list[_Round]) -> Values:
    """Weight of every point of every round, adding up to 1.

    By the balance heuristic (Veach and Guibas 1995): a point's density is that of all rounds together, so a round whose
    surrogate was poor does no harm to the others.
    """
    points = np.concatenate([one.points for one in rounds])
    drawn = [np.log(one.count.sum()) + problem.cheap(one.surrogate, points) - one.log_evidence for one in rounds]
    count = np.concatenate([one.count for one in rounds])
    true = np.concatenate([one.true for one in rounds])
    return normalised(np.log(count) + true - np.logaddexp.reduce(drawn, axis=0))


def _alike(rounds: list[_Round], weight: Values, draws: int, rng: np.random.Generator) -> Sampled:
    """Draw alike from the weighted points of all rounds."""
    points = np.concatenate([one.points for one in rounds])
    at = rng.permutation(systematic(weight, draws, rng))
    predicted = tuple(
        SwatchPrediction(
            colour=np.concatenate([one.predicted[i].colour for one in rounds])[at],
            clean=np.concatenate([one.predicted[i].clean for one in rounds])[at],
            grade=np.concatenate([one.predicted[i].grade for one in rounds])[at],
        )
        for i in range(len(rounds[0].predicted))
    )
    return Sampled(points=points[at], predicted=predicted, effective=effective_size(weight), rounds=len(rounds))
