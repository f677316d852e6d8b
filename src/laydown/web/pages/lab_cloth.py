"""What the shop's tests say of a cloth; and how far the shop's own repeats lie apart."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

from fastapi import Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.services import cloth_fit, repeatability
from laydown.services.cloth_fit_view import view_of
from laydown.web.needs import needs
from laydown.web.pages.jobs import told
from laydown.web.pages.lab_words import lab_words
from laydown.web.render import render, taste_of
from laydown.web.routing import Form, State, Who, page_router

router = page_router()

Lot = Annotated[str, Query(max_length=80)]


@router.get("/lab/cloths")
@needs("read")
def cloths(request: Request, state: State) -> Response:
    """Show the cloth lots that were tested."""
    return render(request, "lab_cloths.html", found=cloth_fit.cloths(state.store))


@router.get("/lab/cloths/{garment}")
@needs("read")
def cloth(request: Request, state: State, garment: str, lot: Lot = "") -> Response:
    """Show what is known of a cloth lot."""
    sheet = cloth_fit.sheet(state.store, garment, lot)
    return render(
        request,
        "lab_cloth.html",
        sheet=sheet,
        view=view_of(sheet.report) if sheet.report is not None else None,
        job=told(sheet.job) if sheet.job is not None else None,
        now=dt.datetime.now(dt.UTC),
        **lab_words(taste_of(request).units),
    )


@router.post("/lab/cloths/{garment}")
@needs("run the lab")
def fit(state: State, who: Who, garment: str, form: Form) -> Response:
    """Ask for a fit."""
    from urllib.parse import quote

    lot = str(form.get("lot", ""))[:80]
    cloth_fit.ask(state.store, garment, lot, who=who.name)
    return RedirectResponse(f"/lab/cloths/{quote(garment, safe='')}?lot={quote(lot, safe='')}", 303)


@router.get("/lab/repeatability")
@needs("read")
def repeats(request: Request, state: State) -> Response:
    """Show how far repeats lie apart."""
    return render(request, "lab_repeatability.html", found=repeatability.repeatability(state.store))
