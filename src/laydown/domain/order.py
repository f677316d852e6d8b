"""What a customer asked for, and what happens to the garments after the dryer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from laydown.domain.art import Art
from laydown.domain.garment import Garment
from laydown.domain.validity import named, within
from laydown.errors import InvalidInput

HAND_CLASSES = ("very soft", "soft", "medium", "firm", "heavy")


@dataclass(frozen=True, slots=True, kw_only=True)
class InkUse:
    """One colour of a print and the share of the print's rectangle it covers."""

    ink: str
    coverage: float

    def __post_init__(self) -> None:
        named("an ink of a print", self.ink)
        if not 0 < self.coverage <= 1:
            raise InvalidInput(f"the coverage of {self.ink!r} is {self.coverage:g}; allowed is above 0 and up to 1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """One print on a garment; lengths in metres.

    Attributes
    ----------
    inks : tuple of InkUse
        Shelf names, sRGB colours or ``white``, with the share of the rectangle each covers.
    finest_detail : float or None
        Finest line or gap of the art [m]; None when nobody measured it.
    ruling : float or None
        Halftone ruling [lines per metre]; None for solid art.
    artwork : str
        Art file as the order names it; empty without one.
    art : Art or None
        What was measured on it; None when the order states the inked shares itself.
    """

    place: str
    width: float
    height: float
    inks: tuple[InkUse, ...]
    artwork: str = ""
    finest_detail: float | None = None
    ruling: float | None = None
    art: Art | None = None

    def __post_init__(self) -> None:
        named("the place of a print", self.place)
        within("width of a print", self.width, 0.005, 2.0, "m")
        within("height of a print", self.height, 0.005, 2.0, "m")
        if not self.inks:
            raise InvalidInput(f"the {self.place} print names no ink; at least one is needed, for example 'white'")
        names = [use.ink for use in self.inks]
        if len(set(names)) < len(names):
            raise InvalidInput(f"the {self.place} print names an ink twice: {', '.join(names)}")
        total = sum(use.coverage for use in self.inks)
        if self.art is None and total > 1 + 1e-9:
            raise InvalidInput(f"the inks of the {self.place} print cover {total:.0%} of its rectangle; at most 100 %")
        if self.finest_detail is not None:
            within("finest detail", self.finest_detail, 20e-6, 0.1, "m")
        if self.ruling is not None:
            within("halftone ruling", self.ruling, 300.0, 8000.0, "lines per metre")

    @property
    def coverage(self) -> float:
        """Share of the print's rectangle that carries ink."""
        if self.art is not None:
            return self.art.inked
        return sum(use.coverage for use in self.inks)

    @property
    def area(self) -> float:
        """Inked area [m2]."""
        return self.coverage * self.width * self.height


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirements:
    """What a print must reach. The defaults are house rules and are shown as assumptions.

    Attributes
    ----------
    opacity : float
        Largest CIEDE2000 difference to the ink's own full-hiding colour on day 0.
    bleed_grade : float
        Lowest staining grade (ISO 105-A03 scale) at ``bleed_days``.
    risk : float
        Allowed probability of missing any one of the requirements.
    hand : str
        Heaviest class of hand that is accepted.
    wash : int
        Lowest toughness class (1 to 5).
    """

    opacity: float = 7.0
    bleed_grade: float = 4.0
    bleed_days: float = 30.0
    risk: float = 0.05
    hand: str = "heavy"
    wash: int = 2

    def __post_init__(self) -> None:
        within("opacity limit", self.opacity, 0.1, 50.0, "CIEDE2000")
        within("bleed_grade", self.bleed_grade, 1.0, 5.0, "")
        if (self.bleed_grade * 2) % 1:
            raise InvalidInput(f"bleed_grade is {self.bleed_grade:g}; grades go in half steps from 1 to 5")
        within("bleed_days", self.bleed_days, 0.0, 60.0, "days")
        within("risk", self.risk, 0.001, 0.5, "as a share of one")
        within("wash class", self.wash, 1, 5, "")
        if self.hand not in HAND_CLASSES:
            raise InvalidInput(f"hand is {self.hand!r}; allowed are {', '.join(HAND_CLASSES)}")


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermalEvent:
    """Some time at a temperature after the dryer."""

    name: str
    temperature: float
    duration: float
    times: int = 1

    def __post_init__(self) -> None:
        within(f"temperature of {self.name}", self.temperature, 233.0, 423.0, "K")
        within(f"duration of {self.name}", self.duration, 0.0, 60 * 86400.0, "s")
        within(f"times of {self.name}", self.times, 1, 100, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """Thermal life after the dryer.

    Attributes
    ----------
    stack_hot : bool
        Garments are piled and boxed as they leave the belt instead of cooling first.
    pile_height : float
        [m].
    transit, tumble_dry : ThermalEvent or None
    """

    stack_hot: bool = False
    pile_height: float = 0.30
    transit: ThermalEvent | None = None
    tumble_dry: ThermalEvent | None = None

    def __post_init__(self) -> None:
        within("pile height", self.pile_height, 0.005, 3.0, "m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One order."""

    name: str
    quantity: int
    due: dt.date
    garment: Garment
    prints: tuple[Print, ...]
    requirements: Requirements = field(default_factory=Requirements)
    care: Care = field(default_factory=Care)
    identifier: str = ""
    placed: dt.date | None = None
    times_a_year: float = 1.0

    def __post_init__(self) -> None:
        named("an order", self.name)
        within("quantity", self.quantity, 1, 1_000_000, "garments")
        within("times_a_year", self.times_a_year, 0.0, 10_000.0, "")
        if not self.prints:
            raise InvalidInput("an order needs at least one print")
        places = [p.place for p in self.prints]
        if len(set(places)) < len(places):
            raise InvalidInput(f"two prints share a place: {', '.join(places)}")


__all__ = ["HAND_CLASSES", "Care", "InkUse", "Order", "Print", "Requirements", "ThermalEvent"]
