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
        ),
    ),
    TestKind(
        name="weighing before and after printing", dimensions=("transfer", "wet hit", "surface fill", "roughness")
    ),
    TestKind(name="drawdown over black and white", dimensions=("white scattering", "colour scattering")),
    TestKind(
        name="dryer probe",
        dimensions=("panel temperature", "radiant exchange", "air coefficient", "cloth conductivity", "moisture"),
    ),
    TestKind(name="flash probe", dimensions=("flash exchange",)),
    TestKind(name="pile probe", dimensions=("pile conductivity", "storage temperature")),
    TestKind(name="stretch test", dimensions=("elongation", "cloth stretch")),
    TestKind(name="wash test", dimensions=("fusion temperature",)),
)
"""Every input belongs to exactly one test."""


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
    Squared rank correlation of the outcome with each input (the inputs are drawn independently, so for a
    monotone outcome the squares add up to about one); what several inputs do only together is not credited
    to any of them.
    """
    outcome = np.asarray(outcome, dtype=float)
    if np.ptp(outcome) <= 1e-9 * max(1.0, float(np.abs(outcome).max())):
        return ()
    ranks = _ranks(outcome)
    squares = []
    for name in DIMENSIONS:
        column = samples.normal(name)
        if np.ptp(column) == 0:
            continue
        squares.append((float(np.corrcoef(_ranks(column), ranks)[0, 1]) ** 2, name))
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
    stack is regressed on the test's inputs (linear and square terms); the saving is the mean of the smallest
    fitted cost against the smallest mean.
    """
    costs = np.asarray(costs, dtype=float)
    if costs.shape[0] < 2:
        return 0.0
    columns = [samples.normal(name) for name in kind.dimensions]
    features = np.column_stack([np.ones(samples.size), *columns, *(c**2 for c in columns)])
    solution, *_ = np.linalg.lstsq(features, costs.T, rcond=None)
    fitted = features @ solution
    saving = float(fitted.mean(axis=0).min() - fitted.min(axis=1).mean())
    # A regression on nothing but noise still finds a saving: take off what it finds on shuffled inputs.
    shuffled = np.random.default_rng(0).permutation(samples.size)
    null, *_ = np.linalg.lstsq(features[shuffled], costs.T, rcond=None)
    noise_fit = features[shuffled] @ null
    noise = float(noise_fit.mean(axis=0).min() - noise_fit.min(axis=1).mean())
    return max(0.0, saving - noise)


def _ranks(values: Values) -> Values:
    order = np.argsort(values, kind="stable")
    ranks = np.empty_like(values)
    ranks[order] = np.arange(values.size)
    return ranks
