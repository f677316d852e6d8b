"""What films of an ink over black and white would read, and what is thought of its K and S before they are read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.domain.colour import BANDS
from laydown.domain.quantity import Quantity
from laydown.errors import InvalidInput
from laydown.lab.reading_check import NINETY

Values = NDArray[np.float64]

USUAL_S, S_FACTOR = 5e4, 12.0
"""Scattering of an ink [1/m] and the factor to either side that holds nine of ten. Assumed: whites have 1e5 (design),
transparent inks a tenth or less."""

USUAL_K, K_FACTOR = 5e3, 1000.0
"""Absorption [1/m]: whites have 2e3, the peak of a strong colour 1e6. Assumed."""

S_STEP, K_STEP = 0.05, 0.5
"""Standard deviation of ln S and ln K from one band to the next. Assumed: scattering changes slowly with wavelength."""

SLIGHT = 1e-4
"""Step of ln K and ln S for slopes."""


class Film(Protocol):
    """What the model needs of a film."""

    @property
    def thickness(self) -> Quantity:
        """[m]."""

    @property
    def over_black(self) -> tuple[float, ...]:
        """Reflectance factors over black."""

    @property
    def over_white(self) -> tuple[float, ...]:
        """Reflectance factors over white."""

    @property
    def black(self) -> tuple[float, ...]:
        """Reflectance factors of the black substrate."""

    @property
    def white(self) -> tuple[float, ...]:
        """Reflectance factors of the white substrate."""


class DrawdownModel:
    """Readings of films as a function of ln K (36), ln S (36) and the logarithm of each film's thickness error.

    Parameters
    ----------
    films : sequence of Film
    k1, k2 : float
        Saunderson's constants.
    gloss : float
        Surface reflection that the instrument left out of its readings; 0 when it took it with it.
    """

    def __init__(self, *, films: Sequence[Film], k1: float, k2: float, gloss: float) -> None:
        self.films = films
        self.k1, self.k2, self.gloss = k1, k2, gloss
        self.measured: Values = np.concatenate([np.concatenate([film.over_black, film.over_white]) for film in films])

    def internal(self, measured: ArrayLike) -> Values:
        """Reflectance inside the film; what is darker than the surface's own gloss counts as black."""
        from laydown.physics.saunderson import internal_reflectance

        r = np.clip(np.asarray(measured, dtype=np.float64) + self.gloss, self.k1, 1.0)
        return np.asarray(internal_reflectance(r, k1=self.k1, k2=self.k2))

    def reflectance(self, log_k: Values, log_s: Values, thickness: ArrayLike, card: ArrayLike) -> Values:
        """What the instrument would read of a film on a substrate, broadcast over the inputs."""
        from laydown.physics.optics import film_reflectance
        from laydown.physics.saunderson import measured_reflectance

        inside = film_reflectance(np.exp(log_k), np.exp(log_s), thickness, self.internal(card))
        return np.asarray(measured_reflectance(inside, k1=self.k1, k2=self.k2) - self.gloss)

    def full_hiding(self, x: Values) -> Values:
        """What the instrument would read of a layer that hides."""
        from laydown.physics.optics import reflectivity
        from laydown.physics.saunderson import measured_reflectance

        inside = reflectivity(np.exp(x[:BANDS]), np.exp(x[BANDS : 2 * BANDS]))
        return np.asarray(measured_reflectance(inside, k1=self.k1, k2=self.k2) - self.gloss)

    def readings(self, x: Values) -> Values:
        """All readings, film by film, over black and over white."""
        log_k, log_s, errors = x[:BANDS], x[BANDS : 2 * BANDS], x[2 * BANDS :]
        return np.concatenate(
            [
                self.reflectance(log_k, log_s, film.thickness.value * math.exp(error), card)
                for film, error in zip(self.films, errors, strict=True)
                for card in (film.black, film.white)
            ]
        )

    def slopes(self, x: Values) -> Values:
        """Derivatives of `readings`, shape (readings, parameters); a band's reading hangs on its own K and S only."""
        rows = np.zeros((self.measured.size, x.size))
        for start in (0, BANDS):
            step = np.zeros_like(x)
            step[start : start + BANDS] = SLIGHT
            change = (self.readings(x + step) - self.readings(x - step)) / (2 * SLIGHT)
            at = np.arange(self.measured.size)
            rows[at, start + at % BANDS] = change
        for place in range(len(self.films)):
            step = np.zeros_like(x)
            step[2 * BANDS + place] = SLIGHT
            rows[:, 2 * BANDS + place] = (self.readings(x + step) - self.readings(x - step)) / (2 * SLIGHT)
        return rows

    def start(self) -> Values:
        """Parameters to begin with: K and S in closed form where a film gives them, the prior's middle elsewhere."""
        from laydown.physics.drawdown import optics_from_black_and_white

        film = min(self.films, key=lambda one: one.thickness.value)
        log_k, log_s = np.full(BANDS, math.log(USUAL_K)), np.full(BANDS, math.log(USUAL_S))
        found = np.zeros(BANDS, dtype=bool)
        inner = [self.internal(r) for r in (film.over_black, film.over_white, film.black, film.white)]
        for band in range(BANDS):
            try:
                k, s = optics_from_black_and_white(
                    inner[0][band], inner[1][band], film.thickness.value, black=inner[2][band], white=inner[3][band]
                )
            except InvalidInput:
                continue
            log_k[band], log_s[band] = math.log(max(float(k), 10.0)), math.log(max(float(s), 1e3))
            found[band] = True
        if found.any():
            log_s[~found] = np.median(log_s[found])
        # Where the film hides, K follows from its reflectance and S.
        r = np.clip(inner[0], 0.002, 0.98)
        hidden = log_s + np.log((1 - r) ** 2 / (2 * r))
        log_k = np.where(found, log_k, hidden)
        return np.concatenate([log_k, log_s, np.zeros(len(self.films))])


