"""Which uncertain input matters most, and what a test of it would be worth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.forecast import Driver
from laydown.models.sampling import DIMENSIONS, SampleSet

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestKind:
    """A test the shop can run, and the inputs it narrows."""

    __test__ = False

    name: str
    dimensions: tuple[str, ...]


TEST_KINDS = (
    TestKind(
        name="oven bleed test",
        dimensions=(
            "release",
            "release energy",
            "diffusion",
            "diffusion energy",
            "partition",
            "reservoir depth",
            "dye strength",
            "white capacity",
            "barrier capacity",
            "reaction length",
        ),
    ),
    TestKind(
        name="weighing before and after printing",
        dimensions=("mesh volume", "transfer", "wet hit", "solids", "surface fill", "roughness"),
    ),
    TestKind(name="drawdown over black and white", dimensions=("white scattering", "colour scattering")),
    TestKind(
        name="dryer probe",
        dimensions=(
            "panel temperature",
            "radiant exchange",
            "air coefficient",
            "cloth mass",
            "cloth conductivity",
            "moisture",
        ),
    ),
    TestKind(name="flash probe", dimensions=("flash exchange", "gel temperature")),
    TestKind(name="pile probe", dimensions=("pile conductivity", "pile density", "storage temperature")),
    TestKind(name="stretch test", dimensions=("elongation", "cloth stretch")),
    TestKind(name="wash test", dimensions=("fusion temperature",)),
)
"""Every input belongs to exactly one test."""


WORDS = (
    ("mesh volume", "what the mesh holds"),
    ("transfer", "how much of it one hit leaves"),
    ("wet hit", "how much a second hit on wet ink leaves"),
    ("solids", "how much of the ink stays in the film"),
    ("surface fill", "how much ink sinks into the cloth"),
    ("roughness", "how uneven the film lies"),
    ("white scattering", "how well the white covers"),
    ("colour scattering", "how well the colour covers"),
    ("panel temperature", "how far the dryer's dial is off"),
    ("radiant exchange", "how much of the panel's heat the garment takes"),
    ("air coefficient", "how much heat the dryer's air brings"),
    ("cloth mass", "how heavy the cloth is"),
    ("cloth conductivity", "how well the cloth conducts heat"),
    ("moisture", "how damp the cloth is"),
    ("flash exchange", "how much of the flash's heat the print takes"),
    ("gel temperature", "when the ink gels"),
    ("pile conductivity", "how well a pile conducts heat"),
    ("pile density", "how dense a pile is"),
    ("storage temperature", "how warm the garments are kept"),
    ("release", "how fast the cloth lets go of its dye"),
    ("release energy", "how much faster a hotter cloth lets go of it"),
    ("diffusion", "how fast the dye moves through the film"),
    ("diffusion energy", "how much faster it moves through a warmer film"),
    ("partition", "how the dye shares itself out between two inks"),
    ("reservoir depth", "how much dye lies near the cloth's surface"),
    ("dye strength", "how strongly the dye colours"),
    ("white capacity", "how much dye the white can hold"),
    ("barrier capacity", "how much dye the barrier can hold"),
    ("reaction length", "how deep dye gets into fresh blocker"),
    ("elongation", "how far the ink stretches"),
    ("cloth stretch", "how far the cloth stretches in wear"),
    ("fusion temperature", "when the ink is cured"),
)
"""Every direction of the samples in a printer's words, to be said before "matters most"."""


def words_for(dimension: str) -> str:
    """Direction in a printer's words; one that has none is returned as it is."""
    return dict(WORDS).get(dimension, dimension)


def test_for(dimension: str) -> str:
    """Name of the test that narrows an input."""
    return next(kind.name for kind in TEST_KINDS if dimension in kind.dimensions)


test_for.__test__ = False  # type: ignore[attr-defined]


