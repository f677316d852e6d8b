"""What laydown forecasts for a print on a cloth, before and after its test, as a plan does."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from tools.lab.virtual_cloths import bench

from laydown.domain.finding import ClothFinding
from laydown.domain.order import Care
from laydown.models.appearance import area_reflectance, visible_areas
from laydown.models.bleed import stained_reflectance
from laydown.models.cloth import describe_cloth
from laydown.models.colour import lab_of
from laydown.models.film import build_film
from laydown.models.flash import run_flash
from laydown.models.heat import run_dryer
from laydown.models.life import thermal_life
from laydown.models.sampling import SampleSet, conditioned, sample_set

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """Samples of a print's future: CIEDE2000 to the clean print and staining grade, shape (size, days)."""

    difference: Values
    grade: Values

    def risk(self, limit: float, day: int) -> float:
        """Share of the samples that miss a grade."""
        return float((self.grade[:, day] < limit - 0.25).mean())


def forecast(
    name: str,
    white: int,
    days: tuple[float, ...],
    *,
    finding: ClothFinding | None = None,
    samples: SampleSet | None = None,
) -> Forecast:
    """Forecast an order's print laid flat after the dryer, with the planned settings."""
    from laydown.physics.ciede2000 import ciede2000
    from laydown.physics.grey_scale import staining_grade

    shop = bench.shop()
    cloth = describe_cloth(shop.garment(name), condition=shop.preferences.condition, finding=finding)
    drawn = samples or sample_set(bench.SAMPLES)
    if finding is not None:
        drawn = conditioned(drawn, finding)
    stack, at = bench.whites()[white].stack, bench.setup(name, white)
    film = build_film(stack, cloth, drawn, practice=shop.practice)
    press = bench.press()
    flashes = tuple(
        run_flash(cloth, at.flash, press, shop.climate, film.before(one), drawn, seconds=at.flash_seconds)
        for one in stack.inked
        if one.flash_after
    )
    dryer = run_dryer(cloth, at.dryer, shop.climate, film.total(), drawn, setting=at.setting, speed=at.speed)
    life = thermal_life(flashes, dryer, cloth, Care(stack_hot=False), shop.climate, drawn)
    area = visible_areas(stack)[0]
    condition = shop.preferences.condition
    lab = lab_of(stained_reflectance(area, film, cloth, life, drawn, days), condition)
    clean = np.broadcast_to(lab_of(area_reflectance(area, film, cloth, drawn), condition), lab.shape)
    return Forecast(difference=np.asarray(ciede2000(clean, lab)), grade=np.asarray(staining_grade(clean, lab)))
