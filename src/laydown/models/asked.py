"""What the models were asked for one stack on one cloth, and the quantities that their ranges speak of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.models.cloth import Cloth
from laydown.models.film import Film
from laydown.models.heat import HeatRun
from laydown.units import to_celsius, to_micron, to_percent, to_threads_per_cm

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the models were asked, for one stack on one cloth.

    Attributes
    ----------
    dryer, bare : HeatRun
        The print through the dryer, and the bare cloth beside it.
    flashes : tuple of HeatRun
    bleeds : bool
        Whether the cloth holds dye that migrates, so that the bleed model was used at all.
    """

    cloth: Cloth
    film: Film
    dryer: HeatRun
    bare: HeatRun
    flashes: tuple[HeatRun, ...] = ()
    bleeds: bool = False


def mesh_counts(asked: Asked, weave: str | None = None) -> Values:
    """Threads per centimetre of each mesh, of one weave or of all, shape (mesh, 1)."""
    meshes = [p.screen.mesh for p in asked.film.passes if p.screen.mesh is not None]
    return column([to_threads_per_cm(m.count) for m in meshes if weave is None or m.weave == weave])


def column(values: ArrayLike) -> Values:
    """Things that do not differ between samples, as shape (things, 1)."""
    return np.asarray(values, dtype=float).reshape(-1, 1)


def film_by_drawdown(asked: Asked) -> Values:
    """Film of each pass by the thickness of its ink's drawdown, shape (pass, size); inks with spectra are left out."""
    drawn = [
        (row, p.ink.optics.contrast_thickness)
        for row, p in enumerate(asked.film.passes)
        if p.ink is not None and p.ink.optics is not None and p.ink.optics.contrast_ratio is not None
    ]
    films = [asked.film.dry[row] / thickness for row, thickness in drawn]
    return np.stack(films) if films else np.empty((0, asked.film.dry.shape[1]))


def hottest(asked: Asked, place: str) -> Values:
    """Highest temperature of a place (``surface``, ``interface``) under flashes and dryer, shape (size,) [°C]."""
    runs = (asked.dryer, *asked.flashes)
    return np.asarray(to_celsius(np.max([getattr(run, place).max(axis=1) for run in runs], axis=0)))


def layers(asked: Asked) -> Values:
    """Film of each pass, shape (pass, size) [µm]."""
    return np.asarray(to_micron(asked.film.dry))


def darkest_band(asked: Asked) -> Values:
    """Reflectance of the cloth where it is darkest, shape (1, 1) [%]."""
    return column([to_percent(float(asked.cloth.reflectance().min()))])


def elongations(asked: Asked) -> Values:
    """Elongation of each ink, shape (pass, 1) [%]."""
    return column([to_percent(p.ink.elongation.value) for p in asked.film.passes if p.ink is not None])
