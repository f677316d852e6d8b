"""Shelves: what stands there, one item, and the form to change it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Form as FormField
from fastapi import Query
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.errors import Conflict, InvalidInput
from laydown.services import shelf_editing
from laydown.services.rules import rule_facts
from laydown.services.shelf_editing import SHELF_LABELS, ShelfItem, ShelfKind
from laydown.services.shelf_editing_rows import GRADES, TEST_WORDS, Row
from laydown.services.shelf_editing_shown import shown_item
from laydown.services.shelf_editing_values import Values, differing, document_of, values_of
from laydown.web.needs import Need, need_named, needs
from laydown.web.refusal import Refusal
from laydown.web.render import render, taste_of
from laydown.web.routing import Form, State, Who, page_router
from laydown.web.state import AppState

router = page_router()

COLUMNS = (
    ("garments", ("care_label", "fibres", "structure", "mass_gsm", "colour", "dye", "price")),
    ("inks", ("kind", "family", "colour", "fusion_c", "blocker", "price_per_kg")),
    ("meshes", ("count_per_cm", "thread_um", "opening_um")),
    ("screens", ("mesh", "eom_um", "tension_n_per_cm", "frame_mm", "state", "count")),
    ("presses", ("automatic", "heads", "pallets", "flash")),
    ("dryers", ("setting_c", "belt_width_mm", "zone")),
    ("rules", ("effect", "when", "reason", "active")),
    ("protocols", ("title", "subject", "limit", "grade")),
)
"""What a list shows of each item, by the names of the form's rows; one that no item has is left out."""

OWN_FIELDS = ("csrf", "revision", "was", "add", "item_note")
RATES = ("costs", "climate", "practice", "preferences", "shop")


@router.get("/shelves")
@needs("read")
def overview(request: Request, state: State) -> Response:
    """Show every shelf and how much stands on it."""
    return render(request, "shelves.html", kinds=SHELF_LABELS, counts=shelf_editing.counts(state.store))


