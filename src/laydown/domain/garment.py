"""What is printed on: a garment's cloth, its colour and its dye."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from laydown.domain.colour import Colour
from laydown.domain.fibre import FibreContent
from laydown.domain.quantity import Quantity
from laydown.domain.validity import positive, within
from laydown.errors import InvalidInput


class Structure(StrEnum):
    """How the cloth is made."""

    JERSEY = "jersey"
    INTERLOCK = "interlock"
    RIB = "rib"
    FLEECE = "fleece"
    FRENCH_TERRY = "french terry"
    PIQUE = "pique"
    MESH = "mesh"
    TRICOT = "tricot"
    WOVEN = "woven"


class Dye(StrEnum):
    """What the cloth is coloured with, as far as bleeding goes."""

    DISPERSE_LOW = "disperse, low energy"
    DISPERSE_MEDIUM = "disperse, medium energy"
    DISPERSE_HIGH = "disperse, high energy"
    CATIONIC = "cationic"
    SOLUTION = "solution-dyed"
    REACTIVE = "reactive"
    ACID = "acid"
    REACTIVE_REDYED = "reactive, re-dyed"
    ACID_REDYED = "acid, re-dyed"
    SUBLIMATED = "sublimated"
    CAMOUFLAGE = "camouflage"
    UNDYED = "undyed"
    UNKNOWN = "unknown"


class History(StrEnum):
    """What the shop knows of this cloth."""

    NEVER_PRINTED = "never printed"
    PRINTED = "printed"
    TESTED = "tested"


@dataclass(frozen=True, slots=True, kw_only=True)
class Garment:
    """A garment as bought; SI units.

    Attributes
    ----------
    name : str
    content : FibreContent
    structure : Structure
    areal_mass : Quantity
        Cloth mass per area [kg/m2].
    colour : Colour
    dye : Dye
    stretch : Quantity or None
        Working stretch of the cloth in wear, as a share of one; None: taken from structure and fibres.
    coated : bool
        Water-repellent or coated face, on which ordinary ink does not hold.
    history : History
    price : float
        Blank garment's price each, in the shop's currency.
    size : float
        Length the garment takes on the dryer belt [m].
    width : float
        Width the garment takes on the dryer belt [m].
    lot : str
    """

    name: str
    content: FibreContent
    structure: Structure
    areal_mass: Quantity
    colour: Colour
    dye: Dye = Dye.UNKNOWN
    stretch: Quantity | None = None
    coated: bool = False
    history: History = History.NEVER_PRINTED
    price: float = 0.0
    size: float = 0.75
    width: float = 0.60
    lot: str = ""
    note: str = field(default="")

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise InvalidInput("a garment needs a name")
        within("areal mass", self.areal_mass.value, 0.02, 1.0, "kg/m²")
        if self.stretch is not None:
            within("stretch", self.stretch.value, 0.0, 3.0, "as a share of one")
        within("price", self.price, 0.0, 10_000.0, "currency each")
        positive("size", self.size)
        positive("width", self.width)
