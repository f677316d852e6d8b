"""An order of points that stays evenly scattered however many of them are taken."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

SPREAD = 1.5
"""Width of the weight by which a point crowds its neighbours [points]; 1.5 is the value of the method's author."""

FIRST_SHARE = 0.1
"""Share of points in the pattern that the order is grown from."""

SEED = 20_003
"""Any number would do; a fixed one makes every film repeat bit by bit."""


@lru_cache(maxsize=4)
def blue_noise(edge: int) -> NDArray[np.uint16]:
    """Ranks 0 to edge² - 1 of a square of points that repeats without a seam.

    Parameters
    ----------
    edge : int
        Points along the edge, 8 to 256.

    Returns
    -------
    ndarray of uint16, shape (edge, edge)
        Read-only. The points with ranks below any n lie as far from each other as they can, at both ends of the scale.

    Notes
    -----
    Void and cluster: Ulichney (1993), Proceedings of SPIE 1913, 332-343 (from memory). The most crowded point of a
    random pattern is moved into its largest gap until nothing changes; then points are taken away where it is most
    crowded, which gives the ranks downwards, and put where the gap is largest, which gives them upwards.
    """
    from laydown.artwork.halftone_blue_noise_kernel import void_and_cluster

    first = np.random.default_rng(SEED).permutation(edge * edge)[: max(1, round(FIRST_SHARE * edge * edge))]
    pattern = np.zeros(edge * edge, np.bool_)
    pattern[first] = True
    away = np.minimum(np.arange(edge), edge - np.arange(edge))
    weight = np.exp(-(away[:, None] ** 2 + away[None, :] ** 2) / (2 * SPREAD**2))
    ranks = void_and_cluster(pattern.reshape(edge, edge), weight).astype(np.uint16)
    ranks.setflags(write=False)
    return np.asarray(ranks)


__all__ = ["blue_noise"]
