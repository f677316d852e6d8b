"""Find flash times: as short as gels the coolest point of the film."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.press import Flash, Press
from laydown.domain.quantity import Quantity
from laydown.models.cloth import Cloth
from laydown.models.flash import FLASH_STEP, LONGEST_FLASH, flash_seconds, gel_temperatures, run_flash
from laydown.models.heat import HeatRun
from laydown.models.sampling import SampleSet
from laydown.physics.radiation import blackbody_emissive_power
from laydown.units import from_celsius

ROOM = from_celsius(20.0)

FILM_STEP = 5e-6
"""Films are taken as alike within this step [m], rounded up, so that one search serves many stacks."""


def weakest_flash(press: Press) -> Flash:
    """The unit of a press that brings least heat to a print at room temperature, by best estimates."""

    def heat(flash: Flash) -> float:
        radiant = flash.exchange.value * float(blackbody_emissive_power(flash.radiant_temperature.value))
        return radiant + flash.air_coefficient.value * (flash.air_temperature.value - ROOM)

    return min(press.flashes, key=heat)


class FlashFinder:
    """Searches flash times for one cloth; films alike share one search."""

    def __init__(self, cloth: Cloth, climate: Climate, samples: SampleSet, *, risk: float) -> None:
        self._cloth = cloth
        self._climate = climate
        self._samples = samples
        self._risk = risk
        self._found: dict[tuple[str, int, Quantity], float | None] = {}
        self._runs: dict[tuple[str, float, bytes], HeatRun] = {}

    def find(self, press: Press, film: float, gel: Quantity) -> float | None:
        """Seconds under the press's weakest flash for a film [m]; None when it does not gel within `LONGEST_FLASH`.

        Which unit will stand where is not known, so all are set as the weakest needs; and one step longer than the
        samples ask for, so that the film's own spread is covered as well.
        """
        if not press.flashes:
            return None
        thickness = max(1, int(np.ceil(film / FILM_STEP)))
        key = (press.name, thickness, gel)
        if key not in self._found:
            run = self.run(press, np.full(self._samples.size, thickness * FILM_STEP), LONGEST_FLASH)
            seconds = flash_seconds(run, gel_temperatures(gel, self._samples), risk=self._risk)
            self._found[key] = None if seconds is None else min(seconds + FLASH_STEP, LONGEST_FLASH)
        return self._found[key]

    def bare(self, press: Press, seconds: float) -> HeatRun:
        """The bare cloth beside the print under the press's weakest flash, in all samples."""
        return self.run(press, np.zeros(self._samples.size), seconds)

    def run(self, press: Press, film: NDArray[np.float64], seconds: float) -> HeatRun:
        """A film [m], shape (size,), under the press's weakest flash; stacks with the same film share one run."""
        key = (press.name, seconds, film.tobytes())
        if key not in self._runs:
            self._runs[key] = run_flash(
                self._cloth, weakest_flash(press), press, self._climate, film, self._samples, seconds=seconds
            )
        return self._runs[key]
