"""Take the shop out as a file, put one in; and read a mill's catalogue. What takes long is done as work of its own."""

from __future__ import annotations

from typing import Annotated

from fastapi import File, UploadFile
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.documents.garment_catalogue import FIXED_KEYS, JOINED, KEYS
from laydown.errors import InvalidInput
from laydown.services import exchange, job_imports
from laydown.services.exchange import CatalogueMapping
from laydown.services.job_imports import CATALOGUE, SHOP
from laydown.services.jobs import Job
from laydown.services.shelf_editing_rows import GRADES, label_of
from laydown.web.needs import needs
from laydown.web.render import render
from laydown.web.routing import Form, State, Who, page_router

router = page_router()

LARGEST_ARCHIVE = 20_000_000
LARGEST_CATALOGUE = 12_000_000


@router.get("/shop/exchange")
@needs("move shop")
def choose(request: Request) -> Response:
    """Offer both ways."""
    return render(request, "exchange.html", problem=None, job=None)


@router.get("/shop/shop.zip")
@needs("move shop")
def take_out(state: State) -> Response:
    """Give the shop as a file."""
    headers = {"content-disposition": 'attachment; filename="shop.zip"'}
    return Response(exchange.take_out(state.store), media_type="application/zip", headers=headers)


@router.post("/shop/exchange", max_body_size=LARGEST_ARCHIVE)
@needs("move shop")
def look(state: State, who: Who, file: Annotated[UploadFile, File()]) -> Response:
    """Ask what a file would change."""
    job = job_imports.ask_for_shop(state.store, file.file.read(), who=who.name)
    return RedirectResponse(f"/jobs/{job.id}", 303)


@router.get("/shop/exchange/{job_id}")
@needs("move shop")
def looked(request: Request, state: State, job_id: int) -> Response:
    """Show what a file would change, or that the shelves are those of a file now."""
    job = job_imports.work_of(state.store, SHOP, job_id)
    if job.state != "done":
        return RedirectResponse(f"/jobs/{job_id}", 303)
    return render(request, "exchange.html", problem=None, job=job)


@router.post("/shop/exchange/{job_id}")
@needs("move shop")
def put_in(state: State, who: Who, job_id: int) -> Response:
    """Make the shelves those of a file that was looked at."""
    job = job_imports.work_of(state.store, SHOP, job_id)
    asked = job_imports.ask_for_shop(state.store, str(job.request["sha256"]), who=who.name, do=True)
    return RedirectResponse(f"/jobs/{asked.id}", 303)


@router.get("/catalogue")
@needs("change shelves")
def catalogue(request: Request) -> Response:
    """Ask for a mill's catalogue."""
    return render(request, "catalogue.html", problem=None)


@router.post("/catalogue", max_body_size=LARGEST_CATALOGUE + 100_000)
@needs("change shelves")
def compare(request: Request, state: State, who: Who, file: Annotated[UploadFile | None, File()] = None) -> Response:
    """Ask what an import would do, the columns taken for what their heads say."""
    try:
        content, name = _content(file)
        mapping = exchange.suggested_mapping(exchange.heads_of(content, name))
    except InvalidInput as error:
        return render(request, "catalogue.html", status=422, problem=error)
    job = job_imports.ask_for_catalogue(state.store, content, name, mapping, who=who.name)
    return RedirectResponse(f"/jobs/{job.id}", 303)


@router.get("/catalogue/{job_id}")
@needs("change shelves")
def compared(request: Request, state: State, job_id: int) -> Response:
    """Show what an import would do, or what it did."""
    job = job_imports.work_of(state.store, CATALOGUE, job_id)
    if job.state != "done":
        return RedirectResponse(f"/jobs/{job_id}", 303)
    if job.result["done"]:
        return render(request, "catalogue_done.html", done=job.result, changed=job.request["change_present"])
    return _compared(request, job)


@router.post("/catalogue/{job_id}")
@needs("change shelves")
def compare_again(request: Request, state: State, who: Who, job_id: int, form: Form) -> Response:
    """Ask for another look with other columns, or for the import."""
    job = job_imports.work_of(state.store, CATALOGUE, job_id)
    mapping, do = _mapping(form), form.get("do") == "import"
    leave_out = form.get("leave_out") == "yes"
    if do and not leave_out and job.result.get("mistakes") and mapping == job_imports.mapping_of(job):
        rows = job.result["left_out"]
        told = f"{rows} rows cannot be used" if rows > 1 else "1 row cannot be used"
        return _compared(request, job, InvalidInput(f"{told}; say that they may be left out, or mend the file"))
    asked = job_imports.ask_for_catalogue(
        state.store,
        str(job.request["sha256"]),
        str(job.request["name"]),
        mapping,
        who=who.name,
        do=do,
        change_present=form.get("change_present") == "yes",
        leave_out_mistakes=leave_out,
    )
    return RedirectResponse(f"/jobs/{asked.id}", 303)


def _compared(request: Request, job: Job, problem: InvalidInput | None = None) -> Response:
    return render(
        request,
        "catalogue_mapping.html",
        status=422 if problem else 200,
        job_id=job.id,
        name=job.request["name"],
        heads=job.result["heads"],
        mapping=job_imports.mapping_of(job),
        keys=[(key, label_of(key), key in JOINED) for key in KEYS],
        fixed_keys=[(key, label_of(key)) for key in FIXED_KEYS if key in {"structure", "dye", "grade", "source"}],
        grades=GRADES,
        found=job.result,
        problem=problem,
    )


def _content(file: UploadFile | None) -> tuple[bytes, str]:
    if file is None or not file.filename:
        raise InvalidInput("no file was chosen", where="catalogue")
    content = file.file.read(LARGEST_CATALOGUE + 1)
    if len(content) > LARGEST_CATALOGUE:
        raise InvalidInput(f"the file is larger than {LARGEST_CATALOGUE // 1_000_000} MB", where="catalogue")
    return content, file.filename[:200]


def _mapping(form: FormData) -> CatalogueMapping:
    columns = {}
    for key in KEYS:
        chosen = tuple(head for head in form.getlist(f"column.{key}") if isinstance(head, str) and head)
        if chosen:
            columns[key] = chosen
    fixed = {key: str(form[f"fixed.{key}"]) for key in FIXED_KEYS if form.get(f"fixed.{key}")}
    return CatalogueMapping(columns=columns, fixed=fixed, decimal=str(form.get("decimal", "")))
