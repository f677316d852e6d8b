"""An ink, base, additive or reducer as bought."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.colour import BANDS, Colour
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.validity import named, positive, share, within
from laydown.errors import InvalidInput


class InkKind(StrEnum):
    """What an ink is used as."""

    WHITE = "white"
    COLOUR = "colour"
    BARRIER = "barrier"
    CLEAR = "clear"
    STRETCH_ADDITIVE = "stretch additive"
    REDUCER = "reducer"


class InkFamily(StrEnum):
    """Chemistry, which decides how an ink cures."""

    PLASTISOL = "plastisol"
    WATER_BASED = "water-based"
    DISCHARGE = "discharge"
    SILICONE = "silicone"


class Blocker(StrEnum):
    """How an ink holds back dye that migrates into it."""

    NONE = "none"
    REACTIVE = "reactive"
    CARBON = "carbon"
    BINDING = "binding"


class Bond(StrEnum):
    """A surface an ink holds on."""

    COTTON = "cotton"
    POLYESTER = "polyester"
    NYLON = "nylon"
    COATED = "coated"


class Viscosity(StrEnum):
    """How an ink feels under the knife."""

    THIN = "thin"
    MEDIUM = "medium"
    THICK = "thick"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """When an ink is cured.

    Attributes
    ----------
    temperature : Quantity
        Plastisol: the fusion temperature that the coolest point of the film must reach [K].
        Others: the reference temperature of the time rule [K].
    hold : Quantity
        Time at that temperature [s].
    activation_energy : Quantity or None
        None: a threshold, the film must stay at or above the temperature for the hold (plastisol). A value
        [J/mol]: a time-at-temperature rule, time at other temperatures counts by Arrhenius' law
        (water-based, discharge, silicone).
    """

    temperature: Quantity
    hold: Quantity
    activation_energy: Quantity | None = None

    def __post_init__(self) -> None:
        within("cure temperature", self.temperature.value, 293.0, 523.0, "K")
        within("hold", self.hold.value, 0.0, 3600.0, "s")


@dataclass(frozen=True, slots=True, kw_only=True)
class InkOptics:
    """What a drawdown over a black and white card says of an ink, or its spectra.

    Attributes
    ----------
    colour : Colour
        Colour of a layer that hides completely.
    contrast_ratio : Quantity or None
        Luminous reflectance over black divided by that over white, at ``contrast_thickness``.
    contrast_thickness : float
        Film thickness of the drawdown [m].
    scattering, absorption : tuple of float
        Kubelka-Munk coefficients per band [1/m] where the ink was measured; empty otherwise.
    """

    colour: Colour
    contrast_ratio: Quantity | None = None
    contrast_thickness: float = 25.4e-6
    scattering: tuple[float, ...] = ()
    absorption: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        spectra = bool(self.scattering or self.absorption)
        if spectra == (self.contrast_ratio is not None):
            raise InvalidInput("an ink's optics are given either by a contrast ratio or by spectra of K and S")
        if spectra and not (len(self.scattering) == len(self.absorption) == BANDS):
            raise InvalidInput(f"spectra of K and S have {BANDS} values each (380 to 730 nm in 10 nm steps)")
        if spectra and min(*self.scattering, *self.absorption) < 0:
            raise InvalidInput("K and S are never negative")
        if self.contrast_ratio is not None:
            within("contrast ratio", self.contrast_ratio.value, 0.005, 0.995, "as a share of one")
        within("thickness of the drawdown", self.contrast_thickness, 1e-6, 1e-3, "m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """An ink as bought; SI units. See the field names' meaning in ``docs/nomenclature.md``."""

    name: str
    kind: InkKind
    family: InkFamily = InkFamily.PLASTISOL
    cure: Cure
    gel_temperature: Quantity | None = None
    optics: InkOptics | None = None
    blocker: Blocker = Blocker.NONE
    capacity: Quantity
    elongation: Quantity
    bonds: frozenset[Bond] = frozenset({Bond.COTTON, Bond.POLYESTER})
    toughness: int = 3
    reducible: bool = True
    density: Quantity
    solids: Quantity
    price: float
    tack: int = 3
    viscosity: Viscosity = Viscosity.MEDIUM
    hand_factor: float = 1.0
    glossy: bool = False
    share_limit: float = 0.0
    pail: float = 5.0
    shelf_life: float = 365 * 86400.0
    lot: str = ""
    compliance_document: str = ""
    source: str = ""
    grade: Grade = Grade.ASSUMED

    def __post_init__(self) -> None:
        named("an ink", self.name)
        within(f"capacity of {self.name}", self.capacity.value, 0.0, 10.0, "relative to the dyed cloth")
        within(f"elongation of {self.name}", self.elongation.value, 0.0, 10.0, "as a share of one")
        within(f"density of {self.name}", self.density.value, 500.0, 3000.0, "kg/m³")
        share(f"solids of {self.name}", self.solids.value)
        within(f"price of {self.name}", self.price, 0.0, 10_000.0, "per kg")
        within(f"tack of {self.name}", self.tack, 1, 5, "")
        within(f"toughness of {self.name}", self.toughness, 1, 5, "")
        within(f"hand factor of {self.name}", self.hand_factor, 0.1, 5.0, "")
        share(f"share limit of {self.name}", self.share_limit)
        positive(f"pail of {self.name}", self.pail)
        positive(f"shelf life of {self.name}", self.shelf_life)
        prints = self.kind in {InkKind.WHITE, InkKind.COLOUR, InkKind.BARRIER, InkKind.CLEAR}
        if prints and self.optics is None:
            raise InvalidInput(
                f"{self.name} is printed, so it needs optics: a colour with a contrast ratio, or spectra"
            )
        if not prints and self.share_limit == 0:
            raise InvalidInput(f"{self.name} goes into other inks, so it needs a share limit above 0")
        if self.blocker is Blocker.NONE and self.capacity.value > 0:
            raise InvalidInput(f"{self.name} has a blocker capacity but its blocker is 'none'")
        if self.family is InkFamily.PLASTISOL and prints and self.gel_temperature is None:
            raise InvalidInput(f"{self.name} is a plastisol, so it needs a gel temperature")

    @property
    def blocks(self) -> bool:
        """Whether the ink holds back any dye at all."""
        return self.blocker is not Blocker.NONE and self.capacity.value > 0
