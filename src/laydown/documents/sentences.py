"""What pydantic found wrong with a file, as one sentence for the person who wrote it."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from enum import Enum
from types import UnionType
from typing import Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from laydown.domain.validity import figure
from laydown.errors import InvalidInput

M = TypeVar("M", bound=BaseModel)
Location = tuple[str | int, ...]

_KINDS = {
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "string_type": "a text in quotes",
    "list_type": "a list in square brackets",
    "tuple_type": "a list in square brackets",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "date_type": "a date such as 2026-12-10",
}


def validated(model: type[M], data: Any, *, where: str, at: Location = (), name: str = "") -> M:
    """Model of some data, or InvalidInput with one sentence about the first mistake.

    Parameters
    ----------
    model : type of pydantic model
    data : mapping
    where : str
        File (and line) that the data are from.
    at : tuple
        Keys that lead to the data within the file; places in a list count from 0 here and from 1 in the sentence.
    name : str
        Name of the entry, told beside the place so that it need not be counted out.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        mistakes = error.errors(include_url=False)
    first = mistakes[0]
    if first["type"] == "missing":
        # A key that is missing is most often one that stands there misspelt.
        first = next((mistake for mistake in mistakes if mistake["type"] == "extra_forbidden"), first)
    # The last part of an unknown key's place is the key as somebody wrote it, whatever letters it has.
    own = len(first["loc"]) - 1 if first["type"] == "extra_forbidden" else -1
    location = tuple(part for i, part in enumerate(first["loc"]) if i == own or not _internal(part))
    what = _sentence(model, location, first)
    if len(mistakes) > 1:
        others = len(mistakes) - 1
        what += f"; {others} more mistake{'s' if others > 1 else ''} after this one"
    raise InvalidInput(what, where=place(where, (*at, *location), name=name))


def place(where: str, location: Location, *, name: str = "") -> str:
    """Place in a file as people count: ``order.toml, print[2].width_mm``."""
    path = ""
    for part in location:
        if isinstance(part, int):
            path += f"[{part + 1}]"
        else:
            path += f".{part}" if path else part
    told = f"{where}, {path}" if path else where
    return f"{told} ({name})" if name else told


@contextmanager
def told_at(where: str) -> Iterator[None]:
    """Give the place to a record's own InvalidInput, which does not know the file."""
    try:
        yield
    except InvalidInput as error:
        raise InvalidInput(error.what, where=where) from None


def nearest(word: str, allowed: tuple[str, ...]) -> str:
    """End of a sentence about an unknown word: the nearest one that is allowed, and all of them."""
    close = difflib.get_close_matches(word.lower(), [a.lower() for a in allowed], n=1, cutoff=0.6)
    # A key without its unit, or with a wrong one, still names the quantity: labour, fusion_k.
    stem = word.lower().partition("_")[0] + "_"
    hint = next((a for a in allowed if close and a.lower() == close[0]), "")
    hint = hint or next((a for a in allowed if len(stem) > 3 and a.lower().startswith(stem)), "")
    meant = f"did you mean {hint!r}? " if hint else ""
    # Words that hold a comma themselves would run into each other.
    told = [repr(a) for a in allowed] if any("," in a for a in allowed) else allowed
    return f"{meant}allowed {'is' if len(allowed) == 1 else 'are'} {', '.join(told)}"


def _internal(part: str | int) -> bool:
    # Pydantic adds the names of its own wrappers to a location; no key of a file has a bracket or dash in it.
    return isinstance(part, str) and ("[" in part or "-" in part)


def _sentence(  # noqa: PLR0911 - one return a kind of mistake
    model: type[BaseModel], location: Location, mistake: Any
) -> str:
    kind, value, context = mistake["type"], mistake["input"], mistake.get("ctx", {})
    if kind == "extra_forbidden":
        owner = _model_at(model, location[:-1])
        keys = tuple(field.alias or key for key, field in owner.model_fields.items()) if owner else ()
        return f"this key is unknown; {nearest(str(location[-1]), keys)}"
    if kind == "missing":
        owner = _model_at(model, location[:-1])
        field = owner.model_fields.get(str(location[-1])) if owner else None
        meaning = (field.description if field else None) or ""
        return (
            f"this key is missing: {meaning[:1].lower()}{meaning[1:].rstrip('.')}" if meaning else "this key is missing"
        )
    if kind == "value_error":
        return str(context["error"])
    if kind in {"enum", "literal_error"}:
        return f"{shown_value(value)} is unknown; {nearest(str(value), _words(model, location))}"
    if kind == "finite_number":
        return f"{shown_value(value)} is no finite number; a finite number is needed"
    if kind == "list_type" and next(_models(_annotation_at(model, location)), None):
        return f"{shown_value(value)} does not fit; blocks that begin with [[{location[-1]}]] are needed"
    if kind in _KINDS:
        return f"{shown_value(value)} does not fit; {_KINDS[kind]} is needed"
    if kind in {"too_short", "too_long"}:
        bound = context.get("min_length", context.get("max_length"))
        return (
            f"{context['actual_length']} entries; allowed are at {'least' if kind == 'too_short' else 'most'} {bound}"
        )
    if kind in {"string_too_short", "string_too_long"}:
        bound = context.get("min_length", context.get("max_length"))
        side = "least" if kind == "string_too_short" else "most"
        return f"{len(str(value))} characters; allowed are at {side} {bound}"
    bounds = {"greater_than_equal": "ge", "greater_than": "gt", "less_than_equal": "le", "less_than": "lt"}
    if kind in bounds:
        words = {"ge": "at least", "gt": "above", "le": "at most", "lt": "below"}[bounds[kind]]
        return f"{shown_value(value)} is not allowed; allowed is {words} {context[bounds[kind]]}"
    message = str(mistake["msg"])
    return f"{shown_value(value)} does not fit: {message[:1].lower()}{message[1:]}"


def shown_value(value: Any) -> str:
    """Show a value of a file in a sentence, cut short when it is long."""
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return figure(value)
    try:
        text = repr(value) if isinstance(value, str) else str(value)
    except ValueError:
        return "a number of thousands of digits"
    return text if len(text) <= 60 else f"{text[:57]}..."


def _model_at(model: type[BaseModel], location: Location) -> type[BaseModel] | None:
    current: type[BaseModel] | None = model
    for part in location:
        if isinstance(part, int):
            continue
        field = current.model_fields.get(part) if current else None
        current = next(_models(field.annotation), None) if field else None
    return current


def _annotation_at(model: type[BaseModel], location: Location) -> Any:
    keys = [part for part in location if isinstance(part, str)]
    owner = _model_at(model, tuple(keys[:-1]))
    field = owner.model_fields.get(keys[-1]) if owner and keys else None
    return field.annotation if field else None


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in get_args(annotation):
        yield from _models(argument)


def _words(model: type[BaseModel], location: Location) -> tuple[str, ...]:
    return tuple(_choices(_annotation_at(model, location)))


def _choices(annotation: Any) -> Iterator[str]:
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        yield from (str(member.value) for member in annotation)
    elif get_origin(annotation) is Literal:
        yield from (str(argument) for argument in get_args(annotation))
    elif get_origin(annotation) in {Union, UnionType} or get_args(annotation):
        for argument in get_args(annotation):
            yield from _choices(argument)
