"""The shop as a whole, its catalogue import, and care labels."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import Body, File, Form, UploadFile
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from laydown.errors import InvalidInput
from laydown.services import exchange, job_imports, opening, shelf_editing
from laydown.services.exchange import CatalogueMapping
from laydown.web.api.jobs import JobOut, told
from laydown.web.needs import needs
from laydown.web.pages.exchange import LARGEST_ARCHIVE, LARGEST_CATALOGUE
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("shop")
ZIP: dict[int | str, dict[str, Any]] = {
    200: {"content": {"application/zip": {"schema": {"type": "string", "format": "binary"}}}}
}


class ShopOut(BaseModel):
    """The shop in short."""

    name: str
    preferences: dict[str, str] = Field(description="Units and paper.")
    items: dict[str, int] = Field(description="Number of items by shelf.")


class ShopIn(BaseModel):
    """A shop to start."""

    model_config = ConfigDict(extra="forbid")

    name: str = Field(default="", max_length=80, description="Of an empty shop; left out, the demo shop is taken.")


class ShopName(BaseModel):
    """Name of the shop."""

    name: str


class Label(BaseModel):
    """A care label."""

    model_config = ConfigDict(extra="forbid")

    text: str = Field(max_length=1000, description="As it is printed.")


class Fibres(BaseModel):
    """What a care label says."""

    fibres: dict[str, float] = Field(description="Per cent by generic fibre name.")


@router.get("/shop", response_model=ShopOut, responses=problems_of(404, 409))
@needs("read")
def shop(state: State) -> ShopOut:
    """Read the shop's name, preferences and how much stands on its shelves."""
    found = opening.current_shop(state.store)
    names = type(found.preferences).__dataclass_fields__
    return ShopOut(
        name=found.name,
        preferences={name: getattr(found.preferences, name) for name in names},
        items=shelf_editing.counts(state.store),
    )


@router.post("/shop", status_code=201, response_model=ShopName, responses=problems_of(400, 409, 413))
@needs("move shop")
def start(state: State, who: Who, wanted: Annotated[ShopIn, Body()]) -> ShopName:
    """Start the shop: an empty one of a name, or the demo shop."""
    if wanted.name:
        return ShopName(name=opening.start_empty(state.store, wanted.name, who=who.name).name)
    return ShopName(name=opening.start_demo(state.store, who=who.name, history=True).name)


@router.get("/shop/archive", response_class=Response, responses=problems_of(404) | ZIP)
@needs("move shop")
def take_out(state: State) -> Response:
    """Give the shop's folder as a ZIP file."""
    return Response(exchange.take_out(state.store), media_type="application/zip")


@router.put(
    "/shop/archive",
    status_code=202,
    response_model=JobOut,
    responses=problems_of(400, 409, 413),
    max_body_size=LARGEST_ARCHIVE,
)
@needs("move shop")
def put_in(
    state: State, who: Who, file: Annotated[UploadFile, File()], dry_run: Annotated[bool, Form()] = False
) -> JobOut:
    """Make the shelves those of a ZIP file, or say what that would change; how far it is stands at `/api/work/{id}`."""
    return told(job_imports.ask_for_shop(state.store, file.file.read(), who=who.name, do=not dry_run))


@router.post(
    "/garments/catalogue",
    status_code=202,
    response_model=JobOut,
    responses=problems_of(400, 409, 413),
    max_body_size=LARGEST_CATALOGUE,
)
@needs("change shelves")
def catalogue(
    state: State,
    who: Who,
    file: Annotated[UploadFile, File(description="CSV, heads in its first line.")],
    mapping: Annotated[
        str,
        Form(
            description='JSON: {"columns": {key: [column]}, "fixed": {key: value}, "words": {}, "decimal": ""}; '
            "left out, the heads are guessed."
        ),
    ] = "",
    dry_run: Annotated[bool, Form()] = True,
    change_present: Annotated[bool, Form()] = False,
    leave_out_mistakes: Annotated[bool, Form()] = False,
) -> JobOut:
    """Say what an import of a mill's catalogue would do, row by row; without ``dry_run``, do it.

    It is work of its own; `/api/work/{id}` tells how far it is and, in its result, what is new, changed, the same and
    wrong.
    """
    content, name = file.file.read(), (file.filename or "catalogue")[:200]
    meaning = _mapping(mapping) if mapping else exchange.suggested_mapping(exchange.heads_of(content, name))
    return told(
        job_imports.ask_for_catalogue(
            state.store,
            content,
            name,
            meaning,
            who=who.name,
            do=not dry_run,
            change_present=change_present,
            leave_out_mistakes=leave_out_mistakes,
        )
    )


@router.post("/care-label", response_model=Fibres, responses=problems_of(400, 409, 413))
@needs("read")
def care_label(label: Annotated[Label, Body()]) -> Fibres:
    """Read the fibre content from the text of a care label."""
    return Fibres(fibres={name: round(100 * share, 6) for name, share in shelf_editing.label_fibres(label.text)})


class MappingIn(BaseModel):
    """Which column means what."""

    model_config = ConfigDict(extra="forbid")

    columns: dict[str, list[str]]
    fixed: dict[str, Any] = {}
    words: dict[str, dict[str, str]] = {}
    decimal: str = ""


def _mapping(text: str) -> CatalogueMapping:
    try:
        told = MappingIn.model_validate(json.loads(text))
    except (ValueError, RecursionError) as error:
        raise InvalidInput(f"this is no mapping ({str(error).splitlines()[0]})", where="mapping") from None
    columns = {key: tuple(heads) for key, heads in told.columns.items()}
    return CatalogueMapping(columns=columns, fixed=told.fixed, words=told.words, decimal=told.decimal)
