"""What a virtual print looks like on any day: its own dye in laydown's film and optics."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from tools.lab.virtual_cloths.histories import after_dryer, flashed, joined, through_dryer, with_oven
from tools.lab.virtual_cloths.transport import DyeInFilm, Layer, Site, follow_dye
from tools.lab.virtual_cloths.truths import Truth

from laydown.domain.dryer import Dryer
from laydown.domain.press import Flash
from laydown.domain.shop import Shop
from laydown.domain.stack import Stack
from laydown.models.appearance import area_reflectance, visible_areas
from laydown.models.bleed import bleed_inputs, dye_shape, shade_depth
from laydown.models.cloth import Cloth
from laydown.models.colour import lab_of
from laydown.models.film import Film, build_film
from laydown.models.sampling import corner_set

Values = NDArray[np.float64]

USUAL_FILM = 70e-6
"""Film to which the thickness dependence of the diffusivity refers [m]."""

SPREADING = 0.6
"""Layers thinner than this [um] hold too little ink to be followed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Oven:
    """Hours in an oven, from so many seconds after the dryer."""

    begin: float
    kelvin: float
    hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """CIELAB of a virtual print: without its dye, and at each time, shape (time, 3)."""

    clean: Values
    lab: Values

    def difference(self) -> Values:
        """CIEDE2000 to the clean print at each time."""
        from laydown.physics.ciede2000 import ciede2000

        return np.asarray(ciede2000(np.broadcast_to(self.clean, self.lab.shape), self.lab))

    def grade(self) -> Values:
        """Staining grade at each time, not rounded."""
        from laydown.physics.grey_scale import staining_grade

        return np.asarray(staining_grade(np.broadcast_to(self.clean, self.lab.shape), self.lab))


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """How a print is flashed and cured."""

    dryer: Dryer
    setting: float
    speed: float
    flash: Flash
    flash_seconds: float


def look(
    truth: Truth,
    shop: Shop,
    cloth: Cloth,
    stack: Stack,
    setup: Setup,
    *,
    times: Values,
    drift: float = 0.0,
    oven: Oven | None = None,
    thicker: float = 1.0,
) -> Seen:
    """Print a stack on a virtual cloth and look at its lightest area.

    Parameters
    ----------
    times : ndarray
        After the dryer, rising [s].
    drift : float
        Of the dryer's panels since the swatch was printed [K].
    oven : Oven or None
    thicker : float
        Factor on the film, for a half that was printed a little thicker.
    """
    sample = corner_set((truth.film.positions,))
    film = build_film(stack, cloth, sample, practice=shop.practice)
    film = replace(film, dry=film.dry * thicker, wet=film.wet * thicker)
    area = visible_areas(stack)[0]
    total = float(film.total()[0])
    pieces = [
        flashed(truth.heat, cloth, setup.flash, seconds=setup.flash_seconds, film=float(film.before(one)[0]))
        for one in stack.inked
        if one.flash_after
    ]
    dried = through_dryer(
        truth.heat, cloth, setup.dryer, setting=setup.setting, speed=setup.speed, film=total, drift=drift
    )
    days = max(1.0, float(times[-1]) / 86400.0 + 0.01)
    after = after_dryer(truth.heat, float(dried[1][-1]), cloth, total, days=days)
    if oven is not None:
        after = with_oven(truth.heat, *after, begin=oven.begin, oven=oven.kelvin, hours=oven.hours)
    at, kelvin, printed = joined([*pieces, dried, after])
    dye = _dye(truth, cloth, film, area.rows, at, kelvin, printed + times)
    strength = truth.dye.strength * shade_depth(cloth) * dye_shape(cloth) ** truth.dye.band_shape
    stained = area_reflectance(
        area,
        film,
        cloth,
        sample,
        cell_thickness=dye.width[None, :],
        cell_layer=dye.layer,
        dye=(dye.free + dye.bound)[None, :, :],
        dye_absorption=strength[None, :],
    )
    offset = np.array(truth.film.ink_offset)
    condition = shop.preferences.condition
    clean = lab_of(area_reflectance(area, film, cloth, sample), condition)[0, 0]
    return Seen(clean=clean + offset, lab=lab_of(stained, condition)[0] + offset)


def _dye(
    truth: Truth, cloth: Cloth, film: Film, rows: tuple[int, ...], at: Values, kelvin: Values, outputs: Values
) -> DyeInFilm:
    dry = np.maximum(film.dry[list(rows), 0], SPREADING * 1e-6)
    d = truth.film.diffusivity * (float(dry.sum()) / USUAL_FILM) ** truth.film.thickness_power
    layers, inks = [], []
    for row, thickness in zip(rows, dry, strict=True):
        ink = film.passes[row].ink
        assert ink is not None
        inks.append(ink.name)
        # Ink that sank into the cloth holds dye as well.
        sunk = max(1.0, float(film.wet[row, 0]) * ink.solids.value / thickness)
        layers.append(
            Layer(
                thickness=float(thickness),
                diffusivity=d,
                gradient=truth.film.gradient,
                capacity=ink.capacity.value * truth.film.capacity_factor[ink.name] * sunk,
                reaction_length=truth.film.reaction_length,
            )
        )
    prior = bleed_inputs(cloth)
    dye = truth.dye
    amount = cloth.migrating_share * dye.depth
    slow = dye.rate / (dye.fast_share * dye.fast_by_slow + 1 - dye.fast_share)
    sites = (
        Site(amount=amount * dye.fast_share, rate=slow * dye.fast_by_slow, energy=dye.fast_energy),
        Site(amount=amount * (1 - dye.fast_share), rate=slow, energy=dye.slow_energy),
    )
    partition = tuple(1.0 if low == high else truth.film.partition for low, high in pairwise(inks))
    return follow_dye(
        times=at,
        kelvin=kelvin,
        outputs=outputs,
        layers=tuple(layers),
        partition=partition,
        sites=sites,
        energy=truth.film.energy,
        reference=prior.diffusion_reference,
        site_reference=prior.release_reference,
    )


__all__ = ["Oven", "Seen", "Setup", "look"]
