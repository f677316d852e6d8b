"""Gel and cure: from the film's temperatures to reached or not, and by how much.

All functions take the temperatures of the film's cells, ``temperature[sample, k, cell]`` at ``times[k]``, and go
straight from output to output. The coldest cell at each output decides; between two outputs this bends the
coldest point's curve downwards, never upwards, so that a verdict errs on the careful side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput

Floats = NDArray[np.float64]

GAS_CONSTANT = 8.31446261815324
"""J/(mol K); exact since the SI of 2019."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FusionCure:
    """Whether the coldest point of the film fused; one number a sample.

    Attributes
    ----------
    reached : array of bool
        Held the fusion temperature for the whole hold.
    peak_temperature : array
        Highest temperature of the coldest point [K].
    held_temperature : array
        Highest temperature that the coldest point held for the hold without a break [K].
    margin_kelvin : array
        ``held_temperature`` less the fusion temperature [K]; negative when it failed.
    seconds_above : array
        Longest time without a break at or above the fusion temperature [s].
    margin_seconds : array
        ``seconds_above`` less the hold [s].
    """

    reached: NDArray[np.bool_]
    peak_temperature: Floats
    held_temperature: Floats
    margin_kelvin: Floats
    seconds_above: Floats
    margin_seconds: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeCure:
    """Whether the slowest point of the film had its time at temperature; one number a sample.

    Attributes
    ----------
    reached : array of bool
        Equivalent time at least the required one.
    equivalent_seconds : array
        Time at the reference temperature that does as much as the whole history [s], slowest cell.
    margin_seconds : array
        Less the required time [s].
    margin_kelvin : array
        How much colder the whole history might have been and still do [K], negative when it failed; 200 K is the
        most that is looked for on either side.
    """

    reached: NDArray[np.bool_]
    equivalent_seconds: Floats
    margin_seconds: Floats
    margin_kelvin: Floats


def gel_time(times: ArrayLike, temperature: ArrayLike, gel_temperature: ArrayLike) -> Floats:
    """Time at which the whole film has gelled.

    Parameters
    ----------
    times : array, shape (k,)
        Rising [s].
    temperature : array, shape (sample, k, cell)
        Film cells [K].
    gel_temperature : array, shape (sample,) or one number
        [K].

    Returns
    -------
    array, shape (sample,)
        First time at which the coldest cell is at the gel temperature [s]; nan where it never is.
    """
    t, film = _curves(times, temperature)
    curve = film.min(axis=2)
    level = _per_sample(gel_temperature, curve.shape[0], "gel_temperature")
    above = curve >= level[:, None]
    first = above.argmax(axis=1)
    row = np.arange(curve.shape[0])
    before = np.maximum(first - 1, 0)
    rise = curve[row, first] - curve[row, before]
    share = np.divide(level - curve[row, before], rise, out=np.zeros_like(rise), where=first > 0)
    found = t[before] + share * (t[first] - t[before])
    return np.where(above.any(axis=1), found, np.nan)


def fusion_cure(
    times: ArrayLike, temperature: ArrayLike, *, fusion_temperature: ArrayLike, hold: ArrayLike = 0.0
) -> FusionCure:
    """Cure of a plastisol: the coldest point must reach the fusion temperature and hold it.

    Parameters
    ----------
    times, temperature
        As in ``gel_time``.
    fusion_temperature, hold : array, shape (sample,) or one number
        What the ink's data sheet asks: [K], and for how long without a break [s], not longer than the record.

    Returns
    -------
    FusionCure
    """
    from laydown.physics import cure_kernel

    t, film = _curves(times, temperature)
    curve = np.ascontiguousarray(film.min(axis=2))
    fusion = _per_sample(fusion_temperature, curve.shape[0], "fusion_temperature")
    seconds = _per_sample(hold, curve.shape[0], "hold")
    if not np.all((seconds >= 0) & (seconds <= t[-1] - t[0])):
        raise InvalidInput(f"must lie between 0 and the length of the record, {t[-1] - t[0]:g} s", where="hold")
    out = np.empty((curve.shape[0], 2))
    cure_kernel.search_batch(t, curve, fusion, seconds, out)
    peak = curve.max(axis=1)
    return FusionCure(
        reached=(peak >= fusion) & (out[:, 0] >= seconds),
        peak_temperature=peak,
        held_temperature=out[:, 1],
        margin_kelvin=out[:, 1] - fusion,
        seconds_above=out[:, 0],
        margin_seconds=out[:, 0] - seconds,
    )


def equivalent_seconds(
    times: ArrayLike, temperature: ArrayLike, *, reference_temperature: float, activation_energy: float
) -> Floats:
    """Time at a reference temperature that does as much as the history, by Arrhenius.

    Parameters
    ----------
    times, temperature
        As in ``gel_time``.
    reference_temperature : float
        [K].
    activation_energy : float
        [J/mol], not negative; 0 counts every second alike.

    Returns
    -------
    array, shape (sample, cell)
        ``integral exp(E/R (1/T_ref - 1/T)) dt`` [s], two-point Gauss rule between outputs: better than 1e-4 as long
        as the rate changes less than threefold from output to output.
    """
    t, film = _curves(times, temperature)
    if not (np.isfinite(reference_temperature) and reference_temperature > 0):
        raise InvalidInput("must be finite and above zero", where="reference_temperature")
    if not (np.isfinite(activation_energy) and activation_energy >= 0):
        raise InvalidInput("must be finite and not negative", where="activation_energy")
    return _equivalent(t, film, reference_temperature, activation_energy)


