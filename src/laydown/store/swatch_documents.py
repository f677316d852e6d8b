"""What was printed on a swatch and how, as JSON that needs no shelf to be read: inks, screens and dryer are in it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from laydown.domain.dryer import Dryer
from laydown.domain.garment import Garment
from laydown.domain.protocol import Protocol
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.stack import Pass, Role, Stack
from laydown.domain.swatch import PressRun, Swatch
from laydown.errors import InvalidInput
from laydown.store.shelf_documents import document_of, record_of
from laydown.store.transaction import json_text


class SwatchPrint(NamedTuple):
    """What the document of a swatch holds.

    Attributes
    ----------
    protocol : Protocol
        As it was when the swatch was started.
    garment : Garment or None
    dryer : Dryer or None
    stack : Stack or None
    run : PressRun or None
    inked_area : float or None
    film_thickness : Quantity or None
    """

    protocol: Protocol
    garment: Garment | None
    dryer: Dryer | None
    stack: Stack | None
    run: PressRun | None
    inked_area: float | None = None
    film_thickness: Quantity | None = None


def print_text(swatch: Swatch, protocol: Protocol, garment: Garment | None, dryer: Dryer | None) -> str:
    """JSON text of what was printed.

    Raises
    ------
    InvalidInput
        When something in it is no record that files allow.
    """
    document: dict[str, Any] = {"protocol": document_of("protocols", protocol)}
    if garment is not None:
        document["garment"] = document_of("garments", garment)
    if dryer is not None:
        document["dryer"] = document_of("dryers", dryer)
    if swatch.stack is not None:
        document["stack"] = _stack_document(swatch.stack)
    if swatch.run is not None:
        run = swatch.run
        document["run"] = {name: getattr(run, name) for name in PressRun.__dataclass_fields__}
    if swatch.inked_area is not None:
        document["inked_area"] = swatch.inked_area
    if swatch.film_thickness is not None:
        film = swatch.film_thickness
        document["film_thickness"] = {"value": film.value, "low": film.low, "high": film.high}
    text = json_text(document)
    read_print(text)
    return text


@lru_cache(maxsize=512)
def read_print(text: str) -> SwatchPrint:
    """Read what was printed from its JSON text; raises as `print_text`."""
    try:
        document = json.loads(text)
        return SwatchPrint(
            protocol=_record("protocols", document["protocol"]),
            garment=_record("garments", document.get("garment")),
            dryer=_record("dryers", document.get("dryer")),
            stack=_stack(document["stack"]) if document.get("stack") else None,
            run=PressRun(**document["run"]) if document.get("run") else None,
            inked_area=document.get("inked_area"),
            film_thickness=_gauged(document.get("film_thickness")),
        )
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError) as error:
        if isinstance(error, InvalidInput):
            raise
        raise InvalidInput(f"this does not describe the print of a swatch ({error})", where="print") from None


def _gauged(document: Mapping[str, float] | None) -> Quantity | None:
    if document is None:
        return None
    low, value, high = (float(document[key]) for key in ("low", "value", "high"))
    return Quantity(value=value, low=low, high=high, grade=Grade.MEASURED, source="film gauge")


def _record(kind: str, document: Any) -> Any:
    return record_of(kind, json_text(document)) if document is not None else None


def _stack_document(stack: Stack) -> dict[str, Any]:
    meshes = {one.screen.mesh.name: one.screen.mesh for one in stack.passes if one.screen.mesh is not None}
    screens = {one.screen.name: one.screen for one in stack.passes}
    return {
        "inks": [document_of("inks", ink) for ink in stack.inks],
        "meshes": [document_of("meshes", mesh) for mesh in meshes.values()],
        "screens": [document_of("screens", screen) for screen in screens.values()],
        "passes": [_pass_document(one) for one in stack.passes],
    }


def _pass_document(one: Pass) -> dict[str, Any]:
    return {
        "role": str(one.role),
        "ink": one.ink.name if one.ink else None,
        "screen": one.screen.name,
        "hits": one.hits,
        "flash_after": one.flash_after,
        "coverage": one.coverage,
        "additive": one.additive.name if one.additive else None,
        "additive_share": one.additive_share,
        "shows": one.shows,
        "on_cloth": one.on_cloth,
        "edge_length": one.edge_length,
    }


def _stack(document: Mapping[str, Any]) -> Stack:
    inks = {one["name"]: _record("inks", one) for one in document["inks"]}
    meshes = {one["name"]: _record("meshes", one) for one in document["meshes"]}
    screens = {one["name"]: record_of("screens", json_text(one), meshes) for one in document["screens"]}
    passes = []
    for one in document["passes"]:
        named = {
            "role": Role(one["role"]),
            "ink": inks[one["ink"]] if one["ink"] else None,
            "additive": inks[one["additive"]] if one["additive"] else None,
            "screen": screens[one["screen"]],
        }
        passes.append(Pass(**(dict(one) | named)))
    return Stack(passes=tuple(passes))
