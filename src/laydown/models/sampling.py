"""Samples of uncertain inputs: the same points for every stack, so that stacks are compared like with like."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from laydown.domain.finding import ClothFinding
from laydown.domain.forecast import Spread
from laydown.domain.quantity import Quantity
from laydown.errors import InvalidInput

Samples = NDArray[np.float64]

Z95 = 1.6448536269514722
"""Standard normal quantile at 95 %: an interval of 90 % reaches this many deviations to either side."""

DIMENSIONS = (
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
    "gel temperature",
    "pile conductivity",
    "pile density",
    "storage temperature",
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
    "elongation",
    "cloth stretch",
    "fusion temperature",
)
"""Every direction in which an input can be off; one column each."""


@dataclass(frozen=True, slots=True)
class SampleSet:
    """Standard normal points, one column a dimension.

    Attributes
    ----------
    points : ndarray, shape (size, len(DIMENSIONS))
    joint : tuple of str
        Dimensions that were drawn together by a finding (`conditioned`); along all others draws are independent.
    """

    points: Samples
    joint: tuple[str, ...] = ()
    _column: Mapping[str, int] = field(default_factory=lambda: {name: i for i, name in enumerate(DIMENSIONS)})

    @property
    def size(self) -> int:
        """Number of samples."""
        return int(self.points.shape[0])

    def normal(self, dimension: str) -> Samples:
        """Standard normal values of one dimension, shape (size,)."""
        return self.points[:, self._column[dimension]]

    def of(self, quantity: Quantity, dimension: str) -> Samples:
        """Values of a quantity along a dimension, shape (size,); see `spread_over`."""
        return spread_over(quantity, self.normal(dimension))


def sample_set(size: int = 256, *, seed: int = 20240229) -> SampleSet:
    """Draw a Latin hypercube sample (McKay, Beckman and Conover 1979) of standard normal values.

    Parameters
    ----------
    size : int
        Number of samples, at least 2.
    seed : int
        The same seed gives the same set.

    Raises
    ------
    InvalidInput
        When the size is below 2.

    Notes
    -----
    Three lines of NumPy instead of ``scipy.stats.qmc``, whose import alone takes longer than a plan
    (``docs/decisions/0003-latin-hypercube.md``).
    """
    if size < 2:
        raise InvalidInput(f"a sample set has at least 2 samples, not {size}")
    from scipy.special import ndtri

    rng = np.random.default_rng(seed)
    strata = rng.permuted(np.tile(np.arange(size, dtype=float), (len(DIMENSIONS), 1)), axis=1).T
    return SampleSet(ndtri((strata + rng.random(strata.shape)) / size))


def median_set() -> SampleSet:
    """One sample with every input at its best estimate."""
    return SampleSet(np.zeros((1, len(DIMENSIONS))))


def corner_set(corners: tuple[Mapping[str, float], ...]) -> SampleSet:
    """Chosen points: for each corner the standard normal value of the dimensions it names, zero elsewhere."""
    points = np.zeros((len(corners), len(DIMENSIONS)))
    for row, corner in enumerate(corners):
        for name, value in corner.items():
            points[row, DIMENSIONS.index(name)] = value
    return SampleSet(points)


def conditioned(samples: SampleSet, finding: ClothFinding, *, seed: int = 0) -> SampleSet:
    """Put the draws of a finding in the place of what was drawn from the prior.

    Parameters
    ----------
    samples : SampleSet
    finding : ClothFinding
        Its directions are replaced together, so what it found of one input given another is kept; all other
        directions stay as they were drawn.
    seed : int
        The same seed gives the same set.

    Returns
    -------
    SampleSet
        Of the same size.

    Notes
    -----
    The draws are laid in a row along the direction in which they vary most, cut into as many equal parts as there are
    samples, and one is taken from each part: the set then has the finding's spread even when it is small.
    """
    draws = np.asarray(finding.draws, dtype=float)
    centred = draws - draws.mean(axis=0)
    _, _, axes = np.linalg.svd(centred, full_matrices=False)
    # An axis has two ends; which one counts as its beginning must not hang on the linear algebra library.
    axis = axes[0] * np.sign(axes[0, np.argmax(np.abs(axes[0]))])
    order = np.argsort(centred @ axis, kind="stable")
    rng = np.random.default_rng(seed)
    at = (np.arange(samples.size) + rng.random(samples.size)) / samples.size * len(draws)
    taken = order[np.minimum(at.astype(int), len(draws) - 1)]
    points = samples.points.copy()
    points[:, [DIMENSIONS.index(name) for name in finding.dimensions]] = draws[rng.permutation(taken)]
    return SampleSet(points, joint=finding.dimensions)


def spread_over(quantity: Quantity, normal: Samples) -> Samples:
    """Values of a quantity at standard normal positions.

    The interval's ends lie at 5 % and 95 %, the value at 50 %. Where all three are positive the logarithm is
    spread (two half-normals that meet at the value), else the number itself. An interval that begins at zero is one
    of a quantity that is never negative, so no sample is.

    Parameters
    ----------
    quantity : Quantity
    normal : ndarray

    Returns
    -------
    ndarray
        Same shape as ``normal``.
    """
    value, low, high = quantity.value, quantity.low, quantity.high
    if low == high:
        return np.full_like(normal, value)
    if low > 0:
        below, above = np.log(value / low) / Z95, np.log(high / value) / Z95
        return np.asarray(value * np.exp(np.where(normal < 0, below, above) * normal))
    below, above = (value - low) / Z95, (high - value) / Z95
    spread = np.asarray(value + np.where(normal < 0, below, above) * normal)
    return np.maximum(spread, 0.0) if low == 0 else spread


def percentiles(values: Samples) -> Spread:
    """10th, 50th and 90th percentile of a sample, as `numpy.percentile` has them: between two samples in proportion.

    A plan asks for thousands of them, and numpy takes ten times as long over so few values.
    """
    ordered = np.sort(values, axis=None).tolist()
    if math.isnan(ordered[-1]):  # sorted to the end
        return Spread(p10=math.nan, p50=math.nan, p90=math.nan)
    p10, p50, p90 = (_between(ordered, share * (len(ordered) - 1)) for share in (0.1, 0.5, 0.9))
    return Spread(p10=p10, p50=p50, p90=p90)


def _between(ordered: list[float], position: float) -> float:
    below = int(position)
    above = min(below + 1, len(ordered) - 1)
    part = position - below
    low, high = ordered[below], ordered[above]
    # From the nearer end, so that a step between equal values stays exactly there.
    return low + (high - low) * part if part < 0.5 else high - (high - low) * (1 - part)
