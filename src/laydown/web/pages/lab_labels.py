"""Labels of swatches."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query
from starlette.requests import Request
from starlette.responses import Response

from laydown.errors import InvalidInput
from laydown.services import swatch_book, swatch_labels
from laydown.web.base_address import base_address, tablet_address
from laydown.web.needs import needs
from laydown.web.render import render, taste_of
from laydown.web.routing import State, page_router

router = page_router()

Numbers = Annotated[list[int] | None, Query(max_length=240)]


@router.get("/lab/labels")
@needs("read")
def choose(request: Request, state: State, swatch: Numbers = None) -> Response:
    """Offer the sheets that labels are printed on."""
    return render(
        request,
        "lab_labels.html",
        found=swatch_book.find(state.store, numbers=swatch) if swatch else (),
        sheets=swatch_labels.SHEETS,
        small=swatch_labels.SMALL,
        paper=taste_of(request).units.paper,
        base=base_address(request, state),
        reachable=bool(tablet_address(request, state)),
        problem=None,
    )


@router.get("/lab/labels.pdf")
@needs("read")
def labels(
    request: Request,
    state: State,
    swatch: Numbers = None,
    sheet: Annotated[str, Query(max_length=20)] = "a4",
    size: Annotated[str, Query(max_length=20)] = "",
    first: Annotated[int, Query(ge=1, le=24)] = 1,
) -> Response:
    """Give the labels as PDF."""
    if not swatch:
        raise InvalidInput("tick the swatches whose labels are wanted", where="swatch")
    base = base_address(request, state)
    wanted = size.strip() or sheet
    pdf = swatch_labels.labels(state.store, swatch, sheet=wanted, base=base, first=first)
    headers = {"content-disposition": 'inline; filename="labels.pdf"'}
    return Response(pdf, media_type="application/pdf", headers=headers)
