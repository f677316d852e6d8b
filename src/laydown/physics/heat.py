"""Transient heat through pallet or belt, cloth and film, with the water that evaporates on the way.

The door of the compiled solver ``heat_kernel``: it checks shapes and ranges, and turns panels, air and Lewis
factors into the numbers that the solver takes. Equations: docs/physics/heat.md.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import ConvergenceError, InvalidInput
from laydown.physics.moisture import STANDARD_PRESSURE, vapour_conductance
from laydown.physics.radiation import STEFAN_BOLTZMANN

Floats = NDArray[np.float64]

DEFAULT_TOLERANCE = 0.1
"""Error allowed in one time step [K]; the measured error of a whole simulation is below it (docs/physics/heat.md)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stages:
    """What acts on the two faces, one row a stage: a zone of a dryer, a flash, the gap behind it, a pile.

    Attributes
    ----------
    duration : array, shape (stage,)
        Length of each stage [s], above zero; shared by all samples.
    top_radiant_temperature, bottom_radiant_temperature : array, shape (stage,) or (sample, stage)
        Temperature of the panel or surroundings that the face exchanges radiation with [K].
    top_exchange_factor, bottom_exchange_factor : array
        Effective emissivity times view factor, 0 to 1 (``radiation.exchange_factor_parallel_plates``).
    top_air_temperature, bottom_air_temperature : array
        Air next to the face, or the pallet that touches it [K].
    top_heat_transfer_coefficient, bottom_heat_transfer_coefficient : array
        Convective coefficient, or conductance of the contact [W/(m² K)].
    top_vapour_factor, bottom_vapour_factor : array
        Share of the vapour conductance of a bare, wet face (Lewis relation) that is left, 0 to 1: 0 under a closed
        film, on a pallet, or where the coefficient is that of a contact; the open share of a belt below.
    vapour_pressure : array
        Partial pressure of water in the air on both sides [Pa].
    """

    duration: ArrayLike
    top_radiant_temperature: ArrayLike
    top_exchange_factor: ArrayLike
    top_air_temperature: ArrayLike
    top_heat_transfer_coefficient: ArrayLike
    bottom_radiant_temperature: ArrayLike
    bottom_exchange_factor: ArrayLike
    bottom_air_temperature: ArrayLike
    bottom_heat_transfer_coefficient: ArrayLike
    top_vapour_factor: ArrayLike
    bottom_vapour_factor: ArrayLike
    vapour_pressure: ArrayLike


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatHistory:
    """What ``simulate_heat`` found; every array starts with the sample.

    Attributes
    ----------
    times : array, shape (k,)
        Output times [s].
    temperature : array, shape (sample, k, cell)
        Mean temperature of each cell, bottom to top [K].
    bottom_surface_temperature, top_surface_temperature : array, shape (sample, k)
        Temperature of the two faces [K].
    water : array, shape (sample, k)
        Water in the whole stack [kg/m²].
    bottom_heat, top_heat : array, shape (sample, k)
        Heat that has come in through each face since the start [J/m²]; negative when it went out.
    vapour_heat : array, shape (sample, k)
        Enthalpy that left with the vapour since the start [J/m²], latent heat included; liquid at 0 °C counts 0.
    stored_heat : array, shape (sample, k)
        Gain of enthalpy of the cells and their water since the start [J/m²].
    evaporated_water : array, shape (sample, k)
        Water that left since the start [kg/m²], summed from the rates, not from ``water``.
    initial_water : array, shape (sample,)
        Water at the start [kg/m²].
    areal_heat_capacity : array, shape (sample,)
        Heat capacity of all dry cells [J/(m² K)].
    steps, refused_steps : array of int, shape (sample,)
        Time steps taken, and those thrown away because their error was too large.
    """

    times: Floats
    temperature: Floats
    bottom_surface_temperature: Floats
    top_surface_temperature: Floats
    water: Floats
    bottom_heat: Floats
    top_heat: Floats
    vapour_heat: Floats
    stored_heat: Floats
    evaporated_water: Floats
    initial_water: Floats
    areal_heat_capacity: Floats
    steps: NDArray[np.int64]
    refused_steps: NDArray[np.int64]
    _half_resistance: Floats
    _contact_resistance: Floats

    def energy_residual(self) -> Floats:
        """Return what the energy balance lacks, by all that moved (and at least one kelvin's worth of heat)."""
        terms = (self.stored_heat, self.bottom_heat, self.top_heat, self.vapour_heat)
        scale = sum(np.abs(term) for term in terms) + self.areal_heat_capacity[:, None]
        missing = self.stored_heat - self.bottom_heat - self.top_heat + self.vapour_heat
        return np.asarray(np.abs(missing) / scale)

    def water_residual(self) -> Floats:
        """Return what the water balance lacks, by the water at the start (or, when that is none, what moved)."""
        missing = np.abs(self.water + self.evaporated_water - self.initial_water[:, None])
        scale = np.maximum(self.initial_water[:, None], self.water)
        return np.asarray(np.divide(missing, scale, out=np.zeros_like(missing), where=scale > 0))

    def face_temperature(self, cell: int) -> tuple[Floats, Floats]:
        """Return the temperatures on both sides of the face between ``cell`` and the one above, shape (sample, k) [K].

        They differ where there is contact resistance: lower cell's side first. Use it for the interface of cloth and
        film, where the film is coldest as long as heat comes from above.
        """
        if not 0 <= cell < self.temperature.shape[2] - 1:
            raise InvalidInput(
                f"there is no face above cell {cell}; cells with one are 0 to {self.temperature.shape[2] - 2}",
                where="cell",
            )
        low, high = self.temperature[:, :, cell], self.temperature[:, :, cell + 1]
        below = self._half_resistance[:, cell, None]
        above = self._half_resistance[:, cell + 1, None]
        flux = (high - low) / (below + above + self._contact_resistance[:, cell, None])
        return low + flux * below, high - flux * above


