"""The thermal life of a print: flashes, dryer, pile, storage, transit, tumble-drying, as one temperature history."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.costs import Climate
from laydown.domain.order import Care, ThermalEvent
from laydown.models.cloth import Cloth
from laydown.models.heat import HeatRun, cloth_mass
from laydown.models.sampling import SampleSet
from laydown.units import DAY, HOUR, MINUTE

Values = NDArray[np.float64]

HORIZON = 60 * DAY
"""A forecast ends here."""

TRANSIT_START = 1 * DAY
FIRST_WASH = 3 * DAY
WASH_EVERY = 7 * DAY
RAMP = 10 * MINUTE
"""When garments travel, when they are first tumble-dried and how often after, how long they take to warm. Assumed."""

SURFACE_RADIATION = 5.5
"""Radiative part of the heat loss of a warm garment [W/m2K]: 4 sigma T^3 at 320 K and emissivity 0.75 to 0.9."""

BETWEEN_PASSAGES = 1 * HOUR
"""Between two passages through the dryer when a garment has several prints: it waits, piled or laid out as later, until
the whole run has its first print. Assumed."""

COOLED_RISE = 2.0
"""A garment that was cooled before stacking goes onto the pile this much warmer than the air [K]. Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """Temperature of the print from the first flash to the horizon.

    Attributes
    ----------
    times : ndarray, shape (k,)
        [s], rising from 0.
    temperature : ndarray, shape (size, k)
        [K].
    printed_at : float
        End of the last passage through the dryer [s]: day 0.
    """

    times: Values
    temperature: Values
    printed_at: float


class _History:
    """Pieces of a history, put one behind the other."""

    def __init__(self, size: int) -> None:
        self._times: list[Values] = []
        self._temperature: list[Values] = []
        self._size = size
        self.end = 0.0

    def add(self, times: Values, temperature: Values, *, gap: float = 1.0) -> None:
        """Append a piece whose own times start at or after 0, ``gap`` seconds behind what is there."""
        start = self.end + (gap if self._times else 0.0)
        self._times.append(start + times)
        self._temperature.append(np.broadcast_to(temperature, (self._size, times.size)))
        self.end = float(self._times[-1][-1])

    def life(self, printed_at: float) -> Life:
        return Life(
            times=np.concatenate(self._times),
            temperature=np.ascontiguousarray(np.concatenate(self._temperature, axis=1)),
            printed_at=printed_at,
        )


def thermal_life(
    flashes: tuple[HeatRun, ...],
    dryer: HeatRun,
    cloth: Cloth,
    care: Care,
    climate: Climate,
    samples: SampleSet,
    *,
    passages: int = 1,
) -> Life:
    """Put a print's thermal life together.

    Parameters
    ----------
    flashes : tuple of HeatRun
        Each for as long as the press is set to flash.
    dryer : HeatRun
        One passage, up to the pile.
    care : Care
    passages : int
        How often this print goes through the dryer: once for itself and once for each later print of the garment.
    """
    history = _History(samples.size)
    room = climate.temperature.value
    for run in flashes:
        history.add(run.times, run.interface)
        pallet = np.full(samples.size, run.interface[:, :1].mean())
        history.add(np.array([10.0]), pallet[:, None], gap=0.0)
    waits = np.geomspace(20.0, BETWEEN_PASSAGES, 10)
    for passage in range(passages):
        history.add(dryer.times, dryer.interface)
        if passage < passages - 1:
            cooling = _cooling(waits, dryer.interface[:, -1], cloth, care, room, samples)
            history.add(waits, room + cooling, gap=0.0)
    printed_at = history.end
    later = np.unique(np.concatenate([_grid(), *(edges for edges, _ in _events(care))]))
    later = later[(later > 0) & (later <= HORIZON)]
    history.add(later, _after(later, dryer.interface[:, -1], cloth, care, climate, samples), gap=0.0)
    return history.life(printed_at)


def _grid() -> Values:
    """Times after the dryer at which a pile's slow cooling is followed [s]."""
    return np.concatenate([np.geomspace(20.0, 3 * DAY, 28), [5 * DAY, 10 * DAY, 20 * DAY, 30 * DAY, 45 * DAY, HORIZON]])


def _events(care: Care) -> list[tuple[Values, ThermalEvent]]:
    """Ramp up, hold and ramp down of each later event, with the event."""
    found: list[tuple[Values, ThermalEvent]] = []
    for event, first, every in ((care.transit, TRANSIT_START, DAY), (care.tumble_dry, FIRST_WASH, WASH_EVERY)):
        if event is None or event.duration <= 0:
            continue
        for i in range(event.times):
            start = first + i * max(every, event.duration + 2 * RAMP)
            edges = np.array([start, start + RAMP, start + RAMP + event.duration, start + 2 * RAMP + event.duration])
            if edges[-1] <= HORIZON:
                found.append((edges, event))
    return found


def _after(times: Values, exit_: Values, cloth: Cloth, care: Care, climate: Climate, samples: SampleSet) -> Values:
    """Temperature after the dryer, shape (size, times)."""
    storage = samples.of(climate.storage_temperature, "storage temperature")[:, None]
    room = climate.temperature.value
    base = np.broadcast_to(storage, (samples.size, times.size)).copy()
    base += _cooling(times, exit_, cloth, care, room, samples)
    for edges, event in _events(care):
        share = np.interp(times, edges, [0.0, 1.0, 1.0, 0.0])
        base += share * (event.temperature - base)
    return base


def _cooling(times: Values, exit_: Values, cloth: Cloth, care: Care, room: float, samples: SampleSet) -> Values:
    """Rise above the surroundings left from the dryer, shape (size, times) [K]."""
    table = read_table("heating")
    loss = table["still air"]["convection"].value + SURFACE_RADIATION
    if care.stack_hot:
        pile = table["pile"]
        density = samples.of(pile["pile_density"], "pile density")
        left = _pile_left(
            times.tobytes(),
            care.pile_height,
            samples.of(pile["pile_conductivity"], "pile conductivity").tobytes(),
            (density * cloth.specific_heat.value).tobytes(),
            loss,
        )
        return np.asarray((exit_[:, None] - room) * left)
    # Laid out to cool, both faces in the air: a lumped body.
    capacity = cloth_mass(cloth, samples) * cloth.specific_heat.value
    rate = 2 * loss / capacity[:, None]
    return np.asarray((exit_[:, None] - room) * np.exp(-rate * times[None, :]) + COOLED_RISE * np.exp(-times / HOUR))


@lru_cache(maxsize=8)
def _pile_left(times: bytes, height: float, conductivity: bytes, heat_capacity: bytes, loss: float) -> Values:
    """Share of a pile's warmth left in its middle, shape (size, times); all stacks of an order have it alike."""
    from laydown.physics.slab import pile_centre_temperature

    # Two open faces: a box loses heat through its sides as well, which one open face alone would leave out.
    left = pile_centre_temperature(
        np.frombuffer(times)[None, :],
        height=height,
        conductivity=np.frombuffer(conductivity)[:, None],
        heat_capacity=np.frombuffer(heat_capacity)[:, None],
        heat_transfer_coefficient=loss,
        start=1.0,
        surroundings=0.0,
        open_faces=2,
    )
    left.setflags(write=False)
    return left
