"""Take the shop out as a file, put one in; and read a mill's catalogue."""

from __future__ import annotations

import base64
import binascii
import zlib
from typing import Annotated

from fastapi import File, UploadFile
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from laydown.documents.garment_catalogue import FIXED_KEYS, JOINED, KEYS
from laydown.errors import InvalidInput
from laydown.services import exchange
from laydown.services.exchange import CatalogueMapping
from laydown.services.shelf_editing_rows import GRADES, label_of
from laydown.web.needs import needs
from laydown.web.render import render
from laydown.web.routing import Form, State, Who, page_router

router = page_router()

LARGEST_ARCHIVE = 20_000_000
LARGEST_CATALOGUE = 12_000_000
LARGEST_HELD = 30_000_000
SHOWN = 200


@router.get("/shop/exchange")
@needs("move shop")
def choose(request: Request) -> Response:
    """Offer both ways."""
    return render(request, "exchange.html", problem=None, done="")


@router.get("/shop/shop.zip")
@needs("move shop")
def take_out(state: State) -> Response:
    """Give the shop as a file."""
    headers = {"content-disposition": 'attachment; filename="shop.zip"'}
    return Response(exchange.take_out(state.store), media_type="application/zip", headers=headers)


@router.post("/shop/exchange", max_body_size=LARGEST_ARCHIVE)
@needs("move shop")
def put_in(request: Request, state: State, who: Who, file: Annotated[UploadFile, File()]) -> Response:
    """Make the shelves those of a file."""
    try:
        name = exchange.put_in(state.store, file.file.read(), who=who.name)
    except InvalidInput as error:
        return render(request, "exchange.html", status=422, problem=error, done="")
    return render(request, "exchange.html", problem=None, done=name)


@router.get("/catalogue")
@needs("change shelves")
def catalogue(request: Request) -> Response:
    """Ask for a mill's catalogue."""
    return render(request, "catalogue.html", problem=None)


@router.post("/catalogue", max_body_size=LARGEST_HELD)
@needs("change shelves")
def compare(request: Request, state: State, who: Who, form: Form) -> Response:
    """Show what an import would do; when asked to, do it."""
    try:
        content, name = _content(form)
        heads = exchange.heads_of(content, name)
        mapping = _mapping(form, heads)
        if form.get("do") == "import":
            done = exchange.import_catalogue(
                state.store,
                content,
                mapping,
                name,
                who=who.name,
                change_present=form.get("change_present") == "yes",
                leave_out_mistakes=form.get("leave_out") == "yes",
            )
            return render(request, "catalogue_done.html", done=done, changed=form.get("change_present") == "yes")
    except InvalidInput as error:
        return render(request, "catalogue.html", status=422, problem=error)
    problem, comparison = None, None
    try:
        comparison = exchange.compare_catalogue(state.store, content, mapping, name)
    except InvalidInput as error:
        problem = error
    return render(
        request,
        "catalogue_mapping.html",
        status=422 if problem else 200,
        name=name,
        # Held by the page between the two steps, so that the server keeps nothing of what is not wanted.
        held=base64.b64encode(zlib.compress(content)).decode(),
        heads=heads,
        mapping=mapping,
        keys=[(key, label_of(key), key in JOINED) for key in KEYS],
        fixed_keys=[(key, label_of(key)) for key in FIXED_KEYS if key in {"structure", "dye", "grade", "source"}],
        grades=GRADES,
        comparison=comparison,
        most=SHOWN,
        problem=problem,
    )


def _content(form: FormData) -> tuple[bytes, str]:
    held, name = form.get("held"), str(form.get("name", "catalogue"))[:200]
    if isinstance(held, str):
        try:
            unpacker = zlib.decompressobj()
            content = unpacker.decompress(base64.b64decode(held, validate=True), LARGEST_CATALOGUE)
        except (binascii.Error, zlib.error, ValueError):
            raise InvalidInput("the page has lost its file; choose it again", where="catalogue") from None
        return content, name
    file = form.get("file")
    if file is None or isinstance(file, str) or not file.filename:
        raise InvalidInput("no file was chosen", where="catalogue")
    content = file.file.read(LARGEST_CATALOGUE + 1)
    if len(content) > LARGEST_CATALOGUE:
        raise InvalidInput(f"the file is larger than {LARGEST_CATALOGUE // 1_000_000} MB", where="catalogue")
    return content, file.filename[:200]


def _mapping(form: FormData, heads: tuple[str, ...]) -> CatalogueMapping:
    if form.get("mapped") != "yes":
        return exchange.suggested_mapping(heads)
    columns = {}
    for key in KEYS:
        chosen = tuple(head for head in form.getlist(f"column.{key}") if isinstance(head, str) and head)
        if chosen:
            columns[key] = chosen
    fixed = {key: str(form[f"fixed.{key}"]) for key in FIXED_KEYS if form.get(f"fixed.{key}")}
    return CatalogueMapping(columns=columns, fixed=fixed, decimal=str(form.get("decimal", "")))