def simulate_heat(
    *,
    cell_thickness: ArrayLike,
    conductivity: ArrayLike,
    heat_capacity: ArrayLike,
    contact_resistance: ArrayLike = 0.0,
    water: ArrayLike = 0.0,
    critical_water: ArrayLike = 0.0,
    initial_temperature: ArrayLike,
    stages: Stages,
    output_times: ArrayLike,
    pressure: float = STANDARD_PRESSURE,
    tolerance: float = DEFAULT_TOLERANCE,
) -> HeatHistory:
    """Temperatures, water and heat ledger of many stacks at once.

    Parameters
    ----------
    cell_thickness, conductivity, heat_capacity : array, shape (sample, cell) or (cell,)
        Cells from the bottom face (pallet, belt side) to the top face (film): thickness [m],
        conductivity [W/(m K)], volumetric heat capacity of the dry cell [J/(m³ K)].
    contact_resistance : array, shape (sample, cell - 1), (cell - 1,) or one number
        Resistance between neighbouring cells beyond their own [m² K/W].
    water : array, shape (sample, cell), (cell,) or one number
        Liquid water in each cell at the start [kg/m²].
    critical_water : array, like ``water``
        Content [kg/m²] from which on the cell's vapour pressure is that of free water; below, in proportion to the
        content (``moisture.critical_water``). Zero marks a cell that never holds water.
    initial_temperature : array, shape (sample, cell), (cell,), (sample, 1) or one number
        [K].
    stages : Stages
        What acts on the faces, when.
    output_times : array, shape (k,)
        Rising times [s] from 0 to the end of the last stage.
    pressure : float
        Pressure of the air [Pa].
    tolerance : float
        Error allowed in one step [K], water counted by its latent heat. The default keeps the time error of a whole
        simulation below 0.1 K, and with the default grid of ``heat_grid`` the total error of the film's temperature
        below 0.5 K (docs/physics/heat.md).

    Returns
    -------
    HeatHistory

    Raises
    ------
    InvalidInput
        A shape that does not fit, a value that is not finite or out of its bounds.
    ConvergenceError
        The solver gave up on a sample.

    Notes
    -----
    Finite volumes, second order in space; ROS3 in time (A. Sandu et al., Atmos. Environ. 31 (1997) 3459), third
    order, L-stable, adaptive; steps hit the ends of the stages and the output times. Energy and water balance close
    to round-off at any tolerance. The water is evaporated where it sits; it does not move inside the cloth.
    """
    from laydown.physics import heat_kernel

    thickness, k, c = (
        _cells(a, name)
        for a, name in (
            (cell_thickness, "cell_thickness"), (conductivity, "conductivity"), (heat_capacity, "heat_capacity")
        )
    )  # fmt: skip
    start, wet, critical = (
        _cells(a, name)
        for a, name in (
            (initial_temperature, "initial_temperature"), (water, "water"), (critical_water, "critical_water")
        )
    )  # fmt: skip
    durations = np.atleast_1d(np.asarray(stages.duration, dtype=np.float64))
    if durations.ndim != 1 or durations.size == 0 or not np.all(np.isfinite(durations) & (durations > 0)):
        raise InvalidInput("must be a row of finite times above zero", where="duration")
    rows = {f.name: _cells(getattr(stages, f.name), f.name) for f in fields(Stages) if f.name != "duration"}
    contact = _cells(contact_resistance, "contact_resistance")
    cells = _common([thickness, k, c, start, wet, critical], 1, "cells")
    samples = _common([thickness, k, c, start, wet, critical, contact, *rows.values()], 0, "samples")
    thickness, k, c, start, wet, critical = (
        np.ascontiguousarray(_fit(a, (samples, cells), "cells")) for a in (thickness, k, c, start, wet, critical)
    )
    contact = _fit(contact, (samples, cells - 1), "contact_resistance")
    rows = {name: _fit(row, (samples, durations.size), name) for name, row in rows.items()}
    _check_above_zero(cell_thickness=thickness, conductivity=k, heat_capacity=c, initial_temperature=start)
    _check_not_negative(contact_resistance=contact, water=wet, critical_water=critical, **rows)
    for name in ("top_exchange_factor", "bottom_exchange_factor", "top_vapour_factor", "bottom_vapour_factor"):
        if np.any(rows[name] > 1):
            raise InvalidInput("must lie between 0 and 1", where=name)
    if np.any((wet > 0) & (critical <= 0)):
        raise InvalidInput("a cell that holds water needs a critical content above zero", where="critical_water")
    if not (np.isfinite(tolerance) and tolerance > 0 and np.isfinite(pressure) and pressure > 0):
        raise InvalidInput("tolerance and pressure must be above zero", where="tolerance")
    times = _output_times(output_times, durations)

    half = 0.5 * thickness / k
    conductance = np.empty((samples, cells + 1))
    conductance[:, 0], conductance[:, -1] = 1 / half[:, 0], 1 / half[:, -1]
    conductance[:, 1:-1] = 1 / (half[:, :-1] + half[:, 1:] + contact)
    capacity = thickness * c
    table = np.stack([capacity, _wet_shares(critical), np.where(critical > 0, critical, 1.0), start, wet], axis=1)
    temperature = np.empty((samples, times.size, cells))
    faces, ledger = np.empty((samples, times.size, 2)), np.empty((samples, times.size, 6))
    steps = np.empty((samples, 2), dtype=np.int64)
    heat_kernel.simulate_batch(
        table, conductance, durations, _stage_table(rows, pressure), times, float(tolerance),
        temperature, faces, ledger, steps,
    )  # fmt: skip
    if np.any(steps[:, 0] < 0):
        raise ConvergenceError(
            f"the heat solver gave up on sample {int(np.argmax(steps[:, 0] < 0))}: too many or too small time steps"
        )
    full = capacity + heat_kernel.WATER_HEAT_CAPACITY * wet
    initial = (full * (start - heat_kernel.ZERO_CELSIUS)).sum(axis=1)
    return HeatHistory(
        times=times,
        temperature=temperature,
        bottom_surface_temperature=faces[:, :, 0],
        top_surface_temperature=faces[:, :, 1],
        water=ledger[:, :, heat_kernel.WATER],
        bottom_heat=ledger[:, :, heat_kernel.BOTTOM_HEAT],
        top_heat=ledger[:, :, heat_kernel.TOP_HEAT],
        vapour_heat=ledger[:, :, heat_kernel.VAPOUR_HEAT],
        stored_heat=ledger[:, :, heat_kernel.STORED] - initial[:, None],
        evaporated_water=ledger[:, :, heat_kernel.EVAPORATED],
        initial_water=wet.sum(axis=1),
        areal_heat_capacity=capacity.sum(axis=1),
        steps=steps[:, 0],
        refused_steps=steps[:, 1],
        _half_resistance=half,
        _contact_resistance=np.asarray(contact),
    )


