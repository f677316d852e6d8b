"""Arrhenius' law: rates at a temperature, and how long another temperature takes for the same effect."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput

Floats = NDArray[np.float64]

GAS_CONSTANT = 8.31446261815324
"""Molar gas constant [J/(mol K)], exact since 2019."""

PIECE = 0.25
"""Largest change of an exponent within one piece of ``equivalent_time_of_history``; its error is below 1e-5."""


def arrhenius_factor(temperature: ArrayLike, activation: ArrayLike, reference: ArrayLike) -> Floats:
    """How much faster a process runs than at the reference temperature.

    Parameters
    ----------
    temperature, reference : array_like
        [K], above zero.
    activation : array_like
        Activation energy [J/mol], not negative.

    Returns
    -------
    array
        ``exp(-activation/R (1/temperature - 1/reference))``, 1 at the reference.

    Raises
    ------
    InvalidInput
        For a temperature that is not above zero or a negative activation energy.

    Notes
    -----
    Holds as long as one mechanism rules: not across a glass transition or the gelling of the film.
    """
    t, ref, energy = (np.asarray(v, dtype=np.float64) for v in (temperature, reference, activation))
    for name, value in (("temperature", t), ("reference", ref)):
        if not (np.isfinite(value) & (value > 0)).all():
            raise InvalidInput("must be above 0 K", where=name)
    if not (np.isfinite(energy) & (energy >= 0)).all():
        raise InvalidInput("must be zero or above [J/mol]", where="activation")
    return np.asarray(np.exp(-energy / GAS_CONSTANT * (1 / t - 1 / ref)))


def arrhenius_rate(rate_ref: ArrayLike, temperature: ArrayLike, activation: ArrayLike, reference: ArrayLike) -> Floats:
    """Rate (or diffusivity) at a temperature from that at the reference, in the unit of ``rate_ref``.

    Parameters and errors are those of `arrhenius_factor`.
    """
    return np.asarray(np.asarray(rate_ref, dtype=np.float64) * arrhenius_factor(temperature, activation, reference))


def equivalent_time(duration: ArrayLike, temperature: ArrayLike, activation: ArrayLike, reference: ArrayLike) -> Floats:
    """How long the reference temperature takes for what ``duration`` at ``temperature`` does [s].

    Parameters and errors are those of `arrhenius_factor`.

    Examples
    --------
    An oven test of 15 h at 52 °C stands for about eleven days at 25 °C when the activation energy is 87 kJ/mol:

    >>> round(float(equivalent_time(15 * 3600, 325.15, 87e3, 298.15)) / 86400, 1)
    11.5
    """
    return arrhenius_rate(duration, temperature, activation, reference)


def equivalent_time_of_history(times: ArrayLike, temperature: ArrayLike, activation: float, reference: float) -> Floats:
    """Equivalent time passed at each time of a history whose temperature is linear between the times.

    Parameters
    ----------
    times : array, shape (k,)
        [s], not falling.
    temperature : array, shape (..., k)
        [K]
    activation : float
        [J/mol]
    reference : float
        [K]

    Returns
    -------
    array, shape (..., k)
        Seconds at the reference temperature since ``times[0]``; relative error below 1e-5.

    Raises
    ------
    InvalidInput
        As for `arrhenius_factor`, and for shapes that do not fit.
    """
    t, hot = np.asarray(times, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    if t.ndim != 1 or t.size < 1 or hot.ndim < 1 or hot.shape[-1] != t.size or not (np.diff(t) >= 0).all():
        raise InvalidInput("must be as long as times, which must not fall", where="temperature")
    arrhenius_factor(hot, activation, reference)
    slope = activation / GAS_CONSTANT
    change = np.abs(np.diff(1 / hot, axis=-1)) * slope
    pieces = 1 + int(change.max(initial=0.0) / PIECE)
    u = np.linspace(0.0, 1.0, pieces + 1)
    rise = np.diff(hot, axis=-1)[..., None]
    inside = hot[..., :-1, None] + rise * u
    speed = arrhenius_factor(inside, activation, reference)
    # Trapezoid with its end correction; d(speed)/dt = slope * speed * rise / (span T^2).
    steepness = slope * speed * rise / inside**2
    mean = (speed[..., 1:] + speed[..., :-1]).sum(axis=-1) / (2 * pieces)
    mean = mean + (steepness[..., 0] - steepness[..., -1]) / (12 * pieces**2)
    passed = np.cumsum(mean * np.diff(t), axis=-1)
    return np.concatenate([np.zeros((*hot.shape[:-1], 1)), passed], axis=-1)
