"""Conveyor dryers."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.quantity import Quantity
from laydown.domain.validity import named, positive, within
from laydown.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """One zone of a dryer, in the direction of travel.

    Attributes
    ----------
    length : float
        [m].
    panel_temperature : Quantity
        Of the radiant panel at the dryer's usual setting [K]; the setting moves all zones together.
    exchange : Quantity
        Effective emissivity times view factor between panel and garment; 0 in a zone without panel.
    air_temperature : Quantity
        At the usual setting [K].
    air_follow : float
        How many kelvin the air moves when the setting moves by one.
    air_coefficient, belt_coefficient : Quantity
        Convective coefficients above and below the garment [W/m2K].
    """

    length: float
    panel_temperature: Quantity
    exchange: Quantity
    air_temperature: Quantity
    air_follow: float
    air_coefficient: Quantity
    belt_coefficient: Quantity

    def __post_init__(self) -> None:
        within("length of a zone", self.length, 0.01, 30.0, "m")
        within("exchange of a zone", self.exchange.value, 0.0, 1.0, "")
        within("air follow of a zone", self.air_follow, 0.0, 1.0, "K per K")
        within("panel temperature of a zone", self.panel_temperature.value, 280.0, 1500.0, "K")
        within("air temperature of a zone", self.air_temperature.value, 280.0, 600.0, "K")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dryer:
    """A conveyor dryer.

    Attributes
    ----------
    setting : float
        The usual panel setting [K], which the zones' temperatures refer to.
    setting_low, setting_high : float
        What can be dialled in [K].
    speed_low, speed_high : float
        Belt speed [m/s].
    catch_time : float
        From the end of the tunnel until the garment is laid on the pile [s].
    """

    name: str
    zones: tuple[Zone, ...]
    setting: float
    setting_low: float
    setting_high: float
    belt_width: float
    speed_low: float
    speed_high: float
    catch_time: float = 8.0
    setting_error: Quantity | None = None
    note: str = ""

    def __post_init__(self) -> None:
        named("a dryer", self.name)
        if not self.zones:
            raise InvalidInput(f"{self.name} has no zone; a dryer needs at least one")
        positive(f"belt width of {self.name}", self.belt_width)
        positive(f"lowest belt speed of {self.name}", self.speed_low)
        if not self.speed_low < self.speed_high:
            raise InvalidInput(f"{self.name}: the lowest belt speed must lie below the highest")
        if not self.setting_low <= self.setting <= self.setting_high:
            raise InvalidInput(f"{self.name}: the usual setting must lie between the lowest and the highest")

    @property
    def length(self) -> float:
        """Length of the heated tunnel [m]."""
        return sum(zone.length for zone in self.zones)
