"""What fits of the lab found: of cloths (draws of the bleed model's inputs), and of the shop's own screens and inks."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from sqlalchemy import Row, select

from laydown.documents.finding_document import finding_from, finding_text
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import Dye
from laydown.errors import InvalidInput, NotFound
from laydown.store import files
from laydown.store.schema import findings, measures
from laydown.store.transaction import Transaction, json_text, storable
from laydown.store.words import SHOP_MEASURES


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingHead:
    """A finding that is kept; its draws and its report are fetched with `finding` and `report`.

    Attributes
    ----------
    rests_on : tuple of int
        Numbers of the readings that were there when it was fitted.
    report_sha256 : str or None
        How the fit went, as JSON.
    """

    number: int
    level: Level
    garment: str
    lot: str
    dye: Dye
    finding_sha256: str
    report_sha256: str | None
    rests_on: tuple[int, ...]
    fitted_at: dt.datetime
    made_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """What a shop measured of its screens or inks.

    Attributes
    ----------
    kind : str
        One of `laydown.store.words.SHOP_MEASURES`.
    subject : str
        Ink or screen; empty: the shop as a whole.
    document : dict
        Values, as the fit gave them.
    """

    number: int
    kind: str
    subject: str
    document: Mapping[str, Any]
    rests_on: tuple[int, ...]
    fitted_at: dt.datetime
    made_by: str


def add(
    tx: Transaction,
    found: ClothFinding,
    *,
    rests_on: Iterable[int],
    report: Mapping[str, Any] | None = None,
    made_by: str = "",
) -> FindingHead:
    """Keep a finding; the ones before it stay. ``made_by`` is who made it elsewhere; empty: whoever acts."""
    kept = files.put(tx, finding_text(found).encode(), pack=True)
    told = files.put(tx, json_text(report).encode(), pack=True).sha256 if report is not None else None
    about = {
        "level": str(found.level),
        "garment": storable("the garment", found.garment, most=80),
        "lot": storable("the lot", found.lot, most=80),
        "dye": str(found.dye),
    }
    numbers = sorted(set(rests_on))
    tx.log("add", "finding", f"{found.level} {found.garment} {found.lot}".strip()[:200], after=about | {"of": numbers})
    made = tx.run(
        findings.insert().values(
            **about,
            finding_sha256=kept.sha256,
            report_sha256=told,
            rests_on=json_text(numbers),
            fitted_at=found.fitted_at,
            made_by=made_by or tx.who,
        )
    )
    given = made.inserted_primary_key
    if given is None:  # pragma: no cover - both databases return it
        raise RuntimeError("the finding got no number")
    return get(tx, int(given[0]))


def get(tx: Transaction, number: int) -> FindingHead:
    """Finding by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(findings).where(findings.c.id == number)).first()
    if row is None:
        raise NotFound("finding", str(number), ())
    return _head(row)


def every(tx: Transaction) -> tuple[FindingHead, ...]:
    """Every finding, the first one first."""
    return tuple(_head(row) for row in tx.run(select(findings).order_by(findings.c.id)))


def sha256_of(found: ClothFinding) -> str:
    """SHA-256 under which a finding is kept."""
    return hashlib.sha256(finding_text(found).encode()).hexdigest()


def newest(tx: Transaction) -> tuple[FindingHead, ...]:
    """Newest finding about each thing, in the order in which they were first made."""
    latest: dict[tuple[str, str, str, str], FindingHead] = {}
    for row in tx.run(select(findings).order_by(findings.c.id)):
        latest[row.level, row.garment, row.lot, row.dye] = _head(row)
    return tuple(latest.values())


def of_cloth(tx: Transaction, garment: str, lot: str | None = None) -> tuple[FindingHead, ...]:
    """Every finding of a garment (and lot), the newest first."""
    wanted = select(findings).where(findings.c.garment == garment).order_by(findings.c.id.desc())
    if lot is not None:
        wanted = wanted.where(findings.c.lot == lot)
    return tuple(_head(row) for row in tx.run(wanted))


def finding(tx: Transaction, head: FindingHead) -> ClothFinding:
    """Finding with its draws."""
    text = _text_of(tx, head.finding_sha256)
    return _read(text)


def report(tx: Transaction, head: FindingHead) -> dict[str, Any] | None:
    """How its fit went, or None when nobody kept that."""
    if head.report_sha256 is None:
        return None
    told: dict[str, Any] = json.loads(_text_of(tx, head.report_sha256))
    return told


def of_shop(tx: Transaction) -> tuple[ClothFinding, ...]:
    """Newest finding about each thing, as plans use them."""
    return tuple(finding(tx, head) for head in newest(tx))


def add_measure(
    tx: Transaction,
    kind: str,
    subject: str,
    document: Mapping[str, Any],
    *,
    rests_on: Iterable[int],
    fitted_at: dt.datetime | None = None,
    made_by: str = "",
) -> Measure:
    """Keep what was measured of a screen or an ink; what was found before stays.

    Raises
    ------
    InvalidInput
        When the kind is unknown or the document cannot be kept.
    """
    if kind not in SHOP_MEASURES:
        raise InvalidInput(f"{kind!r} is nothing that a shop measures; allowed are {', '.join(SHOP_MEASURES)}")
    numbers = sorted(set(rests_on))
    row = {"kind": kind, "subject": storable("the subject", subject, most=80), "document": json_text(dict(document))}
    tx.log("add", "measure", f"{kind} {subject}".strip(), after=row | {"of": numbers})
    made = tx.run(
        measures.insert().values(
            **row, rests_on=json_text(numbers), fitted_at=fitted_at or tx.now, made_by=made_by or tx.who
        )
    )
    given = made.inserted_primary_key
    if given is None:  # pragma: no cover - both databases return it
        raise RuntimeError("the measure got no number")
    stored = tx.run(select(measures).where(measures.c.id == int(given[0]))).one()
    return _measure(stored)


def every_measure(tx: Transaction) -> tuple[Measure, ...]:
    """Every measure, the first one first."""
    return tuple(_measure(row) for row in tx.run(select(measures).order_by(measures.c.id)))


def newest_measures(tx: Transaction, kind: str | None = None) -> tuple[Measure, ...]:
    """Newest measure of each kind and subject."""
    wanted = select(measures).order_by(measures.c.id)
    if kind is not None:
        wanted = wanted.where(measures.c.kind == kind)
    latest = {(row.kind, row.subject): _measure(row) for row in tx.run(wanted)}
    return tuple(latest.values())


@lru_cache(maxsize=256)
def _read(text: str) -> ClothFinding:
    return finding_from(json.loads(text), where="finding")


def _text_of(tx: Transaction, sha256: str) -> str:
    return files.content(tx, sha256).decode()


def _head(row: Row[Any]) -> FindingHead:
    return FindingHead(
        number=row.id,
        level=Level(row.level),
        garment=row.garment,
        lot=row.lot,
        dye=Dye(row.dye),
        finding_sha256=row.finding_sha256,
        report_sha256=row.report_sha256,
        rests_on=tuple(json.loads(row.rests_on)),
        fitted_at=row.fitted_at,
        made_by=row.made_by,
    )


def _measure(row: Row[Any]) -> Measure:
    return Measure(
        number=row.id,
        kind=row.kind,
        subject=row.subject,
        document=json.loads(row.document),
        rests_on=tuple(json.loads(row.rests_on)),
        fitted_at=row.fitted_at,
        made_by=row.made_by,
    )
