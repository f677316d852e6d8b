"""An order file read into an order, and an order written down."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Protocol

from laydown.documents.beside import file_beside
from laydown.documents.entry import number_keys
from laydown.documents.garment_file import GarmentEntry, garment_from, garment_table
from laydown.documents.likeness import overlaid
from laydown.documents.order_entry import CareEntry, OrderEntry, PrintEntry, RequirementsEntry, ThermalEntry
from laydown.documents.sentences import place, told_at, validated
from laydown.documents.toml_file import read_text, toml_from_text
from laydown.documents.toml_text import toml_text
from laydown.domain.art import ArtRequest
from laydown.domain.garment import Garment
from laydown.domain.order import Care, InkUse, Order, Print, Requirements, ThermalEvent
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput, NotFound

WHITE = "white"
"""What a print says when any white will do; the plan chooses which."""

_SRGB = re.compile(r"#[0-9a-fA-F]{6}\Z")


class ArtReader(Protocol):
    """Reads an art file and returns the print that it makes; errors name ``where``."""

    def __call__(  # noqa: D102 - the class says it
        self, path: Path, request: ArtRequest, *, name: str, place: str, garment: Garment, shop: Shop, where: str
    ) -> Print: ...


def read_order(path: Path, shop: Shop, *, art: ArtReader | None = None) -> Order:
    """Order of a file.

    Parameters
    ----------
    path : Path
    shop : Shop
    art : ArtReader or None
        Reads the art of prints that state no coverage; None: every print has to state its coverage.

    Raises
    ------
    InvalidInput
        When the file cannot be read or anything in it cannot be used.
    NotFound
        When it names a garment or an ink that is not on the shop's shelves.
    """
    text = read_text(path, purpose="the order")
    return order_from_text(text, shop, where=str(path), folder=path.parent, art=art)


def order_from_text(
    text: str, shop: Shop, where: str, *, folder: Path | None = None, art: ArtReader | None = None
) -> Order:
    """Order of a TOML text.

    Parameters
    ----------
    text : str
    shop : Shop
        Its shelves give the garment that is referred to and the inks that are named.
    where : str
        What the text is called in error messages.
    folder : Path or None
        Folder that files named by the order lie in; None: the order may not name any.
    art : ArtReader or None
        As `read_order`.

    Raises
    ------
    InvalidInput, NotFound
        As `read_order`.
    """
    document = toml_from_text(text, where=where)
    entry = validated(OrderEntry, document, where=where)
    garment = _garment(entry, document["garment"], shop, where=where, folder=folder)
    prints = tuple(
        _print(one, shop, where=where, at=("print", index), folder=folder, art=art, garment=garment)
        for index, one in enumerate(entry.print)
    )
    head = entry.order
    if head.placed is not None and head.placed > head.due:
        raise InvalidInput(f"the order is due on {head.due}, before it was placed", where=f"{where}, order.placed")
    requirements = _requirements(entry.requirements, where=f"{where}, requirements")
    care = _care(entry.care, where=f"{where}, care")
    with told_at(where):
        return Order(
            name=head.name,
            quantity=head.quantity,
            due=head.due,
            garment=garment,
            prints=prints,
            requirements=requirements,
            care=care,
            identifier=head.id,
            placed=head.placed,
            times_a_year=float(head.times_a_year),
        )


def order_text(order: Order) -> str:
    """TOML of an order; read with any shop that has its inks, it gives the same order."""
    head: dict[str, Any] = {"name": order.name, "quantity": order.quantity, "due": order.due}
    head |= {"id": order.identifier} if order.identifier else {}
    head |= {"placed": order.placed} if order.placed else {}
    needs = order.requirements
    document: dict[str, Any] = {
        "order": head | {"times_a_year": order.times_a_year},
        "garment": garment_table(order.garment),
        "print": [_print_table(one) for one in order.prints],
        "requirements": {
            "opacity_de": needs.opacity,
            "bleed_grade": needs.bleed_grade,
            "bleed_days": needs.bleed_days,
            "risk": needs.risk,
            "hand": needs.hand,
            "wash": needs.wash,
        },
        "care": _care_table(order.care),
    }
    return toml_text(document)


def _garment(entry: OrderEntry, table: Mapping[str, Any], shop: Shop, *, where: str, folder: Path | None) -> Garment:
    own = {key: value for key, value in table.items() if key != "reference"}
    reference = entry.garment.reference
    if reference is None:
        return garment_from(entry.garment, where=where, at=("garment",), folder=folder)
    try:
        shelved = shop.garment(reference)
    except NotFound as error:
        raise NotFound(error.kind, error.name, error.known, where=f"{where}, garment.reference") from None
    if not own:
        return shelved
    merged = overlaid(garment_table(shelved, explicit=True), own, GarmentEntry)
    merged_entry = validated(GarmentEntry, merged, where=where, at=("garment",))
    return garment_from(merged_entry, where=where, at=("garment",), folder=folder)


def _print(
    entry: PrintEntry,
    shop: Shop,
    *,
    where: str,
    at: tuple[str | int, ...],
    folder: Path | None,
    art: ArtReader | None,
    garment: Garment,
) -> Print:
    here = place(where, at, name=entry.place)
    file = None
    if entry.artwork is not None:
        file = file_beside(entry.artwork, folder, where=place(where, (*at, "artwork")))
    if file is not None and entry.coverage is None and art is not None:
        for ink in entry.inks or ():
            _known(ink, shop, where=place(where, (*at, "inks")))
        with told_at(here):
            request = _request(entry)
        return art(
            file,
            request,
            name=entry.artwork or "",
            place=entry.place,
            garment=garment,
            shop=shop,
            where=place(where, (*at, "artwork")),
        )
    uses = _uses(entry, where=place(where, (*at, "coverage")))
    for use in uses:
        _known(use.ink, shop, where=place(where, (*at, "inks")))
    for key in ("width", "height"):
        if entry.read_number(key) is None:
            raise InvalidInput(
                f"{key}_mm or {key}_in is missing; beside a coverage the artwork is not read for its size", where=here
            )
    with told_at(here):
        return Print(
            place=entry.place,
            inks=uses,
            artwork=entry.artwork or "",
            **entry.read_numbers("width", "height", "finest_detail", "ruling"),
        )


def _known(ink: str, shop: Shop, *, where: str) -> None:
    if ink != WHITE and not _SRGB.match(ink) and all(shelved.name != ink for shelved in shop.inks):
        raise NotFound("ink", ink, (WHITE, "#rrggbb", *(shelved.name for shelved in shop.inks)), where=where)


def _request(entry: PrintEntry) -> ArtRequest:
    given: dict[str, Any] = {
        key: value for key in ("at_most", "open_cloth", "page") if (value := getattr(entry, key)) is not None
    }
    return ArtRequest(
        inks=tuple(entry.inks or ()), **given, **entry.read_numbers("width", "height", "finest_detail", "ruling")
    )


def _uses(entry: PrintEntry, *, where: str) -> tuple[InkUse, ...]:
    if entry.coverage is None:
        beside = " beside the artwork" if entry.artwork else ""
        raise InvalidInput(
            f"the inked share of the rectangle is needed{beside}: a number from 0 to 1 for one ink, or a table such as "
            '{ white = 0.3, "#c1121f" = 0.1 }',
            where=where,
        )
    if isinstance(entry.coverage, dict):
        inks = entry.inks or list(entry.coverage)
        if set(inks) != set(entry.coverage):
            raise InvalidInput(
                f"the table names {', '.join(entry.coverage) or 'no ink'}, but inks are {', '.join(inks)}; "
                "each ink needs its share and no other may have one",
                where=where,
            )
        shares = entry.coverage
    else:
        if not entry.inks:
            raise InvalidInput(
                "inks are missing beside a coverage that is one number, for example inks = ['white']", where=where
            )
        if len(entry.inks) > 1:
            raise InvalidInput(
                f"one number cannot be shared out among {len(entry.inks)} inks; write a table of ink to share, such as "
                f"{{ {', '.join(f'{ink!r} = 0.1' for ink in entry.inks)} }}",
                where=where,
            )
        inks, shares = entry.inks, {entry.inks[0]: entry.coverage}
    with told_at(where):
        return tuple(InkUse(ink=ink, coverage=float(shares[ink])) for ink in inks)


def _requirements(entry: RequirementsEntry, *, where: str) -> Requirements:
    given: dict[str, Any] = entry.read_numbers("opacity", "bleed_grade", "bleed_days", "risk")
    given |= {"hand": entry.hand} if entry.hand is not None else {}
    given |= {"wash": entry.wash} if entry.wash is not None else {}
    with told_at(where):
        return Requirements(**given)


def _care(entry: CareEntry, *, where: str) -> Care:
    given: dict[str, Any] = {} if entry.stack_hot is None else {"stack_hot": entry.stack_hot}
    for key, name in (("transit", "transit"), ("tumble_dry", "tumble-drying")):
        event: ThermalEntry | None = getattr(entry, key)
        if event is not None:
            with told_at(f"{where}.{key}"):
                given[key] = ThermalEvent(name=name, times=event.times, **event.read_numbers("temperature", "duration"))
    with told_at(where):
        return Care(**given, **entry.read_numbers("pile_height"))


def _print_table(one: Print) -> dict[str, Any]:
    table: dict[str, Any] = {"place": one.place}
    table |= {"artwork": one.artwork} if one.artwork else {}
    asked = one.art.request if one.art is not None else one
    for attribute in ("width", "height", "finest_detail", "ruling"):
        table |= number_keys(PrintEntry, attribute, getattr(asked, attribute))
    if one.art is not None:
        request = one.art.request
        table |= {"inks": list(request.inks)} if request.inks else {}
        table |= {"at_most": request.at_most} if request.at_most is not None else {}
        return table | {"open_cloth": request.open_cloth, "page": request.page}
    return table | {
        "inks": [use.ink for use in one.inks],
        "coverage": {use.ink: use.coverage for use in one.inks},
    }


def _care_table(care: Care) -> dict[str, Any]:
    table: dict[str, Any] = {"stack_hot": care.stack_hot}
    table |= number_keys(CareEntry, "pile_height", care.pile_height)
    for key in ("transit", "tumble_dry"):
        event: ThermalEvent | None = getattr(care, key)
        if event is not None:
            numbers = {"temperature": event.temperature, "duration": event.duration}
            one: dict[str, Any] = {}
            for attribute, value in numbers.items():
                one |= number_keys(ThermalEntry, attribute, value)
            table[key] = one | {"times": event.times}
    return table
