"""What the models say that a swatch looks like, in every sample: its print, its dryer, its halves, its days."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from laydown.domain.garment import Garment, History
from laydown.domain.order import Care
from laydown.domain.press import Press
from laydown.domain.shop import Shop
from laydown.domain.swatch import PressRun, Swatch
from laydown.lab.evidence import Hold, Leg, SwatchEvidence
from laydown.models.appearance import Area, area_reflectance
from laydown.models.bleed import SEEN_AFTER, stained_reflectance
from laydown.models.cloth import Cloth, describe_cloth
from laydown.models.colour import lab_of
from laydown.models.film import Film, build_film
from laydown.models.flash import run_flash
from laydown.models.heat import HeatRun, run_dryer
from laydown.models.life import RAMP, Life, thermal_life
from laydown.models.sampling import SampleSet, sample_set
from laydown.planning.flash_settings import FlashFinder, weakest_flash
from laydown.units import to_day

Values = NDArray[np.float64]

SEARCH_SAMPLES = 64
"""Samples in which the flash time of a swatch is searched that nobody noted."""

SEARCH_RISK = 0.05

RAMP_SHARE = 0.05
"""Share of a hold in which a swatch warms and cools, where that is less than a pile of garments takes. Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwatchPrediction:
    """Colours and grades of one swatch, one row a sample.

    Attributes
    ----------
    colour, clean : ndarray, shape (size, colours, 3)
        CIELAB of each colour that was read, with the dye in the print and without it.
    grade : ndarray, shape (size, grades)
        Unrounded grade of each that was read.
    """

    colour: Values
    clean: Values
    grade: Values


@dataclass(frozen=True, slots=True, kw_only=True)
class _Printed:
    film: Film
    life: Life


