"""Readings out of an instrument's file: what was understood, which sample is which swatch, and keeping them."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from laydown.documents.measurement_file import Asked, MeasurementFile
from laydown.documents.measurement_import import read_measurements
from laydown.domain.measurement import ColourMeasurement, Conditions
from laydown.domain.protocol import Reads, Subject
from laydown.domain.reading import Reading
from laydown.errors import InvalidInput, NotFound
from laydown.services import swatch_book
from laydown.services.comparable import compared
from laydown.services.swatch_book import SwatchSheet
from laydown.services.swatch_readings import ask_after
from laydown.store import files, import_mappings, readings, swatches
from laydown.store.database import Store
from laydown.store.readings import StoredReading
from laydown.store.transaction import Transaction

MOST = 2000
"""Samples of one file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Where a sample of a file goes: swatch, part and area."""

    swatch: int
    part: str = ""
    area: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What a file holds and where it would go; nothing is kept but the file itself.

    Attributes
    ----------
    sha256 : str
        Of the file as it is kept.
    targets : tuple of Target or None
        For each measurement, where its name suggests it goes; None where it suggests nothing.
    """

    sha256: str
    file: MeasurementFile
    targets: tuple[Target | None, ...]
    swatches: tuple[SwatchSheet, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What an import did.

    Attributes
    ----------
    new, same : tuple of StoredReading
        Kept now, and kept before: a file that is imported twice is kept once.
    left_out : int
        Samples that were to go nowhere.
    warnings : tuple of str
        What has to be said about comparing them.
    """

    new: tuple[StoredReading, ...]
    same: tuple[StoredReading, ...]
    left_out: int
    warnings: tuple[str, ...]


def preview(store: Store, name: str, content: bytes, *, who: str, asked: Asked | None = None) -> Preview:
    """Read a file and say what was understood.

    Raises
    ------
    InvalidInput
        When it cannot be read; one sentence says why.
    """
    asked = asked or _own_zone(Asked())
    found = read_measurements(name, content, asked=asked)
    if len(found.measurements) > MOST:
        raise InvalidInput(f"the file holds {len(found.measurements)} readings; allowed are up to {MOST}", where=name)
    with store.write(who=who) as tx:
        kept = files.put(tx, content, pack=True)
        remembered = {
            str(one.document.get("sample", "")): one.document for one in import_mappings.remembered(tx, "measurements")
        }
        sheets = swatch_book.sheets_of(tx, swatches.find(tx, states=("planned", "made", "read"), limit=500))
    targets = tuple(_suggested(one, sheets, remembered) for one in found.measurements)
    return Preview(sha256=kept.sha256, file=found, targets=targets, swatches=sheets)


def keep(
    store: Store,
    sha256: str,
    name: str,
    targets: Sequence[Target | None],
    *,
    who: str,
    taken_at: dt.datetime | None = None,
    asked: Asked | None = None,
) -> Imported:
    """Keep the readings of a file that was looked at before.

    Parameters
    ----------
    targets : sequence of Target or None
        For each measurement of the file, in its order.
    taken_at : datetime, optional
        For measurements that do not say when they were taken; None: now.

    Raises
    ------
    NotFound
        When the file or a swatch is not there.
    InvalidInput
        When the numbers of samples differ, or a colour cannot be compared with those that its swatch has; nothing is
        kept then.
    """
    asked = asked or _own_zone(Asked())
    with store.read() as tx:
        content = files.content(tx, sha256)
    found = read_measurements(name, content, asked=asked)
    if len(targets) != len(found.measurements):
        raise InvalidInput(f"the file holds {len(found.measurements)} readings, not {len(targets)}", where=name)
    new: list[StoredReading] = []
    same: list[StoredReading] = []
    warnings: list[str] = []
    with store.write(who=who) as tx:
        before: dict[int, list[Reading]] = {}
        for index, (measured, target) in enumerate(zip(found.measurements, targets, strict=True)):
            if target is None:
                continue
            stored = swatches.get(tx, target.swatch)
            made_at = stored.swatch.made_at
            if made_at is None:
                raise InvalidInput(
                    f"swatch {target.swatch} is not made yet; say first when it left the dryer", where=measured.name
                )
            parts = {step.part for step in stored.protocol.steps if step.part}
            if target.part and target.part not in parts:
                raise NotFound("part of the swatch", target.part, sorted(parts))
            reading = Reading(
                swatch=target.swatch,
                reads=Reads.COLOUR,
                value=replace(measured, file=name),
                taken_at=measured.taken_at or taken_at or tx.now,
                operator=measured.conditions.operator[:80] or who,
                part=target.part,
                area=target.area,
            )
            key = f"file-{sha256[:40]}-{index}-{target.swatch}"
            there = readings.find(tx, key)
            if there is not None:
                same.append(there)
                continue
            known = before.setdefault(target.swatch, [row.reading for row in readings.of_swatch(tx, target.swatch)])
            try:
                warnings += compared(known, measured)
            except InvalidInput as error:
                raise InvalidInput(error.what, where=f"{name}, {measured.name}") from None
            kept, _ = readings.add(tx, reading, key=key, file_sha256=sha256)
            known.append(kept.reading)
            new.append(kept)
        for number in before:
            swatch_book.settle(tx, number)
            ask_after(tx, swatches.get(tx, number), (Reads.COLOUR,))
        _remember(tx, found.measurements, targets)
    return Imported(
        new=tuple(new),
        same=tuple(same),
        left_out=sum(target is None for target in targets),
        warnings=tuple(dict.fromkeys(warnings)),
    )


def asked_of(fields: Mapping[str, str]) -> Asked:
    """What somebody adds to a file: ``light``, ``mode``, ``geometry``, ``backing``, ``instrument``, ``skip`` of a form.

    Raises
    ------
    InvalidInput
        When it is no condition.
    """
    from laydown.domain.measurement import Backing, Geometry, MeasurementMode

    light, _, angle = fields.get("light", "").partition("/")
    try:
        assumed = Conditions(
            illuminant=light.strip(),
            observer=angle.strip(),
            mode=MeasurementMode(fields.get("mode") or "unknown"),
            geometry=Geometry(fields.get("geometry") or "unknown"),
            backing=Backing(fields.get("backing") or "unknown"),
            instrument=fields.get("instrument", "").strip(),
        )
    except ValueError as error:
        raise error if isinstance(error, InvalidInput) else InvalidInput(str(error), where="conditions") from None
    return _own_zone(Asked(assumed=assumed, skip_bad=fields.get("skip") == "yes"))


def _own_zone(asked: Asked) -> Asked:
    """Moments that name no zone are by the shop's own clock."""
    return replace(asked, zone=dt.datetime.now().astimezone().tzinfo)


def _suggested(
    measured: ColourMeasurement, sheets: Sequence[SwatchSheet], remembered: Mapping[str, Mapping[str, object]]
) -> Target | None:
    """Where a sample's name says it goes: ``swatch 12 warm``, ``12-cool``, ``7 film over black``, or as last time."""
    words = measured.name.casefold()
    by_number = {sheet.stored.number: sheet for sheet in sheets}
    for found in re.findall(r"(?<!\d)\d{1,6}(?!\d)", words):
        sheet = by_number.get(int(found))
        if sheet is None:
            continue
        parts = dict.fromkeys(step.part for step in sheet.protocol.steps if step.part)
        rest = set(re.findall(r"[a-zäöüß]+", words)) - {"swatch", "half"}
        part = next((one for one in parts if rest & (set(one.casefold().split()) - {"half"})), "")
        return Target(swatch=sheet.stored.number, part=part, area=_area_named(sheet, words))
    kept = remembered.get(measured.name)
    if kept is not None and kept.get("swatch") in by_number:
        number = kept["swatch"]
        assert isinstance(number, int)
        return Target(swatch=number, part=str(kept.get("part", "")), area=str(kept.get("area", "")))
    return None


def _area_named(sheet: SwatchSheet, words: str) -> str:
    """Area of the swatch that a sample's name tells: a ground of a drawdown, a patch of a strip."""
    from laydown.lab.shop_evidence import BLACK, CLOTH, SOLID, WHITE

    if sheet.protocol.subject is Subject.INK_OPTICS:
        return next((area for area in (BLACK, WHITE) if area in words), "")
    if sheet.protocol.subject is Subject.TONE:
        tone = re.search(r"(\d{1,3}(?:[.,]\d+)?)\s*%", words)
        return f"{tone[1]} %" if tone else next((area for area in (CLOTH, SOLID) if area in words), "")
    return ""


def _remember(tx: Transaction, measurements: Sequence[ColourMeasurement], targets: Sequence[Target | None]) -> None:
    told: dict[str, Target] = {}
    for measured, target in zip(measurements, targets, strict=True):
        if target is not None:
            told[measured.name] = target
    for name, target in list(told.items())[:200]:
        document = {"sample": name, "swatch": target.swatch, "part": target.part, "area": target.area}
        import_mappings.remember(tx, "measurements", name[:80], document)