def prior_rows(films: Sequence[Film]) -> tuple[Values, Values]:
    """Rows and right-hand sides that say, in standard deviations, what was thought before of every parameter.

    Returns
    -------
    (ndarray (rows, parameters), ndarray (rows))
        ``rows @ x - right`` is standard normal.
    """
    size = 2 * BANDS + len(films)
    rows: list[Values] = []
    right: list[float] = []

    def say(places: Sequence[int], factors: Sequence[float], middle: float, deviation: float) -> None:
        row = np.zeros(size)
        row[list(places)] = factors
        rows.append(row / deviation)
        right.append(middle / deviation)

    for start, usual, factor, step in ((0, USUAL_K, K_FACTOR, K_STEP), (BANDS, USUAL_S, S_FACTOR, S_STEP)):
        # One statement about the middle of the spectrum and one about each step: a walk from band to band.
        say(range(start, start + BANDS), [1 / BANDS] * BANDS, math.log(usual), math.log(factor) / NINETY)
        for band in range(BANDS - 1):
            say((start + band + 1, start + band), (1.0, -1.0), 0.0, step)
    for place, film in enumerate(films):
        low, high = math.log(film.thickness.low), math.log(film.thickness.high)
        middle = (low + high) / 2 - math.log(film.thickness.value)
        say((2 * BANDS + place,), (1.0,), middle, max((high - low) / (2 * NINETY), 1e-4))
    return np.array(rows), np.array(right)


def film_factors(films: Sequence[Film], best: Values, spread: Values) -> list[tuple[float, float, float]]:
    """Low, most probable and high factor on each film's thickness."""
    return [
        (
            math.exp(best[place] - NINETY * spread[place]),
            math.exp(best[place]),
            math.exp(best[place] + NINETY * spread[place]),
        )
        for place in range(2 * BANDS, 2 * BANDS + len(films))
    ]
