"""What is fitted to a probe log: a dryer's coefficients, and what else may be off; each with its prior.

Every parameter is a standard normal number ``z`` times a spread about a centre, the coefficients as logarithms, so
that a prior is a unit normal and nothing can become negative.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from laydown.domain.dryer import Dryer, Zone
from laydown.domain.probe_log import Lane
from laydown.domain.quantity import Quantity
from laydown.lab.probe_sensor import LAG, OFFSET_SD
from laydown.models.sampling import Z95

LEAST_PANEL, LEAST_AIR = 15.0 / Z95, 8.0 / Z95
LEAST_EXCHANGE, LEAST_CONVECTION, LEAST_BELT = 0.2 / Z95, 0.3 / Z95, 0.4 / Z95
"""Spreads that priors have at least: what a dryer is said to be off by when nobody says. A dryer drifts, so a fit made
before says where to begin, not how far it may be from there. Assumed."""

LANE_SD = 0.08
"""How far the heat of one lane is from the belt's mean, as a share. Assumed."""

ENTRY_SD = 1.0
"""How far the entry may be from where the curve's bend was seen [s]."""

SPEED_SD = 0.05
"""How far the belt may be from what was dialled, or from what the bends say, as a share. Assumed."""

FILM_SD = 0.15
"""How far the ink on the test piece is from what was said, as a share. Assumed."""

START_SD = 5.0
"""How far the garment's temperature at the entry is from what the probe read before [K]: wide, as the same readings are
fitted to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """One number that is fitted.

    Attributes
    ----------
    key : tuple of str or int
        What it is: ``("exchange", 0)`` of the first zone, ``("entry", 2)`` of the third log.
    words, unit : str
        For people; without a unit it is a factor on what the shelf says.
    centre, sd : float
        Prior mean and standard deviation; of the logarithm where ``log`` is set.
    log : bool
    """

    key: tuple[str | int, ...]
    words: str
    unit: str
    centre: float
    sd: float
    log: bool

    def value(self, z: float) -> float:
        """Value at a standard normal place."""
        plain = self.centre + self.sd * z
        return math.exp(plain) if self.log else plain

    @property
    def of_dryer(self) -> bool:
        """Whether it belongs to the dryer, and not to one log, its cloth or its wires."""
        return self.key[0] in DRYER_KEYS


DRYER_KEYS = ("panel", "air", "exchange", "convection", "belt")


def dryer_parameters(dryer: Dryer) -> tuple[Parameter, ...]:
    """Coefficients of a dryer that are fitted, with the shelf's intervals as priors."""
    error = dryer.setting_error
    panel = _sd(error) if error is not None else max(_sd(zone.panel_temperature) for zone in dryer.zones)
    found = [
        Parameter(
            key=("panel",),
            words="panel temperature above what is dialled",
            unit="K",
            centre=error.value if error is not None else 0.0,
            sd=max(panel, LEAST_PANEL),
            log=False,
        ),
    ]
    found += [
        shift_of(
            ("air", number), f"air of zone {number + 1} above what the shelf says", zone.air_temperature, LEAST_AIR
        )
        for number, zone in enumerate(dryer.zones)
    ]
    for number, zone in enumerate(dryer.zones):
        if zone.exchange.value > 0:
            found.append(
                factor_of(("exchange", number), f"panel exchange of zone {number + 1}", zone.exchange, LEAST_EXCHANGE)
            )
        if zone.air_coefficient.value > 0:
            found.append(
                factor_of(
                    ("convection", number),
                    f"air coefficient of zone {number + 1}",
                    zone.air_coefficient,
                    LEAST_CONVECTION,
                )
            )
    belts = [zone.belt_coefficient for zone in dryer.zones if zone.belt_coefficient.value > 0]
    if belts:
        widest = max(belts, key=_log_sd)
        found.append(factor_of(("belt",), "air coefficient below the belt", widest, LEAST_BELT))
    return tuple(found)


def wire_parameters(lanes: tuple[Lane, ...], channels: int) -> tuple[Parameter, ...]:
    """Lag of the wires, contrasts between lanes, and each wire's own error."""
    lag_sd = math.log(LAG.high / LAG.low) / (2 * Z95)
    found = [
        Parameter(
            key=("lag",), words="lag of the thermocouples", unit="s", centre=math.log(LAG.value), sd=lag_sd, log=True
        )
    ]
    found += [
        Parameter(
            key=("lane", i), words=f"difference {i + 1} between lanes", unit="", centre=0.0, sd=LANE_SD, log=False
        )
        for i in range(len(lanes) - 1)
    ]
    found += [
        Parameter(key=("offset", i), words=f"error of wire {i + 1}", unit="K", centre=0.0, sd=OFFSET_SD, log=False)
        for i in range(channels)
    ]
    return tuple(found)


class LogWords(NamedTuple):
    """What moments of a log are called."""

    entry: str
    start: str


DRYER_WORDS = LogWords("entry", "temperature at the entry")
FLASH_WORDS = LogWords("begin of the flash", "temperature before the flash")


def log_parameters(
    number: int, *, entry: float, start: float, film: bool, speed: float | None = None, words: LogWords = DRYER_WORDS
) -> tuple[Parameter, ...]:
    """What may be off in one log: when the heat began, the belt where there is one, and the test piece."""

    def one(kind: str, told: str, unit: str, centre: float, sd: float, *, log: bool = False) -> Parameter:
        return Parameter(
            key=(kind, number), words=f"{told} of log {number + 1}", unit=unit, centre=centre, sd=sd, log=log
        )

    found = [one("entry", words.entry, "s", entry, ENTRY_SD)]
    if speed is not None:
        found.append(one("speed", "belt speed", "m/s", math.log(speed), SPEED_SD, log=True))
    found += [
        one("start", words.start, "K", start, START_SD),
        one("mass", "cloth mass", "", 0.0, 1.0),
        one("moisture", "moisture", "", 0.0, 1.0),
    ]
    if film:
        found.append(one("film", "film", "", 0.0, FILM_SD, log=True))
    return tuple(found)


def zone_values(zone: Zone) -> tuple[float, float, float]:
    """Exchange, air coefficient and belt coefficient of a zone as the shelf says them."""
    return zone.exchange.value, zone.air_coefficient.value, zone.belt_coefficient.value


def factor_of(key: tuple[str | int, ...], words: str, quantity: Quantity, least: float) -> Parameter:
    """Factor on what the shelf says, with the shelf's interval as prior, but at least a spread."""
    return Parameter(key=key, words=words, unit="", centre=0.0, sd=max(_log_sd(quantity), least), log=True)


def shift_of(key: tuple[str | int, ...], words: str, quantity: Quantity, least: float) -> Parameter:
    """Kelvin above what the shelf says, with the shelf's interval as prior, but at least a spread."""
    return Parameter(key=key, words=words, unit="K", centre=0.0, sd=max(_sd(quantity), least), log=False)


def _sd(quantity: Quantity) -> float:
    return quantity.spread / (2 * Z95)


def _log_sd(quantity: Quantity) -> float:
    low = quantity.low if quantity.low > 0 else quantity.value / 3
    return math.log(max(quantity.high, quantity.value) / min(low, quantity.value)) / (2 * Z95)
