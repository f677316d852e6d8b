"""Dye on its way through a virtual print: sites that let go at their own rates, a film that is not alike throughout."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

CELL = 1.0e-6
"""Cells are about so wide [m]."""

TOLERANCE = 2e-4
"""Allowed difference between one step and two half ones, by the dye in the place; the answer is better by far, as both
are extrapolated."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Dye of the cloth that lets go at one rate.

    Attributes
    ----------
    amount : float
        Concentration relative to the full shade times depth [m].
    rate, energy : float
        First-order rate at the reference temperature [1/s], and its activation energy [J/mol].
    """

    amount: float
    rate: float
    energy: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One ink layer of the film.

    Attributes
    ----------
    thickness : float
        [m].
    diffusivity : float
        In its middle, at the reference temperature [m2/s].
    gradient : float
        Natural logarithm of the diffusivity at its bottom by that at its top.
    capacity, reaction_length : float
        Of its blocker; [m] at the middle's diffusivity.
    """

    thickness: float
    diffusivity: float
    gradient: float = 0.0
    capacity: float = 0.0
    reaction_length: float = 3e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class DyeInFilm:
    """Dye of every cell, bottom to top, at every output time.

    Attributes
    ----------
    width : ndarray, shape (cell,)
    layer : ndarray of int, shape (cell,)
    free, bound : ndarray, shape (time, cell)
    left : ndarray, shape (time, site)
        Amount that the sites still hold [m].
    """

    width: Values
    layer: NDArray[np.int64]
    free: Values
    bound: Values
    left: Values

    def missing(self) -> Values:
        """What the balance lacks at each time, by what there was at the first one."""
        held = self.left.sum(axis=1) + ((self.free + self.bound) * self.width).sum(axis=1)
        return np.asarray(np.abs(held - held[0]) / held[0])


def follow_dye(
    *,
    times: Values,
    kelvin: Values,
    outputs: Values,
    layers: tuple[Layer, ...],
    partition: tuple[float, ...],
    sites: tuple[Site, ...],
    energy: float,
    reference: float,
    site_reference: float,
    cell: float = CELL,
    tolerance: float = TOLERANCE,
) -> DyeInFilm:
    """Follow the dye.

    Parameters
    ----------
    times, kelvin : ndarray, shape (k,)
        Temperature of the film [s], [K], linear in between.
    outputs : ndarray
        Within ``times``, rising [s].
    partition : tuple of float
        Concentration above each interface by that below it, at equilibrium.
    energy, reference : float
        Activation energy of diffusion and binding [J/mol], and where the diffusivity is given [K].
    site_reference : float
        Where the rates of the sites are given [K].
    cell, tolerance : float
    """
    from tools.lab.virtual_cloths import transport_kernel as kernel

    counts = [max(6, int(np.ceil(one.thickness / cell))) for one in layers]
    layer = np.repeat(np.arange(len(layers)), counts)
    width = np.concatenate([np.full(n, one.thickness / n) for one, n in zip(layers, counts, strict=True)])
    height = np.concatenate([(np.arange(n) + 0.5) / n for n in counts])
    middle = np.array([one.diffusivity for one in layers])[layer]
    d = middle * np.exp(np.array([one.gradient for one in layers])[layer] * (0.5 - height))
    capacity = np.array([one.capacity for one in layers])[layer]
    reach = np.array([one.reaction_length for one in layers])[layer]
    step_up = np.ones(layer.size - 1)
    step_up[np.flatnonzero(np.diff(layer))] = partition
    conductance = 1 / (width[1:] / (2 * d[1:]) + step_up * width[:-1] / (2 * d[:-1]))
    binding = np.where(capacity > 0, middle / (reach**2 * np.where(capacity > 0, capacity, 1.0)), 0.0)
    free, bound = np.empty((outputs.size, layer.size)), np.empty((outputs.size, layer.size))
    left = np.empty((outputs.size, len(sites)))
    steps = kernel.follow(
        np.asarray(times, dtype=float),
        np.asarray(kelvin, dtype=float),
        np.asarray(outputs, dtype=float),
        width,
        conductance,
        step_up,
        binding,
        capacity,
        float(energy),
        float(reference),
        np.array([one.amount for one in sites]),
        np.array([one.rate for one in sites]),
        np.array([one.energy for one in sites]),
        float(site_reference),
        float(tolerance),
        free,
        bound,
        left,
    )
    if steps < 0:
        raise ArithmeticError("the dye of a virtual cloth needs too many time steps")
    return DyeInFilm(width=width, layer=layer, free=free, bound=bound, left=left)
