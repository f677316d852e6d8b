"""Geometry of a woven mesh: how wide its openings are, how much ink they hold, how fine they print."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown import units
from laydown.physics.range_check import require_range

FloatArray = NDArray[np.float64]

MODEL = "mesh geometry"


def opening(count: ArrayLike, thread: ArrayLike) -> FloatArray:
    """Clear width between two threads of a mesh whose threads stay round and straight.

    Parameters
    ----------
    count : array_like
        Threads per length [1/m], > 0.
    thread : array_like
        Thread diameter [m], > 0 and less than the pitch ``1/count``.

    Returns
    -------
    ndarray
        Opening w = 1/n - d [m].

    Raises
    ------
    OutOfRange
        When the thread is as thick as the pitch, or a number is not positive.

    Notes
    -----
    Weaving flattens and widens the thread, so makers' tables lie at or below this value, by up to about a third
    in the finest meshes. Values above it point to an error in a table: see `opening_excess`.

    References
    ----------
    Geometry; holds on the rows of two makers' tables, see ``docs/physics/laydown.md``.

    Examples
    --------
    >>> round(float(opening(4300.0, 80e-6)) * 1e6, 1)
    152.6
    """
    n, d = np.asarray(count, dtype=np.float64), np.asarray(thread, dtype=np.float64)
    _require_positive("mesh count", units.to_threads_per_cm(n), "threads/cm")
    _require_positive("thread diameter", units.to_micron(d), "µm")
    filled = n * d
    require_range(MODEL, "thread diameter as a share of the pitch", filled, 0.0, np.nextafter(1.0, 0.0), "")
    return 1 / n - d


def opening_excess(opening_width: ArrayLike, count: ArrayLike, thread: ArrayLike) -> FloatArray:
    """How far a stated opening lies above what the threads leave room for.

    Parameters
    ----------
    opening_width : array_like
        Opening as stated [m].
    count, thread : array_like
        As for `opening`.

    Returns
    -------
    ndarray
        Stated minus geometric opening [m]; more than rounding above 0 means an error in the data.
    """
    return np.asarray(opening_width, dtype=np.float64) - opening(count, thread)


def open_area(opening_width: ArrayLike, count: ArrayLike) -> FloatArray:
    """Share of the mesh that is open.

    Parameters
    ----------
    opening_width : array_like
        Opening w [m], > 0 and less than the pitch.
    count : array_like
        Threads per length n [1/m], > 0.

    Returns
    -------
    ndarray
        (w n)^2 [1].

    Raises
    ------
    OutOfRange
        When the opening is wider than the pitch, or a number is not positive.

    Notes
    -----
    With w = 1/n - d this is w^2/(w + d)^2. In makers' tables w + d is less than the pitch, because the woven
    thread is wider than its nominal diameter; the count then gives the open area that they state, the nominal
    thread does not.
    """
    w, n = np.asarray(opening_width, dtype=np.float64), np.asarray(count, dtype=np.float64)
    _require_positive("opening", units.to_micron(w), "µm")
    _require_positive("mesh count", units.to_threads_per_cm(n), "threads/cm")
    open_width = w * n
    require_range(MODEL, "opening as a share of the pitch", open_width, 0.0, 1.0, "")
    return open_width**2


def theoretical_volume(open_share: ArrayLike, fabric_thickness: ArrayLike) -> FloatArray:
    """Volume of the open cells per area: the wet film that complete transfer would leave.

    Parameters
    ----------
    open_share : array_like
        Open area [1], 0 to 1.
    fabric_thickness : array_like
        Thickness F of the woven mesh [m], > 0.

    Returns
    -------
    ndarray
        [m3/m2], which is the wet film's thickness in metres.

    Notes
    -----
    An upper bound: ink that the threads keep back is the business of the transfer, see `laydown.physics.laydown`.

    References
    ----------
    Wire-cloth maker's page of formulas; Spörl, technical page on screen mesh: Vth = w^2 F/(w + d)^2.
    """
    share, thickness = np.asarray(open_share, dtype=np.float64), np.asarray(fabric_thickness, dtype=np.float64)
    require_range(MODEL, "open area", share, 0.0, 1.0, "")
    _require_positive("fabric thickness", units.to_micron(thickness), "µm")
    return share * thickness


def finest_line(opening_width: ArrayLike, thread: ArrayLike) -> FloatArray:
    """Narrowest line that a stencil on the mesh can hold and print.

    Parameters
    ----------
    opening_width, thread : array_like
        [m], > 0.

    Returns
    -------
    ndarray
        The larger of 3 d and w + 2 d [m].

    Notes
    -----
    Both rules are said in the trade (from memory): the stencil must reach over more than one thread and keep
    an opening free. The larger is the careful one.
    """
    w, d = np.asarray(opening_width, dtype=np.float64), np.asarray(thread, dtype=np.float64)
    _require_positive("opening", units.to_micron(w), "µm")
    _require_positive("thread diameter", units.to_micron(d), "µm")
    return np.maximum(3 * d, w + 2 * d)


def finest_dot(opening_width: ArrayLike, thread: ArrayLike) -> FloatArray:
    """Smallest dot that a stencil on the mesh can hold: two threads and one opening, 2 d + w [m].

    Parameters
    ----------
    opening_width, thread : array_like
        [m], > 0.

    Notes
    -----
    A rule of the trade (from memory).
    """
    w, d = np.asarray(opening_width, dtype=np.float64), np.asarray(thread, dtype=np.float64)
    _require_positive("opening", units.to_micron(w), "µm")
    _require_positive("thread diameter", units.to_micron(d), "µm")
    return 2 * d + w


def emulsion_over_mesh_share(screen_thickness: ArrayLike, fabric_thickness: ArrayLike) -> FloatArray:
    """Stencil height above the mesh as a share of the mesh's thickness, from two readings of a thickness gauge.

    Parameters
    ----------
    screen_thickness : array_like
        Mesh and stencil together [m], at least the mesh's thickness.
    fabric_thickness : array_like
        Mesh alone [m], > 0.

    Returns
    -------
    ndarray
        [1]; 0.15 to 0.20 is usual for textile.

    Raises
    ------
    OutOfRange
        When the screen is thinner than its mesh, which is an error of reading.
    """
    both, mesh = np.asarray(screen_thickness, dtype=np.float64), np.asarray(fabric_thickness, dtype=np.float64)
    _require_positive("fabric thickness", units.to_micron(mesh), "µm")
    over_mesh = (both - mesh) / mesh
    require_range(MODEL, "stencil height as a share of the mesh's thickness", over_mesh, 0.0, 10.0, "")
    return over_mesh


def _require_positive(quantity: str, value: FloatArray, unit: str) -> None:
    require_range(MODEL, quantity, value, float(np.finfo(np.float64).tiny), float(np.finfo(np.float64).max), unit)
