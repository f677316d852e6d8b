"""What the shop's tests say of its own screens and inks."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import InvalidInput
from laydown.services import shop_fits
from laydown.services.shop_fits_view import title_of, view_of
from laydown.web.needs import needs
from laydown.web.pages.jobs import told
from laydown.web.render import render
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()

Ink = Annotated[str, Query(max_length=80)]


@router.get("/lab/measured")
@needs("read")
def overview(request: Request, state: State) -> Response:
    """Show everything that the shop may measure of itself, and how far it is."""
    found = [(one, title_of(one)) for one in shop_fits.sheets(state.store)]
    return render(request, "lab_measured.html", found=found)


@router.get("/lab/measured/{kind}")
@needs("read")
def one(request: Request, state: State, kind: str, ink: Ink = "") -> Response:
    """Show one fit."""
    return _page(request, state, kind, ink)


@router.post("/lab/measured/{kind}")
@needs("run the lab")
def use(request: Request, state: State, who: Who, kind: str, form: Form) -> Response:
    """Let plans use it from now on."""
    ink = str(form.get("ink", ""))[:80]
    try:
        shop_fits.use(state.store, kind, ink, who=who.name)
    except InvalidInput as error:
        return _page(request, state, kind, ink, problem=error)
    return RedirectResponse(f"/lab/measured/{kind}" + (f"?ink={quote(ink, safe='')}" if ink else ""), 303)


def _page(request: Request, state: AppState, kind: str, ink: str, *, problem: InvalidInput | None = None) -> Response:
    found = shop_fits.sheet(state.store, kind, ink)
    job = shop_fits.newest_job(state.store, kind, ink)
    return render(
        request,
        "lab_measured_one.html",
        status=422 if problem else 200,
        sheet=found,
        view=state.drawing.ask(view_of, found, chart=True),
        job=told(job) if job is not None else None,
        job_state=job.state if job is not None else "",
        problem=problem,
    )
