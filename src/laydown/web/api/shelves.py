"""Shelves: read them, and change them naming the state that was read."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from fastapi import Body, Path, Query
from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from starlette.responses import JSONResponse, Response

from laydown.errors import Conflict
from laydown.services import first_steps, shelf_editing
from laydown.services.shelf_editing import ShelfItem
from laydown.web.needs import needs
from laydown.web.problems import Problem
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("shelves")

Kind = Literal["garments", "inks", "screens", "meshes", "presses", "dryers", "rules", "protocols"]
Setting = Literal["shop", "preferences", "climate", "costs", "practice"]
Name = Annotated[str, Path(min_length=1, max_length=200, description="Name on the shelf; it may hold a slash.")]
Key = Annotated[str, StringConstraints(pattern="^[a-z0-9_]{1,80}$")]
ABOUT = "Keys and units as in the shop's files (the manual's page on files lists them)."


class Item(BaseModel):
    """An item of a shelf, or one of the shop's settings."""

    kind: str
    name: str
    document: dict[str, Any] = Field(description=ABOUT)
    note: str = Field(description="Anything worth knowing; no plan is made with it.")
    revision: int = Field(description="Names this state; a change says which one it started from.")
    changed_at: dt.datetime
    changed_by: str


class ItemProblem(Problem):
    """Why something was not done, and how the item stands now."""

    present: Item | None = Field(description="As it stands now; null when it was removed.")


class Change(BaseModel):
    """What an item is to be."""

    model_config = ConfigDict(extra="forbid")

    document: dict[Key, Any] = Field(description=ABOUT)
    revision: int | None = Field(
        default=None, ge=0, lt=2**62, description="State that was read; absent or null adds a new item."
    )
    note: str = Field(default="", max_length=2000)


CONFLICT: dict[int | str, dict[str, Any]] = {
    409: {"model": ItemProblem, "description": "Somebody else changed it meanwhile; nothing was written."}
}


@router.get("/shelves/{kind}", response_model=list[Item], responses=problems_of(409))
@needs("read")
def items(state: State, kind: Kind, text: Annotated[str, Query(max_length=200)] = "") -> list[Item]:
    """List the items of a shelf, those whose name or note holds every word of a text."""
    return [told(one) for one in shelf_editing.items(state.store, kind, text=text)]


@router.post("/shelves/{kind}", status_code=201, response_model=Item, responses=problems_of(400, 413) | CONFLICT)
@needs("change shelves")
def add(state: State, who: Who, kind: Kind, change: Annotated[Change, Body()]) -> Any:
    """Add an item; its name stands in the document."""
    return _keep(state, who, kind, change, was="")


@router.post("/shelves/{kind}/examples", status_code=201, response_model=list[Item], responses=problems_of(400, 409))
@needs("change shelves")
def examples(state: State, who: Who, kind: Kind) -> list[Item]:
    """Put the invented shop's items on an empty shelf; each has a note that says so."""
    return [told(one) for one in first_steps.begin_with_examples(state.store, kind, who=who.name)]


@router.get("/shelves/{kind}/{name:path}", response_model=Item, responses=problems_of(404, 409))
@needs("read")
def item(state: State, kind: Kind, name: Name) -> Item:
    """Read an item."""
    return told(shelf_editing.item(state.store, kind, name))


@router.put("/shelves/{kind}/{name:path}", response_model=Item, responses=problems_of(400, 404, 413) | CONFLICT)
@needs("change shelves")
def change_item(state: State, who: Who, kind: Kind, name: Name, change: Annotated[Change, Body()]) -> Any:
    """Change an item, its name as well, or add it when no revision is named."""
    return _keep(state, who, kind, change, was=name if change.revision is not None else "")


@router.delete("/shelves/{kind}/{name:path}", status_code=204, responses=problems_of(404) | CONFLICT)
@needs("change shelves")
def remove(state: State, who: Who, kind: Kind, name: Name, revision: Annotated[int, Query(ge=0, lt=2**62)]) -> Response:
    """Take an item off its shelf."""
    try:
        shelf_editing.remove(state.store, kind, name, revision=revision, who=who.name)
    except Conflict as error:
        return conflict(error)
    return Response(status_code=204)


@router.get("/settings/{kind}", response_model=Item, responses=problems_of(404, 409))
@needs("read")
def setting(state: State, kind: Setting) -> Item:
    """Read one of the shop's settings."""
    return told(shelf_editing.item(state.store, kind, kind))


@router.put("/settings/{kind}", response_model=Item, responses=problems_of(400, 404, 413) | CONFLICT)
@needs("change rates")
def change_setting(state: State, who: Who, kind: Setting, change: Annotated[Change, Body()]) -> Any:
    """Change one of the shop's settings."""
    return _keep(state, who, kind, change, was="")


def _keep(state: State, who: Who, kind: str, change: Change, *, was: str) -> Any:
    try:
        return told(
            shelf_editing.keep(
                state.store,
                kind,
                change.document,
                revision=change.revision,
                who=who.name,
                note=change.note,
                was=was,
            )
        )
    except Conflict as error:
        return conflict(error)


def told(one: ShelfItem) -> Item:
    """Item as it is published."""
    return Item(**{name: getattr(one, name) for name in Item.model_fields})


def conflict(error: Conflict) -> JSONResponse:
    """Answer of a change that came too late."""
    present = told(error.present).model_dump(mode="json") if isinstance(error.present, ShelfItem) else None
    return JSONResponse({"what": error.what, "where": error.kind, "present": present}, 409)
