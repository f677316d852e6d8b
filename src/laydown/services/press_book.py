"""At the press: what the crew sets up, and what they enter."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from laydown import units
from laydown.domain.outcome import CAUSES
from laydown.domain.shop import Preferences
from laydown.errors import InvalidInput, NotFound
from laydown.report import display_units as show
from laydown.store import orders, plans, press_log
from laydown.store.database import Store
from laydown.store.orders import StoredOrder
from laydown.store.plans import StoredPlan
from laydown.store.press_log import PressEntry, PressTotals

__all__ = ["CAUSES", "PressEntry", "PressSheet", "add", "sheet"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PressSheet:
    """An order at the press.

    Attributes
    ----------
    plan : StoredPlan or None
        The approved plan; without one the newest that has a stack for every print.
    entries : tuple of PressEntry
        The newest first, withdrawn ones marked by `withdrawn`.
    """

    order: StoredOrder
    plan: StoredPlan | None
    entries: tuple[PressEntry, ...]
    withdrawn: frozenset[str]
    totals: PressTotals


def sheet(store: Store, order_id: int) -> PressSheet:
    """Look at an order at the press.

    Raises
    ------
    NotFound
        When there is no such order.
    """
    with store.read() as tx:
        order = orders.get(tx, order_id)
        complete = [one for one in plans.of_order(tx, order_id) if one.complete]
        chosen = next(
            (one for one in complete if one.number == order.approved_plan), complete[-1] if complete else None
        )
        entries = press_log.of_order(tx, order_id)
        return PressSheet(
            order=order,
            plan=chosen,
            entries=tuple(reversed(entries)),
            withdrawn=frozenset(str(one.document["key"]) for one in entries if one.kind == "withdrawal"),
            totals=press_log.totals(tx, order_id),
        )


def steps_of(view: Mapping[str, Any]) -> list[dict[str, str]]:
    """Set-up steps of a plan, from its view (`laydown.services.plan_book_view.plan_view`), in the order of the work."""
    steps: list[dict[str, str]] = []
    for print_ in view["prints"]:
        if not print_["stack"]:
            continue
        place = print_["place"]
        lines = [f"screen {one['count']} {one['screen']}, {one['mesh']}: {one['state']}" for one in print_["burn"]]
        lines += [f"mix {one['ink']}, {one['total']}" for one in print_["mix"]]
        for row in print_["press"]["rows"]:
            turn = f", revolution {row['turn']}" if print_["press"]["turns"] > 1 else ""
            lines.append(f"head {row['head']}{turn}: {row['ink']}, mesh {row['mesh']}, off-contact {row['off']}")
            if row["flash"]:
                lines.append(f"flash after head {row['head']}: {row['flash']['seconds']}")
        cells = {cell["name"]: cell["value"] for cell in print_["dryer"]["cells"]}
        lines.append(f"dryer {print_['dryer']['name']}: panel {cells['Panel']}, belt {cells['Belt']}")
        steps += [{"step": f"{place}: {line}"[:300], "place": place, "line": line} for line in lines]
    return steps


def document_of(kind: str, fields: Mapping[str, str], prefs: Preferences) -> dict[str, Any]:
    """What an entry says, from the fields of a form.

    Parameters
    ----------
    kind : str
        As `laydown.store.words.PRESS_ENTRIES`.
    fields : mapping of str to str
        ``step`` and ``done``, ``good`` and ``text``, ``pieces``, ``cause``, ``temperature`` (in the units of `prefs`),
        ``text``, or ``key``.

    Raises
    ------
    InvalidInput
        With the field in ``where``.
    """
    text = fields.get("text", "").strip()[:2000]
    more = {"text": text} if text else {}
    if kind == "set-up step":
        return {"step": fields.get("step", ""), "done": fields.get("done", "") == "yes"}
    if kind == "strike-off":
        if fields.get("good") not in {"yes", "no"}:
            raise InvalidInput("say whether the strike-off is good", where="good")
        return {"good": fields["good"] == "yes", **more}
    if kind in {"count", "misprint"}:
        said = fields.get("pieces", "").strip()
        if not said.isdecimal() or len(said) > 7:
            raise InvalidInput("a whole number of pieces is needed", where="pieces")
        cause = {"cause": fields.get("cause", "").strip()} if kind == "misprint" else {}
        return {"pieces": int(said), **cause, **more}
    if kind == "probe reading":
        said = fields.get("temperature", "").strip().replace(",", ".")
        try:
            value = float(said)
        except ValueError:
            raise InvalidInput("a temperature is needed", where="temperature") from None
        return {"temperature": _kelvin(value, "fahrenheit" if prefs.temperature == "F" else "celsius"), **more}
    if kind == "withdrawal":
        return {"key": fields.get("key_of", "")}
    return {"text": text}


def words_of(entry: PressEntry, prefs: Preferences) -> str:
    """What an entry says, in a line."""
    said, kind = entry.document, entry.kind
    more = f": {said['text']}" if said.get("text") and kind != "note" else ""
    if kind == "set-up step":
        return f"{'Done' if said['done'] else 'Open again'}: {said['step']}"
    if kind == "strike-off":
        return f"Strike-off {'good' if said['good'] else 'not good'}{more}"
    if kind == "count":
        return f"{said['pieces']} good {'piece' if said['pieces'] == 1 else 'pieces'}{more}"
    if kind == "misprint":
        return f"{said['pieces']} {'misprint' if said['pieces'] == 1 else 'misprints'}, {said['cause']}{more}"
    if kind == "probe reading":
        return f"Probe read {show.temperature(float(said['temperature']), prefs)}{more}"
    return "Taken back" if kind == "withdrawal" else str(said.get("text", ""))


def add(
    store: Store, order_id: int, *, key: str, kind: str, document: Mapping[str, Any], happened_at: dt.datetime, who: str
) -> tuple[PressEntry, bool]:
    """Keep an entry; sent twice under the same key, it is kept once.

    Returns
    -------
    PressEntry, bool
        The entry, and whether it is new.

    Raises
    ------
    InvalidInput
        When it says too little.
    Conflict
        When another entry has this key.
    NotFound
        When there is no such order.
    """
    if kind == "probe reading":
        document = _in_kelvin(document)
    if happened_at.tzinfo is None:
        raise InvalidInput("a moment needs its time zone, for example 2026-12-10T09:30:00Z", where="happened_at")
    with store.write(who=who) as tx:
        return press_log.add(tx, order_id, key=key, kind=kind, document=document, happened_at=happened_at)


_SCALES = (
    ("celsius", "°C", -73, 726, units.from_celsius),
    ("fahrenheit", "°F", -99, 1340, units.from_fahrenheit),
)
"""Scales, their signs, what a probe may have read in them (as much as the store keeps), and the way to kelvin."""


def _in_kelvin(document: Mapping[str, Any]) -> dict[str, Any]:
    """Probe reading with its ``celsius`` or ``fahrenheit`` as ``temperature`` in kelvin."""
    made = dict(document)
    for name, *_ in _SCALES:
        value = made.pop(name, None)
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e4:
            made.setdefault("temperature", _kelvin(float(value), name))
    return made


def _kelvin(value: float, scale: str) -> float:
    """Reading of a probe in kelvin; what cannot be one is refused in the scale that it was written in."""
    _, sign, low, high, convert = next(one for one in _SCALES if one[0] == scale)
    if not low <= value <= high:
        raise InvalidInput(f"{value:g} {sign} is not allowed; allowed is {low} to {high} {sign}", where="temperature")
    return round(convert(value), 3)


def find_order(store: Store, said: str) -> int:
    """Number of the order that a code or a person names: its number, or the shop's own.

    Raises
    ------
    NotFound
        When none or several fit.
    """
    said = said.strip()
    with store.read() as tx:
        if said.isdecimal() and len(said) < 10:
            try:
                return orders.get(tx, int(said)).id
            except NotFound:
                pass
        found, _ = orders.find(tx, text=said, limit=20) if said else ((), 0)
        named = [one.id for one in found if one.identifier.casefold() == said.casefold()]
    if len(named) != 1:
        raise NotFound("order", said, ())
    return named[0]
