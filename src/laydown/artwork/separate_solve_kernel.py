"""Compiled search for the tones that bring each colour of the art closest; `separate_solve` is the door.

One colour has at most five free tones at once: underbase, highlight and three inks. Its primaries are gathered once;
then the mean colour and its derivatives come from folding that table tone by tone, as each tone is linear in it.
"""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Values = NDArray[np.float64]
Numbers = NDArray[np.int64]

LIMIT = (6.0 / 29.0) ** 3
SLOPE = (29.0 / 3.0) ** 3 / 116.0
MOST_FREE = 5
RANKED = 6
"""Inks, best alone, whose pairs are tried."""
BLOCK = 64
VISIBLE = 2.0
"""Colour difference up to which the objective grows with its square, beyond in proportion."""
THIRD = 0.05
"""What a third ink must gain."""


@njit(cache=True, error_model="numpy", nogil=True)
def _fit(
    x: Values,
    axes: Numbers,
    free: int,
    base: int,
    plates: int,
    table: Values,
    target: Values,
    metric: Values,
    penalty: Values,
    steps: int,
    gathered: Values,
    fold: Values,
    slope: Values,
    trial: Values,
) -> float:
    """Improve the free tones in place by damped Gauss-Newton steps within 0 to 1; the objective they reach."""
    for subset in range(1 << free):
        row = base
        for j in range(free):
            if (subset >> j) & 1:
                row |= 1 << (plates - 1 - axes[j])
        for c in range(3):
            gathered[subset, c] = table[row, c]
    jacobian = np.empty((3, MOST_FREE))
    residual = np.empty(3)
    normal = np.empty((MOST_FREE, MOST_FREE))
    pull = np.empty(MOST_FREE)
    best = np.inf
    damping = 4.0
    for j in range(free):
        trial[j] = x[j]
    for step in range(steps + 1):
        # Colour and its derivatives.
        for subset in range(1 << free):
            for c in range(3):
                fold[subset, c] = gathered[subset, c]
        for j in range(free - 1, -1, -1):
            half = 1 << j
            for i in range(j + 1, free):
                for s in range(half):
                    for c in range(3):
                        slope[i, s, c] += trial[j] * (slope[i, s + half, c] - slope[i, s, c])
            for s in range(half):
                for c in range(3):
                    change = fold[s + half, c] - fold[s, c]
                    slope[j, s, c] = change
                    fold[s, c] += trial[j] * change
        f0 = 0.0
        f1 = 0.0
        f2 = 0.0
        d0 = 0.0
        d1 = 0.0
        d2 = 0.0
        for c in range(3):
            t = fold[0, c]
            if t > LIMIT:
                root = np.cbrt(t)
                d = root / (3.0 * t)
            else:
                root = SLOPE * t + 16.0 / 116.0
                d = SLOPE
            if c == 0:
                f0 = root
                d0 = d
            elif c == 1:
                f1 = root
                d1 = d
            else:
                f2 = root
                d2 = d
        off_l = 116.0 * f1 - 16.0 - target[0]
        off_a = 500.0 * (f0 - f1) - target[1]
        off_b = 200.0 * (f1 - f2) - target[2]
        square = 0.0
        for c in range(3):
            residual[c] = metric[c, 0] * off_l + metric[c, 1] * off_a + metric[c, 2] * off_b
            square += residual[c] * residual[c]
        root_square = np.sqrt(1.0 + square / (VISIBLE * VISIBLE))
        objective = VISIBLE * VISIBLE * (root_square - 1.0)
        for j in range(free):
            objective += penalty[axes[j]] * trial[j]
        if objective < best:
            moved = 0.0
            for j in range(free):
                moved = max(moved, abs(x[j] - trial[j]))
                x[j] = trial[j]
            best = objective
            damping *= 0.25
            if step == steps or (step > 0 and moved < 5e-4):
                break
            for j in range(free):
                to_l = 116.0 * d1 * slope[j, 0, 1]
                to_a = 500.0 * (d0 * slope[j, 0, 0] - d1 * slope[j, 0, 1])
                to_b = 200.0 * (d1 * slope[j, 0, 1] - d2 * slope[j, 0, 2])
                for c in range(3):
                    jacobian[c, j] = metric[c, 0] * to_l + metric[c, 1] * to_a + metric[c, 2] * to_b
            weight = 1.0 / root_square
            for i in range(free):
                pull[i] = penalty[axes[i]]
                for c in range(3):
                    pull[i] += weight * jacobian[c, i] * residual[c]
                for j in range(free):
                    total = 0.0
                    for c in range(3):
                        total += jacobian[c, i] * jacobian[c, j]
                    normal[i, j] = weight * total
        else:
            damping *= 10.0
            if step == steps or damping > 1e9:
                break
        # The best step inside the box: coordinate by coordinate until it stands still.
        for j in range(free):
            trial[j] = x[j]
        for _ in range(24):
            moved = 0.0
            for i in range(free):
                gradient = pull[i] + damping * (trial[i] - x[i])
                for j in range(free):
                    gradient += normal[i, j] * (trial[j] - x[j])
                new = min(1.0, max(0.0, trial[i] - gradient / (normal[i, i] + damping)))
                moved = max(moved, abs(new - trial[i]))
                trial[i] = new
            if moved < 1e-4:
                break
    return best


