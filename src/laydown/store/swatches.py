"""Swatches: what was printed on which cloth for which test, how far each is, and which of its steps are done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from laydown.domain.dryer import Dryer
from laydown.domain.garment import Garment
from laydown.domain.protocol import Protocol
from laydown.domain.swatch import Swatch, SwatchState
from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import orders
from laydown.store.schema import swatch_steps, swatches
from laydown.store.swatch_documents import print_text, read_print
from laydown.store.transaction import Transaction, sent_key, storable


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredSwatch:
    """A swatch that is kept.

    Attributes
    ----------
    swatch : Swatch
        With its number.
    protocol : Protocol
        As it was when the swatch was started.
    garment : Garment or None
        Its cloth as it was then; None for a drawdown on a card.
    dryer : Dryer or None
        As it was when the swatch went through it.
    key : str
        Made by whoever started it; a swatch that is started twice under one key is started once.
    revision : int
        Names this state of it.
    """

    swatch: Swatch
    protocol: Protocol
    garment: Garment | None
    dryer: Dryer | None
    key: str
    revision: int
    started_at: dt.datetime
    started_by: str
    changed_at: dt.datetime
    changed_by: str

    @property
    def number(self) -> int:
        """Number on its label."""
        return self.swatch.number


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """Whether a step of a swatch's test is done; ``step`` counts from 0."""

    step: int
    done: bool
    happened_at: dt.datetime
    made_by: str


def add(
    tx: Transaction,
    swatch: Swatch,
    *,
    protocol: Protocol,
    key: str,
    garment: Garment | None = None,
    dryer: Dryer | None = None,
    number: int | None = None,
) -> tuple[StoredSwatch, bool]:
    """Keep a swatch, unless it was kept before.

    Parameters
    ----------
    key : str
        Eight to 80 characters, made once a swatch by whoever starts it.
    number : int, optional
        Number that it has already, when it comes from another store; None: the next one.

    Returns
    -------
    StoredSwatch, bool
        The swatch as it is kept, and whether it is new.

    Raises
    ------
    InvalidInput
        When it cannot be kept.
    NotFound
        When its order is not there.
    Conflict
        When another swatch has this key or number.
    """
    text = print_text(swatch, protocol, garment, dryer)
    sent_key(key)
    there = tx.run(select(swatches.c.id).where(swatches.c.key == key)).scalar()
    if there is not None:
        present = get(tx, int(there))
        if (present.swatch.protocol, present.swatch.garment) != (swatch.protocol, swatch.garment):
            raise Conflict("another swatch has this key", kind="swatch", name=key, present=present)
        return present, False
    if swatch.order is not None:
        orders.get(tx, swatch.order)
    if number is not None and tx.run(select(swatches.c.id).where(swatches.c.id == number)).first() is not None:
        raise Conflict("another swatch has this number", kind="swatch", name=str(number), present=get(tx, number))
    row = columns_of(swatch) | {"key": key, "document": text}
    line = tx.log("add", "swatch", key, after=_logged(row))
    row |= {"revision": line, "started_at": tx.now, "started_by": tx.who, "changed_at": tx.now, "changed_by": tx.who}
    made = tx.run(swatches.insert().values(**row, **({} if number is None else {"id": number})))
    given = made.inserted_primary_key
    if given is None:  # pragma: no cover - both databases return it
        raise RuntimeError("the swatch got no number")
    return get(tx, int(given[0])), True


