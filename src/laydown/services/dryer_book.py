"""Probe logs of the shop's dryers in the store: look at one before it is kept, keep it, and put a fit to use."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from laydown.documents.probe_log import ProbePreview, preview_probe_log
from laydown.documents.probe_log_mapping import mapping_from, mapping_text
from laydown.domain.costs import Climate
from laydown.domain.probe_log import ProbeConditions, ProbeMapping
from laydown.errors import InvalidInput, NotFound
from laydown.services import probe_machines
from laydown.services.probe_fit import ProbeFile
from laydown.services.probe_machines import Machine
from laydown.store import files, import_mappings, orders, plans, probe_logs, shelves
from laydown.store.database import Store
from laydown.store.probe_logs import StoredProbeLog
from laydown.store.shelves import ShelfItem
from laydown.store.transaction import Transaction

__all__ = ["FitRequest", "ProbePreview", "StoredProbeLog"]

MAPPING = "probe log"
"""Kind under which the layout of loggers' files is remembered."""

LARGEST = 5_000_000
"""Bytes of a logger's file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitRequest:
    """Everything a fit needs, taken out of the store in one moment.

    Attributes
    ----------
    revision : int
        State of the machine on the shelf.
    numbers : tuple of int
        Of the logs.
    """

    machine: Machine
    climate: Climate
    files: tuple[ProbeFile, ...]
    revision: int
    numbers: tuple[int, ...]


def names(store: Store) -> tuple[str, ...]:
    """Names of the dryers on the shelf."""
    with store.read() as tx:
        return tuple(item.name for item in shelves.shelf(tx, "dryers"))


def machine_names(store: Store) -> tuple[tuple[str, bool], ...]:
    """Name of every dryer, then of every flash unit, and whether it is a flash unit."""
    with store.read() as tx:
        return probe_machines.names(tx)


def machine(store: Store, name: str) -> Machine:
    """Dryer or flash unit as the shelf has it.

    Raises
    ------
    NotFound
        When no shelf has it.
    """
    with store.read() as tx:
        return probe_machines.stored(tx, name).record


def preview(store: Store, content: bytes, name: str, *, mapping: ProbeMapping | None = None) -> ProbePreview:
    """Show what is understood of a file; columns that were told once for its layout are not guessed again.

    Parameters
    ----------
    mapping : ProbeMapping, optional
        What somebody says the columns are.

    Raises
    ------
    InvalidInput
        When not even its columns can be made out.
    """
    if len(content) > LARGEST:
        raise InvalidInput(f"the file is larger than {LARGEST // 1_000_000} MB, the most that is read", where=name)
    if mapping is not None:
        return preview_probe_log(content, where=name, mapping=mapping)
    guessed = preview_probe_log(content, where=name)
    known = _remembered(store, guessed.layout)
    if known is None or known == guessed.mapping:
        return guessed
    told = preview_probe_log(content, where=name, mapping=known)
    return replace(told, told=(*told.told, "columns are taken as somebody told for a file of this layout before"))


def keep(
    store: Store,
    content: bytes,
    name: str,
    conditions: ProbeConditions,
    *,
    key: str,
    who: str,
    mapping: ProbeMapping | None = None,
    replaces: int | None = None,
) -> tuple[StoredProbeLog, bool]:
    """Keep a log with its file, and remember what its columns are.

    Parameters
    ----------
    key : str
        Made once a log by whoever sends it; a log that is sent twice is kept once.
    replaces : int, optional
        Log that this one corrects.

    Returns
    -------
    StoredProbeLog, bool
        And whether it is new.

    Raises
    ------
    InvalidInput
        When it cannot be read, or is said to be of another kind of machine.
    NotFound
        When machine or garment are on no shelf.
    """
    seen = preview(store, content, name, mapping=mapping)
    if seen.problem is not None:
        raise seen.problem
    with store.write(who=who) as tx:
        probe_machines.check_conditions(probe_machines.stored(tx, conditions.dryer).record, conditions)
        shelves.get(tx, "garments", conditions.garment)
        kept, new = probe_logs.add(
            tx, key=key, name=name, content=content, mapping=seen.mapping, conditions=conditions, replaces=replaces
        )
        if new:
            import_mappings.remember(
                tx,
                MAPPING,
                _layout_name(seen.layout),
                {"layout": seen.layout, "mapping": mapping_text(seen.mapping)},
            )
    return kept, new


def put_aside(store: Store, number: int, *, key: str, who: str) -> None:
    """Take a log out of use; it stays in the store.

    Raises
    ------
    NotFound
        When there is no such log.
    Conflict
        When it was corrected or put aside already.
    """
    with store.write(who=who) as tx:
        old = probe_logs.get(tx, number)
        probe_logs.add(
            tx,
            key=key,
            name=old.name,
            content=files.content(tx, old.file_sha256),
            mapping=old.mapping,
            conditions=old.conditions,
            replaces=number,
            aside=True,
        )


def logs(store: Store, dryer: str) -> tuple[StoredProbeLog, ...]:
    """Logs of a dryer or flash unit that are in use, the newest first.

    Raises
    ------
    NotFound
        When it is on no shelf.
    """
    with store.read() as tx:
        probe_machines.stored(tx, dryer)
        return probe_logs.of_dryer(tx, dryer)


def file_of(store: Store, number: int) -> tuple[StoredProbeLog, bytes]:
    """Log and its file as the logger wrote it.

    Raises
    ------
    NotFound
        When there is no such log.
    """
    with store.read() as tx:
        kept = probe_logs.get(tx, number)
        return kept, files.content(tx, kept.file_sha256)


def one_log(store: Store, number: int) -> tuple[Machine, ProbeFile]:
    """Log with its machine and garment as the shelves have them.

    Raises
    ------
    NotFound
        When there is no such log, or machine or garment left their shelf.
    """
    with store.read() as tx:
        kept = probe_logs.get(tx, number)
        return probe_machines.stored(tx, kept.conditions.dryer).record, _file(tx, kept)


def request(store: Store, dryer: str, numbers: Sequence[int] = ()) -> FitRequest:
    """Take what a fit needs out of the store.

    Parameters
    ----------
    numbers : sequence of int
        Logs to fit to; empty: the newest.

    Raises
    ------
    InvalidInput
        When there is no log, or one is of another machine.
    NotFound
        When the machine, a log or its garment is not there.
    """
    with store.read() as tx:
        item = probe_machines.stored(tx, dryer)
        known = probe_logs.of_dryer(tx, dryer)
        if not known:
            raise InvalidInput("no probe log of it is kept yet; import one first", where=dryer)
        chosen = [_of(known, number, dryer) for number in numbers] if numbers else [known[0]]
        return FitRequest(
            machine=item.record,
            climate=shelves.record(tx, shelves.get(tx, "climate", "climate")),
            files=tuple(_file(tx, one) for one in chosen),
            revision=item.revision,
            numbers=tuple(one.id for one in chosen),
        )


def planned_orders(store: Store, *, most: int = 50) -> tuple[tuple[int, str], ...]:
    """Number and name of orders that have a plan, for choosing one whose curve is wanted; the newest first."""
    with store.read() as tx:
        found, _ = orders.find(tx, limit=200)
        newest = plans.newest_of(tx, [one.id for one in found])
        planned = [one for one in found if one.id in newest]
        return tuple((one.id, one.name) for one in sorted(planned, key=lambda one: one.id, reverse=True)[:most])


def plan_number(store: Store, order_id: int) -> int:
    """Number of the plan that an order is printed by: the approved one, else the newest.

    Raises
    ------
    NotFound
        When there is no such order, or no plan of it.
    """
    with store.read() as tx:
        order = orders.get(tx, order_id)
        if order.approved_plan is not None:
            return order.approved_plan
        newest = plans.latest(tx, order_id)
        if newest is None:
            raise NotFound("plan of this order", order.name, ())
        return newest.number


def use(store: Store, document: Mapping[str, Any], *, revision: int, who: str) -> ShelfItem:
    """Put a fitted machine on the shelf in place of the one it was fitted from; plans use it from then on.

    Parameters
    ----------
    document : mapping
        From `laydown.services.probe_fit.document`.
    revision : int
        State of the dryer that the fit started from (`FitRequest.revision`).

    Raises
    ------
    Conflict
        When somebody changed it after the fit began.
    """
    with store.write(who=who) as tx:
        return probe_machines.put(tx, document, revision=revision)


def _file(tx: Transaction, kept: StoredProbeLog) -> ProbeFile:
    garment = shelves.record(tx, shelves.get(tx, "garments", kept.conditions.garment))
    return ProbeFile(
        content=files.content(tx, kept.file_sha256),
        name=kept.name,
        conditions=kept.conditions,
        garment=garment,
        mapping=kept.mapping,
    )


def _of(known: Sequence[StoredProbeLog], number: int, dryer: str) -> StoredProbeLog:
    for one in known:
        if one.id == number:
            return one
    raise NotFound(f"probe log of {dryer}", str(number), (str(one.id) for one in known))


def _remembered(store: Store, layout: str) -> ProbeMapping | None:
    name = _layout_name(layout)
    with store.read() as tx:
        for one in import_mappings.remembered(tx, MAPPING):
            if one.name == name and one.document.get("layout") == layout:
                return mapping_from(str(one.document["mapping"]), where="remembered columns")
    return None


def _layout_name(layout: str) -> str:
    return f"{layout[:60]} {hashlib.sha256(layout.encode()).hexdigest()[:12]}"
