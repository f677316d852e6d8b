"""What is true of a virtual cloth, its inks, its dryer and its store room: drawn here and told to nobody.

Truths come in two kinds, and the physics of both has parts that the model lacks. Those *as the intervals say* lie
inside the shop's intervals nine times of ten and outside once, which is what an interval claims. Those *within* are
uniform or triangular, in their logarithm where they are factors, off the priors' centre, and have no tails.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.random import Generator

from laydown.data.read import read_table
from laydown.domain.ink import Ink
from laydown.domain.quantity import Quantity
from laydown.domain.shop import Shop
from laydown.models.bleed import bleed_inputs
from laydown.models.cloth import Cloth
from laydown.models.sampling import spread_over

FILM_DIRECTIONS = ("transfer", "wet hit", "solids", "surface fill", "roughness", "white scattering", "cloth mass")
"""Directions of laydown's film and optics in which the truth is off as well: uniform within +-1.4 deviations."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueDye:
    """How dye leaves a virtual cloth, and how it colours."""

    rate: float
    fast_share: float
    fast_by_slow: float
    fast_energy: float
    slow_energy: float
    depth: float
    strength: float
    band_shape: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueFilm:
    """How the film lets dye through."""

    diffusivity: float
    energy: float
    gradient: float
    thickness_power: float
    partition: float
    capacity_factor: dict[str, float]
    reaction_length: float
    positions: dict[str, float]
    half_differs: float
    ink_offset: tuple[float, float, float]
    unevenness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueHeat:
    """What dryer, oven and store room are really like; [K] and factors."""

    panel_offset: float
    drift: float
    swing: float
    swing_phase: float
    exchange_factor: float
    air_factor: float
    regain_factor: float
    oven_offset: float
    room: float
    storage: float
    storage_swing: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """A virtual cloth."""

    dye: TrueDye
    film: TrueFilm
    heat: TrueHeat


def triangular_factor(rng: Generator, low: float, mode: float, high: float) -> float:
    """Draw a factor whose logarithm is triangular."""
    return float(np.exp(rng.triangular(np.log(low), np.log(mode), np.log(high))))


def uniform_factor(rng: Generator, low: float, high: float) -> float:
    """Draw a factor whose logarithm is uniform."""
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def draw_truth(rng: Generator, shop: Shop, cloth: Cloth, inks: tuple[Ink, ...], *, tails: bool) -> Truth:
    """Draw the truth of a cloth; the numbers are explained in docs/lab/virtual_cloths.md.

    Parameters
    ----------
    tails : bool
        As the intervals say; False: within them.
    """
    truth = _within(rng, cloth, tuple(ink.name for ink in inks))
    return _with_tails(rng, truth, shop, cloth, inks) if tails else truth


def _with_tails(rng: Generator, truth: Truth, shop: Shop, cloth: Cloth, inks: tuple[Ink, ...]) -> Truth:
    """Draw anew what the shop has intervals of; what the model lacks, and the dryer's drift, stay."""

    def of(quantity: Quantity) -> float:
        return float(spread_over(quantity, rng.standard_normal(1))[0])

    prior, usual = bleed_inputs(cloth), read_table("calibration")
    dye = replace(
        truth.dye, rate=of(prior.release), depth=of(prior.reservoir_depth), strength=of(prior.peak_absorption)
    )
    film = replace(
        truth.film,
        diffusivity=of(prior.diffusivity),
        energy=of(prior.diffusion_energy),
        partition=of(prior.partition),
        capacity_factor={
            ink.name: of(ink.capacity) / ink.capacity.value if ink.capacity.value > 0 else 1.0 for ink in inks
        },
        reaction_length=of(prior.reaction_length),
        positions={name: float(rng.standard_normal()) for name in FILM_DIRECTIONS},
        ink_offset=_offset(rng, usual["colour reading"]["colour_offset"].value),
        unevenness=usual["colour reading"]["unevenness"].value,
    )
    zone = shop.dryers[0].zones[0]
    heat = replace(
        truth.heat,
        exchange_factor=of(zone.exchange) / zone.exchange.value,
        air_factor=of(zone.air_coefficient) / zone.air_coefficient.value,
        regain_factor=of(cloth.regain) / cloth.regain.value,
        oven_offset=of(usual["oven"]["temperature_error"]),
        room=of(shop.climate.temperature),
        storage=of(shop.climate.storage_temperature),
    )
    return Truth(dye=dye, film=film, heat=heat)


def _offset(rng: Generator, size: float) -> tuple[float, float, float]:
    """Offset of L*, a*, b* whose root mean square is a colour difference."""
    lightness, a, b = size / np.sqrt(3) * rng.standard_normal(3)
    return float(lightness), float(a), float(b)


def _within(rng: Generator, cloth: Cloth, inks: tuple[str, ...]) -> Truth:
    prior = bleed_inputs(cloth)
    dye = TrueDye(
        rate=prior.release.value * triangular_factor(rng, 0.4, 0.9, 2.5),
        fast_share=rng.uniform(0.15, 0.45),
        fast_by_slow=uniform_factor(rng, 5.0, 25.0),
        fast_energy=rng.uniform(112e3, 138e3),
        slow_energy=rng.uniform(132e3, 155e3),
        depth=prior.reservoir_depth.value * uniform_factor(rng, 0.65, 1.75),
        strength=prior.peak_absorption.value * triangular_factor(rng, 0.55, 0.9, 1.5),
        band_shape=rng.uniform(0.9, 1.15),
    )
    film = TrueFilm(
        diffusivity=prior.diffusivity.value * triangular_factor(rng, 0.15, 1.3, 6.0),
        energy=rng.uniform(79e3, 94e3),
        gradient=rng.uniform(-0.2, 1.6),
        thickness_power=rng.uniform(-0.5, 0.5),
        partition=uniform_factor(rng, 0.4, 2.2),
        capacity_factor={name: uniform_factor(rng, 0.75, 1.35) for name in inks},
        reaction_length=uniform_factor(rng, 1.2e-6, 7e-6),
        positions={name: float(rng.uniform(-1.4, 1.4)) for name in FILM_DIRECTIONS},
        half_differs=uniform_factor(rng, 0.97, 1.03),
        ink_offset=(float(rng.uniform(-1.2, 1.2)), float(rng.uniform(-0.6, 0.6)), float(rng.uniform(-1.2, 1.2))),
        unevenness=0.0,
    )
    heat = TrueHeat(
        panel_offset=rng.uniform(-7.0, 9.0),
        drift=rng.triangular(-12.0, 0.0, 12.0),
        swing=rng.uniform(0.0, 6.0),
        swing_phase=rng.uniform(0.0, 2 * np.pi),
        exchange_factor=rng.uniform(0.95, 1.06),
        air_factor=rng.uniform(0.9, 1.12),
        regain_factor=rng.uniform(0.8, 1.15),
        oven_offset=rng.triangular(-2.0, 0.3, 2.0),
        room=rng.uniform(293.0, 299.0),
        storage=rng.uniform(294.5, 301.5),
        storage_swing=rng.uniform(0.0, 3.0),
    )
    return Truth(dye=dye, film=film, heat=heat)
