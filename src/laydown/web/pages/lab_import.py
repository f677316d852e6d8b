"""Readings out of an instrument's file."""

from __future__ import annotations

from typing import Annotated

from fastapi import File, UploadFile
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from laydown.errors import InvalidInput, NotFound
from laydown.services import measurement_import
from laydown.services.measurement_import import Target
from laydown.services.swatch_readings_form import words_of
from laydown.web.needs import needs
from laydown.web.pages.lab_swatch import fields_of_reading, moment_of
from laydown.web.render import render, taste_of
from laydown.web.routing import Form, State, Who, page_router

router = page_router()

LARGEST = 6_000_000


@router.get("/lab/import")
@needs("run the lab")
def choose(request: Request) -> Response:
    """Ask for a file."""
    return render(request, "lab_import.html", problem=None, **fields_of_reading(taste_of(request).units))


@router.post("/lab/import", max_body_size=LARGEST)
@needs("run the lab")
def preview(request: Request, state: State, who: Who, form: Form, file: Annotated[UploadFile, File()]) -> Response:
    """Show what a file holds and where it would go."""
    prefs = taste_of(request).units
    fields = {name: text for name in form if isinstance(text := form.get(name), str)}
    name, content = file.filename or "file", file.file.read()
    try:
        asked = measurement_import.asked_of(fields)
        found = measurement_import.preview(state.store, name, content, who=who.name, asked=asked)
    except InvalidInput as error:
        return render(request, "lab_import.html", status=422, problem=error, **fields_of_reading(prefs))
    return render(
        request, "lab_import_preview.html", found=found, fields=fields, words=words_of, prefs=prefs, done=None
    )


@router.post("/lab/import/keep", max_body_size=LARGEST)
@needs("run the lab")
def keep(request: Request, state: State, who: Who, form: Form) -> Response:
    """Keep the readings of a file."""
    fields = {name: text for name in form if isinstance(text := form.get(name), str)}
    try:
        said = fields.get("taken_at", "").strip()
        done = measurement_import.keep(
            state.store,
            fields.get("sha256", ""),
            fields.get("name", "file"),
            _targets(form),
            who=who.name,
            taken_at=moment_of(said, "taken_at") if said else None,
            asked=measurement_import.asked_of(fields),
        )
    except (InvalidInput, NotFound) as error:
        prefs = taste_of(request).units
        return render(request, "lab_import.html", status=422, problem=error, **fields_of_reading(prefs))
    return render(request, "lab_import_preview.html", found=None, done=done, fields={}, words=words_of, prefs=None)


def _targets(form: FormData) -> list[Target | None]:
    count = str(form.get("count", ""))
    if not count.isdecimal() or len(count) > 5:
        raise InvalidInput("the form does not say how many samples the file holds", where="count")
    targets: list[Target | None] = []
    for index in range(int(count)):
        said = str(form.get(f"to{index}", ""))
        if not said:
            targets.append(None)
            continue
        number, _, part = said.partition("|")
        if not number.isdecimal():
            raise InvalidInput("choose a swatch", where=f"to{index}")
        targets.append(Target(swatch=int(number), part=part, area=str(form.get(f"area{index}", "")).strip()))
    return targets