class SwatchModel:
    """Predicts the readings of one swatch; the cloth is taken without what its history lets one expect."""

    def __init__(self, shop: Shop, garment: Garment, swatch: Swatch) -> None:
        assert swatch.stack is not None  # `laydown.lab.evidence.gather` leaves out swatches without
        assert swatch.run is not None
        self._shop = shop
        self._stack = swatch.stack
        self._run: PressRun = swatch.run
        self._dryer = shop.dryer(swatch.run.dryer)
        unknown = replace(garment, history=History.NEVER_PRINTED)
        self.cloth: Cloth = describe_cloth(unknown, condition=shop.preferences.condition)
        self._press, self._flash_seconds = self._flashes()

    def predict(
        self, evidence: SwatchEvidence, samples: SampleSet, oven_error: Values | float = 0.0
    ) -> SwatchPrediction:
        """Readings of the swatch.

        Parameters
        ----------
        evidence : SwatchEvidence
        samples : SampleSet
        oven_error : ndarray, shape (size,)
            How much warmer the holds were than their step says [K].
        """
        printed = self._printed(samples)
        size = samples.size
        clean = [area_reflectance(area, printed.film, self.cloth, samples)[:, 0] for area in evidence.areas]
        needed = {(seen.leg, seen.area) for seen in evidence.colours}
        needed |= {(seen.leg, seen.area) for seen in evidence.grades}
        needed |= {(seen.against, seen.area) for seen in evidence.grades if seen.against is not None}
        stained = {
            (leg, area): self._stained(printed, evidence.areas[area], evidence.legs[leg], samples, oven_error)
            for leg, area in sorted(needed)
        }
        colour = np.empty((size, len(evidence.colours), 3))
        without = np.empty_like(colour)
        for i, seen in enumerate(evidence.colours):
            colour[:, i] = lab_of(stained[seen.leg, seen.area][:, seen.time], seen.condition)
            without[:, i] = lab_of(clean[seen.area], seen.condition)
        return SwatchPrediction(colour=colour, clean=without, grade=self._grades(evidence, stained, clean, size))

    def differences(self, leg: Leg, area: Area, samples: SampleSet, *, oven_error: Values | float = 0.0) -> Values:
        """Colour difference (CIEDE2000) of an area to the same print without dye, shape (size, times of the leg)."""
        from laydown.physics.ciede2000 import ciede2000

        condition = self._shop.preferences.condition
        printed = self._printed(samples)
        stained = lab_of(self._stained(printed, area, leg, samples, oven_error), condition)
        clean = lab_of(area_reflectance(area, printed.film, self.cloth, samples), condition)
        return np.asarray(ciede2000(np.broadcast_to(clean, stained.shape), stained))

    def _grades(
        self, evidence: SwatchEvidence, stained: dict[tuple[int, int], Values], clean: list[Values], size: int
    ) -> Values:
        from laydown.physics.grey_scale import change_grade, staining_grade

        condition = self._shop.preferences.condition
        found = np.empty((size, len(evidence.grades)))
        for i, seen in enumerate(evidence.grades):
            graded = lab_of(stained[seen.leg, seen.area][:, seen.time], condition)
            if seen.against is None:
                beside = lab_of(clean[seen.area], condition)
            else:
                other = evidence.legs[seen.against].times
                at = int(np.argmin(np.abs(np.array(other) - evidence.legs[seen.leg].times[seen.time])))
                beside = lab_of(stained[seen.against, seen.area][:, at], condition)
            found[:, i] = (staining_grade if seen.staining else change_grade)(beside, graded)
        return found

    def _printed(self, samples: SampleSet) -> _Printed:
        run, shop = self._run, self._shop
        film = build_film(self._stack, self.cloth, samples, practice=shop.practice)
        flashes: list[HeatRun] = []
        for pass_, seconds in zip((p for p in self._stack.inked if p.flash_after), self._flash_seconds, strict=True):
            if self._press is not None and seconds > 0:
                unit = weakest_flash(self._press)
                before = film.before(pass_)
                flashes.append(run_flash(self.cloth, unit, self._press, shop.climate, before, samples, seconds=seconds))
        dryer = run_dryer(
            self.cloth,
            self._dryer,
            shop.climate,
            film.total(),
            samples,
            setting=run.panel_setting,
            speed=run.belt_speed,
        )
        care = Care(stack_hot=run.stacked_hot, pile_height=run.pile_height)
        life = thermal_life(tuple(flashes), dryer, self.cloth, care, shop.climate, samples, passages=run.passages)
        return _Printed(film=film, life=life)

    def _stained(
        self, printed: _Printed, area: Area, leg: Leg, samples: SampleSet, oven_error: Values | float
    ) -> Values:
        life = held(printed.life, leg.holds, until=leg.times[-1], error=oven_error)
        days = tuple(to_day(time) for time in leg.times)
        return stained_reflectance(area, printed.film, self.cloth, life, samples, days)

    def _flashes(self) -> tuple[Press | None, tuple[float, ...]]:
        """Press and seconds of each flash: as noted, else as a plan would set them on the shop's first press."""
        flashed = [p for p in self._stack.inked if p.flash_after]
        press = next((one for one in self._shop.presses if one.flashes), None)
        if press is None or not flashed:
            return press, tuple(0.0 for _ in flashed)
        if self._run.flash_seconds is not None:
            return press, tuple(self._run.flash_seconds for _ in flashed)
        samples = sample_set(SEARCH_SAMPLES)
        film = build_film(self._stack, self.cloth, samples, practice=self._shop.practice)
        finder = FlashFinder(self.cloth, self._shop.climate, samples, risk=SEARCH_RISK)
        seconds = []
        for pass_ in flashed:
            gel = pass_.ink.gel_temperature if pass_.ink is not None else None
            thickness = float(np.median(film.before(pass_)))
            found = finder.find(press, thickness, gel) if gel is not None else None
            seconds.append(found or 0.0)
        return press, tuple(seconds)


def held(life: Life, holds: tuple[Hold, ...], *, until: float, error: Values | float = 0.0) -> Life:
    """Thermal life of a part that was also held at other temperatures after the dryer.

    Parameters
    ----------
    life : Life
    holds : tuple of Hold
    until : float
        The life reaches at least this far after the dryer [s].
    error : ndarray, shape (size,)
        How much warmer the holds were than they should be [K].

    Returns
    -------
    Life
    """
    size = life.temperature.shape[0]
    edges: list[Values] = []
    for hold in holds:
        ramp = min(RAMP, RAMP_SHARE * hold.duration)
        at = np.array([0.0, ramp, hold.duration, hold.duration + ramp])
        edges.append(life.printed_at + hold.start + at)
    end = np.array([life.printed_at + max(until, SEEN_AFTER) + 1.0])
    times = np.unique(np.concatenate([life.times, *edges, end]))
    at = np.clip(np.searchsorted(life.times, times, side="right") - 1, 0, life.times.size - 2)
    share = np.clip((times - life.times[at]) / (life.times[at + 1] - life.times[at]), 0.0, 1.0)
    temperature = life.temperature[:, at] * (1 - share) + life.temperature[:, at + 1] * share
    for hold, corners in zip(holds, edges, strict=True):
        warm = np.interp(times, corners, [0.0, 1.0, 1.0, 0.0], left=0.0, right=0.0)
        target = np.broadcast_to(hold.temperature + np.asarray(error, dtype=float), (size,))[:, None]
        temperature += warm * (target - temperature)
    return Life(times=times, temperature=np.ascontiguousarray(temperature), printed_at=life.printed_at)
