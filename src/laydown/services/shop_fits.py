"""What the shop's tests say of its own screens and inks: transfer, K and S of an ink, dot gain."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Any

from laydown.domain.protocol import Subject
from laydown.domain.shop import Shop
from laydown.errors import ConvergenceError, InvalidInput, NotFound
from laydown.lab.evidence import SwatchRecord
from laydown.lab.reading_check import ODD
from laydown.store import findings, jobs, readings, shelves, swatches
from laydown.store.database import Store
from laydown.store.findings import Measure
from laydown.store.jobs import Job
from laydown.store.shelf_documents import document_of, setting_documents
from laydown.store.shop_exchange import load_shop
from laydown.store.swatches import StoredSwatch
from laydown.store.transaction import Transaction

if TYPE_CHECKING:
    from laydown.lab.ink_optics_fit import InkOpticsFit
    from laydown.lab.shop_evidence import Gathered
    from laydown.lab.tone_fit import ToneFit
    from laydown.lab.transfer_fit import TransferFit

MEASURE = "measure"
"""Kind of the work."""

TRANSFER, OPTICS, TONE = "transfer", "optics", "tone"
KINDS = (TRANSFER, OPTICS, TONE)

SUBJECTS = ((Subject.LAYDOWN, TRANSFER), (Subject.INK_OPTICS, OPTICS), (Subject.TONE, TONE))
"""Which tests tell of which number."""

SAME = 1e-6
"""Relative difference of two numbers that are one number, worked out twice or written and read."""

MOST_NAMED = 12
"""Swatches that a source names one by one; shelves hold sources of up to 500 characters."""

LONGEST_SOURCE = 500

MARK = "; K and S: "
"""Parts what an ink's source said before from what it says of its drawdowns."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitSheet:
    """What the shop's tests say of one thing, worked out from all readings that stand.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    subject : str
        Ink, for ``optics``; empty otherwise.
    swatches, readings : tuple of int
        That the fit rests on.
    fit : TransferFit, InkOpticsFit or ToneFit, or None
    problem : str
        Why there is no fit; empty with one.
    unused : tuple of str
        What was left out, and why.
    used : Measure or None
        What plans use of it since when; None: nothing yet.
    stale : bool
        Whether the readings, or the areas and films that they are divided by, are others than those that plans use.
    contradicts : bool
        Whether a reading lies where the others do not foretell it; then plans wait until somebody has looked.
    overruled : bool
        Whether the shelf holds something else by now than was put there.
    points : tuple of (float, float)
        Film and print tone of each patch, for ``tone``.
    """

    kind: str
    subject: str
    swatches: tuple[int, ...]
    readings: tuple[int, ...]
    fit: TransferFit | InkOpticsFit | ToneFit | None
    problem: str
    unused: tuple[str, ...]
    used: Measure | None
    stale: bool
    contradicts: bool
    overruled: bool = False
    points: tuple[tuple[float, float], ...] = ()

    @property
    def source(self) -> str:
        """The tests in a few words, as plans name them."""
        words = {TRANSFER: "weighings of", OPTICS: "drawdowns of", TONE: "tone strip of"}[self.kind]
        count = len(self.swatches)
        if count > MOST_NAMED:
            return f"{words} {count} swatches, {self.swatches[0]} to {self.swatches[-1]}"
        return f"{words} swatch{'es' if count > 1 else ''} {', '.join(map(str, self.swatches))}"


def sheets(store: Store) -> tuple[FitSheet, ...]:
    """What the tests say of everything that the shop can measure of itself: transfer, dot gain, inks with drawdowns."""
    with store.read() as tx:
        shop, records = load_shop(tx), _records(tx)
        inks = dict.fromkeys(
            one.swatch.ink for one in records if one.protocol.subject is Subject.INK_OPTICS and one.swatch.ink
        )
        known = {ink.name for ink in shop.inks}
        subjects = [(TRANSFER, ""), (TONE, ""), *((OPTICS, name) for name in sorted(inks) if name in known)]
        return tuple(_sheet(tx, shop, records, kind, subject) for kind, subject in subjects)


def sheet(store: Store, kind: str, subject: str = "") -> FitSheet:
    """What the tests say of one thing.

    Raises
    ------
    NotFound
        When there is no such kind, or no such ink on the shelf.
    """
    with store.read() as tx:
        shop = load_shop(tx)
        _check(shop, kind, subject)
        return _sheet(tx, shop, _records(tx), kind, subject)


