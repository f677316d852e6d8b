"""A swatch: a test print or a drawdown that a protocol is run on."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.quantity import Quantity
from laydown.domain.stack import Stack
from laydown.domain.validity import named, within
from laydown.errors import InvalidInput


class SwatchState(StrEnum):
    """How far a swatch is."""

    PLANNED = "planned"
    MADE = "made"
    READ = "read"
    DROPPED = "dropped"


@dataclass(frozen=True, slots=True, kw_only=True)
class PressRun:
    """How a swatch was flashed and cured.

    Attributes
    ----------
    dryer : str
        Shelf name.
    panel_setting : float
        [K].
    belt_speed : float
        [m/s].
    flash_seconds : float or None
        Each flash [s]; None: as the plan of such a stack would set it.
    passages : int
        How often it went through the dryer.
    stacked_hot : bool
        Whether it cooled in a hot pile, ``pile_height`` high [m].
    """

    dryer: str
    panel_setting: float
    belt_speed: float
    flash_seconds: float | None = None
    passages: int = 1
    stacked_hot: bool = False
    pile_height: float = 0.30

    def __post_init__(self) -> None:
        named("the dryer of a swatch", self.dryer)
        within("panel setting of a swatch", self.panel_setting, 280.0, 1500.0, "K")
        within("belt speed of a swatch", self.belt_speed, 0.0005, 2.0, "m/s")
        if self.flash_seconds is not None:
            within("flash of a swatch", self.flash_seconds, 0.0, 120.0, "s")
        within("passages of a swatch", self.passages, 1, 10, "")
        within("pile height of a swatch", self.pile_height, 0.005, 3.0, "m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Swatch:
    """One swatch.

    Attributes
    ----------
    number : int
        Given by the shop's book, printed on its label; 0 before it is kept.
    protocol : str
        Name of its protocol.
    garment : str
        Shelf name of the cloth; empty for a drawdown on a card.
    lot : str
        Lot of the cloth.
    stack : Stack or None
        What was printed; None where the protocol prints none (a drawdown).
    ink : str
        Ink of a drawdown; empty otherwise.
    run : PressRun or None
    made_at : datetime or None
        When it left the dryer, or was drawn down, with its time zone; None before.
    inked_area : float or None
        Area that took ink, by its plate or as drawn down [m2]: what a weighing is divided by. None: nobody said.
    film_thickness : Quantity or None
        Of the cured film by a gauge [m]; None: nobody measured it.
    order, plan : int or None
        Order and version of its plan that it was proposed for.
    """

    protocol: str
    number: int = 0
    garment: str = ""
    lot: str = ""
    stack: Stack | None = None
    ink: str = ""
    run: PressRun | None = None
    made_at: dt.datetime | None = None
    state: SwatchState = SwatchState.PLANNED
    inked_area: float | None = None
    film_thickness: Quantity | None = None
    order: int | None = None
    plan: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        named("the protocol of a swatch", self.protocol)
        if not self.garment and not self.ink:
            raise InvalidInput("a swatch is made on a garment's cloth or is a drawdown of an ink; name one of them")
        if self.inked_area is not None:
            within("inked area of a swatch", self.inked_area, 1e-5, 2.0, "m²")
        if self.film_thickness is not None:
            within("film thickness of a swatch", self.film_thickness.value, 1e-6, 1e-3, "m")
            within("lowest film thickness of a swatch", self.film_thickness.low, 1e-7, 1e-3, "m")
        if self.made_at is not None and self.made_at.tzinfo is None:
            raise InvalidInput("the moment at which a swatch was made needs its time zone")
        if self.state in {SwatchState.MADE, SwatchState.READ} and self.made_at is None:
            raise InvalidInput("a swatch that was made needs the moment at which it was made")
