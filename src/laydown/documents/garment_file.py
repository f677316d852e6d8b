"""``garments.toml``: the garments a shop buys again and again. The same keys describe a garment within an order."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from laydown.documents.care_label import parse_care_label
from laydown.documents.colour_value import ColourEntry, colour_keys
from laydown.documents.entry import number, number_keys, quantity, quantity_keys
from laydown.documents.quantity_value import Origin, QuantityValue, common_origin
from laydown.documents.sentences import place, told_at
from laydown.documents.unit_keys import file_unit, written
from laydown.domain.fibre import FIBRES, FibreContent
from laydown.domain.garment import Dye, Garment, History, Structure
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput

Text = Annotated[str, Field(min_length=1, max_length=80)]
Note = Annotated[str, Field(max_length=500)]


class GarmentEntry(ColourEntry):
    """A garment as a file describes it."""

    name: Text | None = Field(default=None, description="Name on the shelf; in an order the care label when absent.")
    care_label: Annotated[str, Field(min_length=1, max_length=300)] | None = Field(
        default=None, description="Fibre content as the label says it, for example '50% cotton 50% polyester'."
    )
    fibres: dict[str, float] | None = Field(
        default=None, description="Fibre content by generic fibre name in per cent, instead of a care label."
    )
    structure: Annotated[Structure, Field(strict=False)] | None = Field(
        default=None, description="How the cloth is made."
    )
    mass_gsm: QuantityValue | None = quantity(
        "Cloth mass per area.", unit="g/m²", least=20, most=1000, stands_for="areal_mass", relative=0.05
    )
    mass_oz_yd2: QuantityValue | None = quantity(
        "Cloth mass per area.", unit="oz/yd²", least=0.6, most=29.4, stands_for="areal_mass", relative=0.05
    )
    dye: Annotated[Dye, Field(strict=False)] | None = Field(
        default=None, description="What the cloth is coloured with."
    )
    stretch_percent: QuantityValue | None = quantity(
        "Working stretch in wear; taken from structure and fibres when absent.",
        unit="%",
        least=0,
        most=300,
        stands_for="stretch",
        relative=0.2,
    )
    coated: bool | None = Field(default=None, description="Water-repellent or coated face.")
    history: Annotated[History, Field(strict=False)] | None = Field(
        default=None, description="What the shop knows of this cloth."
    )
    price: float | None = number(
        "Blank garment each, in the shop's currency.", unit="", least=0, most=10_000, stands_for="price"
    )
    size_mm: float | None = number(
        "Length the garment takes on the dryer belt.", unit="mm", least=50, most=5000, stands_for="size"
    )
    size_in: float | None = number(
        "Length the garment takes on the dryer belt.", unit="in", least=2, most=200, stands_for="size"
    )
    width_mm: float | None = number(
        "Width the garment takes on the dryer belt.", unit="mm", least=50, most=5000, stands_for="width"
    )
    width_in: float | None = number(
        "Width the garment takes on the dryer belt.", unit="in", least=2, most=200, stands_for="width"
    )
    lot: Note | None = Field(default=None, description="Lot of the cloth, where known.")
    note: Note | None = Field(default=None, description="Anything worth knowing.")
    grade: Annotated[Grade, Field(strict=False)] | None = Field(
        default=None, description="Grade of this garment's numbers; 'assumed' when absent."
    )
    source: Annotated[str, Field(min_length=1, max_length=500)] | None = Field(
        default=None, description="Source of this garment's numbers."
    )


def garment_from(entry: GarmentEntry, *, where: str, at: tuple[str | int, ...], folder: Path | None) -> Garment:
    """Garment of an entry.

    Raises
    ------
    InvalidInput
        When a needed key is missing or the garment cannot be.
    """
    here = place(where, at, name=entry.name or "")
    content = _content(entry, where=where, at=at)
    if entry.structure is None:
        raise InvalidInput(f"structure is missing; allowed are {', '.join(Structure)}", where=here)
    origin = Origin(grade=entry.grade or Grade.ASSUMED, source=entry.source or unsourced(where))
    areal_mass = entry.read_quantity("areal_mass", origin)
    if areal_mass is None:
        raise InvalidInput("mass_gsm (or mass_oz_yd2) is missing, for example mass_gsm = 180", where=here)
    colour = entry.read_colour(where=where, at=at, folder=folder, name=entry.name or "")
    given = {key: getattr(entry, key) for key in ("dye", "coated", "history", "lot", "note")}
    with told_at(here):
        return Garment(
            name=entry.name or f"{entry.care_label or content} {entry.structure}"[:80],
            content=content,
            structure=entry.structure,
            areal_mass=areal_mass,
            colour=colour,
            stretch=entry.read_quantity("stretch", origin),
            **{key: value for key, value in given.items() if value is not None},
            **entry.read_numbers("price", "size", "width"),
        )


def unsourced(where: str) -> str:
    """Source of a number for which a file names none."""
    return f"{Path(where).name or 'the order'}, which names no source"


def garment_table(garment: Garment, *, explicit: bool = False) -> dict[str, Any]:
    """Table that writes a garment down.

    Parameters
    ----------
    explicit : bool
        Say grade and source with each number instead of once for all, so that other numbers may join them.
    """
    origin = None if explicit else common_origin((garment.areal_mass, garment.stretch))
    table: dict[str, Any] = {"name": garment.name, **content_keys(garment.content)}
    table |= {"structure": str(garment.structure)}
    table |= quantity_keys(GarmentEntry, "areal_mass", garment.areal_mass, origin)
    table |= colour_keys(garment.colour) | {"dye": str(garment.dye)}
    table |= quantity_keys(GarmentEntry, "stretch", garment.stretch, origin)
    table |= {"coated": garment.coated, "history": str(garment.history)}
    for attribute in ("price", "size", "width"):
        table |= number_keys(GarmentEntry, attribute, getattr(garment, attribute))
    table |= {key: value for key in ("lot", "note") if (value := getattr(garment, key))}
    if origin:
        table |= {"grade": str(origin.grade), "source": origin.source}
    return table


def content_keys(content: FibreContent) -> dict[str, Any]:
    """Keys that write a fibre content down: a care label where it is read back exactly, else a table of shares."""
    label = str(content)
    try:
        if parse_care_label(label) == content:
            return {"care_label": label}
    except InvalidInput:
        pass
    percent = file_unit("%")
    return {"fibres": {name: written(share, percent)[0] for name, share in content.shares}}


def _content(entry: GarmentEntry, *, where: str, at: tuple[str | int, ...]) -> FibreContent:
    name = entry.name or ""
    here = place(where, at, name=name)
    if entry.care_label is not None and entry.fibres is not None:
        raise InvalidInput("care_label and fibres both give the fibre content; give only one of them", where=here)
    if entry.care_label is not None:
        return parse_care_label(entry.care_label, where=place(where, (*at, "care_label"), name=name))
    if entry.fibres is None:
        raise InvalidInput("care_label is missing, for example '50% cotton 50% polyester'", where=here)
    return _from_shares(entry.fibres, where=place(where, (*at, "fibres"), name=name))


def _from_shares(fibres: Mapping[str, float], *, where: str) -> FibreContent:
    for name in fibres:
        if name not in FIBRES:
            raise InvalidInput(f"{name!r} is no generic fibre name; allowed are {', '.join(FIBRES)}", where=where)
    to_share = file_unit("%").to_si
    with told_at(where):
        return FibreContent(shares=tuple((name, to_share(float(percent))) for name, percent in fibres.items()))
