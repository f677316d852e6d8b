"""The shop's swatches: what there is, what is due, and one of them with everything that is known of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from laydown.domain.protocol import Protocol
from laydown.domain.reading import standing
from laydown.domain.swatch import Swatch, SwatchState
from laydown.errors import InvalidInput
from laydown.services import shop_fits
from laydown.services.swatch_due import Due, due_of, state_after
from laydown.store import orders, readings, swatches
from laydown.store.database import Store
from laydown.store.orders import StoredOrder
from laydown.store.readings import StoredReading
from laydown.store.swatches import StoredSwatch, Tick
from laydown.store.transaction import Transaction

__all__ = ["Due", "LabDay", "StoredReading", "StoredSwatch", "SwatchSheet", "SwatchState", "day", "find", "sheet"]

OPEN = ("planned", "made")
STATES = tuple(state.value for state in SwatchState)

TELLING = ("inked_area", "film_thickness", "state")
"""What of a swatch changes what its readings tell of the shop's own screens and inks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwatchSheet:
    """A swatch with everything that is known of it.

    Attributes
    ----------
    readings : tuple of StoredReading
        In the order in which they came in, corrected ones too.
    corrected : dict
        For each reading that was corrected, the number of the one in its place.
    due : tuple of Due
    ticks : dict
        Newest tick of each step that has one; steps count from 0.
    order : StoredOrder or None
    """

    stored: StoredSwatch
    readings: tuple[StoredReading, ...]
    corrected: dict[int, int]
    due: tuple[Due, ...]
    ticks: dict[int, Tick]
    order: StoredOrder | None

    @property
    def swatch(self) -> Swatch:
        """The swatch."""
        return self.stored.swatch

    @property
    def protocol(self) -> Protocol:
        """Its test."""
        return self.stored.protocol

    def next_due(self) -> Due | None:
        """First reading that is not there yet."""
        return next((one for one in self.due if not one.done), None)


class Together(NamedTuple):
    """Readings of one swatch that are due alike.

    Attributes
    ----------
    sheet : SwatchSheet
    dues : tuple of Due
        At least one; the longest waiting first.
    """

    sheet: SwatchSheet
    dues: tuple[Due, ...]

    @property
    def at(self) -> dt.datetime:
        """When the first of them was due."""
        at = self.dues[0].at
        if at is None:  # pragma: no cover - what is due has a moment
            raise ValueError("not made yet")
        return at


@dataclass(frozen=True, slots=True, kw_only=True)
class LabDay:
    """The lab at a glance.

    Attributes
    ----------
    now : datetime
    overdue, due, soon : tuple of Together
        Swatches by when something is to be read off them; the longest waiting first.
    planned : tuple of SwatchSheet
        Swatches that were started and are not made yet.
    running : tuple of SwatchSheet
        Swatches that wait for readings.
    read : tuple of SwatchSheet
        The newest that are read.
    empty : bool
        Whether there is no swatch at all.
    """

    now: dt.datetime
    overdue: tuple[Together, ...]
    due: tuple[Together, ...]
    soon: tuple[Together, ...]
    planned: tuple[SwatchSheet, ...]
    running: tuple[SwatchSheet, ...]
    read: tuple[SwatchSheet, ...]
    empty: bool


def day(store: Store, now: dt.datetime) -> LabDay:
    """See what is due."""
    with store.read() as tx:
        opened = sheets_of(tx, swatches.find(tx, states=OPEN))
        read = sheets_of(tx, swatches.find(tx, states=("read",), limit=20))
        empty = not opened and not read and not swatches.find(tx, limit=1)
    found: dict[str, list[Together]] = {"overdue": [], "now": [], "soon": []}
    for one in opened:
        for state, rows in found.items():
            alike = tuple(due for due in one.due if due.state(now) == state)
            if alike:
                rows.append(Together(one, alike))
    for rows in found.values():
        rows.sort(key=lambda row: (row.at, row.sheet.stored.number))
    return LabDay(
        now=now,
        overdue=tuple(found["overdue"]),
        due=tuple(found["now"]),
        soon=tuple(found["soon"]),
        planned=tuple(one for one in opened if one.swatch.state is SwatchState.PLANNED),
        running=tuple(one for one in opened if one.swatch.state is SwatchState.MADE),
        read=read,
        empty=empty,
    )