def drivers(samples: SampleSet, outcome: Values, *, least: float = 0.02) -> tuple[Driver, ...]:
    """Share of an outcome's spread that each uncertain input explains, largest first.

    Parameters
    ----------
    samples : SampleSet
    outcome : ndarray, shape (size,)
    least : float
        Shares below this are left out.

    Returns
    -------
    tuple of Driver
        Empty when the outcome does not vary.

    Notes
    -----
    Squared rank correlation of the outcome with each input (inputs are drawn independently, so for a monotone outcome
    the squares add up to about one); what several inputs do only together is not credited to any of them. Inputs that
    a finding drew together are correlated, and their squares would count the same thing several times: their shares
    are relative weights (Johnson 2000), the squares of the nearest uncorrelated inputs, handed back to each input as
    far as it is made up of them. They add up to what the inputs explain together.
    """
    outcome = np.asarray(outcome, dtype=float)
    if np.ptp(outcome) <= 1e-9 * max(1.0, float(np.abs(outcome).max())):
        return ()
    ranks = _ranks(outcome)
    squares = []
    for name in DIMENSIONS:
        column = samples.normal(name)
        if np.ptp(column) == 0 or name in samples.joint:
            continue
        squares.append((float(np.corrcoef(_ranks(column), ranks)[0, 1]) ** 2, name))
    squares += _relative_weights(samples, ranks)
    found = [Driver(name=name, share=square, test=test_for(name)) for square, name in sorted(squares, reverse=True)]
    return tuple(d for d in found if d.share >= least)


def value_of_test(samples: SampleSet, kind: TestKind, costs: Values) -> float:
    """Expected saving from knowing a test's inputs exactly before choosing, per order.

    Parameters
    ----------
    samples : SampleSet
    kind : TestKind
    costs : ndarray, shape (stack, size)
        What each stack would cost in each sample, reprint included where the sample fails.

    Returns
    -------
    float
        Same money as ``costs``; an upper bound for a real, noisy test; never negative.

    Notes
    -----
    Expected value of partial perfect information by regression (Strong, Oakley and Brennan 2014): the cost of each
    stack is regressed on all inputs of the test together (linear and square terms; they may be correlated, as a finding
    leaves them); the saving is the mean of the smallest fitted cost against the smallest mean. A fit follows noise as
    well: what it finds in the residuals, shuffled against the inputs, is taken off in squares, as independent errors
    add. Squares are left out, and in the end the answer, when there are fewer than two samples for each term.
    """
    costs = np.asarray(costs, dtype=float)
    columns = [samples.normal(name) for name in kind.dimensions]
    terms = [[*columns, *(c**2 for c in columns)], columns]
    fitting = next((t for t in terms if samples.size >= 2 * (len(t) + 1)), None)
    if costs.shape[0] < 2 or fitting is None:
        return 0.0
    features = np.column_stack([np.ones(samples.size), *fitting])
    fitted = _fit(features, costs.T)
    residual = (costs.T - fitted) * np.sqrt(samples.size / (samples.size - features.shape[1]))
    shuffled = np.random.default_rng(0).permutation(samples.size)
    noise = _saving(costs.mean(axis=1) + _fit(features, residual[shuffled]))
    return float(np.sqrt(max(0.0, _saving(fitted) ** 2 - noise**2)))


def _relative_weights(samples: SampleSet, ranks: Values) -> list[tuple[float, str]]:
    """Share of the ranks' variance that each input explains which a finding drew together with others."""
    names = [name for name in samples.joint if np.ptp(samples.normal(name)) > 0]
    if not names:
        return []
    columns = np.column_stack([_ranks(samples.normal(name)) for name in names])
    standard = (columns - columns.mean(axis=0)) / (columns.std(axis=0) * np.sqrt(samples.size))
    left, values, right = np.linalg.svd(standard, full_matrices=False)
    outcome = (ranks - ranks.mean()) / (ranks.std() * np.sqrt(samples.size))
    apart = (left @ right).T @ outcome
    made_of = (right.T * values) @ right
    weights = made_of**2 @ apart**2
    return [(float(weight), name) for weight, name in zip(weights, names, strict=True)]


def _fit(features: Values, values: Values) -> Values:
    """Values at every sample by least squares on the features, shape of ``values``."""
    solution, *_ = np.linalg.lstsq(features, values, rcond=None)
    return np.asarray(features @ solution)


def _saving(costs: Values) -> float:
    """What choosing sample by sample saves against one choice for all, ``costs`` of shape (size, stack)."""
    return float(costs.mean(axis=0).min() - costs.min(axis=1).mean())


def _ranks(values: Values) -> Values:
    order = np.argsort(values, kind="stable")
    ranks = np.empty_like(values)
    ranks[order] = np.arange(values.size)
    return ranks
