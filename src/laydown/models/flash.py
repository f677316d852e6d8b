"""Heat in the print under a flash, and when the film has gelled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.costs import Climate
from laydown.domain.press import Flash, Press
from laydown.domain.quantity import Quantity
from laydown.models.cloth import Cloth
from laydown.models.heat import HeatRun, open_top, print_body, run_stages, shop_vapour
from laydown.models.sampling import SampleSet

Values = NDArray[np.float64]

FLASH_STEP = 0.5
"""Flash times are set in steps of this [s]."""

LONGEST_FLASH = 25.0
"""Longest flash that a press is set to [s]. Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """What acts on a print under a flash, sample by sample.

    Attributes
    ----------
    radiant_temperature, exchange, air_temperature, air_coefficient : float or ndarray, shape (size, 1)
        [K], share of one, [K], [W/m2K].
    """

    radiant_temperature: Values | float
    exchange: Values | float
    air_temperature: Values | float
    air_coefficient: Values | float


def run_flash(
    cloth: Cloth, flash: Flash, press: Press, climate: Climate, film: Values, samples: SampleSet, *, seconds: float
) -> HeatRun:
    """Temperatures under a flash, garment on a warm pallet.

    Parameters
    ----------
    film : ndarray, shape (size,)
        Film on the cloth so far [m].
    seconds : float
        Dwell to simulate.
    """
    pallet = press.pallet_temperature or read_table("heating")["pallet"]["temperature"]
    lamp = Lamp(
        radiant_temperature=flash.radiant_temperature.value,
        exchange=np.minimum(samples.of(flash.exchange, "flash exchange"), 1.0)[:, None],
        air_temperature=flash.air_temperature.value,
        air_coefficient=flash.air_coefficient.value,
    )
    times = np.linspace(0.0, seconds, round(seconds / FLASH_STEP) + 1)
    return run_lamp(cloth, lamp, climate, film, samples, times=times, start=pallet.value)


def run_lamp(
    cloth: Cloth,
    lamp: Lamp,
    climate: Climate,
    film: Values,
    samples: SampleSet,
    *,
    times: Values,
    start: Values | float,
    tolerance: float | None = None,
) -> HeatRun:
    """Temperatures under a flash whose every coefficient is given, garment on a pallet as warm as itself.

    Parameters
    ----------
    film : ndarray, shape (size,)
        Film on the cloth so far [m].
    times : ndarray, shape (k,)
        Output times, from 0 to the end of the flash [s].
    start : float or ndarray, shape (size, 1)
        Temperature of pallet and garment when the flash begins [K].
    tolerance : float or None
        As of `laydown.models.heat.run_tunnel`.
    """
    from laydown.physics.heat import Stages

    seconds = float(times[-1])
    stages = Stages(
        duration=[seconds],
        top_radiant_temperature=lamp.radiant_temperature,
        top_exchange_factor=lamp.exchange,
        top_air_temperature=lamp.air_temperature,
        top_heat_transfer_coefficient=lamp.air_coefficient,
        bottom_radiant_temperature=start,
        bottom_exchange_factor=0.0,
        bottom_air_temperature=start,
        bottom_heat_transfer_coefficient=read_table("heating")["pallet"]["contact_coefficient"].value,
        top_vapour_factor=open_top(film),
        bottom_vapour_factor=0.0,
        vapour_pressure=shop_vapour(climate),
    )
    return run_stages(print_body(cloth, film, samples), stages, start, times, seconds, tolerance)


def gel_temperatures(gel_temperature: Quantity, samples: SampleSet) -> Values:
    """Temperature that gels an ink, shape (size,) [K]."""
    return samples.of(gel_temperature, "gel temperature")


def flash_seconds(run: HeatRun, gel_temperature: Values, *, risk: float) -> float | None:
    """Shortest dwell, in whole steps, after which all but ``risk`` of the samples are gelled throughout.

    Parameters
    ----------
    run : HeatRun
    gel_temperature : ndarray, shape (size,)
        [K]; see `gel_temperatures`.
    risk : float

    Returns
    -------
    float or None
        [s]; None when even the whole run does not gel enough of them.
    """
    gelled = (run.coolest >= gel_temperature[:, None]).mean(axis=0)
    enough = np.nonzero(gelled >= 1 - risk)[0]
    return float(run.times[enough[0]]) if enough.size else None


def cloth_when_gelled(run: HeatRun, bare: HeatRun, gel_temperature: Values) -> Values:
    """Hottest point of the cloth at the moment the film has gelled, shape (size,) [K]; at the end where it has not.

    A crew flashes until the ink is dry to the touch: what a unit is stronger than expected makes the flash shorter, not
    the cloth hotter.

    Parameters
    ----------
    run, bare : HeatRun
        The printed place, and the bare cloth beside it under the same unit for as long: it gets hotter, as it has
        neither ink to warm nor a film that holds its water back.
    gel_temperature : ndarray, shape (size,)
        [K]; see `gel_temperatures`.
    """
    gelled = run.coolest >= gel_temperature[:, None]
    at = np.where(gelled.any(axis=1), gelled.argmax(axis=1), run.times.size - 1)
    sample = np.arange(at.size)
    return np.maximum(run.cloth_hottest[sample, at], bare.cloth_hottest[sample, at])
