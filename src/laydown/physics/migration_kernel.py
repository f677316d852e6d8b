"""Compiled solver of dye migration; its door is ``migration``, its equations are in docs/physics/bleed.md.

Time runs as equivalent time at the reference temperature (``migration_clock_kernel``), in which the film's equations
have constant coefficients: seconds in the dryer and weeks in the box become stretches of like length.

Space. Finite volumes in the activity ``a = c/phi``, ``phi`` the product of the partition coefficients below, which is
continuous. The flux over a face takes the cell means corrected by what the two cells gain (compact scheme):
``F = g [(a - q sigma)_below - (a - q sigma)_above]``, ``sigma = da/ds + kappa a b``. Fourth order within a layer of
equal cells (q = h²/12D), third at interfaces (h²/6D); q = 0 would be the usual second order.

Steps. ROS3 (Sandu et al. 1997): Rosenbrock, third order, L-stable. Blocker is eliminated cell by cell; a step
factorises one tridiagonal matrix. The method keeps linear invariants, so the dye balance closes to round-off.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

# ROS3 in the form of Hairer & Wanner IV.7 (unknowns are the stages multiplied by the inverse of gamma).
GAMMA = 0.43586652150845899941601945119356
C21 = -1.0156171083877702091975600115545
C31 = 4.0759956452537699824805835358067
C32 = 9.2076794298330791242156818474003
M2 = 6.1697947043828245592553615689730
M3 = -0.4277225654321857332623837380651
E1 = 0.5
E2 = -2.9079558716805469821718236208017
E3 = 0.2235406989781156962736090927619
SLOPE1 = GAMMA
SLOPE2 = 0.24291996454816804366592249683314
SLOPE3 = 2.1851380027664058511513169485832

# Rows of the table of cells: mass per activity; partition factor; conductance of the face above; binding rate kappa;
# spending rate of blocker per activity; blocker at the start; compact correction at the lower and upper face; weights
# of the rises from below and to above in the slope of a cell.
MASS, PHI, CONDUCTANCE, BINDING, SPENDING, CAPACITY, BELOW, ABOVE, SLOPE_BELOW, SLOPE_ABOVE = range(10)

# Entries of a sample: dye of the reservoir at the start; conductance and value of a held bottom face.
AMOUNT, HELD_CONDUCTANCE, HELD = 0, 1, 2

# Rows of the knots (as in the clock).
EQUIVALENT, FALLEN, FALL = 0, 1, 2

# Rows of the working table: state; factorisation; what a stage looks at and is pushed by; rates; the stages themselves.
DYE, BLOCKER, SHARE, GAIN, Q_BELOW, Q_ABOVE, LOWER, UPPER, INVERSE, DIAGONAL, COLUMN = range(11)
STATE, PUSH, PUSH_BLOCKER, PAIR, SEEN_BELOW, SEEN_ABOVE, FLUX, RIGHT, BINDS, SPENDS, BEND, BENT = range(11, 23)
STAGE, STAGE_BLOCKER, WORK_ROWS = 23, 26, 29

# Columns of the ledger.
RESERVOIR, ENTERED, LOST = 0, 1, 2

EDGE = 1e-15
"""Activity below which the cells above are left out of the sums."""
VANISHED = 1e-60
"""Smaller numbers are made zero: as subnormal numbers they would slow the machine down and nothing else."""
MOST_BEND = 0.3
CALM = 8
"""Steps without undershoot after which short steps get the whole compact correction."""
LOWEST_DYE = 5e-7
LOWEST_BLOCKER = 5e-3
FEWEST_CELLS = 8
MAX_STEPS = 20_000


@njit(cache=True, error_model="numpy")
def reservoir_at(s: float, knot: int, last: int, knots: Floats) -> tuple[float, float, int]:
    """Share of the start left in the reservoir at ``s``, how fast its logarithm falls, and the knot before ``s``."""
    while knot < last and knots[EQUIVALENT, knot + 1] < s:
        knot += 1
    width = knots[EQUIVALENT, knot + 1] - knots[EQUIVALENT, knot]
    u = (s - knots[EQUIVALENT, knot]) / width
    gain = knots[FALLEN, knot + 1] - knots[FALLEN, knot]
    # Cubic with the right values and slopes at both knots.
    p = knots[FALL, knot] * width - gain
    r = knots[FALL, knot + 1] * width - gain
    bow = p * (1.0 - u) - r * u
    fallen = knots[FALLEN, knot] + u * gain + u * (1.0 - u) * bow
    fall = (gain + (1.0 - 2.0 * u) * bow - u * (1.0 - u) * (p + r)) / width
    return math.exp(-fallen), fall, knot


@njit(cache=True, error_model="numpy")
def source_of_step(
    s: float, end: float, left: float, knot: int, last: int, knots: Floats
) -> tuple[float, float, float, float, int]:
    """Release during a step as a straight line in ``s``.

    Returns the released share of the start, the tilt (-1 to 1; the rate at the ends is the mean times 1 -+ tilt), the
    largest mismatch in released share (of the rate at the end: times 0.3 of the step), what is left, and the knot.
    """
    h = end - s
    quarter, _, k = reservoir_at(s + 0.25 * h, knot, last, knots)
    half, _, k = reservoir_at(s + 0.5 * h, k, last, knots)
    late, _, k = reservoir_at(s + 0.75 * h, k, last, knots)
    after, fall, k = reservoir_at(end, k, last, knots)
    share = left - after
    if share <= 0.0:
        return 0.0, 0.0, 0.0, after, k
    tilt = min(1.0, max(-1.0, 2.0 * (2.0 * half - after - left) / share))
    wrong = max(
        abs(left - quarter - share * (0.25 - 0.1875 * tilt)),
        abs(left - half - share * (0.5 - 0.25 * tilt)),
        abs(left - late - share * (0.75 - 0.1875 * tilt)),
        0.3 * abs(fall * after * h - share * (1.0 + tilt)),
    )
    return share, tilt, wrong, after, k


@njit(cache=True, error_model="numpy")
def bend_reaction(n: int, ahead: float, cells: Floats, work: Floats) -> None:
    """Rates of binding for the coming step: the mean of a product is not the product of the means.

    With slopes ``a_x`` and ``b_x`` in a cell of width h the mean of ``a b`` exceeds the product of the means by
    ``h² a_x b_x/12``. How much, as a share, is read off the state before the step and carried on to its middle.
    """
    for i in range(1, n):
        rise, blocker_rise = work[DYE, i] - work[DYE, i - 1], work[BLOCKER, i] - work[BLOCKER, i - 1]
        work[SEEN_BELOW, i], work[FLUX, i] = rise, blocker_rise
        work[SEEN_ABOVE, i - 1], work[RIGHT, i - 1] = rise, blocker_rise
    work[SEEN_BELOW, 0], work[FLUX, 0] = 0.0, 0.0
    work[SEEN_ABOVE, n - 1], work[RIGHT, n - 1] = 0.0, 0.0
    for i in range(n):
        slope = cells[SLOPE_BELOW, i] * work[SEEN_BELOW, i] + cells[SLOPE_ABOVE, i] * work[SEEN_ABOVE, i]
        blocker_slope = cells[SLOPE_BELOW, i] * work[FLUX, i] + cells[SLOPE_ABOVE, i] * work[RIGHT, i]
        product = 12.0 * work[DYE, i] * work[BLOCKER, i]
        share = min(MOST_BEND, max(-MOST_BEND, slope * blocker_slope / max(product, VANISHED)))
        share = share if product > VANISHED else 0.0
        work[BEND, i] = share
        share += ahead * (share - work[BENT, i])
        work[BINDS, i] = cells[BINDING, i] * (1.0 + share)
        work[SPENDS, i] = cells[SPENDING, i] * (1.0 + share)


@njit(cache=True, error_model="numpy")
def factorise(n: int, h: float, open_top: bool, careful: bool, cells: Floats, given: Floats, work: Floats) -> float:
    """Eliminate blocker and factorise the matrix for the lowest ``n`` cells; returns the inverse of its sum."""
    rate = 1.0 / (GAMMA * h)
    spared = 0.0 if careful else rate
    for i in range(n):
        share = 1.0 / (rate + work[SPENDS, i] * work[DYE, i])
        gain = rate + work[BINDS, i] * work[BLOCKER, i] * rate * share
        work[SHARE, i] = share
        work[GAIN, i] = gain
        # Less correction where it would let dye undershoot: in cells that are coarse for the blocker, and (when
        # careful) in steps that are short for the cell.
        most = 1.0 / max(gain - spared, 1e-300)
        work[Q_BELOW, i] = min(cells[BELOW, i], most)
        work[Q_ABOVE, i] = min(cells[ABOVE, i], most)
        work[LOWER, i] = cells[CONDUCTANCE, i] * (1.0 - work[Q_ABOVE, i] * gain)
        work[COLUMN, i] = cells[MASS, i] * gain
        work[DIAGONAL, i] = work[COLUMN, i] + work[LOWER, i]
    if open_top:
        work[COLUMN, n - 1] += work[LOWER, n - 1]
    else:
        work[DIAGONAL, n - 1] = work[COLUMN, n - 1]
        work[LOWER, n - 1] = 0.0
    for i in range(1, n):
        coupling = cells[CONDUCTANCE, i - 1] * (1.0 - work[Q_BELOW, i] * work[GAIN, i])
        work[UPPER, i - 1] = coupling
        work[DIAGONAL, i] += coupling
    coupling = given[HELD_CONDUCTANCE] * (1.0 - work[Q_BELOW, 0] * work[GAIN, 0])
    work[DIAGONAL, 0] += coupling
    work[COLUMN, 0] += coupling
    inverse = 1.0 / work[DIAGONAL, 0]
    work[INVERSE, 0] = inverse
    for i in range(1, n):
        multiplier = work[LOWER, i - 1] * inverse
        work[LOWER, i - 1] = multiplier
        coupling = work[UPPER, i - 1]
        work[UPPER, i - 1] = coupling * inverse
        inverse = 1.0 / (work[DIAGONAL, i] - multiplier * coupling)
        work[INVERSE, i] = inverse
    total = 0.0
    for i in range(n):
        total += work[COLUMN, i]
    return 1.0 / total


@njit(cache=True, error_model="numpy")
def solve_stage(
    n: int, stage: int, open_top: bool, source: float, inverse_sum: float, cells: Floats, given: Floats, work: Floats
) -> tuple[float, float]:
    """Unknowns of one stage, from the state it looks at and from what binding and earlier stages push.

    Returns what flows in through a held bottom face and out through the top.
    """
    for i in range(n):
        pushed = work[PUSH_BLOCKER, i] * work[SHARE, i]
        work[PUSH_BLOCKER, i] = pushed
        push = work[PUSH, i] - work[BINDS, i] * work[DYE, i] * pushed
        work[RIGHT, i] = cells[MASS, i] * push
        work[SEEN_ABOVE, i] = work[STATE, i] + work[Q_ABOVE, i] * push
        work[SEEN_BELOW, i] = work[STATE, i] + work[Q_BELOW, i] * push
    held = given[HELD_CONDUCTANCE] * (given[HELD] - work[SEEN_BELOW, 0])
    lost = cells[CONDUCTANCE, n - 1] * work[SEEN_ABOVE, n - 1] if open_top else 0.0
    for i in range(n - 1):
        work[FLUX, i] = cells[CONDUCTANCE, i] * (work[SEEN_ABOVE, i] - work[SEEN_BELOW, i + 1])
    work[FLUX, n - 1] = lost
    value = work[RIGHT, 0] + held + source - work[FLUX, 0]
    work[RIGHT, 0] = value
    missing = value
    for i in range(1, n):
        right = work[RIGHT, i] + (work[FLUX, i - 1] - work[FLUX, i])
        missing += right
        value = right + work[LOWER, i - 1] * value
        work[RIGHT, i] = value
    value *= work[INVERSE, n - 1]
    work[STAGE + stage, n - 1] = value
    missing -= work[COLUMN, n - 1] * value
    for i in range(n - 2, -1, -1):
        value = work[RIGHT, i] * work[INVERSE, i] + work[UPPER, i] * value
        work[STAGE + stage, i] = value
        missing -= work[COLUMN, i] * value
    # In steps long beside h²/D round-off gathers in what all cells share and would show in the balance: take it out.
    shift = missing * inverse_sum
    for i in range(n):
        work[STAGE + stage, i] += shift
        spent = work[SPENDS, i] * work[BLOCKER, i] * work[SHARE, i] * work[STAGE + stage, i]
        work[STAGE_BLOCKER + stage, i] = work[PUSH_BLOCKER, i] - spent
    held -= given[HELD_CONDUCTANCE] * (1.0 - work[Q_BELOW, 0] * work[GAIN, 0]) * work[STAGE + stage, 0]
    lost += work[LOWER, n - 1] * work[STAGE + stage, n - 1]
    return held, lost


@njit(cache=True, error_model="numpy")
def take_step(
    n: int, h: float, open_top: bool, careful: bool, start_rate: float, rise: float,
    cells: Floats, given: Floats, work: Floats,
) -> tuple[float, float]:  # fmt: skip
    """One step of ROS3, still undecided: fills the stages, returns what entered and what was lost."""
    inverse_sum = factorise(n, h, open_top, careful, cells, given, work)
    gamma_h, c21, c31, c32 = GAMMA * h, C21 / h, C31 / h, C32 / h
    for i in range(n):
        pair = work[DYE, i] * work[BLOCKER, i]
        work[STATE, i] = work[DYE, i]
        work[PUSH, i] = -work[BINDS, i] * pair
        work[PUSH_BLOCKER, i] = -work[SPENDS, i] * pair
    held, lost = solve_stage(n, 0, open_top, start_rate + SLOPE1 * rise, inverse_sum, cells, given, work)
    held1, lost1 = held * gamma_h, lost * gamma_h

    for i in range(n):
        state = work[DYE, i] + work[STAGE, i]
        pair = state * (work[BLOCKER, i] + work[STAGE_BLOCKER, i])
        work[STATE, i] = state
        work[PAIR, i] = pair
        work[PUSH, i] = c21 * work[STAGE, i] - work[BINDS, i] * pair
        work[PUSH_BLOCKER, i] = c21 * work[STAGE_BLOCKER, i] - work[SPENDS, i] * pair
    held, lost = solve_stage(n, 1, open_top, start_rate + (GAMMA + SLOPE2) * rise, inverse_sum, cells, given, work)
    held2, lost2 = (held + c21 * held1) * gamma_h, (lost + c21 * lost1) * gamma_h

    # The third stage looks at the same state as the second.
    for i in range(n):
        pair = work[PAIR, i]
        work[PUSH, i] = c31 * work[STAGE, i] + c32 * work[STAGE + 1, i] - work[BINDS, i] * pair
        earlier = c31 * work[STAGE_BLOCKER, i] + c32 * work[STAGE_BLOCKER + 1, i]
        work[PUSH_BLOCKER, i] = earlier - work[SPENDS, i] * pair
    held, lost = solve_stage(n, 2, open_top, start_rate + (GAMMA + SLOPE3) * rise, inverse_sum, cells, given, work)
    held3, lost3 = (held + c31 * held1 + c32 * held2) * gamma_h, (lost + c31 * lost1 + c32 * lost2) * gamma_h
    return held1 + M2 * held2 + M3 * held3, lost1 + M2 * lost2 + M3 * lost3


@njit(cache=True, error_model="numpy")
def measure_step(n: int, tolerance: float, cells: Floats, work: Floats) -> tuple[float, float]:
    """Error and undershoot of the step by what is allowed (1); the new state goes to the rows of a stage's state."""
    worst, lowest, check = 0.0, 0.0, 0.0
    for i in range(n):
        old, phi, capacity = work[DYE, i], cells[PHI, i], cells[CAPACITY, i]
        first, second, third = work[STAGE, i], work[STAGE + 1, i], work[STAGE + 2, i]
        new = old + first + M2 * second + M3 * third
        wrong_dye = phi * abs(E1 * first + E2 * second + E3 * third)
        first, second, third = work[STAGE_BLOCKER, i], work[STAGE_BLOCKER + 1, i], work[STAGE_BLOCKER + 2, i]
        left = work[BLOCKER, i] + first + M2 * second + M3 * third
        wrong_bound = capacity * abs(E1 * first + E2 * second + E3 * third)
        work[STATE, i] = new
        work[PAIR, i] = left
        present = phi * max(abs(old), abs(new)) + capacity * abs(1.0 - left)
        ratio = max(wrong_dye, wrong_bound) / (tolerance * (1e-3 + present))
        worst = max(worst, ratio)
        lowest = max(lowest, -phi * new / LOWEST_DYE, -left / LOWEST_BLOCKER)
        check += ratio
    return worst if math.isfinite(check) else math.inf, lowest


