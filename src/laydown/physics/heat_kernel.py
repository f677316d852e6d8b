"""Compiled solver of one-dimensional transient conduction with evaporating water; its door is ``heat``.

State of a cell: enthalpy ``H`` [J/m², zero for dry cell and liquid water at 0 °C] and water ``w`` [kg/m²].
Time stepping: ROS3 (Sandu et al. 1997), third order, L-stable, Rosenbrock with an embedded second-order result.
Each step factorises one tridiagonal matrix; the water of a cell is eliminated beforehand. The ledger (heat through
both faces, enthalpy of the vapour, evaporated mass) is advanced by the same method, which keeps linear
invariants: energy and water balance to round-off at any step size.

The constants repeat those of ``moisture``, because numba's cache does not notice a change in
another file; a test holds them equal.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ZERO_CELSIUS = 273.15
WATER_HEAT_CAPACITY = 4186.0
LATENT_HEAT_0C = 2.501e6
LATENT_HEAT_SLOPE = -2361.0
VAPOUR_HEAT_CAPACITY = WATER_HEAT_CAPACITY + LATENT_HEAT_SLOPE
BUCK = (611.21, 18.678, 234.5, 257.14)

# ROS3 in the form of Hairer & Wanner IV.7 (unknowns U = the stages multiplied by the inverse of gamma).
GAMMA = 0.43586652150845899941601945119356
C21 = -1.0156171083877702091975600115545
C31 = 4.0759956452537699824805835358067
C32 = 9.2076794298330791242156818474003
M2 = 6.1697947043828245592553615689730
M3 = -0.4277225654321857332623837380651
E1 = 0.5
E2 = -2.9079558716805469821718236208017
E3 = 0.2235406989781156962736090927619

# Columns of the stage table; a face has three: source s, radiative r and convective h in ``s - r T^4 - h T``.
TOP, BOTTOM, VAPOUR_CONDUCTANCE, VAPOUR_PRESSURE = 0, 3, 6, 7

# Rows of the table of cells.
CAPACITY, SHARE, CRITICAL, START, WATER_START = 0, 1, 2, 3, 4

# Columns of the ledger: four that the solver sums up, two that are read off the state.
TOP_HEAT, BOTTOM_HEAT, VAPOUR_HEAT, EVAPORATED, WATER, STORED = 0, 1, 2, 3, 4, 5

FIRST_STEP = 0.02
MAX_STEPS = 200_000


@njit(cache=True, error_model="numpy")
def saturation_pressure(temperature: float) -> tuple[float, float]:
    """Saturation pressure over water [Pa] and its slope [Pa/K] (Buck)."""
    t = temperature - ZERO_CELSIUS
    inverse = 1.0 / (BUCK[3] + t)
    share = t * inverse
    factor = BUCK[1] - t * (1.0 / BUCK[2])
    pressure = BUCK[0] * math.exp(factor * share)
    slope = pressure * (factor * BUCK[3] * inverse * inverse - share * (1.0 / BUCK[2]))
    return pressure, slope


@njit(cache=True, error_model="numpy")
def face(stage: Floats, side: int, conductance: float, cell: float) -> tuple[float, float, float]:
    """Face temperature, heat flux into the face and the flux's slope by the temperature of the cell's centre.

    Newton on a rising, convex function: from the second iterate on it comes down to the root from above.
    """
    source, radiative, convective = stage[side], stage[side + 1], stage[side + 2]
    temperature = cell
    for _ in range(50):
        cubed = radiative * temperature * temperature * temperature
        excess = conductance * (temperature - cell) - source + (cubed + convective) * temperature
        change = excess / (conductance + 4.0 * cubed + convective)
        temperature -= change
        if abs(change) <= 1e-9 * abs(temperature):
            break
    cubed = radiative * temperature * temperature * temperature
    loss = 4.0 * cubed + convective
    flux = source - (cubed + convective) * temperature
    return temperature, flux, -conductance * loss / (conductance + loss)


@njit(cache=True, error_model="numpy")
def rates(
    enthalpy: Floats,
    water: Floats,
    cells: Floats,
    conductance: Floats,
    stage: Floats,
    out: Floats,
    total: Floats,
) -> tuple[float, float]:
    """Time derivatives of all cells and of the ledger; returns the slopes of the bottom and top flux.

    Fills the rows of ``out``: temperature, dH/dt, evaporation -dw/dt and its slopes by temperature and by water.
    """
    n = enthalpy.size
    capacity, share, critical = cells[CAPACITY], cells[SHARE], cells[CRITICAL]
    temperature, heat_rate, evaporation, by_temperature, by_water = out[0], out[1], out[2], out[3], out[4]
    for i in range(n):
        temperature[i] = ZERO_CELSIUS + enthalpy[i] / (capacity[i] + WATER_HEAT_CAPACITY * water[i])
    _, bottom, bottom_slope = face(stage, BOTTOM, conductance[0], temperature[0])
    _, top, top_slope = face(stage, TOP, conductance[n], temperature[n - 1])
    below = bottom
    for i in range(n - 1):
        above = conductance[i + 1] * (temperature[i + 1] - temperature[i])
        heat_rate[i] = below + above
        below = -above
    heat_rate[n - 1] = below + top
    mass, vapour = 0.0, 0.0
    for i in range(n):
        if share[i] > 0.0:
            pressure, slope = saturation_pressure(temperature[i])
            factor = share[i] * stage[VAPOUR_CONDUCTANCE]
            activity, activity_slope = water[i] / critical[i], 1.0 / critical[i]
            if activity > 1.0:
                activity, activity_slope = 1.0, 0.0
            evaporation[i] = factor * (activity * pressure - stage[VAPOUR_PRESSURE])
            by_temperature[i] = factor * activity * slope
            by_water[i] = factor * activity_slope * pressure
            leaving = LATENT_HEAT_0C + VAPOUR_HEAT_CAPACITY * (temperature[i] - ZERO_CELSIUS)
            heat_rate[i] -= leaving * evaporation[i]
            mass += evaporation[i]
            vapour += leaving * evaporation[i]
    total[TOP_HEAT], total[BOTTOM_HEAT], total[VAPOUR_HEAT], total[EVAPORATED] = top, bottom, vapour, mass
    return bottom_slope, top_slope


@njit(cache=True, error_model="numpy")
def factorise(conductance: Floats, diagonal: Floats, inverse: Floats, multiplier: Floats) -> None:
    """Factor a symmetric tridiagonal matrix from both ends to the middle.

    Off-diagonals are ``-conductance[1:n]``; two short chains of divisions overlap where one long one would wait.
    ``multiplier[i]`` joins cell ``i`` to the neighbour farther from the middle.
    """
    n = diagonal.size
    middle = n // 2
    pivot = diagonal[middle]
    if middle > 0:
        inverse[0] = 1.0 / diagonal[0]
        for i in range(1, middle):
            g = conductance[i]
            inverse[i] = 1.0 / (diagonal[i] - g * g * inverse[i - 1])
        for i in range(middle):
            multiplier[i] = conductance[i + 1] * inverse[i]
        pivot -= conductance[middle] * multiplier[middle - 1]
    if middle < n - 1:
        inverse[n - 1] = 1.0 / diagonal[n - 1]
        for i in range(n - 2, middle, -1):
            g = conductance[i + 1]
            inverse[i] = 1.0 / (diagonal[i] - g * g * inverse[i + 1])
        for i in range(middle + 1, n):
            multiplier[i] = conductance[i] * inverse[i]
        pivot -= conductance[middle + 1] * multiplier[middle + 1]
    inverse[middle] = 1.0 / pivot


@njit(cache=True, error_model="numpy")
def solve(inverse: Floats, multiplier: Floats, right: Floats, out: Floats) -> None:
    """Solve with the factors of ``factorise``."""
    n = right.size
    middle = n // 2
    carried = 0.0
    for i in range(middle):
        carried = right[i] + carried
        out[i] = carried
        carried *= multiplier[i]
    from_below = carried
    carried = 0.0
    for i in range(n - 1, middle, -1):
        carried = right[i] + carried
        out[i] = carried
        carried *= multiplier[i]
    centre = inverse[middle] * (right[middle] + from_below + carried)
    out[middle] = centre
    value = centre
    for i in range(middle - 1, -1, -1):
        value = inverse[i] * out[i] + multiplier[i] * value
        out[i] = value
    value = centre
    for i in range(middle + 1, n):
        value = inverse[i] * out[i] + multiplier[i] * value
        out[i] = value


@njit(cache=True, error_model="numpy")
def record(
    enthalpy: Floats,
    water: Floats,
    capacity: Floats,
    conductance: Floats,
    stage: Floats,
    temperature: Floats,
    faces: Floats,
    ledger: Floats,
) -> None:
    """Fill the temperatures of cells and faces (bottom, top), the water and the enthalpy of the whole stack."""
    n = capacity.size
    ledger[WATER], ledger[STORED] = 0.0, 0.0
    for i in range(n):
        full_capacity = capacity[i] + WATER_HEAT_CAPACITY * water[i]
        temperature[i] = ZERO_CELSIUS + enthalpy[i] / full_capacity
        ledger[WATER] += water[i]
        ledger[STORED] += full_capacity * (temperature[i] - ZERO_CELSIUS)
    faces[0], _, _ = face(stage, BOTTOM, conductance[0], temperature[0])
    faces[1], _, _ = face(stage, TOP, conductance[n], temperature[n - 1])


@njit(cache=True, error_model="numpy")
def simulate(
    cells: Floats,
    conductance: Floats,
    durations: Floats,
    stages: Floats,
    output_times: Floats,
    tolerance: float,
    out_temperature: Floats,
    out_faces: Floats,
    out_ledger: Floats,
) -> tuple[int, int]:
    """One sample from start to end; returns steps taken (-1 when it gave up) and steps refused."""
    n = cells.shape[1]
    capacity, share = cells[CAPACITY], cells[SHARE]
    enthalpy, water = np.empty(n), cells[WATER_START].copy()
    now, trial = np.zeros((5, n)), np.zeros((5, n))
    temperature, heat_rate, evaporation, by_temperature, by_water = now[0], now[1], now[2], now[3], now[4]
    trial_rate, trial_evaporation = trial[1], trial[2]
    trial_enthalpy, trial_water, scratch = np.empty(n), np.empty(n), np.zeros(n)
    full_capacity, sensible, latent = np.empty(n), np.empty(n), np.empty(n)
    inverse, multiplier, right = np.empty(n), np.zeros(n), np.empty(n)
    moist, weight = np.empty(n), np.empty(n)
    t1, t2, t3 = np.empty(n), np.empty(n), np.empty(n)
    w1, w2, w3 = np.empty(n), np.empty(n), np.empty(n)
    total, trial_total, slopes, ledger = np.empty(4), np.empty(4), np.empty((3, 4)), np.zeros(6)
    for i in range(n):
        enthalpy[i] = (capacity[i] + WATER_HEAT_CAPACITY * water[i]) * (cells[START, i] - ZERO_CELSIUS)

    time, stage_end, step = 0.0, 0.0, FIRST_STEP
    steps, refused, k = 0, 0, 0
    bottom_slope, top_slope = 0.0, 0.0
    for s in range(durations.size):
        stage = stages[s]
        stage_end += durations[s]
        step = min(step, FIRST_STEP)
        fresh, after_refusal = False, False
        while True:
            # A time on the border of two stages belongs to the stage that ends there.
            while k < output_times.size and output_times[k] <= time:
                record(enthalpy, water, capacity, conductance, stage, out_temperature[k], out_faces[k], ledger)
                out_ledger[k] = ledger
                k += 1
            if time >= stage_end:
                break
            target = stage_end
            if k < output_times.size and output_times[k] < target:
                target = output_times[k]
            left = target - time
            # Two equal steps to the target instead of a long and a tiny one.
            h = left if step >= left else min(step, 0.5 * left)
            if steps + refused >= MAX_STEPS or h <= 1e-13 * stage_end:
                return -1, refused

            if not fresh:
                bottom_slope, top_slope = rates(enthalpy, water, cells, conductance, stage, now, total)
                for i in range(n):
                    celsius = temperature[i] - ZERO_CELSIUS
                    full_capacity[i] = capacity[i] + WATER_HEAT_CAPACITY * water[i]
                    sensible[i] = WATER_HEAT_CAPACITY * celsius
                    latent[i] = LATENT_HEAT_0C + LATENT_HEAT_SLOPE * celsius
                fresh = True

            # A cell's change of enthalpy is full_capacity * dT + sensible * dw; its dw follows from its dT, so the
            # matrix is tridiagonal in the changes of temperature alone.
            rate = 1.0 / (GAMMA * h)
            for i in range(n):
                moist[i] = 1.0 / (rate + by_water[i])
                weight[i] = sensible[i] + latent[i] * by_water[i] * moist[i]
                scratch[i] = (
                    full_capacity[i] * rate
                    + conductance[i]
                    + conductance[i + 1]
                    + VAPOUR_HEAT_CAPACITY * evaporation[i]
                    + by_temperature[i] * latent[i] * rate * moist[i]
                )
                right[i] = heat_rate[i] + weight[i] * evaporation[i]
            scratch[0] -= conductance[0] + bottom_slope
            scratch[n - 1] -= conductance[n] + top_slope
            factorise(conductance, scratch, inverse, multiplier)

            solve(inverse, multiplier, right, t1)
            for i in range(n):
                w1[i] = -(evaporation[i] + by_temperature[i] * t1[i]) * moist[i]
                trial_enthalpy[i] = enthalpy[i] + full_capacity[i] * t1[i] + sensible[i] * w1[i]
                trial_water[i] = water[i] + w1[i]
            rates(trial_enthalpy, trial_water, cells, conductance, stage, trial, trial_total)
            # The second and the third stage share these rates.
            c21, c31, c32 = C21 / h, C31 / h, C32 / h
            for i in range(n):
                scratch[i] = c21 * w1[i] - trial_evaporation[i]
                carried = c21 * (full_capacity[i] * t1[i] + sensible[i] * w1[i])
                right[i] = trial_rate[i] + carried - weight[i] * scratch[i]
            solve(inverse, multiplier, right, t2)
            for i in range(n):
                w2[i] = (scratch[i] - by_temperature[i] * t2[i]) * moist[i]
                scratch[i] = c31 * w1[i] + c32 * w2[i] - trial_evaporation[i]
                carried = full_capacity[i] * (c31 * t1[i] + c32 * t2[i])
                carried += sensible[i] * (c31 * w1[i] + c32 * w2[i])
                right[i] = trial_rate[i] + carried - weight[i] * scratch[i]
            solve(inverse, multiplier, right, t3)

            worst, every = 0.0, 0.0
            for i in range(n):
                w3[i] = (scratch[i] - by_temperature[i] * t3[i]) * moist[i]
                change = w1[i] + M2 * w2[i] + M3 * w3[i]
                trial_water[i] = water[i] + change
                trial_enthalpy[i] = enthalpy[i] + sensible[i] * change
                trial_enthalpy[i] += full_capacity[i] * (t1[i] + M2 * t2[i] + M3 * t3[i])
                error = abs(E1 * t1[i] + E2 * t2[i] + E3 * t3[i])
                # Water counts by the temperature that its latent heat is worth, and so does water below zero.
                error_water = abs(E1 * w1[i] + E2 * w2[i] + E3 * w3[i])
                error_water = max(error_water, -trial_water[i])
                error = max(error, error_water * latent[i] / full_capacity[i])
                every += error
                worst = max(worst, error)
            worst /= tolerance
            if not every < 1e300:
                worst = 1e3
            factor = min(5.0, max(0.2, 0.9 * max(worst, 1e-4) ** (-1.0 / 3.0)))
            if worst > 1.0:
                refused += 1
                step = h * factor
                after_refusal = True
                continue

            steps += 1
            slopes[:, VAPOUR_HEAT] = 0.0
            slopes[:, EVAPORATED] = 0.0
            for j, (t, w) in enumerate(((t1, w1), (t2, w2), (t3, w3))):
                slopes[j, TOP_HEAT] = top_slope * t[n - 1]
                slopes[j, BOTTOM_HEAT] = bottom_slope * t[0]
                for i in range(n):
                    if share[i] > 0.0:
                        more = by_temperature[i] * t[i] + by_water[i] * w[i]
                        slopes[j, EVAPORATED] += more
                        slopes[j, VAPOUR_HEAT] += (sensible[i] + latent[i]) * more
                        slopes[j, VAPOUR_HEAT] += VAPOUR_HEAT_CAPACITY * evaporation[i] * t[i]
            for j in range(4):
                first = (total[j] + slopes[0, j]) / rate
                second = (trial_total[j] + slopes[1, j] + c21 * first) / rate
                third = (trial_total[j] + slopes[2, j] + c31 * first + c32 * second) / rate
                ledger[j] += first + M2 * second + M3 * third
            for i in range(n):
                water[i] = trial_water[i]
                enthalpy[i] = trial_enthalpy[i]
                if water[i] < 0.0:
                    # The step took more than there was, by less than the tolerance: give the excess back with the
                    # heat that it had carried off, so that both balances stay closed.
                    back = -water[i] * (sensible[i] + latent[i])
                    enthalpy[i] += back
                    ledger[VAPOUR_HEAT] -= back
                    ledger[EVAPORATED] += water[i]
                    water[i] = 0.0
            fresh = False
            time = target if h == left else time + h
            proposal = h * (min(factor, 1.0) if after_refusal else factor)
            # A good step that a target cut short says nothing against the longer one that was planned.
            step = max(proposal, step) if factor >= 1.0 else proposal
            after_refusal = False
    return steps, refused


@njit(cache=True, error_model="numpy", parallel=True)
def simulate_batch(
    cells: Floats,
    conductance: Floats,
    durations: Floats,
    stages: Floats,
    output_times: Floats,
    tolerance: float,
    out_temperature: Floats,
    out_faces: Floats,
    out_ledger: Floats,
    out_steps: NDArray[np.int64],
) -> None:
    """All samples, one problem an iteration, so that the number of threads changes nothing in the answer.

    Shapes: cells (sample, 5, cell), conductance (sample, cell + 1), stages (sample, stage, 8),
    out_temperature (sample, k, cell), out_faces (sample, k, 2), out_ledger (sample, k, 6), out_steps (sample, 2).
    """
    for m in prange(cells.shape[0]):
        out_steps[m, 0], out_steps[m, 1] = simulate(
            cells[m], conductance[m], durations, stages[m], output_times, tolerance,
            out_temperature[m], out_faces[m], out_ledger[m],
        )  # fmt: skip
