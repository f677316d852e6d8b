"""A new order from the fields of a form, and which field a sentence is about."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any

from laydown.documents.toml_text import toml_text
from laydown.domain.garment import Dye, Structure
from laydown.domain.shop import Preferences, Shop
from laydown.errors import InvalidInput

PRINTS = 3
"""Prints that the form takes; an order file takes more."""

STRUCTURES = tuple(str(one) for one in Structure)
DYES = tuple(str(one) for one in Dye)
PLACES = ("front", "back", "left chest", "left sleeve", "right sleeve", "neck")

_KEYS = (
    ("reference", "garment"),
    ("care_label", "garment"),
    ("structure", "structure"),
    ("mass_gsm", "mass"),
    ("mass_oz_yd2", "mass"),
    ("colour", "colour"),
    ("dye", "dye"),
    ("quantity", "quantity"),
    ("due", "due"),
    ("placed", "due"),
    ("name", "name"),
    ("id", "id"),
)
_PRINT_KEYS = (
    ("place", "place"),
    ("width_mm", "width"),
    ("width_in", "width"),
    ("height_mm", "height"),
    ("height_in", "height"),
    ("artwork", "art"),
    ("inks", "inks"),
    ("coverage", "coverage"),
)
_PRINT = re.compile(r"print\[(\d+)\]|print (\d+)")
_WORDS = (
    ("print is needed", "p0_art"),
    ("care_label", "garment"),
    ("structure", "structure"),
    ("mass_gsm", "mass"),
    ("colour", "colour"),
    ("width", "width"),
    ("height", "height"),
    ("coverage", "coverage"),
    ("artwork", "art"),
)


def order_text_of(fields: Mapping[str, str], shop: Shop, prefs: Preferences, *, art: Mapping[int, str]) -> str:
    """Order file of a form.

    Parameters
    ----------
    fields : mapping of str to str
        As typed: ``name``, ``id``, ``quantity``, ``due``, ``garment``, ``structure``, ``mass``, ``colour``, ``dye`` and
        for each print ``p0_place``, ``p0_width``, ``p0_height``, ``p0_inks``, ``p0_coverage``; lengths and mass in the
        units of `prefs`.
    shop : Shop
        Tells whether the garment is one of its own.
    art : mapping of int to str
        Name of each print's art file.

    Raises
    ------
    InvalidInput
        With the field's name in ``where``.
    """
    head: dict[str, Any] = {
        "name": _needed(fields, "name", "the order needs a name"),
        "quantity": _whole(fields, "quantity", "how many garments are to be printed"),
        "due": _date(fields, "due"),
        "placed": dt.date.today(),  # noqa: DTZ011 - the day at the shop
    }
    if head["placed"] > head["due"]:
        del head["placed"]
    head |= {"id": fields["id"].strip()} if fields.get("id", "").strip() else {}
    prints = [_print(fields, number, prefs, art) for number in range(PRINTS) if _used(fields, number, art)]
    if not prints:
        raise InvalidInput("drop the art, or say which inks cover how much", where="p0_art")
    return toml_text({"order": head, "garment": _garment(fields, shop, prefs), "print": prints})


def field_of(where: str, what: str) -> str:
    """Name of the field that a sentence is about; empty when it is about none."""
    if re.fullmatch(r"(p\d_)?[a-z]+", where) and where not in {"garment", "print"}:
        return where
    printed = _PRINT.search(where)
    key = where.rpartition(".")[2] if "." in where else ""
    if printed:
        number = int(printed[1] or printed[2]) - 1
        name = dict(_PRINT_KEYS).get(key) or next((field for word, field in _WORDS if word in what), "art")
        return f"p{max(number, 0)}_{name.removeprefix('p0_')}"
    if key in dict(_KEYS):
        return dict(_KEYS)[key]
    return next((field for word, field in _WORDS if word in what), "garment" if "garment" in where else "")


def _garment(fields: Mapping[str, str], shop: Shop, prefs: Preferences) -> dict[str, Any]:
    said = _needed(fields, "garment", "name a garment of your shelf, or write what its care label says")
    named = next((g.name for g in shop.garments if g.name.casefold() == said.casefold()), None)
    if named is not None:
        return {"reference": named}
    from laydown.documents.care_label import parse_care_label

    try:
        parse_care_label(said)
    except InvalidInput as error:
        raise InvalidInput(
            f"this is neither a garment of your shelf nor a care label: {error.what}", where="garment"
        ) from None
    unit = "oz_yd2" if prefs.areal_mass == "oz" else "gsm"
    colour = _needed(fields, "colour", "the cloth's colour is missing; choose it, or write it as #8c1d2f")
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise InvalidInput(f"{colour!r} is no colour; write it as #8c1d2f", where="colour")
    return {
        "care_label": said,
        "structure": _needed(fields, "structure", "choose how the cloth is made"),
        f"mass_{unit}": _number(fields, "mass", "the cloth's mass is missing; the label or the mill's sheet has it"),
        "colour": colour,
        "dye": fields.get("dye", "").strip() or str(Dye.UNKNOWN),
    }


def _used(fields: Mapping[str, str], number: int, art: Mapping[int, str]) -> bool:
    typed = ("width", "height", "inks", "coverage")
    return number in art or any(fields.get(f"p{number}_{name}", "").strip() for name in typed)


def _print(fields: Mapping[str, str], number: int, prefs: Preferences, art: Mapping[int, str]) -> dict[str, Any]:
    at = f"p{number}_"
    unit = "in" if prefs.length == "inch" else "mm"
    made: dict[str, Any] = {"place": fields.get(f"{at}place", "").strip() or PLACES[min(number, len(PLACES) - 1)]}
    for key in ("width", "height"):
        if fields.get(at + key, "").strip():
            made[f"{key}_{unit}"] = _number(fields, at + key, "")
    inks = [ink.strip() for ink in fields.get(f"{at}inks", "").split(",") if ink.strip()]
    if inks:
        made["inks"] = inks
    if number in art:
        return made | {"artwork": art[number]}
    share = _number(fields, f"{at}coverage", "without art, say how much of the rectangle is inked, in per cent")
    if not 0 < share <= 100:
        raise InvalidInput(f"{share:g} % is not allowed; allowed is above 0 up to 100 %", where=f"{at}coverage")
    inks = inks or ["white"]
    made["inks"] = inks
    made["coverage"] = share / 100 if len(inks) == 1 else {ink: share / 100 / len(inks) for ink in inks}
    return made


def _needed(fields: Mapping[str, str], name: str, what: str) -> str:
    said = fields.get(name, "").strip()
    if not said:
        raise InvalidInput(what, where=name)
    return said


def _number(fields: Mapping[str, str], name: str, what: str) -> float:
    said = _needed(fields, name, what)
    try:
        value = float(said.replace(",", "."))
    except ValueError:
        raise InvalidInput(f"{said!r} is no number", where=name) from None
    if not abs(value) < 1e9:
        raise InvalidInput(f"{said!r} is no number that can be meant", where=name)
    return value


def _whole(fields: Mapping[str, str], name: str, what: str) -> int:
    said = _needed(fields, name, f"say {what}")
    if not re.fullmatch(r"\d{1,7}", said):
        raise InvalidInput(f"{said!r} is no whole number; say {what}", where=name)
    return int(said)


def _date(fields: Mapping[str, str], name: str) -> dt.date:
    said = _needed(fields, name, "say by which day the garments are due")
    try:
        return dt.date.fromisoformat(said)
    except ValueError:
        raise InvalidInput(f"{said!r} is no date; write year-month-day, for example 2026-12-10", where=name) from None


def art_name(file_name: str, number: int) -> str:
    """Name by which an order calls a file that somebody sent: plain, below ``art/``, one a print."""
    plain = re.sub(r"[^\w.-]+", "-", file_name.replace("\\", "/").rpartition("/")[2], flags=re.ASCII).strip("-.")
    return f"art/{number + 1}-{plain[-80:] or 'art'}"
