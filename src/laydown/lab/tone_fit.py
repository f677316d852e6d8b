"""Dot gain of a shop from its tone strip: a curve that never falls, with a band.

The gain (print less film tone) is thought of before as a parabola of uncertain height plus a smooth wander that
vanishes at both ends (a Gaussian process). Given the patches it is normal again, in closed form for every scatter of
the readings; the scatter runs over a grid. Draws of the curve are brought to the nearest rising ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.domain.quantity import Grade, Quantity
from laydown.domain.validity import named, share, within
from laydown.errors import InvalidInput
from laydown.lab.reading_check import NINETY, ReadingCheck, conflicts

Values = NDArray[np.float64]

USUAL_GAIN, GAIN_SPREAD = 0.10, 0.10
"""Gain at half tone and its standard deviation. Assumed; a mesh maker's example peaks at 0.15."""

WANDER, WIDTH = 0.05, 0.15
"""Standard deviation of the wander and the tone over which it changes. Assumed."""

USUAL_SCATTER = 0.015
"""Half-normal scale of a tone read again. Assumed."""

SCATTERS = np.geomspace(0.001, 0.1, 40)
SCATTERS.flags.writeable = False

LEAST_RISE = 1e-4
DRAWS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class TonePatch:
    """One patch of a strip: its label, and its tone on the film and as read on the print, as shares of one."""

    label: str
    film: float
    printed: float

    def __post_init__(self) -> None:
        named("a patch", self.label)
        share(f"film tone of {self.label}", self.film)
        within(f"print tone of {self.label}", self.printed, -0.1, 1.1, "as a share of one")


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneFit:
    """What a strip says of the dot gain.

    Attributes
    ----------
    rows : tuple of (float, float)
        Film and print tone, rising: for `Practice.tone_strip`.
    band : tuple of (float, float)
        Low and high print tone at each row; nine of ten curves lie between.
    prior_gain, gain : Quantity
        Gain at half tone before and after.
    scatter : float
        Standard deviation of a tone read again.
    checks : tuple of ReadingCheck
        Each patch against what the others foretell.
    warnings : tuple of str
    """

    rows: tuple[tuple[float, float], ...]
    band: tuple[tuple[float, float], ...]
    prior_gain: Quantity
    gain: Quantity
    scatter: float
    checks: tuple[ReadingCheck, ...]
    warnings: tuple[str, ...]


def tone_by_murray_davies(patch: ArrayLike, paper: ArrayLike, solid: ArrayLike) -> float:
    """Inked share of a halftone from what it reflects (Murray-Davies).

    Parameters
    ----------
    patch, paper, solid : array_like, shape (n,)
        Reflectance factors of the patch, the bare cloth and the solid, band by band (or X, Y, Z of one condition).

    Returns
    -------
    float
        The share of solid that comes nearest to the patch over all bands; as read, so it may leave 0 to 1 a little.

    Raises
    ------
    InvalidInput
        When shapes differ or cloth and solid look alike.

    Notes
    -----
    With one band, (paper - patch)/(paper - solid). The share includes the light that spreads in the cloth.
    Grade: from memory (the standard formula), extended to many bands by least squares.
    """
    r, p, s = (np.atleast_1d(np.asarray(values, dtype=np.float64)) for values in (patch, paper, solid))
    if not r.shape == p.shape == s.shape or r.ndim != 1:
        raise InvalidInput(f"patch, paper and solid have shapes {r.shape}, {p.shape}, {s.shape}; they must be alike")
    apart = p - s
    if not np.isfinite(r).all() or float(np.abs(apart).max()) < 0.02:
        raise InvalidInput("the bare cloth and the solid look alike, so a tone between them cannot be told")
    return float((p - r) @ apart / (apart @ apart))


def fit_tone(patches: Sequence[TonePatch]) -> ToneFit:
    """Dot gain of a shop from one or several strips of one ruling.

    Parameters
    ----------
    patches : sequence of TonePatch
        At least 3 different film tones; repeats tell the scatter.

    Returns
    -------
    ToneFit

    Raises
    ------
    InvalidInput
        When there are too few tones, or two patches share a label.
    """
    labels = [patch.label for patch in patches]
    if len(set(labels)) < len(labels):
        raise InvalidInput("two patches share a label; labels must differ")
    x, y = np.array([patch.film for patch in patches]), np.array([patch.printed for patch in patches])
    tones = np.unique(x)
    if len(tones) < 3:
        raise InvalidInput(f"a tone strip needs at least 3 different tones on the film, not {len(tones)}")
    at = np.union1d(tones, [0.0, 0.5, 1.0])
    weights, means, covariances = _posterior(x, y, at)
    curves = _rising(_draws(weights, means, covariances, 1))
    low, high = np.quantile(curves, (0.05, 0.95), axis=0)
    middle = _rising((weights @ means)[None])[0]
    low, high = np.minimum(low, middle), np.maximum(high, middle)
    kept = np.isin(at, tones)
    half = int(np.flatnonzero(at == 0.5)[0])
    source = f"tone strip of {len(patches)} patches"
    checks = tuple(_check(place, patches, x, y) for place in range(len(patches)))
    return ToneFit(
        rows=tuple(_strictly_rising(at[kept], middle[kept])),
        band=tuple((float(a), float(b)) for a, b in zip(low[kept], high[kept], strict=True)),
        prior_gain=Quantity(
            value=USUAL_GAIN,
            low=USUAL_GAIN - NINETY * GAIN_SPREAD,
            high=USUAL_GAIN + NINETY * GAIN_SPREAD,
            grade=Grade.ASSUMED,
            source="dot gain before a strip",
        ),
        gain=Quantity(
            value=float(middle[half]) - 0.5,
            low=float(low[half]) - 0.5,
            high=float(high[half]) - 0.5,
            grade=Grade.MEASURED,
            source=source,
        ),
        scatter=float(weights @ SCATTERS),
        checks=checks,
        warnings=conflicts(checks, scale=100.0, unit="%"),
    )