def time_cure(
    times: ArrayLike,
    temperature: ArrayLike,
    *,
    reference_temperature: float,
    required_seconds: ArrayLike,
    activation_energy: float,
) -> TimeCure:
    """Cure of an ink with a rule of time at temperature (water-based, discharge, silicone).

    Parameters
    ----------
    times, temperature, reference_temperature, activation_energy
        As in ``equivalent_seconds``; the activation energy must be above zero.
    required_seconds : array, shape (sample,) or one number
        Time at the reference temperature that the data sheet asks [s], above zero.

    Returns
    -------
    TimeCure
    """
    t, film = _curves(times, temperature)
    required = _per_sample(required_seconds, film.shape[0], "required_seconds")
    if not (np.all(required > 0) and activation_energy > 0):
        raise InvalidInput("required time and activation energy must be above zero", where="time_cure")
    by_cell = equivalent_seconds(
        t, film, reference_temperature=reference_temperature, activation_energy=activation_energy
    )
    slowest = by_cell.argmin(axis=1)
    seconds = by_cell[np.arange(film.shape[0]), slowest]
    curve = film[np.arange(film.shape[0]), :, slowest][:, :, None]
    # Bisection on a uniform shift; a colder history always does less.
    low = np.full(film.shape[0], -200.0)
    high = np.minimum(curve.min(axis=(1, 2)) - 150.0, 200.0)
    for _ in range(40):
        shift = 0.5 * (low + high)
        done = _equivalent(t, curve - shift[:, None, None], reference_temperature, activation_energy)[:, 0]
        enough = done >= required
        low, high = np.where(enough, shift, low), np.where(enough, high, shift)
    return TimeCure(
        reached=seconds >= required,
        equivalent_seconds=seconds,
        margin_seconds=seconds - required,
        margin_kelvin=0.5 * (low + high),
    )


def hottest(times: ArrayLike, temperature: ArrayLike, limit: ArrayLike) -> tuple[Floats, Floats]:
    """How hot the cloth became, and how long it was beyond its limit.

    Parameters
    ----------
    times, temperature
        As in ``gel_time``, with the cells (and faces) of the cloth.
    limit : array, shape (sample,) or one number
        Scorch, shrink, glaze or dye limit [K].

    Returns
    -------
    (array, array), shape (sample,)
        Highest temperature of any cell [K]; total time that the hottest cell was above the limit [s].
    """
    t, cloth = _curves(times, temperature)
    curve = cloth.max(axis=2)
    excess = curve - _per_sample(limit, curve.shape[0], "limit")[:, None]
    a, b = excess[:, :-1], excess[:, 1:]
    top, span = np.maximum(a, b), np.abs(b - a)
    part = np.divide(top, span, out=np.ones_like(top), where=(top > 0) & (span > top))
    above = np.where(top > 0, part, 0.0) * np.diff(t)
    return curve.max(axis=1), above.sum(axis=1)


def _equivalent(times: Floats, film: Floats, reference: float, activation_energy: float) -> Floats:
    total = np.zeros((film.shape[0], film.shape[2]))
    width = np.diff(times)[None, :, None]
    middle, half = 0.5 * (film[:, 1:] + film[:, :-1]), 0.5 * np.diff(film, axis=1)
    for node in (-(3**-0.5), 3**-0.5):
        rate = np.exp(activation_energy / GAS_CONSTANT * (1 / reference - 1 / (middle + node * half)))
        total += (0.5 * width * rate).sum(axis=1)
    return total


def _curves(times: ArrayLike, temperature: ArrayLike) -> tuple[Floats, Floats]:
    t, film = np.asarray(times, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    if t.ndim != 1 or t.size < 2 or not np.all(np.diff(t) > 0):
        raise InvalidInput("must be at least two rising times", where="times")
    if film.ndim != 3 or film.shape[1] != t.size or film.shape[2] == 0:
        raise InvalidInput(f"needs the shape (sample, {t.size}, cell), got {film.shape}", where="temperature")
    if not (np.all(np.isfinite(film)) and np.all(film > 0)):
        raise InvalidInput("must be finite kelvin above zero", where="temperature")
    return t, film


def _per_sample(value: ArrayLike, samples: int, name: str) -> Floats:
    array = np.asarray(value, dtype=np.float64)
    if array.ndim > 1 or (array.ndim == 1 and array.shape[0] not in (1, samples)):
        raise InvalidInput(f"must be one number or {samples} numbers, got shape {array.shape}", where=name)
    if not np.all(np.isfinite(array)):
        raise InvalidInput("must be finite", where=name)
    return np.broadcast_to(array, (samples,)).copy()