def get(tx: Transaction, number: int) -> StoredSwatch:
    """Swatch by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(swatches).where(swatches.c.id == number)).first()
    if row is None:
        raise NotFound("swatch", str(number), ())
    return _stored(row)


def find(
    tx: Transaction,
    *,
    states: Collection[str] = (),
    garment: str | None = None,
    lot: str | None = None,
    order: int | None = None,
    numbers: Collection[int] = (),
    text: str = "",
    limit: int = 1000,
) -> tuple[StoredSwatch, ...]:
    """Swatches that fit everything that was named, the newest first."""
    wanted = select(swatches).order_by(swatches.c.id.desc())
    if states:
        wanted = wanted.where(swatches.c.state.in_(tuple(states)))
    if garment is not None:
        wanted = wanted.where(swatches.c.garment == garment)
    if lot is not None:
        wanted = wanted.where(swatches.c.lot == lot)
    if order is not None:
        wanted = wanted.where(swatches.c.order_id == order)
    if numbers:
        wanted = wanted.where(swatches.c.id.in_(tuple(numbers)))
    words = text.casefold().split()
    found = []
    for row in tx.run(wanted):
        told = f"{row.id} {row.protocol} {row.garment} {row.lot} {row.ink} {row.note}".casefold()
        if all(word in told for word in words):
            found.append(_stored(row))
        if len(found) >= limit:
            break
    return tuple(found)


def change(tx: Transaction, swatch: Swatch, *, revision: int, dryer: Dryer | None = None) -> StoredSwatch:
    """Change a swatch that is kept: when it was made, how it was printed, how far it is, its note.

    Parameters
    ----------
    swatch : Swatch
        With its number; test, garment and order stay as they are.
    revision : int
        State that the change started from.
    dryer : Dryer or None
        That it went through; None: as before.

    Raises
    ------
    NotFound
        When there is no such swatch.
    Conflict
        When somebody else changed it meanwhile.
    InvalidInput
        When it cannot be kept.
    """
    present = get(tx, swatch.number)
    if present.revision != revision:
        raise Conflict(
            f"swatch {swatch.number} was changed by {present.changed_by} meanwhile; nothing was written",
            kind="swatch",
            name=str(swatch.number),
            present=present,
        )
    if (swatch.protocol, swatch.garment) != (present.swatch.protocol, present.swatch.garment):
        raise InvalidInput("test and garment of a swatch stay as they are; start another swatch instead")
    row = columns_of(swatch)
    row["document"] = print_text(swatch, present.protocol, present.garment, dryer or present.dryer)
    stored = tx.run(select(swatches).where(swatches.c.id == swatch.number)).one()
    changed = {key: value for key, value in row.items() if getattr(stored, key) != value}
    if not changed:
        return present
    before = {key: getattr(stored, key) for key in changed}
    line = tx.log("change", "swatch", str(swatch.number), before=_logged(before), after=_logged(changed))
    tx.run(
        swatches.update()
        .where(swatches.c.id == swatch.number)
        .values(**changed, revision=line, changed_at=tx.now, changed_by=tx.who)
    )
    return get(tx, swatch.number)


def tick(tx: Transaction, number: int, *, key: str, step: int, done: bool, happened_at: dt.datetime) -> bool:
    """Keep that a step is done, or open again; returns whether it is new.

    Raises
    ------
    NotFound
        When there is no such swatch.
    InvalidInput
        When its test has no such step.
    Conflict
        When another entry has this key.
    """
    stored = get(tx, number)
    if not 0 <= step < len(stored.protocol.steps):
        raise InvalidInput(
            f"the test has no step {step + 1}; allowed is 1 to {len(stored.protocol.steps)}", where="step"
        )
    sent_key(key)
    if happened_at.tzinfo is None:
        raise InvalidInput("the moment names no time zone", where="happened_at")
    there = tx.run(select(swatch_steps).where(swatch_steps.c.key == key)).first()
    if there is not None:
        if (there.swatch_id, there.step, there.done) != (number, step, done):
            raise Conflict("another entry has this key", kind="step", name=key, present=None)
        return False
    tx.log("add", "step of swatch", str(number), after={"step": step, "done": done})
    tx.run(
        swatch_steps.insert().values(
            swatch_id=number,
            key=key,
            step=step,
            done=done,
            happened_at=happened_at,
            received_at=tx.now,
            made_by=tx.who,
        )
    )
    return True


def ticks(tx: Transaction, numbers: Iterable[int]) -> dict[int, dict[int, Tick]]:
    """Newest tick of every step that has one, by swatch and step."""
    wanted = tuple(numbers)
    found: dict[int, dict[int, Tick]] = {number: {} for number in wanted}
    if not wanted:
        return found
    rows = tx.run(
        select(swatch_steps)
        .where(swatch_steps.c.swatch_id.in_(wanted))
        .order_by(swatch_steps.c.happened_at, swatch_steps.c.id)
    )
    for row in rows:
        found[row.swatch_id][row.step] = Tick(
            step=row.step, done=row.done, happened_at=row.happened_at, made_by=row.made_by
        )
    return found


def columns_of(swatch: Swatch) -> dict[str, Any]:
    """Columns of a swatch's row that are its own."""
    return {
        "protocol": swatch.protocol,
        "garment": storable("the garment", swatch.garment, most=80),
        "lot": storable("the lot", swatch.lot, most=80),
        "ink": storable("the ink", swatch.ink, most=80),
        "state": str(swatch.state),
        "made_at": swatch.made_at,
        "order_id": swatch.order,
        "plan_number": swatch.plan,
        "note": storable("the note", swatch.note, most=2000),
    }


def _logged(row: dict[str, Any]) -> dict[str, Any]:
    return {key: value.isoformat() if isinstance(value, dt.datetime) else value for key, value in row.items()}


def _stored(row: Row[Any]) -> StoredSwatch:
    printed = read_print(row.document)
    swatch = Swatch(
        protocol=row.protocol,
        number=row.id,
        garment=row.garment,
        lot=row.lot,
        stack=printed.stack,
        ink=row.ink,
        run=printed.run,
        inked_area=printed.inked_area,
        film_thickness=printed.film_thickness,
        made_at=row.made_at,
        state=SwatchState(row.state),
        order=row.order_id,
        plan=row.plan_number,
        note=row.note,
    )
    return StoredSwatch(
        swatch=swatch,
        protocol=printed.protocol,
        garment=printed.garment,
        dryer=printed.dryer,
        key=row.key,
        revision=row.revision,
        started_at=row.started_at,
        started_by=row.started_by,
        changed_at=row.changed_at,
        changed_by=row.changed_by,
    )
