"""Temperatures that a virtual print goes through: an own heat model of two bodies, a dryer that drifts, oven, store."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from tools.lab.virtual_cloths.truths import TrueHeat

from laydown.domain.dryer import Dryer
from laydown.domain.press import Flash
from laydown.models.cloth import Cloth

Values = NDArray[np.float64]

SIGMA = 5.670374419e-8
LATENT = 2.36e6
"""Heat of evaporation about 60 degC [J/kg]."""

FILM_HEAT = 1.25e3 * 1.4e3
"""Heat capacity of plastisol by volume [J/m3K]."""

STEP = 0.1
CONTACT = 60.0
"""Between garment and pallet [W/m2K]."""

STILL_AIR = 10.0
"""Loss of a garment that lies flat, each face [W/m2K]."""

DAY, HOUR = 86400.0, 3600.0


class Body:
    """Film with the upper third of its cloth above, the rest of the cloth below; warmed step by step.

    Water leaves the lower part once it is warm enough, as fast as the saturated vapour's pressure drives it, and no
    faster than four seconds empty it.
    """

    def __init__(self, heat: TrueHeat, cloth: Cloth, film: float, start: float) -> None:
        dry = cloth.areal_mass.value * cloth.specific_heat.value
        self._above, self._below = dry / 3 + film * FILM_HEAT, dry * 2 / 3
        self._between = cloth.conductivity.value / (cloth.thickness.value / 2)
        self._water = cloth.areal_mass.value * cloth.regain.value * heat.regain_factor
        self.above = self.below = start

    def step(self, *, radiant: float, air: float, top: float, under: float, bottom: float, breathes: bool) -> None:
        """Go on by `STEP`: radiant flux onto the top [W/m2], air and coefficient above, the same below."""
        leaving = 0.0
        if breathes:
            pressure = 610.94 * np.exp(17.625 * (self.below - 273.15) / (self.below - 30.11))
            leaving = min(0.7 * bottom * max(pressure - 1500.0, 0.0) * 7e-9, self._water / 4.0)
        self._water -= leaving * STEP
        passing = self._between * (self.above - self.below)
        warmed = radiant + top * (air - self.above) - passing
        below = bottom * (under - self.below) + passing - leaving * LATENT
        self.above += STEP * warmed / self._above
        self.below += STEP * below / (self._below + 4180 * self._water)


def through_dryer(
    heat: TrueHeat, cloth: Cloth, dryer: Dryer, *, setting: float, speed: float, film: float, drift: float
) -> tuple[Values, Values]:
    """Times and temperature of the film on its cloth, up to the end of the catch [s], [K]."""
    body = Body(heat, cloth, film, heat.room + 10.0)
    times, found, now = [0.0], [body.above], 0.0
    ends = np.cumsum([zone.length / speed for zone in dryer.zones])
    shift = setting - dryer.setting + heat.panel_offset + drift
    while now < ends[-1] + dryer.catch_time:
        if now < ends[-1]:
            zone = dryer.zones[int(np.searchsorted(ends, now, side="right"))]
            panel = zone.panel_temperature.value + shift
            panel += heat.swing * np.sin(2 * np.pi * now / 45.0 + heat.swing_phase)
            air = zone.air_temperature.value + zone.air_follow * shift
            radiant = zone.exchange.value * heat.exchange_factor * SIGMA * (panel**4 - body.above**4)
            top = zone.air_coefficient.value * heat.air_factor
            bottom = zone.belt_coefficient.value * heat.air_factor
        else:
            air, radiant, top, bottom = heat.room, 0.85 * SIGMA * (heat.room**4 - body.above**4), 5.0, 9.0
        body.step(radiant=radiant, air=air, top=top, under=air, bottom=bottom, breathes=True)
        now += STEP
        times.append(now)
        found.append(body.above)
    keep = slice(None, None, 8)
    return np.append(times[keep], times[-1] + 0.01), np.append(found[keep], found[-1])


def after_dryer(heat: TrueHeat, start: float, cloth: Cloth, film: float, *, days: float) -> tuple[Values, Values]:
    """Laid flat, then in the store room, which is warmer by day than by night; times count from the dryer's end."""
    body = cloth.areal_mass.value * cloth.specific_heat.value + film * FILM_HEAT
    times = np.concatenate([np.geomspace(5.0, 2 * HOUR, 40), np.arange(3 * HOUR, days * DAY, 4 * HOUR), [days * DAY]])
    cooled = np.exp(-2 * STILL_AIR * times / body)
    room = heat.storage + heat.storage_swing * np.sin(2 * np.pi * (times / DAY - 0.1))
    blend = np.exp(-times / (3 * HOUR))
    return times, (heat.room * blend + room * (1 - blend)) + (start - heat.room) * cooled


def with_oven(
    heat: TrueHeat, times: Values, kelvin: Values, *, begin: float, oven: float, hours: float
) -> tuple[Values, Values]:
    """Put some hours in the oven into a history; the swatch follows the oven within minutes."""
    end = begin + hours * HOUR
    rises = begin + np.array([0.0, 60.0, 120.0, 240.0, 480.0, 900.0])
    falls = end + np.array([0.0, 60.0, 120.0, 240.0, 480.0, 900.0])
    at = np.unique(np.concatenate([times, rises, falls]))
    base = np.interp(at, times, kelvin)
    warm = np.where(at <= end, 1 - np.exp(-np.maximum(at - begin, 0.0) / 150.0), np.exp(-(at - end) / 150.0))
    warm = np.where((at < begin) | (at > end + 900.0), 0.0, warm)
    return at, base + warm * (oven + heat.oven_offset - base)


def joined(pieces: list[tuple[Values, Values]]) -> tuple[Values, Values, float]:
    """Pieces one behind the other, and where the last one begins."""
    times, kelvin, start = [], [], 0.0
    begin = 0.0
    for at, hot in pieces:
        begin = start
        times.append(start + at)
        kelvin.append(hot)
        start = float(times[-1][-1])
    return np.concatenate(times), np.concatenate(kelvin), begin


def flashed(heat: TrueHeat, cloth: Cloth, unit: Flash, *, seconds: float, film: float) -> tuple[Values, Values]:
    """Times and temperature of the film under a flash, on a warm pallet that keeps the vapour in."""
    pallet = heat.room + 27.0
    body = Body(heat, cloth, film, pallet)
    times, found = [0.0], [pallet]
    while times[-1] < seconds - STEP / 2:
        radiant = unit.exchange.value * heat.exchange_factor * SIGMA
        radiant *= unit.radiant_temperature.value**4 - body.above**4
        body.step(
            radiant=radiant,
            air=unit.air_temperature.value,
            top=unit.air_coefficient.value * heat.air_factor,
            under=pallet,
            bottom=CONTACT,
            breathes=False,
        )
        times.append(times[-1] + STEP)
        found.append(body.above)
    # The next screen and the pallet take the heat away within seconds.
    for after, share in ((2.0, 0.6), (5.0, 0.3), (10.0, 0.1)):
        times.append(seconds + after)
        found.append(pallet + (body.above - pallet) * share)
    keep = [*range(0, len(times) - 4, 4), *range(len(times) - 4, len(times))]
    return np.array(times)[keep] + 0.5, np.array(found)[keep]
