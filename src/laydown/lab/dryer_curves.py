"""Curves that probes would read in a dryer with given coefficients; many guesses at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.domain.probe_log import Lane, Spot
from laydown.lab.dryer_parameters import Parameter
from laydown.lab.probe_sensor import lagged
from laydown.models.cloth import Cloth
from laydown.models.heat import HeatRun, Tunnel, run_tunnel
from laydown.models.sampling import DIMENSIONS, SampleSet

Values = NDArray[np.float64]

FINEST = 0.5
"""Output times in the tunnel are this far apart at most [s]."""

MOST_OUTPUTS = 400

TOLERANCE = 0.015
"""Error allowed in one time step [K]: a fit takes differences of runs, and a step's error in them would look as if the
logs told more than they do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """Many guesses at the parameters: one row of ``z`` each.

    Attributes
    ----------
    parameters : tuple of Parameter
    z : ndarray, shape (size, parameters)
    """

    parameters: tuple[Parameter, ...]
    z: Values

    @property
    def size(self) -> int:
        """Number of guesses."""
        return int(self.z.shape[0])

    def of(self, *key: str | int, default: float = 0.0) -> Values:
        """Values of a parameter, shape (size,); the default where it is not fitted."""
        for i, parameter in enumerate(self.parameters):
            if parameter.key == key:
                plain = parameter.centre + parameter.sd * self.z[:, i]
                return np.exp(plain) if parameter.log else plain
        return np.full(self.size, default)

    def factor(self, *key: str | int) -> Values:
        """Values of a factor, 1 where it is not fitted."""
        return self.of(*key, default=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPiece:
    """What lies on the belt: cloth and ink [m]."""

    __test__ = False

    cloth: Cloth
    film: float
    climate: Climate


def tunnel_of(dryer: Dryer, guess: Guess, *, setting: Values | float, lane: Values | float = 0.0) -> Tunnel:
    """Tunnel of a dryer with guessed coefficients.

    Parameters
    ----------
    setting : float or ndarray, shape (size,)
        What is dialled [K].
    lane : float or ndarray, shape (size,)
        Logarithm of how much more of the panel the lane sees than the belt's mean; in a zone without a panel, of how
        much more air passes it.
    """
    moved = np.broadcast_to(np.asarray(setting, dtype=float), (guess.size,)) - dryer.setting + guess.of("panel")
    more = np.exp(np.broadcast_to(np.asarray(lane, dtype=float), (guess.size,)))
    belt = guess.factor("belt")
    zones = [
        (
            zone.panel_temperature.value + moved,
            np.minimum(zone.exchange.value * guess.factor("exchange", number) * more, 1.0),
            zone.air_temperature.value + zone.air_follow * moved + guess.of("air", number),
            zone.air_coefficient.value
            * guess.factor("convection", number)
            * (1.0 if zone.exchange.value > 0 else more),
            zone.belt_coefficient.value * belt,
        )
        for number, zone in enumerate(dryer.zones)
    ]
    panel, exchange, air, above, below = (np.column_stack([zone[i] for zone in zones]) for i in range(5))
    return Tunnel(
        lengths=tuple(zone.length for zone in dryer.zones),
        panel_temperature=panel,
        exchange=exchange,
        air_temperature=air,
        air_coefficient=above,
        belt_coefficient=below,
        catch_time=dryer.catch_time,
    )


def run_guess(
    dryer: Dryer,
    guess: Guess,
    piece: TestPiece,
    *,
    setting: Values | float,
    speed: float,
    start: Values | float,
    log: int = 0,
    lane: Values | float = 0.0,
) -> HeatRun:
    """Temperatures of a test piece through a dryer with guessed coefficients, at one belt speed [m/s]."""
    points = np.zeros((guess.size, len(DIMENSIONS)))
    points[:, DIMENSIONS.index("cloth mass")] = guess.of("mass", log)
    points[:, DIMENSIONS.index("moisture")] = guess.of("moisture", log)
    beginning = np.broadcast_to(np.asarray(start, dtype=float), (guess.size,))[:, None]
    return run_tunnel(
        piece.cloth,
        tunnel_of(dryer, guess, setting=setting, lane=lane),
        piece.climate,
        piece.film * guess.factor("film", log),
        SampleSet(points),
        speed=speed,
        start=beginning,
        tolerance=TOLERANCE,
        outputs=int(min(max(dryer.length / speed / FINEST, 60), MOST_OUTPUTS)),
    )


def lane_levels(guess: Guess, lanes: Sequence[Lane]) -> dict[Lane, Values]:
    """Logarithm of each lane's heat beside the mean of the lanes, shape (size,); they add up to nothing."""
    count = len(lanes)
    levels = {lane: np.zeros(guess.size) for lane in lanes}
    for i in range(count - 1):
        # Helmert's contrasts: each lane against the mean of those before it.
        size = guess.of("lane", i) / math.sqrt((i + 1) * (i + 2))
        for before in lanes[: i + 1]:
            levels[before] = levels[before] - size
        levels[lanes[i + 1]] = levels[lanes[i + 1]] + (i + 1) * size
    return levels


def read_by(run: HeatRun, spot: Spot, lag: Values) -> Values:
    """What a thermocouple reads, shape (size, k) [K]."""
    return lagged(run.times, run.surface if spot is Spot.ON_PRINT else run.interface, lag)


def at_times(run_times: Values, curve: Values, start: Values, asked: Values) -> Values:
    """Curves at other times after the entry; level before it.

    Parameters
    ----------
    run_times : ndarray, shape (k,)
    curve : ndarray, shape (size, k)
    start : ndarray, shape (size,)
        Temperature before the entry [K].
    asked : ndarray, shape (size, n)
        [s].
    """
    return np.array(
        [
            np.where(moments < 0, level, np.interp(moments, run_times, row))
            for moments, row, level in zip(asked, curve, start, strict=True)
        ]
    )