def use(store: Store, kind: str, subject: str = "", *, who: str) -> FitSheet:
    """Let plans use what the tests say, from now on: it is put on the shelf with its source.

    Raises
    ------
    NotFound
        As `sheet`.
    InvalidInput
        When there is no fit.
    """
    found = sheet(store, kind, subject)
    if found.fit is None:
        raise InvalidInput(found.problem, where=subject or kind)
    with store.write(who=who) as tx:
        return replace(found, used=_put(tx, found), stale=False, overruled=False)


def use_when_clear(
    store: Store, kind: str, subject: str, *, who: str, then: Callable[[Transaction, bool], None]
) -> bool:
    """As `use`, unless there is no fit or readings contradict each other; tells whether plans use it now.

    Parameters
    ----------
    then : callable
        Called within the same transaction with the answer.
    """
    found = sheet(store, kind, subject)
    clear = found.fit is not None and not found.contradicts and found.stale
    with store.write(who=who) as tx:
        if clear:
            _put(tx, found)
        then(tx, clear)
    return clear


def ask_when_new(tx: Transaction, subject: Subject, ink: str) -> None:
    """Ask for a fit because a reading came in, unless one waits already."""
    kind = dict(SUBJECTS).get(subject)
    if kind is None or (kind == OPTICS and not ink):
        return
    request = {"kind": kind, "subject": ink if kind == OPTICS else ""}
    waiting = jobs.recent(tx, states=("waiting",), limit=300)
    if not any(one.kind == MEASURE and dict(one.request) == request for one in waiting):
        jobs.add(tx, MEASURE, request)


def ask_when_read(tx: Transaction, stored: StoredSwatch) -> None:
    """Ask for a fit because a swatch changed, where readings of it are there already."""
    if readings.of_swatch(tx, stored.number):
        ask_when_new(tx, stored.protocol.subject, stored.swatch.ink)


def newest_job(store: Store, kind: str, subject: str) -> Job | None:
    """Newest work on one thing."""
    with store.read() as tx:
        about = {"kind": kind, "subject": subject}
        return next((one for one in jobs.recent(tx, limit=300) if one.kind == MEASURE and one.request == about), None)


def _check(shop: Shop, kind: str, subject: str) -> None:
    if kind not in KINDS:
        raise NotFound("number that a shop measures", kind, KINDS)
    if kind == OPTICS:
        shop.ink(subject)
    elif subject:
        raise NotFound(f"{kind} of", subject, ())


def _records(tx: Transaction) -> tuple[SwatchRecord, ...]:
    wanted = {subject for subject, _ in SUBJECTS}
    found = [one for one in swatches.find(tx, limit=5000) if one.protocol.subject in wanted]
    kept = [one for one in reversed(found) if one.swatch.state.value != "dropped"]
    taken = readings.of_swatches(tx, [one.number for one in kept])
    return tuple(
        SwatchRecord(swatch=one.swatch, protocol=one.protocol, readings=tuple(row.reading for row in taken[one.number]))
        for one in kept
    )


def _sheet(tx: Transaction, shop: Shop, records: Sequence[SwatchRecord], kind: str, subject: str) -> FitSheet:
    used = next((one for one in findings.newest_measures(tx, kind) if one.subject == subject), None)
    gathered, fit, problem = _fitted(shop, records, kind, subject)
    found = FitSheet(
        kind=kind,
        subject=subject,
        swatches=gathered.swatches,
        readings=gathered.readings,
        fit=fit,
        problem=problem,
        unused=gathered.unused,
        used=used,
        stale=False,
        overruled=used is not None and not _on_shelf(shop, kind, subject, used),
        points=tuple((one.film, one.printed) for one in gathered.found) if kind == TONE else (),
        contradicts=fit is not None and any(abs(check.deviation) > ODD for check in fit.checks),
    )
    return replace(found, stale=bool(found.readings) and (found.overruled or not _same(found, used)))


def _same(found: FitSheet, used: Measure | None) -> bool:
    """Whether plans use the very fit: to the same readings, areas and films."""
    from laydown.services.shop_fits_document import document_of_fit

    if used is None or used.rests_on != found.readings:
        return False
    now, then = (one.get("quantities", {}) for one in (document_of_fit(found), used.document))
    return now.keys() == then.keys() and all(
        math.isclose(one["posterior"]["value"], then[name]["posterior"]["value"], rel_tol=SAME)
        for name, one in now.items()
    )


