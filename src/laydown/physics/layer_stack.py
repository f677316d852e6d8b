"""Colour of many layered films at once: the compiled Kubelka-Munk behind a plain door.

`laydown.physics.optics` says the same for one film and is what the kernel is tested against.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput


def dyed_film_reflectance(
    *,
    cell_thickness: ArrayLike,
    cell_layer: ArrayLike,
    dye: ArrayLike,
    absorption: ArrayLike,
    scattering: ArrayLike,
    absorption_scale: ArrayLike,
    scattering_scale: ArrayLike,
    dye_absorption: ArrayLike,
    substrate: ArrayLike,
    thickness_factor: ArrayLike,
    node_weight: ArrayLike,
    k1: float,
    k2: float,
) -> NDArray[np.float64]:
    """Reflectance factor, as an instrument reads it, of printed films that dye has moved into.

    A film is a pile of cells, from the cloth upwards; each cell belongs to one ink layer and holds some dye,
    which adds to that ink's absorption. The film's thickness varies with the cloth's roughness: the result is
    the average over the quadrature nodes of what would be measured at each local thickness.

    Parameters
    ----------
    cell_thickness : array_like, shape (sample, cell) [m]
        Bottom (cloth) to top, >= 0.
    cell_layer : array_like of int, shape (cell,)
        Index of the ink layer each cell belongs to.
    dye : array_like, shape (sample, day, cell)
        Concentration of dye, relative to the cloth's surface zone. Slightly negative values, as a solver's
        round-off leaves them, count as no dye.
    absorption, scattering : array_like, shape (layer, band) [1/m]
        Kubelka-Munk K and S of the undyed inks, >= 0.
    absorption_scale, scattering_scale : array_like, shape (sample, layer)
        Factors on K and S, >= 0.
    dye_absorption : array_like, shape (sample, band) [1/m]
        K that dye adds at relative concentration 1, >= 0.
    substrate : array_like, shape (band,)
        Internal reflectance of the cloth below the film, 0 to 1.
    thickness_factor : array_like, shape (sample, node)
        Local film thickness as a multiple of the cell's thickness, >= 0.
    node_weight : array_like, shape (node,) or (sample, node)
        Weights of the nodes, >= 0; their sum is 1 (in each sample).
    k1, k2 : float
        Saunderson's external and internal surface reflectance, 0 <= k < 1.

    Returns
    -------
    ndarray, shape (sample, day, band)
        Reflectance factor, 0 to 1, after Saunderson's correction.

    Raises
    ------
    InvalidInput
        An array of another shape, a negative or non-finite value, a cell of a layer that is not there.

    Notes
    -----
    Valid where Kubelka-Munk theory is: light diffuse in the film, layers in optical contact, no fluorescence,
    roughness wide against the thickness (no light crosses sideways between thick and thin places).
    Agrees with the layer-by-layer formula to about 1e-12 (rational tanh), whatever the thickness. Samples are
    spread over numba's threads; the answer does not depend on how many there are.
    Source: Kubelka (1948, 1954); the linear form is derived in docs/physics/optics.md. Grade: from memory,
    checked numerically.
    """
    from laydown.physics.layer_stack_kernel import dyed_film

    numbers = {
        "cell_thickness": cell_thickness,
        "dye": dye,
        "absorption": absorption,
        "scattering": scattering,
        "absorption_scale": absorption_scale,
        "scattering_scale": scattering_scale,
        "dye_absorption": dye_absorption,
        "substrate": substrate,
        "thickness_factor": thickness_factor,
        "node_weight": node_weight,
    }
    arrays = {name: np.ascontiguousarray(value, dtype=np.float64) for name, value in numbers.items()}
    if arrays["dye"].ndim != 3 or arrays["absorption"].ndim != 2 or arrays["node_weight"].ndim not in {1, 2}:
        raise InvalidInput(
            "dye needs axes (sample, day, cell), absorption (layer, band), node_weight (node) or (sample, node)"
        )
    samples, _, cells = arrays["dye"].shape
    layers, bands = arrays["absorption"].shape
    nodes = arrays["node_weight"].shape[-1]
    arrays["node_weight"] = np.ascontiguousarray(np.broadcast_to(arrays["node_weight"], (samples, nodes)))
    shapes = {
        "cell_thickness": (samples, cells),
        "scattering": (layers, bands),
        "absorption_scale": (samples, layers),
        "scattering_scale": (samples, layers),
        "dye_absorption": (samples, bands),
        "substrate": (bands,),
        "thickness_factor": (samples, nodes),
    }
    for name, array in arrays.items():
        _require_shape(name, array, shapes.get(name, array.shape))
        if not np.isfinite(array).all():
            raise InvalidInput("every value must be finite", where=name)
        if name != "dye" and (array < 0).any():
            raise InvalidInput(f"{array.min():g} is negative; allowed are values from 0 up", where=name)
    if (arrays["substrate"] > 1).any():
        raise InvalidInput(
            f"{arrays['substrate'].max():g} is no reflectance; allowed are values from 0 to 1", where="substrate"
        )
    sums = arrays["node_weight"].sum(axis=1)
    if nodes == 0 or np.any(np.abs(sums - 1.0) > 1e-9):
        raise InvalidInput(
            f"the weights add up to {sums[np.argmax(np.abs(sums - 1.0))]:g}; their sum must be 1", where="node_weight"
        )
    if not (0.0 <= k1 < 1.0 and 0.0 <= k2 < 1.0):
        raise InvalidInput(f"k1 = {k1:g} and k2 = {k2:g}; allowed are values from 0 to below 1")
    layer = np.ascontiguousarray(cell_layer, dtype=np.int64)
    _require_shape("cell_layer", layer, (cells,))
    if cells and not (layer.min() >= 0 and layer.max() < layers):
        raise InvalidInput(f"layers are numbered 0 to {layers - 1}", where="cell_layer")
    result: NDArray[np.float64] = dyed_film(
        arrays["cell_thickness"],
        layer,
        arrays["dye"],
        arrays["absorption"],
        arrays["scattering"],
        arrays["absorption_scale"],
        arrays["scattering_scale"],
        arrays["dye_absorption"],
        arrays["substrate"],
        arrays["thickness_factor"],
        arrays["node_weight"],
        float(k1),
        float(k2),
    )
    return result


def layered_reflectance(
    absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike, substrate: ArrayLike
) -> NDArray[np.float64]:
    """Compute the internal reflectance of stacks of uniform layers, many stacks at once.

    Parameters
    ----------
    absorption, scattering : array_like, shape (stack, layer, band) [1/m]
        Kubelka-Munk K and S of each layer, >= 0.
    thickness : array_like, shape (stack, layer) [m]
        Bottom (substrate) to top, >= 0.
    substrate : array_like, shape (stack, band) or (1, band)
        Internal reflectance below the stack, 0 to 1.

    Returns
    -------
    ndarray, shape (stack, band)
        Internal reflectance, before any surface correction.

    Raises
    ------
    InvalidInput
        An array of another shape, a negative or non-finite value, a substrate outside 0 to 1.

    Notes
    -----
    As `dyed_film_reflectance`, without dye, roughness and surface.
    """
    from laydown.physics.layer_stack_kernel import layered

    k = np.ascontiguousarray(absorption, dtype=np.float64)
    s = np.ascontiguousarray(scattering, dtype=np.float64)
    x = np.ascontiguousarray(thickness, dtype=np.float64)
    below = np.ascontiguousarray(substrate, dtype=np.float64)
    if k.ndim != 3:
        raise InvalidInput(f"needs axes (stack, layer, band), got shape {k.shape}", where="absorption")
    stacks, layers, bands = k.shape
    _require_shape("scattering", s, (stacks, layers, bands))
    _require_shape("thickness", x, (stacks, layers))
    _require_shape("substrate", below, (1 if below.shape[:1] == (1,) else stacks, bands))
    if not ((below >= 0) & (below <= 1)).all():
        raise InvalidInput("a reflectance lies between 0 and 1", where="substrate")
    if not ((x >= 0) & np.isfinite(x)).all():
        raise InvalidInput("a thickness is finite and not negative", where="thickness")
    # The kernel looks at each K and S while it has them at hand and marks a stack with a wrong one by NaN.
    result: NDArray[np.float64] = layered(k, s, x, below)
    if np.isnan(result).any():
        raise InvalidInput("absorption and scattering must be finite and not negative")
    return result


def _require_shape(name: str, array: NDArray[np.float64] | NDArray[np.int64], shape: tuple[int, ...]) -> None:
    if array.shape != shape:
        raise InvalidInput(f"shape is {array.shape}, expected {shape}", where=name)
