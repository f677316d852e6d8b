"""What the shop's tests say of a cloth: fit the bleed model to its swatches, keep the finding, look at it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from laydown.domain.garment import Garment
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput, NotFound
from laydown.lab.evidence import SwatchRecord
from laydown.services.swatch_book import SwatchSheet, sheets_of
from laydown.store import findings, jobs, readings, swatches
from laydown.store.database import Store
from laydown.store.findings import FindingHead
from laydown.store.jobs import Job
from laydown.store.shop_exchange import load_shop
from laydown.store.transaction import Transaction

__all__ = ["FIT", "ClothSheet", "ask", "ask_when_new", "cloths", "sheet"]

FIT = "fit"
"""Kind of the work."""

BLEED_READINGS = ("colour", "staining grade", "change grade")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothRow:
    """A cloth lot that was tested.

    Attributes
    ----------
    swatches, readings : int
        Of its bleed tests.
    finding : FindingHead or None
        Newest fit.
    stale : bool
        Whether readings came in after it.
    """

    garment: str
    lot: str
    swatches: int
    readings: int
    finding: FindingHead | None
    stale: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothSheet:
    """What is known of a cloth lot.

    Attributes
    ----------
    garment : Garment or None
        With the lot; None when it is on no shelf any more and no swatch tells.
    swatches : tuple of SwatchSheet
    finding : FindingHead or None
    report : dict or None
        How the newest fit went (`laydown.services.cloth_fit_report`).
    stale : bool
        Whether readings came in after the newest fit.
    job : Job or None
        Newest work on a fit of this lot.
    lots : tuple of str
        Lots of this garment that swatches are of.
    """

    garment: Garment | None
    name: str
    lot: str
    swatches: tuple[SwatchSheet, ...]
    finding: FindingHead | None
    report: Mapping[str, Any] | None
    stale: bool
    job: Job | None
    lots: tuple[str, ...]


def cloths(store: Store) -> tuple[ClothRow, ...]:
    """Cloth lots that swatches are of, the one that was tested last first."""
    with store.read() as tx:
        found = [one for one in swatches.find(tx, limit=5000) if one.swatch.garment]
        taken = readings.of_swatches(tx, [one.number for one in found])
        newest = {(head.garment, head.lot): head for head in findings.newest(tx)}
    rows: dict[tuple[str, str], list[int]] = {}
    for one in found:
        rows.setdefault((one.swatch.garment, one.swatch.lot), []).append(one.number)
    made = []
    for (garment, lot), numbers in rows.items():
        head = newest.get((garment, lot))
        used = [row for number in numbers for row in taken[number] if row.reading.reads.value in BLEED_READINGS]
        after = bool(used) and (head is None or max(row.number for row in used) > max(head.rests_on, default=0))
        made.append(
            ClothRow(garment=garment, lot=lot, swatches=len(numbers), readings=len(used), finding=head, stale=after)
        )
    return tuple(made)


def sheet(store: Store, garment: str, lot: str) -> ClothSheet:
    """Look at a cloth lot.

    Raises
    ------
    NotFound
        When neither a shelf nor a swatch knows the garment.
    """
    with store.read() as tx:
        shop = load_shop(tx)
        mine = swatches.find(tx, garment=garment, limit=1000)
        of_lot = tuple(one for one in mine if one.swatch.lot == lot)
        cloth = _garment(shop, garment, lot, of_lot or mine)
        heads = findings.of_cloth(tx, garment, lot)
        head = heads[0] if heads else None
        found = sheets_of(tx, of_lot)
        told = findings.report(tx, head) if head is not None else None
        work = next((one for one in jobs.recent(tx, limit=300) if _is_of(one, garment, lot)), None)
    last = max((row.number for one in found for row in one.readings), default=0)
    return ClothSheet(
        garment=cloth,
        name=garment,
        lot=lot,
        swatches=found,
        finding=head,
        report=told,
        stale=last > (max(head.rests_on, default=0) if head else 0),
        job=work,
        lots=tuple(dict.fromkeys(one.swatch.lot for one in mine)),
    )


def ask(store: Store, garment: str, lot: str, *, who: str) -> Job:
    """Ask for a fit of a cloth lot.

    Raises
    ------
    NotFound
        When no swatch is of it.
    """
    with store.write(who=who) as tx:
        if not swatches.find(tx, garment=garment, lot=lot, limit=1):
            raise NotFound("swatch of", f"{garment}, lot {lot}" if lot else garment, ())
        return jobs.add(tx, FIT, {"garment": garment, "lot": lot})


def ask_when_new(tx: Transaction, garment: str, lot: str) -> None:
    """Ask for a fit because a reading came in, unless one waits already."""
    waiting = jobs.recent(tx, states=("waiting",), limit=300)
    if garment and not any(_is_of(one, garment, lot) for one in waiting):
        jobs.add(tx, FIT, {"garment": garment, "lot": lot})


def records_of(tx: Transaction, garment: str, lot: str) -> tuple[Shop, Garment, tuple[SwatchRecord, ...], list[int]]:
    """Everything that a fit rests on: shop, cloth, swatches with their readings, and the readings' numbers.

    The dryers that the swatches went through stand on the shop's shelf as they were then.
    """
    shop = load_shop(tx)
    found = swatches.find(tx, garment=garment, lot=lot, limit=1000)
    cloth = _garment(shop, garment, lot, found)
    if cloth is None or not found:
        raise NotFound("swatch of", f"{garment}, lot {lot}" if lot else garment, ())
    taken = readings.of_swatches(tx, [one.number for one in found])
    then = {one.dryer.name: one.dryer for one in found if one.dryer is not None}
    there = {one.name for one in shop.dryers}
    dryers = (*shop.dryers, *(one for name, one in then.items() if name not in there))
    records = tuple(
        SwatchRecord(
            swatch=one.swatch,
            protocol=one.protocol,
            readings=tuple(row.reading for row in taken[one.number]),
        )
        for one in sorted(found, key=lambda one: one.number)
    )
    numbers = [row.number for rows in taken.values() for row in rows]
    return replace(shop, dryers=dryers), cloth, records, numbers


def fitted(shop: Shop, garment: Garment, records: tuple[SwatchRecord, ...], now: dt.datetime) -> tuple[Any, Any]:
    """Fit the bleed model; gives the fit and its finding."""
    from laydown.lab.bleed_fit import finding_of, fit_bleed

    fit = fit_bleed(shop, garment, records)
    return fit, finding_of(fit, fitted_at=now)


def fit_now(store: Store, garment: str, lot: str, *, who: str) -> Mapping[str, Any]:
    """Fit a cloth lot at once, keep the finding, and give its report.

    Raises
    ------
    NotFound
        When no swatch is of it.
    InvalidInput
        When no reading of it tells of bleed.
    """
    from laydown.services.cloth_fit_report import report_document

    with store.read() as tx:
        shop, cloth, records, numbers = records_of(tx, garment, lot)
    fit, found = fitted(shop, cloth, records, dt.datetime.now(dt.UTC))
    if not fit.evidence.readings:
        why = f"; {fit.evidence.unused[0]}" if fit.evidence.unused else ""
        raise InvalidInput(f"no reading of {garment} tells of bleed{why}")
    told = report_document(shop, fit, records)
    with store.write(who=who) as tx:
        findings.add(tx, found, rests_on=numbers, report=told)
    return told


def _garment(shop: Shop, name: str, lot: str, found: tuple[swatches.StoredSwatch, ...]) -> Garment | None:
    """Garment of the shelf with the lot that was tested; where the shelf has it not, as a swatch remembers it."""
    kept = next((one for one in shop.garments if one.name == name), None)
    if kept is None:
        kept = next((one.garment for one in found if one.garment is not None), None)
    return replace(kept, lot=lot) if kept is not None else None


def _is_of(job: Job, garment: str, lot: str) -> bool:
    return job.kind == FIT and (job.request.get("garment"), job.request.get("lot")) == (garment, lot)
