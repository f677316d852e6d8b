"""A list of masses or tones, typed, pasted or chosen as a file."""

from __future__ import annotations

from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response

from laydown.documents.reading_list import COLUMNS
from laydown.errors import InvalidInput
from laydown.services import reading_list
from laydown.services.reading_list import KeptList
from laydown.services.swatch_readings_form import words_of
from laydown.web.needs import needs
from laydown.web.render import render, taste_of
from laydown.web.routing import Form, State, Who, page_router

router = page_router()


@router.get("/lab/list")
@needs("enter readings")
def choose(request: Request) -> Response:
    """Ask for a list."""
    return _page(request)


@router.post("/lab/list")
@needs("enter readings")
def look(request: Request, state: State, who: Who, form: Form) -> Response:
    """Show what a list says, or keep it."""
    text, name = str(form.get("text", "")), str(form.get("name", "")) or "the list"
    file = form.get("file")
    try:
        if isinstance(file, UploadFile) and file.filename:
            name, text = file.filename[:80], _decoded(file.file.read(), file.filename)
        if form.get("do") == "keep":
            return _page(request, done=reading_list.keep(state.store, name, text, who=who.name))
        found = reading_list.look(state.store, name, text, who=who.name)
    except InvalidInput as error:
        return _page(request, text=text, problem=error)
    return _page(request, text=text, name=name, found=found)


def _decoded(content: bytes, name: str) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InvalidInput("this is no text in UTF-8; save the list as CSV (UTF-8)", where=name) from None


def _page(
    request: Request,
    *,
    text: str = "",
    name: str = "",
    found: KeptList | None = None,
    done: KeptList | None = None,
    problem: InvalidInput | None = None,
) -> Response:
    return render(
        request,
        "lab_list.html",
        status=422 if problem else 200,
        text=text,
        name=name,
        found=found,
        done=done,
        problem=problem,
        columns=COLUMNS,
        words=words_of,
        prefs=taste_of(request).units,
    )