def _cells(value: ArrayLike, name: str) -> Floats:
    array = np.atleast_2d(np.asarray(value, dtype=np.float64))
    if array.ndim != 2:
        raise InvalidInput(f"must have one or two dimensions, got {array.ndim}", where=name)
    if not np.all(np.isfinite(array)):
        raise InvalidInput("every number must be finite", where=name)
    return array


def _common(arrays: list[Floats], axis: int, what: str) -> int:
    sizes: set[int] = {a.shape[axis] for a in arrays} - {1} or {1}
    if len(sizes) > 1:
        raise InvalidInput(f"the arrays disagree on the number of {what}: {sorted(sizes)}", where="simulate_heat")
    return sizes.pop()


def _fit(array: Floats, shape: tuple[int, int], name: str) -> Floats:
    try:
        return np.broadcast_to(array, shape)
    except ValueError:
        raise InvalidInput(f"needs the shape {shape}, got {array.shape}", where=name) from None


def _check_above_zero(**values: Floats) -> None:
    for name, array in values.items():
        if not np.all(array > 0):
            raise InvalidInput("must lie above zero", where=name)


def _check_not_negative(**values: Floats) -> None:
    for name, array in values.items():
        if np.any(array < 0):
            raise InvalidInput("must not be negative", where=name)


