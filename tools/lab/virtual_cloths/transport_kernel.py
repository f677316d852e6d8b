"""Compiled transport of dye in the virtual cloths: finite volumes in clock time, implicit, extrapolated.

Shares nothing with laydown's own solver: it steps in seconds, not in equivalent time; takes backward Euler with
Newton's iteration where that one takes a Rosenbrock method; and halves every step to see its error.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]

GAS = 8.31446261815324
MOST_STEPS = 200_000
NEWTON = 25


@njit(cache=True, error_model="numpy")
def speed(energy: float, reference: float, kelvin: float) -> float:
    """Arrhenius factor beside the reference temperature."""
    return math.exp(energy / GAS * (1.0 / reference - 1.0 / kelvin))


@njit(cache=True, error_model="numpy")
def euler(
    h: float, diffusing: float, inflow: float, width: Floats, conductance: Floats, step_up: Floats, binding: Floats,
    capacity: Floats, free: Floats, bound: Floats, free_new: Floats, bound_new: Floats, work: Floats,
) -> bool:  # fmt: skip
    """Take one step of backward Euler from (free, bound) to (free_new, bound_new); return whether Newton ended.

    The residual of a cell is what it holds too much after the step; bound dye is known from free dye cell by cell, so
    the linear systems are tridiagonal.
    """
    n = free.size
    for i in range(n):
        free_new[i] = free[i]
    for _ in range(NEWTON):
        for i in range(n):
            rate = h * diffusing * binding[i]
            c = free_new[i]
            below = 1.0 + rate * c
            caught = (bound[i] + rate * c * capacity[i]) / below
            bound_new[i] = caught
            work[0, i] = 0.0
            work[2, i] = 0.0
            work[1, i] = width[i] * (1.0 + rate * (capacity[i] - bound[i]) / (below * below))
            work[3, i] = width[i] * (c - free[i] + caught - bound[i])
        work[3, 0] -= inflow
        for i in range(n - 1):
            g = h * diffusing * conductance[i]
            moved = g * (step_up[i] * free_new[i] - free_new[i + 1])
            work[3, i] += moved
            work[3, i + 1] -= moved
            work[1, i] += g * step_up[i]
            work[2, i] -= g
            work[1, i + 1] += g
            work[0, i + 1] -= g * step_up[i]
        # Elimination (Thomas): the correction of the free dye.
        for i in range(1, n):
            m = work[0, i] / work[1, i - 1]
            work[1, i] -= m * work[2, i - 1]
            work[3, i] -= m * work[3, i - 1]
        change = work[3, n - 1] / work[1, n - 1]
        worst = abs(change)
        free_new[n - 1] -= change
        for i in range(n - 2, -1, -1):
            change = (work[3, i] - work[2, i] * change) / work[1, i]
            free_new[i] -= change
            worst = max(worst, abs(change))
        if worst < 1e-11:
            for i in range(n):
                rate = h * diffusing * binding[i]
                bound_new[i] = (bound[i] + rate * free_new[i] * capacity[i]) / (1.0 + rate * free_new[i])
            return True
    return False


@njit(cache=True, error_model="numpy")
def emptied(
    start: float, end: float, t0: float, t1: float, k0: float, k1: float, rate: float, energy: float, reference: float
) -> float:
    """Integral of a release rate from start to end within a piece of history that runs from (t0, k0) to (t1, k1)."""
    total = 0.0
    slope = (k1 - k0) / (t1 - t0)
    middle, half = 0.5 * (start + end), 0.5 * (end - start)
    for sign in (-1.0, 1.0):
        at = middle + sign * half / math.sqrt(3.0)
        total += half * rate * speed(energy, reference, k0 + slope * (at - t0))
    return total


@njit(cache=True, error_model="numpy")
def follow(
    times: Floats, kelvin: Floats, outputs: Floats, width: Floats, conductance: Floats, step_up: Floats,
    binding: Floats, capacity: Floats, d_energy: float, d_reference: float, amount: Floats, rate: Floats,
    energy: Floats, r_reference: float, tolerance: float, free_out: Floats, bound_out: Floats, left_out: Floats,
) -> int:  # fmt: skip
    """Follow one film; fills dye of every cell at every output and what the sites still hold; returns steps or -1."""
    n, sites = width.size, amount.size
    free, bound = np.zeros(n), np.zeros(n)
    whole, whole_bound = np.empty(n), np.empty(n)
    half, half_bound = np.empty(n), np.empty(n)
    fine, fine_bound = np.empty(n), np.empty(n)
    work = np.empty((4, n))
    left, after, between = amount.copy(), amount.copy(), amount.copy()
    h, done, o = 1e-2, 0, 0
    t = times[0]
    for k in range(times.size - 1):
        t0, t1, k0, k1 = times[k], times[k + 1], kelvin[k], kelvin[k + 1]
        slope = (k1 - k0) / (t1 - t0)
        while True:
            while o < outputs.size and outputs[o] <= t + 1e-9 * max(1.0, t):
                for i in range(n):
                    free_out[o, i], bound_out[o, i] = free[i], bound[i]
                for s in range(sites):
                    left_out[o, s] = left[s]
                o += 1
            if t >= t1 - 1e-9 * max(1.0, t1):
                break
            if done > MOST_STEPS:
                return -1
            end = t1
            if o < outputs.size and outputs[o] < end:
                end = outputs[o]
            last = t + 1.001 * h >= end
            step = end - t if last else h
            flow_a, flow_b = 0.0, 0.0
            for s in range(sites):
                first = emptied(t, t + 0.5 * step, t0, t1, k0, k1, rate[s], energy[s], r_reference)
                second = emptied(t + 0.5 * step, t + step, t0, t1, k0, k1, rate[s], energy[s], r_reference)
                between[s] = left[s] * math.exp(-first)
                after[s] = between[s] * math.exp(-second)
                flow_a += left[s] - between[s]
                flow_b += between[s] - after[s]
            at_end = speed(d_energy, d_reference, k0 + slope * (t + step - t0))
            at_middle = speed(d_energy, d_reference, k0 + slope * (t + 0.5 * step - t0))
            fine_ok = euler(0.5 * step, at_middle, flow_a, width, conductance, step_up, binding, capacity,
                            free, bound, half, half_bound, work)  # fmt: skip
            fine_ok = fine_ok and euler(0.5 * step, at_end, flow_b, width, conductance, step_up, binding, capacity,
                                        half, half_bound, fine, fine_bound, work)  # fmt: skip
            whole_ok = euler(step, at_end, flow_a + flow_b, width, conductance, step_up, binding, capacity,
                             free, bound, whole, whole_bound, work)  # fmt: skip
            done += 1
            error = 0.0
            for i in range(n):
                size = 0.01 + abs(fine[i]) + fine_bound[i]
                error = max(error, abs(fine[i] - whole[i]) / size, abs(fine_bound[i] - whole_bound[i]) / size)
            error /= tolerance
            if not (fine_ok and whole_ok) or error > 1.0:
                h = step * (max(0.2, 0.9 / math.sqrt(error)) if fine_ok and whole_ok else 0.2)
                continue
            for i in range(n):
                free[i] = 2.0 * fine[i] - whole[i]
                bound[i] = 2.0 * fine_bound[i] - whole_bound[i]
                if bound[i] > capacity[i]:
                    free[i] += bound[i] - capacity[i]
                    bound[i] = capacity[i]
            for s in range(sites):
                left[s] = after[s]
            t = end if last else t + step
            grown = step * min(4.0, 0.9 / math.sqrt(max(error, 1e-4)))
            h = max(h, grown) if last else grown
    while o < outputs.size:
        for i in range(n):
            free_out[o, i], bound_out[o, i] = free[i], bound[i]
        for s in range(sites):
            left_out[o, s] = left[s]
        o += 1
    return done
