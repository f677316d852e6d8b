"""What things cost, and the climate they are done in."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, fields

from laydown.domain.quantity import Quantity
from laydown.domain.validity import share, within
from laydown.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs:
    """The shop's rates, in its own currency; times in seconds.

    Attributes
    ----------
    labour_rate, press_rate, dryer_rate : float
        Per hour: one person, one running press, one running dryer.
    screen_cost : float
        Emulsion, film and reclaiming of one screen.
    screen_time : float
        Work to coat, burn and reclaim one screen [s].
    ink_waste : float
        Share of ink left on screens, tools and in cups.
    spoilage : float
        Share of garments spoiled in a normal run.
    reprint_factor : float
        Cost of a reprint as a multiple of the order's own cost (the new garments, the second run, the trouble).
    margin : float
        Share of the price that is to be left after costs.
    ink_keeping : float
        Yearly cost of keeping one more ink on the shelf (space, stirring, counting).
    wash_up_cost : float
        One change from one white to another at a press.
    softness : float
        What a softer print is worth when stacks are ranked: share of the order's cost for each kg/m2 of film less.
    """

    currency: str = "USD"
    labour_rate: float
    press_rate: float
    dryer_rate: float
    screen_cost: float
    screen_time: float
    ink_waste: float
    spoilage: float
    reprint_factor: float
    margin: float
    swatch_cost: float
    ink_keeping: float
    wash_up_cost: float
    softness: float = 1.0

    def __post_init__(self) -> None:
        if not (1 <= len(self.currency) <= 5):
            raise InvalidInput("the currency is a short code or sign of 1 to 5 characters")
        for name in ("ink_waste", "spoilage", "margin"):
            share(name, getattr(self, name))
        if self.margin > 0.95:
            raise InvalidInput("the margin lies between 0 and 0.95 of the price")
        for field in fields(self):
            if field.name != "currency":
                within(field.name, getattr(self, field.name), 0.0, 1e6, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """Air of the shop and of the store room.

    Attributes
    ----------
    temperature : Quantity
        Shop floor [K].
    humidity : Quantity
        Relative humidity, as a share of one.
    storage_temperature : Quantity
        Where printed garments wait, and later live [K].
    """

    temperature: Quantity
    humidity: Quantity
    storage_temperature: Quantity

    def __post_init__(self) -> None:
        within("shop temperature", self.temperature.value, 263.0, 323.0, "K")
        within("storage temperature", self.storage_temperature.value, 253.0, 343.0, "K")
        share("humidity", self.humidity.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """What the shop has measured of its own printing; None where it never did.

    Attributes
    ----------
    transfer : Quantity or None
        Share of a mesh's theoretical volume that one hit leaves on the garment, from weighing garments before and
        after printing. None: the published rules, which run from one third to all.
    tone_strip : tuple of (float, float)
        Tone on the film and on the print of each patch of the shop's own tone strip, as shares of one, rising; empty
        without one.
    tone_source : str
        Which test the strip comes from; empty: nobody said.
    """

    transfer: Quantity | None = None
    tone_strip: tuple[tuple[float, float], ...] = ()
    tone_source: str = ""

    def __post_init__(self) -> None:
        if self.tone_strip and len(self.tone_strip) < 3:
            raise InvalidInput(f"a tone strip needs at least 3 patches, not {len(self.tone_strip)}")
        for film, printed in self.tone_strip:
            share("a film tone of the strip", film)
            share("a print tone of the strip", printed)
        for (film, printed), (next_film, next_printed) in itertools.pairwise(self.tone_strip):
            if next_film <= film or next_printed < printed or (next_printed == printed and 0 < printed < 1):
                raise InvalidInput(
                    f"the tones of a strip rise from patch to patch; {100 * next_film:g} % on the film, "
                    f"{100 * next_printed:g} % on the print does not follow {100 * film:g} %, {100 * printed:g} %"
                )
        if self.transfer is not None:
            within("transfer", self.transfer.value, 0.05, 1.5, "as a share of one")