def _output_times(output_times: ArrayLike, durations: Floats) -> Floats:
    times = np.atleast_1d(np.asarray(output_times, dtype=np.float64)).copy()
    ends = np.cumsum(durations)
    close = 1e-9 * ends[-1]
    if times.ndim != 1 or times.size == 0 or not np.all(np.isfinite(times)):
        raise InvalidInput("must be a row of finite times", where="output_times")
    if np.any(np.diff(times) <= close):
        raise InvalidInput("must rise", where="output_times")
    if times[0] < 0 or times[-1] > ends[-1] + close:
        raise InvalidInput(f"must lie between 0 and the end of the last stage, {ends[-1]:g} s", where="output_times")
    # A time that means the end of a stage must be it exactly, or the solver would step over a sliver.
    for end in ends:
        times[np.abs(times - end) <= close] = end
    return times


def _wet_shares(critical: Floats) -> Floats:
    total = critical.sum(axis=1, keepdims=True)
    return np.asarray(np.divide(critical, total, out=np.zeros_like(critical), where=total > 0))


def _stage_table(rows: dict[str, Floats], pressure: float) -> Floats:
    samples, stage_count = rows["vapour_pressure"].shape
    table = np.empty((samples, stage_count, 8))
    conductance = np.zeros((samples, stage_count))
    for column, side in ((0, "top"), (3, "bottom")):
        factor, h = rows[f"{side}_exchange_factor"], rows[f"{side}_heat_transfer_coefficient"]
        radiative = STEFAN_BOLTZMANN * factor
        table[:, :, column] = radiative * rows[f"{side}_radiant_temperature"] ** 4
        table[:, :, column] += h * rows[f"{side}_air_temperature"]
        table[:, :, column + 1] = radiative
        table[:, :, column + 2] = h
        conductance += rows[f"{side}_vapour_factor"] * vapour_conductance(h, pressure=pressure)
    table[:, :, 6], table[:, :, 7] = conductance, rows["vapour_pressure"]
    return table