@njit(cache=True, error_model="numpy")
def migrate(
    knots: Floats, outputs: Integers, cells: Floats, given: Floats, tolerance: float,
    free: Floats, left: Floats, ledger: Floats,
) -> tuple[int, int]:  # fmt: skip
    """Follow one sample to each output knot; returns steps taken and refused, or -1 taken when there are too many."""
    total, last_knot, amount = cells.shape[1], outputs[-1] - 1, given[AMOUNT]
    work = np.zeros((WORK_ROWS, total))
    work[BLOCKER] = 1.0
    first = cells[MASS, 0] / cells[PHI, 0]
    diffusivity = first * first / (6.0 * cells[BELOW, 0])
    s, remains, knot, entered, lost = 0.0, 1.0, 0, 0.0, 0.0
    h = 0.05 * first * first / diffusivity
    before, reacts = math.inf, cells[BINDING].max() > 0.0
    n, calm, taken, refused = min(total, FEWEST_CELLS), 0, 0, 0
    for o in range(outputs.size):
        end = knots[EQUIVALENT, outputs[o]]
        while s < end:
            if taken + refused >= MAX_STEPS:
                return -1, refused
            while True:
                step, last = h, False
                if s + 1.0001 * step >= end:
                    step, last = end - s, True
                elif s + 2.0 * step > end:
                    step = 0.5 * (end - s)
                after = end if last else s + step
                share, tilt, wrong, remains_after, knot_after = source_of_step(
                    s, after, remains, knot, last_knot, knots
                )
                present = cells[PHI, 0] * work[DYE, 0] + cells[CAPACITY, 0] * (1.0 - work[BLOCKER, 0])
                layer = max(first, math.sqrt(diffusivity * step))
                wrong *= amount / (layer * tolerance * (1e-3 + present))
                if wrong <= 1.0:
                    break
                h = step * max(0.2, 0.9 * wrong**-0.4)
            open_top = n == total
            rate = amount * share / step
            if reacts:
                bend_reaction(n, 0.5 * min(1.0, step / before), cells, work)
            careful = calm < CALM
            entered_step, lost_step = take_step(
                n, step, open_top, careful, rate * (1.0 - tilt), 2.0 * rate * tilt, cells, given, work
            )
            error, undershoot = measure_step(n, tolerance, cells, work)
            if not open_top and abs(work[STATE, n - 1]) + abs(work[STATE, n - 2]) > EDGE:
                n = min(total, n + n // 2)
                refused += 1
                continue
            # Nothing is cut off: a step that falls below zero is taken again, carefully or shorter.
            if undershoot > 0.2 and not careful:
                calm = 0
                refused += 1
                continue
            error = max(error, undershoot, wrong)
            calm += 1
            factor = 0.9 * max(error, 1e-9) ** (-1.0 / 3.0)
            if error > 1.0:
                refused += 1
                h = step * max(0.1, factor)
                continue
            taken += 1
            for i in range(n):
                work[BENT, i] = work[BEND, i]
                work[DYE, i] = work[STATE, i] if abs(work[STATE, i]) > VANISHED else 0.0
                work[BLOCKER, i] = work[PAIR, i] if abs(work[PAIR, i]) > VANISHED else 0.0
            entered += entered_step
            lost += lost_step
            s, remains, knot = after, remains_after, knot_after
            before = step
            grown = step * min(8.0, factor)
            if not (last and grown < h):
                h = grown
        for i in range(total):
            free[o, i] = work[DYE, i] * cells[PHI, i]
            left[o, i] = work[BLOCKER, i]
        ledger[o, RESERVOIR] = remains
        ledger[o, ENTERED] = entered
        ledger[o, LOST] = lost
    return taken, refused


@njit(cache=True, error_model="numpy", parallel=True)
def migrate_all(
    knots: Floats, outputs: Integers, cells: Floats, given: Floats, tolerance: float,
    free: Floats, left: Floats, ledger: Floats, steps: Integers,
) -> None:  # fmt: skip
    """Follow every sample; fills ``free``, ``left`` [sample, d, cell], ``ledger`` [sample, d, 3] and ``steps``."""
    for j in prange(cells.shape[0]):
        taken, refused = migrate(knots[j], outputs[j], cells[j], given[j], tolerance, free[j], left[j], ledger[j])
        steps[j, 0] = taken
        steps[j, 1] = refused


@njit(cache=True, error_model="numpy")
def migrate_few(
    knots: Floats, outputs: Integers, cells: Floats, given: Floats, tolerance: float,
    free: Floats, left: Floats, ledger: Floats, steps: Integers,
) -> None:  # fmt: skip
    """The same in one thread: waking the others takes longer than a few samples do."""
    for j in range(cells.shape[0]):
        taken, refused = migrate(knots[j], outputs[j], cells[j], given[j], tolerance, free[j], left[j], ledger[j])
        steps[j, 0] = taken
        steps[j, 1] = refused
