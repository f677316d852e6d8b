"""Compiled void-and-cluster ordering; `laydown.artwork.halftone_blue_noise` is the door and says what is computed."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

OPEN, INKED = 0, 1
REACH = 9
"""Points beyond which the weight (about 1e-8) is left out."""


@njit(cache=True, error_model="numpy", nogil=True)
def _add(crowd: NDArray[np.float64], weight: NDArray[np.float64], place: int, sign: float) -> None:
    edge = crowd.shape[0]
    y, x = place // edge, place % edge
    reach = min(REACH, (edge - 1) // 2)
    for i in range(-reach, reach + 1):
        for j in range(-reach, reach + 1):
            crowd[(y + i) % edge, (x + j) % edge] += sign * weight[i % edge, j % edge]


@njit(cache=True, error_model="numpy", nogil=True)
def _extreme(crowd: NDArray[np.float64], pattern: NDArray[np.bool_], wanted: int) -> int:
    """Most crowded point (INKED wanted) or widest gap (OPEN wanted); the first of equals."""
    edge = crowd.shape[0]
    best = np.inf
    found = -1
    for y in range(edge):
        for x in range(edge):
            if pattern[y, x] == (wanted == INKED):
                value = -crowd[y, x] if wanted == INKED else crowd[y, x]
                if value < best - 1e-9:
                    best = value
                    found = y * edge + x
    return found


@njit(cache=True, error_model="numpy", nogil=True)
def void_and_cluster(first: NDArray[np.bool_], weight: NDArray[np.float64]) -> NDArray[np.int64]:
    """Rank of every point, grown from a first pattern."""
    edge = first.shape[0]
    pattern = first.copy()
    crowd = np.zeros((edge, edge))
    count = 0
    for place in range(edge * edge):
        if pattern[place // edge, place % edge]:
            _add(crowd, weight, place, 1.0)
            count += 1
    # Even out: ends when the point that is taken up is put back where it was.
    for _ in range(edge * edge):
        taken = _extreme(crowd, pattern, INKED)
        pattern[taken // edge, taken % edge] = False
        _add(crowd, weight, taken, -1.0)
        gap = _extreme(crowd, pattern, OPEN)
        pattern[gap // edge, gap % edge] = True
        _add(crowd, weight, gap, 1.0)
        if gap == taken:
            break
    ranks = np.zeros((edge, edge), np.int64)
    start = pattern.copy()
    kept = crowd.copy()
    for rank in range(count - 1, -1, -1):
        taken = _extreme(crowd, pattern, INKED)
        pattern[taken // edge, taken % edge] = False
        _add(crowd, weight, taken, -1.0)
        ranks[taken // edge, taken % edge] = rank
    pattern[:] = start
    crowd[:] = kept
    # The weights of all points add up to the same everywhere, so a gap among the inked is a crowd of the open ones.
    for rank in range(count, edge * edge):
        gap = _extreme(crowd, pattern, OPEN)
        pattern[gap // edge, gap % edge] = True
        _add(crowd, weight, gap, 1.0)
        ranks[gap // edge, gap % edge] = rank
    return ranks