def find(
    store: Store,
    *,
    states: Collection[str] = (),
    garment: str | None = None,
    lot: str | None = None,
    order: int | None = None,
    numbers: Collection[int] = (),
    text: str = "",
    limit: int = 200,
) -> tuple[SwatchSheet, ...]:
    """Swatches that fit everything that was named, the newest first."""
    with store.read() as tx:
        found = swatches.find(
            tx, states=states, garment=garment, lot=lot, order=order, numbers=numbers, text=text, limit=limit
        )
        return sheets_of(tx, found)


def sheet(store: Store, number: int) -> SwatchSheet:
    """Look at a swatch.

    Raises
    ------
    NotFound
        When there is none of that number.
    """
    with store.read() as tx:
        return sheets_of(tx, (swatches.get(tx, number),))[0]


def keep(store: Store, number: int, *, revision: int, who: str, **changes: Any) -> SwatchSheet:
    """Change a swatch: ``made_at``, ``note``, ``lot``, ``run``, ``inked_area``, ``film_thickness`` or ``state``.

    Raises
    ------
    NotFound, Conflict, InvalidInput
        When it is not there, was changed meanwhile, or cannot be so.
    """
    with store.write(who=who) as tx:
        stored = swatches.get(tx, number)
        if changes.get("made_at") and stored.swatch.state is SwatchState.PLANNED:
            changes = {"state": SwatchState.MADE} | changes
        changed = replace(stored.swatch, **changes)
        if changed.made_at is not None and changed.made_at > tx.now + dt.timedelta(hours=1):
            raise InvalidInput("a swatch is not made in the future; say when it left the dryer", where="made_at")
        swatches.change(tx, changed, revision=revision)
        settle(tx, number)
        if any(getattr(changed, name) != getattr(stored.swatch, name) for name in TELLING):
            shop_fits.ask_when_read(tx, stored)
        return sheets_of(tx, (swatches.get(tx, number),))[0]


def settle(tx: Transaction, number: int) -> None:
    """Let a swatch's state follow its readings."""
    found = sheets_of(tx, (swatches.get(tx, number),))[0]
    state = state_after(found.swatch, found.due)
    if state is not found.swatch.state:
        swatches.change(tx, replace(found.swatch, state=state), revision=found.stored.revision)


def sheets_of(tx: Transaction, found: tuple[StoredSwatch, ...]) -> tuple[SwatchSheet, ...]:
    """Swatches with their readings, ticks and orders."""
    numbers = tuple(one.number for one in found)
    taken, ticked = readings.of_swatches(tx, numbers), swatches.ticks(tx, numbers)
    known: dict[int, StoredOrder] = {}
    for number in {one.swatch.order for one in found} - {None}:
        assert number is not None
        known[number] = orders.get(tx, number)
    return tuple(
        SwatchSheet(
            stored=one,
            readings=taken[one.number],
            corrected={
                row.reading.corrects: row.number for row in taken[one.number] if row.reading.corrects is not None
            },
            due=due_of(one.swatch, one.protocol, (row.reading for row in taken[one.number])),
            ticks=ticked[one.number],
            order=known.get(one.swatch.order) if one.swatch.order is not None else None,
        )
        for one in found
    )


def standing_readings(sheet_: SwatchSheet) -> tuple[StoredReading, ...]:
    """Readings of a swatch that no later one corrects."""
    kept = {one.number for one in standing(tuple(row.reading for row in sheet_.readings))}
    return tuple(row for row in sheet_.readings if row.number in kept)
