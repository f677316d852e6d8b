"""When a probe entered the heated tunnel and when it left: the bends of its curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

LAGS = (0.4, 0.7, 1.0, 1.6, 2.5)
"""Time constants of the thermocouple that are tried [s]; see `laydown.lab.probe_sensor`."""

LEAST_FALL = 5.0
"""Kelvin that a garment has cooled at least before an exit is looked for."""

WINDOW = 6.0
"""Seconds on either side of a bend that it is found from."""

RISING = 4.0
"""Seconds behind the entry that show how steeply the curve rises."""

LEAST_POINTS = 8
"""Readings that a bend is found from, at least."""

STEP = 0.05
"""Bends are looked for in steps of this [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A bend of the curve.

    Attributes
    ----------
    time : float
        When the garment passed the tunnel's end; the thermocouple's own lag is taken out [s].
    sd : float
        Standard deviation of it [s].
    """

    time: float
    sd: float


def find_entry(times: Values, temperature: Values, *, threshold: float = 5.0) -> Edge | None:
    """Entry: where the curve begins to rise; None when it rises from the first readings on, or never.

    Parameters
    ----------
    times, temperature : ndarray, shape (k,)
        [s], [K].
    threshold : float
        Rise above the level before that shows that it has begun [K].
    """
    level = np.minimum.accumulate(temperature)
    risen = np.nonzero(temperature > level + threshold)[0]
    if risen.size == 0:
        return None
    about = float(times[risen[0]])
    if np.count_nonzero(times < about - 1.0) < 2:
        return None
    found = _bend(times, temperature, about, straight_before=True)
    return found if found is not None and _level_before(times, temperature, found.time) else None


def find_exit(times: Values, temperature: Values, entry: float) -> Edge | None:
    """Exit: the sharpest bend downwards before the garment cools for good; None when it never cools.

    Parameters
    ----------
    times, temperature : ndarray, shape (k,)
        [s], [K].
    entry : float
        When it entered [s].
    """
    after = times > entry
    if np.count_nonzero(after) < LEAST_POINTS:
        return None
    peak = float(temperature[after].max())
    base = float(temperature[after].min())
    if peak - base < LEAST_FALL:
        return None
    # The garment cools for good from the last time at which it was near its peak.
    near = np.nonzero(after & (temperature > peak - 0.15 * (peak - base)))[0]
    last = float(times[near[-1]])
    candidates = np.arange(max(entry + 3.0, last - 25.0), min(last + 2.0, float(times[-1]) - 1.0), 0.5)
    best, found = 0.0, None
    for about in candidates:
        before = _slope(times, temperature, about - 3.0, about)
        behind = _slope(times, temperature, about, about + 3.0)
        if before is not None and behind is not None and behind < 0 and before - behind > best:
            best, found = before - behind, float(about)
    if found is None or best < 0.5:
        return None
    return _bend(times, temperature, found, straight_before=False)


def _level_before(times: Values, temperature: Values, place: float) -> bool:
    """Whether there are readings before a place, and they rise far less than those behind it."""
    before = times < place - 0.3
    if np.count_nonzero(before) < 3:
        return False
    rising = _slope(times, temperature, float(times[0]), place - 0.3)
    behind = _slope(times, temperature, place, place + RISING)
    return rising is None or behind is None or rising < 0.3 * behind


def _slope(times: Values, temperature: Values, start: float, end: float) -> float | None:
    inside = (times >= start - 1e-9) & (times <= end + 1e-9)
    if np.count_nonzero(inside) < 3:
        return None
    t = times[inside] - times[inside].mean()
    return float((t @ temperature[inside]) / (t @ t))


def _bend(times: Values, temperature: Values, about: float, *, straight_before: bool) -> Edge | None:
    """Least squares of a bend that a first-order lag rounds, for every place and lag that may be meant.

    Before it level (entry) or a parabola (exit), behind it a parabola; the answer is the mean over all places and
    lags, each weighted by how well it fits, so that what is not known of the lag widens it.
    """
    inside = np.abs(times - about) <= WINDOW
    if np.count_nonzero(inside) < LEAST_POINTS:
        return None
    t, values = times[inside], temperature[inside]
    places = np.arange(max(about - 4.0, t[0] + 0.2), min(about + 2.5, t[-1] - 0.8), STEP)
    if places.size == 0:
        return None
    level = values - values.mean()
    misfit = np.stack([_misfit(t, level, places, lag, straight_before=straight_before) for lag in LAGS])
    freedom = max(1, values.size - (5 if not straight_before else 3) - 2)
    # A logger that writes whole degrees is no better than its rounding.
    variance = max(float(misfit.min()) / freedom, 0.01)
    weight = np.exp(-0.5 * (misfit - misfit.min()) / variance)
    weight /= weight.sum()
    mean = float((weight * places).sum())
    sd = float(np.sqrt((weight * (places - mean) ** 2).sum() + STEP**2 / 12))
    return Edge(time=mean, sd=sd)


def _misfit(t: Values, level: Values, places: Values, lag: float, *, straight_before: bool) -> Values:
    """Sum of squares that the best bend at each place leaves, shape (places,)."""
    behind = np.maximum(t[None, :] - places[:, None], 0.0)
    decay = 1 - np.exp(-behind / lag)
    columns = [np.ones_like(behind), behind - lag * decay, behind**2 - 2 * lag * behind + 2 * lag**2 * decay]
    if not straight_before:
        off = t[None, :] - places[:, None]
        columns += [off, off**2]
    design = np.stack(columns, axis=2)
    # Seconds and their squares are of the order of ten, so that the normal equations lose nothing that matters.
    square = np.einsum("pni,pnj->pij", design, design) + 1e-9 * np.eye(len(columns))
    right = np.einsum("pni,n->pi", design, level)
    solution = np.linalg.solve(square, right[:, :, None])[:, :, 0]
    left = level[None, :] - np.einsum("pni,pi->pn", design, solution)
    return np.asarray((left**2).sum(axis=1))
