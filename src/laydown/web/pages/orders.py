"""Orders: the list, one order, a new version of it, and how far it is."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form as FormField
from fastapi import Query
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.services import jobs, order_book
from laydown.services.order_book_form import art_name
from laydown.web.needs import needs
from laydown.web.pages.jobs import told
from laydown.web.render import render
from laydown.web.routing import Form, State, Who, page_router

router = page_router()

PAGE = 50
LARGEST_UPLOAD = order_book.LARGEST_ART + 1_000_000


@router.get("/orders")
@needs("read")
def orders(
    request: Request,
    state: State,
    q: Annotated[str, Query(max_length=200)] = "",
    only: Annotated[str, Query(max_length=20)] = "",
    page: Annotated[int, Query(ge=1, le=10_000)] = 1,
) -> Response:
    """List orders, the soonest due first."""
    states = (only,) if only else ()
    rows, number = order_book.find(state.store, text=q, states=states, limit=PAGE, offset=PAGE * (page - 1))
    return render(
        request,
        "orders.html",
        rows=rows,
        number=number,
        q=q,
        only=only,
        page=page,
        pages=max(1, -(-number // PAGE)),
        states=order_book.ORDER_STATES,
    )


@router.get("/orders/{order_id}")
@needs("read")
def order(request: Request, state: State, order_id: int) -> Response:
    """Show an order."""
    found = order_book.sheet(state.store, order_id)
    return render(request, "order.html", sheet=found, jobs=[told(job) for job in found.jobs])


@router.post("/orders/{order_id}/plan")
@needs("plan")
def plan(state: State, who: Who, order_id: int, reason: Annotated[str, FormField(max_length=2000)] = "") -> Response:
    """Ask for a plan."""
    job = jobs.ask_for_plan(state.store, order_id, who=who.name, reason=reason)
    return RedirectResponse(f"/jobs/{job.id}", 303)


@router.post("/orders/{order_id}/state")
@needs("plan")
def set_state(
    state: State,
    who: Who,
    order_id: int,
    to: Annotated[str, FormField(max_length=20)] = "",
    revision: Annotated[int, FormField()] = 0,
) -> Response:
    """Say how far it is."""
    order_book.set_state(state.store, order_id, to, revision=revision, who=who.name)
    return RedirectResponse(f"/orders/{order_id}", 303)


@router.post("/orders/{order_id}/approve")
@needs("plan")
def approve(
    state: State,
    who: Who,
    order_id: int,
    plan: Annotated[int, FormField()] = 0,
    revision: Annotated[int, FormField()] = 0,
) -> Response:
    """Say which plan it is printed by; 0 takes that back."""
    order_book.approve(state.store, order_id, plan or None, revision=revision, who=who.name)
    return RedirectResponse(f"/orders/{order_id}", 303)


@router.get("/orders/{order_id}/versions/{number}")
@needs("read")
def version(request: Request, state: State, order_id: int, number: int) -> Response:
    """Show an earlier text of an order."""
    found = order_book.sheet(state.store, order_id)
    chosen = next((one for one in found.versions if one.version == number), None)
    if chosen is None:
        raise NotFound("version", str(number), (str(one.version) for one in found.versions))
    return render(request, "order_version.html", sheet=found, version=chosen)


@router.get("/orders/{order_id}/edit")
@needs("plan")
def edit(request: Request, state: State, order_id: int) -> Response:
    """Show the text of an order to change."""
    found = order_book.sheet(state.store, order_id)
    return render(
        request,
        "order_edit.html",
        sheet=found,
        text=found.version.text,
        reason="",
        revision=found.order.revision,
        problem=None,
    )


@router.post("/orders/{order_id}/edit", max_body_size=LARGEST_UPLOAD)
@needs("plan")
def change(request: Request, state: State, who: Who, order_id: int, form: Form) -> Response:
    """Keep a new version of an order; earlier ones stay."""
    text, reason = str(form.get("text", "")).replace("\r\n", "\n"), str(form.get("reason", ""))
    revision = str(form.get("revision", ""))
    try:
        art = {
            art_name(file.filename or "", 0): order_book.keep_art(state.store, file.file, who=who.name)
            for file in form.getlist("art")
            if isinstance(file, UploadFile) and file.filename
        }
        order_book.change(
            state.store,
            order_id,
            text,
            revision=int(revision) if revision.isdecimal() else 0,
            art=art,
            reason=reason,
            who=who.name,
        )
    except (InvalidInput, NotFound, Conflict) as error:
        found = order_book.sheet(state.store, order_id)
        again = found.order.revision if isinstance(error, Conflict) else revision
        status = 409 if isinstance(error, Conflict) else 422
        context = {"text": text, "reason": reason, "revision": again, "problem": str(error)}
        return render(request, "order_edit.html", status=status, sheet=found, **context)
    finally:
        close_uploads(form)
    return RedirectResponse(f"/orders/{order_id}", 303)


def close_uploads(form: FormData) -> None:
    """Let go of the temporary files that a form came with."""
    for _, value in form.multi_items():
        if isinstance(value, UploadFile):
            value.file.close()
