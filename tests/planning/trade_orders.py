"""Orders for the tests of trade facts: one cloth, one white print, everything else at its default."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from laydown.documents.care_label import parse_care_label
from laydown.documents.order_file import order_from_text
from laydown.domain.colour import Colour
from laydown.domain.garment import Dye, History, Structure
from laydown.domain.ink import Ink
from laydown.domain.order import Care, Order
from laydown.domain.plan import Plan
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.shop import Shop
from laydown.domain.stack import Role, Stack
from laydown.planning.choice import Choice
from laydown.planning.job import Assessment
from laydown.services.planning import choices_for, plan_order
from laydown.services.shelves import open_shop

TEXT = """
[order]
name = "Trade fact"
quantity = 144
placed = 2026-11-02
due = 2026-12-10
[garment]
care_label = "100% cotton"
structure = "jersey"
mass_gsm = 180
colour = "#1a1a1c"
dye = "reactive"
price = 3.0
history = "printed"
[[print]]
place = "front"
width_mm = 280
height_mm = 320
coverage = 0.40
inks = ["white"]
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """A cloth of a trade fact."""

    label: str
    colour: str
    dye: str
    structure: str = "jersey"
    mass_gsm: float = 180.0
    history: str = "printed"
    quantity: int = 144

    @property
    def id(self) -> str:
        return f"{self.label}, {self.colour}, {self.dye}, {self.quantity}"


@lru_cache(maxsize=1)
def shop() -> Shop:
    return open_shop()


def order_for(cloth: Cloth, *, care: Care | None = None) -> Order:
    base = order_from_text(TEXT, shop(), "trade fact")
    mass = Quantity.exact(cloth.mass_gsm / 1000, Grade.ASSUMED, "trade fact")
    garment = replace(
        base.garment,
        name=cloth.label,
        content=parse_care_label(cloth.label),
        structure=Structure(cloth.structure),
        areal_mass=mass,
        colour=Colour(srgb=cloth.colour),
        dye=Dye(cloth.dye),
        history=History(cloth.history),
    )
    return replace(base, garment=garment, quantity=cloth.quantity, care=care or Care())


@lru_cache(maxsize=64)
def choice_for(order: Order, at: Shop | None = None) -> Choice:
    choices, _ = choices_for(at or shop(), order)
    return choices[0]


@lru_cache(maxsize=64)
def plan_for(order: Order, at: Shop | None = None) -> Plan:
    return plan_order(at or shop(), order)


def white_of(stack: Stack) -> Ink:
    """The white that is seen."""
    return next(p.ink for p in reversed(stack.passes) if p.ink is not None and p.role is not Role.COLOUR)


def tried_with(choice: Choice, ink: str, *, plain: bool = True) -> list[Assessment]:
    """All candidates whose white is of that name; ``plain``: without additive, reducer or barrier."""
    return [
        a
        for a in (*choice.passing, *choice.failing)
        if white_of(a.stack).name == ink and (not plain or len(a.stack.inks) == 1)
    ]


def best_reason(choice: Choice, ink: str) -> tuple[str, str]:
    """Stage and reason of the candidate with this white that came furthest."""
    furthest = max(tried_with(choice, ink), key=lambda a: a.depth)
    return furthest.stage, furthest.reason
