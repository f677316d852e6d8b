"""``inks.toml``: whites, colours, bases, additives and reducers on the shelf."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from laydown.documents.colour_value import ColourEntry, colour_keys
from laydown.documents.entry import number, number_keys, quantity, quantity_keys
from laydown.documents.garment_file import Note, Text, unsourced
from laydown.documents.quantity_value import Origin, QuantityValue
from laydown.documents.sentences import place, told_at
from laydown.documents.unit_keys import file_unit, written
from laydown.domain.ink import Blocker, Bond, Cure, Ink, InkFamily, InkKind, InkOptics, Viscosity
from laydown.domain.quantity import Grade, Quantity
from laydown.errors import InvalidInput

Spectrum = Annotated[list[float], Field(min_length=36, max_length=36)]

_CURE = "Plastisol: temperature that the coolest point of the film must reach. Others: reference of the time rule."
_GEL = "Temperature at which the film is dry to the touch."
_DRAWDOWN = "Film thickness of the drawdown that the contrast ratio was read from."


class InkEntry(ColourEntry):
    """An ink as a file describes it; its ``colour`` is that of a layer that hides completely."""

    name: Text = Field(description="Name on the shelf.")
    kind: Annotated[InkKind, Field(strict=False)] = Field(description="What it is used as.")
    family: Annotated[InkFamily, Field(strict=False)] = Field(
        default=InkFamily.PLASTISOL, description="Chemistry, which decides how it cures."
    )
    fusion_c: QuantityValue | None = quantity(
        _CURE, unit="°C", least=20, most=250, stands_for="temperature", absolute=3, needed=True
    )
    fusion_f: QuantityValue | None = quantity(
        _CURE, unit="°F", least=68, most=482, stands_for="temperature", absolute=5
    )
    cure_c: QuantityValue | None = quantity(_CURE, unit="°C", least=20, most=250, stands_for="temperature", absolute=3)
    cure_f: QuantityValue | None = quantity(_CURE, unit="°F", least=68, most=482, stands_for="temperature", absolute=5)
    hold_s: QuantityValue = quantity(
        "Time at that temperature.", unit="s", least=0, most=3600, stands_for="hold", default=..., relative=0.2
    )
    activation_kj_per_mol: QuantityValue | None = quantity(
        "Activation energy of a time-at-temperature rule; absent: the temperature is a threshold.",
        unit="kJ/mol",
        least=10,
        most=400,
        stands_for="activation_energy",
        relative=0.2,
    )
    gel_c: QuantityValue | None = quantity(
        _GEL, unit="°C", least=40, most=200, stands_for="gel_temperature", absolute=4
    )
    gel_f: QuantityValue | None = quantity(
        _GEL, unit="°F", least=104, most=392, stands_for="gel_temperature", absolute=7
    )
    contrast_ratio: QuantityValue | None = quantity(
        "Luminous reflectance over black divided by that over white, of a drawdown.",
        least=0.005,
        most=0.995,
        stands_for="contrast_ratio",
        relative=0.04,
    )
    contrast_um: float | None = number(_DRAWDOWN, unit="µm", least=1, most=1000, stands_for="contrast_thickness")
    contrast_mil: float | None = number(_DRAWDOWN, unit="mil", least=0.04, most=39, stands_for="contrast_thickness")
    scattering_per_mm: Spectrum | None = Field(
        default=None, description="Kubelka-Munk S per band [1/mm], 380 to 730 nm in 10 nm steps, where it was measured."
    )
    absorption_per_mm: Spectrum | None = Field(
        default=None, description="Kubelka-Munk K per band [1/mm], with `scattering_per_mm`."
    )
    blocker: Annotated[Blocker, Field(strict=False)] = Field(
        default=Blocker.NONE, description="How it holds back migrating dye."
    )
    capacity: QuantityValue | None = quantity(
        "Dye that the blocker can bind, relative to the dye content of the cloth's surface; needed with a blocker.",
        least=0,
        most=10,
        stands_for="capacity",
        relative=0.4,
    )
    elongation_percent: QuantityValue = quantity(
        "Stretch of the cured film before it cracks.",
        unit="%",
        least=0,
        most=1000,
        stands_for="elongation",
        default=...,
        relative=0.15,
    )
    bonds: list[Annotated[Bond, Field(strict=False)]] = Field(
        default=[Bond.COTTON, Bond.POLYESTER], max_length=4, description="Surfaces that it holds on."
    )
    toughness: int = number("Wear and wash class, 5 is the toughest.", default=3, least=1, most=5)
    reducible: bool = Field(default=True, description="Whether reducer may be stirred in.")
    density_g_per_ml: QuantityValue = quantity(
        "Density as bought.", unit="g/ml", least=0.5, most=3, stands_for="density", default=..., relative=0.02
    )
    solids_percent: QuantityValue = quantity(
        "Share of the mass that stays in the cured film.",
        unit="%",
        least=0,
        most=100,
        stands_for="solids",
        default=...,
        relative=0.01,
    )
    price_per_kg: float = number("Price in the shop's currency.", default=..., least=0, most=10_000)
    tack: int = number("Tack class, 1 is the least.", default=3, least=1, most=5)
    viscosity: Annotated[Viscosity, Field(strict=False)] = Field(
        default=Viscosity.MEDIUM, description="How it feels under the knife."
    )
    hand_factor: float = number("Film's stiffness against an ordinary plastisol of 1.", default=1.0, least=0.1, most=5)
    glossy: bool = Field(default=False, description="Whether the cured film is glossy.")
    share_limit_percent: float | None = number(
        "Largest share of a mixture that this may be (additives and reducers).",
        unit="%",
        least=0,
        most=100,
        stands_for="share_limit",
    )
    pail_kg: float = number("Mass of one pail.", default=5.0, unit="kg", least=0, most=1000, above=True)
    shelf_life_days: float | None = number(
        "How long it keeps.", unit="d", least=0, most=20_000, stands_for="shelf_life", above=True
    )
    lot: Note = Field(default="", description="Lot on the shelf.")
    compliance_document: Note = Field(
        default="", description="Where the lot's laboratory report lies; empty when absent."
    )
    grade: Annotated[Grade, Field(strict=False)] = Field(
        default=Grade.ASSUMED, description="Grade of this ink's numbers."
    )
    source: Note = Field(default="", description="Source of this ink's numbers.")


def ink_from(entry: InkEntry, *, where: str, at: tuple[str | int, ...], folder: Path | None) -> Ink:
    """Ink of an entry.

    Raises
    ------
    InvalidInput
        When the ink cannot be: a printed ink without optics, a capacity without blocker, and the like.
    """
    here = place(where, at, name=entry.name)
    origin = Origin(grade=entry.grade, source=entry.source or unsourced(where))
    capacity = entry.read_quantity("capacity", origin)
    if capacity is None:
        if entry.blocker is not Blocker.NONE:
            raise InvalidInput(f"the blocker is {str(entry.blocker)!r}, so capacity is needed", where=here)
        capacity = Quantity.exact(0.0, origin.grade, origin.source)
    optics = _optics(entry, origin, where=where, at=at, folder=folder)
    with told_at(here):
        return Ink(
            name=entry.name,
            kind=entry.kind,
            family=entry.family,
            cure=Cure(
                temperature=entry.read_needed("temperature", origin),
                hold=entry.read_needed("hold", origin),
                activation_energy=entry.read_quantity("activation_energy", origin),
            ),
            gel_temperature=entry.read_quantity("gel_temperature", origin),
            optics=optics,
            blocker=entry.blocker,
            capacity=capacity,
            elongation=entry.read_needed("elongation", origin),
            bonds=frozenset(entry.bonds),
            toughness=entry.toughness,
            reducible=entry.reducible,
            density=entry.read_needed("density", origin),
            solids=entry.read_needed("solids", origin),
            price=float(entry.price_per_kg),
            tack=entry.tack,
            viscosity=entry.viscosity,
            hand_factor=float(entry.hand_factor),
            glossy=entry.glossy,
            pail=float(entry.pail_kg),
            lot=entry.lot,
            compliance_document=entry.compliance_document,
            source=entry.source,
            grade=entry.grade,
            **entry.read_numbers("share_limit", "shelf_life"),
        )


def ink_table(ink: Ink) -> dict[str, Any]:
    """Table that writes an ink down."""
    # An ink without a source of its own gives its numbers none to inherit.
    origin = Origin(grade=ink.grade, source=ink.source) if ink.source else None

    def keys(attribute: str, record: Quantity | None) -> dict[str, Any]:
        return quantity_keys(InkEntry, attribute, record, origin)

    table: dict[str, Any] = {"name": ink.name, "kind": str(ink.kind), "family": str(ink.family)}
    cure = keys("temperature", ink.cure.temperature)
    if ink.family is not InkFamily.PLASTISOL and "fusion_c" in cure:
        cure = {"cure_c": cure["fusion_c"]}
    table |= cure | keys("hold", ink.cure.hold) | keys("activation_energy", ink.cure.activation_energy)
    table |= keys("gel_temperature", ink.gel_temperature)
    if ink.optics is not None:
        table |= colour_keys(ink.optics.colour) | keys("contrast_ratio", ink.optics.contrast_ratio)
        table |= number_keys(InkEntry, "contrast_thickness", ink.optics.contrast_thickness)
        per_mm = file_unit("1/mm")
        for key, band in (("scattering_per_mm", ink.optics.scattering), ("absorption_per_mm", ink.optics.absorption)):
            table |= {key: [written(value, per_mm)[0] for value in band]} if band else {}
    table |= {"blocker": str(ink.blocker)} | keys("capacity", ink.capacity) | keys("elongation", ink.elongation)
    table |= {"bonds": sorted(str(bond) for bond in ink.bonds), "toughness": ink.toughness}
    table |= {"reducible": ink.reducible} | keys("density", ink.density) | keys("solids", ink.solids)
    table |= {"price_per_kg": ink.price, "tack": ink.tack, "viscosity": str(ink.viscosity)}
    table |= {"hand_factor": ink.hand_factor, "glossy": ink.glossy}
    table |= number_keys(InkEntry, "share_limit", ink.share_limit)
    table |= {"pail_kg": ink.pail} | number_keys(InkEntry, "shelf_life", ink.shelf_life)
    table |= {"lot": ink.lot, "compliance_document": ink.compliance_document}
    return table | {"grade": str(ink.grade), "source": ink.source}


def _optics(
    entry: InkEntry, origin: Origin, *, where: str, at: tuple[str | int, ...], folder: Path | None
) -> InkOptics | None:
    here = place(where, at, name=entry.name)
    spectra = (entry.scattering_per_mm, entry.absorption_per_mm)
    if not entry.gives_colour():
        if entry.contrast_ratio is not None or any(spectra):
            raise InvalidInput(
                "contrast ratio and spectra belong to a colour; give colour, lab or spectrum", where=here
            )
        return None
    per_mm = file_unit("1/mm").to_si
    scattering, absorption = (tuple(per_mm(float(value)) for value in band or ()) for band in spectra)
    colour = entry.read_colour(where=where, at=at, folder=folder, name=entry.name)
    with told_at(here):
        return InkOptics(
            colour=colour,
            contrast_ratio=entry.read_quantity("contrast_ratio", origin),
            scattering=scattering,
            absorption=absorption,
            **entry.read_numbers("contrast_thickness"),
        )