@njit(cache=True, error_model="numpy", parallel=True, nogil=True)
def solve_colours(
    targets: Values,
    metrics: Values,
    table: Values,
    penalty: Values,
    colours: int,
    first_colour: int,
    parent: Numbers,
    parent_tones: Values,
    least: float,
) -> tuple[Values, Values]:
    """Tones (colour, plate) and objective of each target.

    ``parent`` is the row of ``parent_tones`` that a target starts from, whose inks it keeps; -1: all inks are tried.
    """
    count = targets.shape[0]
    plates = penalty.size
    tones = np.zeros((count, plates))
    reached = np.zeros(count)
    for block in prange((count + BLOCK - 1) // BLOCK):
        gathered = np.empty((1 << MOST_FREE, 3))
        fold = np.empty((1 << MOST_FREE, 3))
        slope = np.empty((MOST_FREE, 1 << MOST_FREE, 3))
        trial = np.empty(MOST_FREE)
        x = np.empty(MOST_FREE)
        axes = np.empty(MOST_FREE, dtype=np.int64)
        keep = np.empty(MOST_FREE)
        kept = np.empty(MOST_FREE, dtype=np.int64)
        alone = np.empty(max(1, colours))
        ranked = np.empty(RANKED, dtype=np.int64)
        for i in range(block * BLOCK, min(count, (block + 1) * BLOCK)):
            target = targets[i]
            metric = metrics[i]
            ends = 0
            if first_colour == 1:
                axes[0] = 0
                ends = 1
            if first_colour + colours < plates:
                axes[ends] = plates - 1
                ends += 1
            free = ends
            if parent[i] >= 0:
                for k in range(colours):
                    if parent_tones[parent[i], first_colour + k] > 0.0 and free < MOST_FREE:
                        axes[free] = first_colour + k
                        free += 1
                for j in range(free):
                    x[j] = min(0.95, max(0.05, parent_tones[parent[i], axes[j]]))
                best = _fit(x, axes, free, 0, plates, table, target, metric, penalty, 12, gathered, fold, slope, trial)
            else:
                for j in range(ends):
                    x[j] = 0.5
                best = _fit(x, axes, ends, 0, plates, table, target, metric, penalty, 6, gathered, fold, slope, trial)
                for j in range(ends):
                    keep[j] = x[j]
                    kept[j] = axes[j]
                # Each ink alone, for an order of the inks.
                for k in range(colours):
                    for j in range(ends + 1):
                        x[j] = 0.5
                    axes[ends] = first_colour + k
                    alone[k] = _fit(
                        x, axes, ends + 1, 0, plates, table, target, metric, penalty, 4, gathered, fold, slope, trial
                    )
                    if alone[k] < best:
                        best = alone[k]
                        free = ends + 1
                        for j in range(free):
                            keep[j] = x[j]
                            kept[j] = axes[j]
                tried = min(RANKED, colours)
                for r in range(tried):
                    lead = 0
                    for k in range(1, colours):
                        if alone[k] < alone[lead]:
                            lead = k
                    ranked[r] = lead
                    alone[lead] = np.inf
                for p in range(tried):
                    for r in range(p + 1, tried):
                        for j in range(ends + 2):
                            x[j] = 0.4
                        axes[ends] = first_colour + min(ranked[p], ranked[r])
                        axes[ends + 1] = first_colour + max(ranked[p], ranked[r])
                        found = _fit(
                            x,
                            axes,
                            ends + 2,
                            0,
                            plates,
                            table,
                            target,
                            metric,
                            penalty,
                            10,
                            gathered,
                            fold,
                            slope,
                            trial,
                        )
                        if found < best:
                            best = found
                            free = ends + 2
                            for j in range(free):
                                keep[j] = x[j]
                                kept[j] = axes[j]
                if free == ends + 2:
                    pair_best = best
                    first, second = kept[ends], kept[ends + 1]
                    start = keep.copy()
                    for k in range(first_colour, first_colour + colours):
                        if k in (first, second):
                            continue
                        for j in range(ends + 2):
                            x[j] = start[j]
                        axes[ends] = first
                        axes[ends + 1] = second
                        axes[ends + 2] = k
                        x[ends + 2] = 0.1
                        found = _fit(
                            x,
                            axes,
                            ends + 3,
                            0,
                            plates,
                            table,
                            target,
                            metric,
                            penalty,
                            4,
                            gathered,
                            fold,
                            slope,
                            trial,
                        )
                        if found < best and found < pair_best - THIRD:
                            best = found
                            free = ends + 3
                            for j in range(free):
                                keep[j] = x[j]
                                kept[j] = axes[j]
                for j in range(free):
                    x[j] = keep[j]
                    axes[j] = kept[j]
                best = _fit(x, axes, free, 0, plates, table, target, metric, penalty, 20, gathered, fold, slope, trial)
            # No ink at all may still be best.
            x_none = np.empty(0)
            none = _fit(x_none, axes, 0, 0, plates, table, target, metric, penalty, 0, gathered, fold, slope, trial)
            if none <= best:
                reached[i] = none
                continue
            # Dots that no screen holds are left out or filled up, and the other tones make good for it.
            base = 0
            left = 0
            settled = False
            for j in range(free):
                if x[j] < least:
                    settled = settled or x[j] > 0.0
                    continue
                if x[j] > 1.0 - least:
                    settled = settled or x[j] < 1.0
                    base |= 1 << (plates - 1 - axes[j])
                    tones[i, axes[j]] = 1.0
                    continue
                x[left] = x[j]
                axes[left] = axes[j]
                left += 1
            if settled:
                best = _fit(
                    x, axes, left, base, plates, table, target, metric, penalty, 6, gathered, fold, slope, trial
                )
            for j in range(left):
                value = x[j]
                if value < least:
                    value = 0.0
                elif value > 1.0 - least:
                    value = 1.0
                tones[i, axes[j]] = value
            reached[i] = best
    return tones, reached


@njit(cache=True, error_model="numpy", parallel=True, nogil=True)
def solve_under_solids(
    targets: Values, metrics: Values, table: Values, penalty: Values, solids: Numbers
) -> tuple[Values, Values]:
    """Underbase tone (colour, solid) below each solid ink alone, and the objective; for prints whose plate 0 is white.

    ``solids`` are rows of the table with one plate that is not the underbase.
    """
    count = targets.shape[0]
    plates = penalty.size
    under = np.zeros((count, solids.size))
    reached = np.zeros((count, solids.size))
    for i in prange(count):
        gathered = np.empty((2, 3))
        fold = np.empty((2, 3))
        slope = np.empty((1, 2, 3))
        trial = np.empty(1)
        axes = np.zeros(1, dtype=np.int64)
        for k in range(solids.size):
            x = np.full(1, 0.5)
            reached[i, k] = _fit(
                x,
                axes,
                1,
                solids[k],
                plates,
                table,
                targets[i],
                metrics[i],
                penalty,
                20,
                gathered,
                fold,
                slope,
                trial,
            )
            under[i, k] = x[0]
    return under, reached