def _on_shelf(shop: Shop, kind: str, subject: str, used: Measure) -> bool:
    """Whether the shelf still holds what was put there; somebody may have typed something else since."""
    if kind == OPTICS:
        return bool(shop.ink(subject).source.partition(MARK)[2] == used.document["source"])
    if kind == TONE:
        put = [number for row in used.document["curves"]["tone"] for number in (row["film"], row["print"])]
        there = [number for row in shop.practice.tone_strip for number in row]
    else:
        put = [used.document["quantities"]["transfer"]["posterior"]["value"]]
        there = [shop.practice.transfer.value] if shop.practice.transfer is not None else []
    return len(put) == len(there) and all(map(partial(math.isclose, rel_tol=SAME, abs_tol=1e-9), put, there))


def _fitted(shop: Shop, records: Sequence[SwatchRecord], kind: str, subject: str) -> tuple[Gathered[Any], Any, str]:
    from laydown.lab import shop_evidence

    gathered: Gathered[Any]
    if kind == TRANSFER:
        gathered = shop_evidence.weighings_of(records)
    elif kind == TONE:
        gathered = shop_evidence.patches_of(records, shop.preferences.condition)
    else:
        gathered = shop_evidence.films_of(records, shop.ink(subject))
    if not gathered.found:
        words = {
            TRANSFER: "no garment was weighed before and after printing yet",
            TONE: "no tone strip was read yet",
            OPTICS: f"no drawdown of {subject} was read with spectra yet",
        }
        return gathered, None, words[kind]
    found: Any = gathered.found
    try:
        gloss = kind != OPTICS or shop_evidence.gloss_included(records, shop.ink(subject))
        fit = _fit(kind, found, gloss)
    except (InvalidInput, ConvergenceError) as error:
        return gathered, None, str(error)
    if kind == TONE:
        fit = replace(fit, warnings=(*fit.warnings, *_mixed(records, gathered)))
    return gathered, fit, ""


@lru_cache(maxsize=64)
def _fit(kind: str, found: tuple[Any, ...], gloss: bool) -> Any:
    """Fit to what was found; the pages of a shop ask for the same one again and again."""
    from laydown.lab.ink_optics_fit import fit_ink_optics
    from laydown.lab.tone_fit import fit_tone
    from laydown.lab.transfer_fit import fit_transfer

    if kind == TRANSFER:
        return fit_transfer(found)
    return fit_tone(found) if kind == TONE else fit_ink_optics(found, gloss_included=gloss)


def _mixed(records: Sequence[SwatchRecord], gathered: Gathered[Any]) -> tuple[str, ...]:
    """Say so when strips of several screens became one curve."""
    stacks = [one.swatch.stack for one in records if one.swatch.number in gathered.swatches]
    screens = sorted({pass_.screen.name for stack in stacks if stack is not None for pass_ in stack.inked})
    if len(screens) < 2:
        return ()
    told = (
        f"the strips were printed through {len(screens)} screens, {', '.join(screens)}; one curve stands for all, and "
        "dots grow otherwise on another mesh: drop the swatches that are not of the screen of the work"
    )
    return (told,)


def _put(tx: Transaction, found: FitSheet) -> Measure:
    """Put a fit on the shelf as it stands now, and keep the fit with the readings that it rests on."""
    from laydown.services.shop_fits_document import document_of_fit

    shop = load_shop(tx)
    if found.kind == OPTICS:
        ink = shop.ink(found.subject)
        fit: Any = found.fit
        told = MARK + found.source
        source = ink.source.partition(MARK)[0][: LONGEST_SOURCE - len(told)] + told
        item = shelves.get(tx, "inks", ink.name)
        changed = document_of("inks", replace(ink, optics=fit.optics, source=source))
        shelves.put(tx, "inks", changed, revision=item.revision, note=item.note)
    else:
        practice = _practice(shop, found)
        item = shelves.get(tx, "practice", "practice")
        changed = setting_documents(replace(shop, practice=practice))["practice"]
        shelves.put(tx, "practice", changed, revision=item.revision, note=item.note)
    return findings.add_measure(tx, found.kind, found.subject, document_of_fit(found), rests_on=found.readings)


def _practice(shop: Shop, found: FitSheet) -> Any:
    fit: Any = found.fit
    if found.kind == TRANSFER:
        return replace(shop.practice, transfer=replace(fit.transfer, source=found.source))
    return replace(shop.practice, tone_strip=fit.rows, tone_source=found.source)