@router.get("/shelves/{kind}")
@needs("read")
def shelf(request: Request, state: State, kind: str, q: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Show a shelf; of a setting, the one item that there is."""
    told = shelf_editing.kind_of(kind)
    if told.setting:
        return _show(request, state, told, kind)
    found = shelf_editing.items(state.store, kind, text=q)
    rows = shelf_editing.rows_for(state.store, kind)
    taste = taste_of(request)
    shown = [(one, {s.name: s for s in shown_item(one, rows, taste.units, taste.decimal)}) for one in found]
    wanted = dict(COLUMNS)[kind]
    columns = [row for row in rows if row.name in wanted and any(row.name in values for _, values in shown)]
    columns.sort(key=lambda row: wanted.index(row.name))
    return render(
        request, "shelf.html", kind=told, kinds=SHELF_LABELS, shown=shown, columns=columns, q=q, need=_need(told).name
    )


@router.get("/shelves/{kind}/item")
@needs("read")
def show(request: Request, state: State, kind: str, name: Annotated[str, Query(max_length=200)]) -> Response:
    """Show an item with the unit, interval, grade and source of each value."""
    return _show(request, state, shelf_editing.kind_of(kind), name)


@router.get("/shelves/{kind}/new")
@needs("change shelves")
def new(request: Request, state: State, kind: str, like: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Show the empty form, or that of an item to begin with."""
    told = _many(kind)
    rows = shelf_editing.rows_for(state.store, kind)
    values: Values = {}
    if like:
        document = {**shelf_editing.item(state.store, kind, like).document, "name": f"{like[:75]} copy"}
        values = values_of(rows, document, decimal=taste_of(request).decimal)
    return _form(request, told, rows, values, revision="", was="")


@router.post("/shelves/{kind}/new")
@needs("change shelves")
def add(request: Request, state: State, who: Who, kind: str, form: Form) -> Response:
    """Add an item."""
    return _keep(request, state, who.name, _many(kind), form)


@router.get("/shelves/{kind}/edit")
@needs("change shelves")
def edit(request: Request, state: State, kind: str, name: Annotated[str, Query(max_length=200)]) -> Response:
    """Show the form of an item."""
    told = shelf_editing.kind_of(kind)
    found = shelf_editing.item(state.store, kind, name)
    rows = shelf_editing.rows_for(state.store, kind)
    values = values_of(rows, found.document, decimal=taste_of(request).decimal)
    return _form(request, told, rows, values, revision=str(found.revision), was=name, note=found.note)


@router.post("/shelves/{kind}/edit")
@needs("change shelves")
def change(request: Request, state: State, who: Who, kind: str, form: Form) -> Response:
    """Change an item; whoever is later than somebody else is told, and sees both."""
    return _keep(request, state, who.name, shelf_editing.kind_of(kind), form)


@router.post("/shelves/{kind}/remove")
@needs("change shelves")
def take_off(
    state: State,
    who: Who,
    kind: str,
    name: Annotated[str, FormField()] = "",
    revision: Annotated[int, FormField()] = 0,
) -> Response:
    """Take an item off its shelf."""
    shelf_editing.remove(state.store, kind, name, revision=revision, who=who.name)
    return RedirectResponse(f"/shelves/{kind}", 303)


def _show(request: Request, state: AppState, kind: ShelfKind, name: str) -> Response:
    found = shelf_editing.item(state.store, kind.name, name)
    rows = shelf_editing.rows_for(state.store, kind.name)
    taste = taste_of(request)
    shown = shown_item(found, rows, taste.units, taste.decimal)
    fibres: tuple[tuple[str, float], ...] = ()
    if kind.name == "garments" and found.document.get("care_label"):
        fibres = shelf_editing.label_fibres(str(found.document["care_label"]))
    return render(
        request,
        "item.html",
        kind=kind,
        kinds=SHELF_LABELS,
        item=found,
        shown=shown,
        fibres=fibres,
        need=_need(kind).name,
    )


def _keep(request: Request, state: AppState, who: str, kind: ShelfKind, form: FormData) -> Response:
    rows = shelf_editing.rows_for(state.store, kind.name)
    sent = {name: [text for text in form.getlist(name) if isinstance(text, str)] for name in form}
    values = {name: texts for name, texts in sent.items() if name not in OWN_FIELDS}
    revision, was, note = (str(form.get(name, "")) for name in ("revision", "was", "item_note"))
    decimal = taste_of(request).decimal
    if form.get("add"):
        return _form(request, kind, rows, values, revision=revision, was=was, note=note, more=str(form["add"]))
    try:
        document = document_of(rows, values, decimal=decimal)
        kept = shelf_editing.keep(
            state.store,
            kind.name,
            document,
            revision=int(revision) if revision.isdecimal() else None,
            who=who,
            note=note,
            was=was if revision else "",
        )
    except InvalidInput as error:
        return _form(request, kind, rows, values, revision=revision, was=was, note=note, problem=error, status=422)
    except Conflict as error:
        return _form_again(request, kind, rows, values, error, decimal=decimal, note=note)
    return RedirectResponse(_address(kind, kept.name), 303)


def _form_again(
    request: Request,
    kind: ShelfKind,
    rows: tuple[Row, ...],
    mine: Values,
    error: Conflict,
    *,
    decimal: str,
    note: str,
) -> Response:
    """Form with what the person wrote, and beside it what somebody else wrote meanwhile."""
    present = error.present if isinstance(error.present, ShelfItem) else None
    theirs = values_of(rows, present.document, decimal=decimal) if present is not None else {}
    names = differing(mine, theirs) if present is not None else ()
    beside = {name: "; ".join(theirs.get(name, ())) for name in names}
    if present is not None and present.note != note:
        beside["item_note"] = present.note
    return _form(
        request,
        kind,
        rows,
        mine,
        # Sent again, it is a change of what stands there now; of what was removed, a new item.
        revision=str(present.revision) if present is not None else "",
        was=present.name if present is not None else "",
        note=note,
        conflict=error,
        beside=beside,
        present=present,
        status=409,
    )


def _form(
    request: Request,
    kind: ShelfKind,
    rows: tuple[Row, ...],
    values: Values,
    *,
    revision: str,
    was: str,
    note: str = "",
    more: str = "",
    problem: InvalidInput | None = None,
    conflict: Conflict | None = None,
    beside: dict[str, str] | None = None,
    present: ShelfItem | None = None,
    status: int = 200,
) -> Response:
    context: dict[str, Any] = {
        "kind": kind,
        "kinds": SHELF_LABELS,
        "rows": rows,
        "form": FormValues(values, more),
        "revision": revision,
        "was": was,
        "note": note,
        "problem": problem,
        "wrong": _wrong(problem, rows),
        "conflict": conflict,
        "beside": beside or {},
        "present": present,
        "grades": GRADES,
        "tests": TEST_WORDS,
        "facts": [fact.name for fact in rule_facts()] if kind.name == "rules" else [],
    }
    return render(request, "item_form.html", status=status, **context)


class FormValues:
    """What a template asks of a form: texts by field name, and how many blocks to draw."""

    def __init__(self, values: Values, more: str) -> None:
        self._values = values
        self._more = more

    def one(self, name: str) -> str:
        """Text of a field."""
        return (self._values.get(name) or ("",))[-1]

    def all(self, name: str) -> Sequence[str]:
        """Texts of a field that may be chosen several times."""
        return self._values.get(name, ())

    def blocks(self, name: str) -> int:
        """Blocks to draw."""
        from laydown.services.shelf_editing_values import blocks_in

        return blocks_in(self._values, name) + (1 if self._more == name else 0)


def _wrong(problem: InvalidInput | None, rows: tuple[Row, ...]) -> str:
    """Name of the row that a problem is about, where it says so."""
    if problem is None:
        return ""
    for row in rows:
        if problem.where == row.label or any(f", {one.key}" in problem.where for one in row.keys):
            return row.name
    return ""


def _many(kind: str) -> ShelfKind:
    told = shelf_editing.kind_of(kind)
    if told.setting:
        raise Refusal(404, "there is one of these only; change it")
    return told


def _need(kind: ShelfKind) -> Need:
    return need_named("change rates" if kind.name in RATES else "change shelves")


def _address(kind: ShelfKind, name: str) -> str:
    return f"/shelves/{kind.name}" + ("" if kind.setting else f"/item?name={quote(name, safe='')}")