def _kernel(one: Values, other: Values) -> Values:
    """Covariance of the gain at two sets of tones."""

    def envelope(x: Values) -> Values:
        return np.asarray(1 - (1 - 2 * x) ** 8)

    parabola = np.outer(4 * one * (1 - one), 4 * other * (1 - other)) * GAIN_SPREAD**2
    wander = np.exp(-0.5 * ((one[:, None] - other) / WIDTH) ** 2) * np.outer(envelope(one), envelope(other)) * WANDER**2
    return np.asarray(parabola + wander)


def _posterior(x: Values, y: Values, at: Values) -> tuple[Values, Values, Values]:
    """Weight of each scatter, and mean and covariance of the print tones at some film tones under it."""
    inner, beside, outer = _kernel(x, x), _kernel(at, x), _kernel(at, at)
    residual = y - x - USUAL_GAIN * 4 * x * (1 - x)
    shared, axes = np.linalg.eigh(inner)
    own = np.maximum(shared, 0.0) + SCATTERS[:, None] ** 2
    turned, across = axes.T @ residual, beside @ axes
    log = -0.5 * (SCATTERS / USUAL_SCATTER) ** 2 + np.log(SCATTERS)
    log -= 0.5 * (np.log(own).sum(axis=1) + (turned**2 / own).sum(axis=1))
    weights = np.exp(log - log.max())
    means = at + USUAL_GAIN * 4 * at * (1 - at) + (turned / own) @ across.T
    covariances = outer - np.einsum("ik,sk,jk->sij", across, 1 / own, across)
    return weights / weights.sum(), np.asarray(means), np.asarray(covariances)


def _draws(weights: Values, means: Values, covariances: Values, seed: int) -> Values:
    rng = np.random.default_rng(seed)
    draws = []
    for place, count in enumerate(rng.multinomial(DRAWS, weights)):
        if count:
            spread, axes = np.linalg.eigh(covariances[place])
            noise = rng.standard_normal((count, len(spread))) * np.sqrt(np.maximum(spread, 0.0))
            draws.append(means[place] + noise @ axes.T)
    return np.vstack(draws)


def _rising(curves: Values) -> Values:
    """Nearest curves that never fall and stay between 0 and 1."""
    from scipy.optimize import isotonic_regression

    return np.array([np.clip(isotonic_regression(curve).x, 0.0, 1.0) for curve in curves])


def _strictly_rising(film: Values, printed: Values) -> list[tuple[float, float]]:
    """Rows as a shop's practice holds them: equal tones only at 0 and at 1."""
    rows: list[tuple[float, float]] = []
    for tone, value in zip(film, printed, strict=True):
        last = rows[-1][1] if rows else 0.0
        risen = max(float(value), last + LEAST_RISE if 0 < last < 1 else last)
        rows.append((float(tone), min(risen, 1.0)))
    return rows


def _check(place: int, patches: Sequence[TonePatch], x: Values, y: Values) -> ReadingCheck:
    rest = np.arange(len(x)) != place
    at = x[place : place + 1]
    weights, means, covariances = _posterior(x[rest], y[rest], at)
    mean = float(weights @ means[:, 0])
    curve = max(float(weights @ (covariances[:, 0, 0] + means[:, 0] ** 2)) - mean**2, 1e-12)
    spread = float(np.sqrt(curve + weights @ SCATTERS**2))
    everything, with_it, _ = _posterior(x, y, at)
    return ReadingCheck(
        label=patches[place].label,
        reading=float(y[place]),
        low=mean - NINETY * spread,
        predicted=mean,
        high=mean + NINETY * spread,
        deviation=(float(y[place]) - mean) / spread,
        pull=(float(everything @ with_it[:, 0]) - mean) / float(np.sqrt(curve)),
    )
