"""Presses and the flash units that stand at them."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.quantity import Quantity
from laydown.domain.validity import named, positive, within
from laydown.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Flash:
    """A flash unit, as the heat model sees it.

    Attributes
    ----------
    radiant_temperature : Quantity
        Of the emitters [K].
    exchange : Quantity
        Effective emissivity times view factor towards the print, 0 to 1.
    air_temperature : Quantity
        [K].
    air_coefficient : Quantity
        Convective heat transfer coefficient [W/m2K].
    """

    name: str
    radiant_temperature: Quantity
    exchange: Quantity
    air_temperature: Quantity
    air_coefficient: Quantity

    def __post_init__(self) -> None:
        named("a flash", self.name)
        within(f"radiant temperature of {self.name}", self.radiant_temperature.value, 300.0, 3000.0, "K")
        within(f"exchange of {self.name}", self.exchange.value, 0.0, 1.0, "")
        within(f"air coefficient of {self.name}", self.air_coefficient.value, 0.0, 500.0, "W/m²K")


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """A press; times in seconds, lengths in metres.

    Attributes
    ----------
    heads : int
        Print stations, each for one screen or one flash (automatic), or screens that swing in (manual).
    pallets : int
    flashes : tuple of Flash
        Units that can be used at once.
    flash_heads : tuple of int
        Stations (counted from 1, in the direction the pallets turn) where a flash may stand; empty on a manual
        press, where the flash swings over the pallet and takes no head.
    index_time : float
        Time to turn the pallets by one station.
    stroke_speed : float
        Squeegee speed [m/s].
    load_time : float
        Time to take off and put on one garment.
    """

    name: str
    automatic: bool
    heads: int
    pallets: int
    flashes: tuple[Flash, ...]
    flash_heads: tuple[int, ...]
    index_time: float
    stroke_speed: float
    load_time: float
    print_width: float
    print_height: float
    set_up_per_screen: float
    crew: int = 1
    registration: float = 0.3e-3
    pallet_temperature: Quantity | None = None

    def __post_init__(self) -> None:
        named("a press", self.name)
        within(f"heads of {self.name}", self.heads, 1, 40, "")
        within(f"pallets of {self.name}", self.pallets, 1, 60, "")
        within(f"crew of {self.name}", self.crew, 1, 10, "people")
        positive(f"stroke speed of {self.name}", self.stroke_speed)
        positive(f"print width of {self.name}", self.print_width)
        positive(f"print height of {self.name}", self.print_height)
        for label, seconds in (
            ("index time", self.index_time),
            ("load time", self.load_time),
            ("set-up per screen", self.set_up_per_screen),
        ):
            within(f"{label} of {self.name}", seconds, 0.0, 7200.0, "s")
        if any(not 1 <= head <= self.heads for head in self.flash_heads):
            raise InvalidInput(
                f"{self.name} has {self.heads} heads, so a flash may stand at 1 to {self.heads}, not at "
                f"{list(self.flash_heads)}"
            )
        if self.automatic and self.flashes and not self.flash_heads:
            raise InvalidInput(f"{self.name} has a flash but no head where it may stand")
