"""The lab out of the store and into it: swatches, readings, findings and measures as one file, photos beside it."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from sqlalchemy import select

from laydown.documents.finding_document import FINDINGS_FILE, finding_document, finding_from
from laydown.documents.reading_value import value_from
from laydown.documents.toml_file import text_from_bytes
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading
from laydown.domain.swatch import Swatch, SwatchState
from laydown.errors import InvalidInput, NotFound
from laydown.store import files, findings, import_mappings, orders, readings, swatches
from laydown.store import schema as tables
from laydown.store.row_copy import count_on
from laydown.store.swatch_documents import print_text, read_print
from laydown.store.transaction import Transaction, json_text, storable

LAB_FILE = FINDINGS_FILE
"""File of a shop's folder that holds its lab; only there when there is something in it."""

DOCUMENTS = "lab"
"""Folder within a shop's folder: photos and instruments' files by their SHA-256."""

LARGEST = 100_000_000
VERSION = 1


def export_lab(tx: Transaction) -> dict[str, str | bytes]:
    """Files of the lab by name within the shop's folder; none when the lab is empty.

    What refers to something refers to it by its key, so that it holds in any store.
    """
    rows = [_swatch(tx, row) for row in tx.run(select(tables.swatches).order_by(tables.swatches.c.id))]
    keys = {row.id: row.key for row in tx.run(select(tables.readings.c.id, tables.readings.c.key))}
    document: dict[str, Any] = {
        "version": VERSION,
        "swatches": rows,
        "mappings": [
            {"kind": row.kind, "name": row.name, "document": json.loads(row.document)}
            for row in tx.run(select(tables.import_mappings).order_by(*tables.import_mappings.primary_key.columns))
        ],
        "findings": [
            {
                "finding": finding_document(findings.finding(tx, head)),
                "report": findings.report(tx, head),
                "rests_on": [keys[number] for number in head.rests_on if number in keys],
                "made_by": head.made_by,
            }
            for head in findings.every(tx)
        ],
        "measures": [
            {
                "kind": one.kind,
                "subject": one.subject,
                "document": one.document,
                "rests_on": [keys[number] for number in one.rests_on if number in keys],
                "fitted_at": one.fitted_at.isoformat(),
                "made_by": one.made_by,
            }
            for one in findings.every_measure(tx)
        ],
    }
    if not any(document[key] for key in ("swatches", "mappings", "findings", "measures")):
        return {}
    kept = {reading["file"] for row in rows for reading in row["readings"] if reading["file"]}
    made: dict[str, str | bytes] = {LAB_FILE: json.dumps(document, indent=1, sort_keys=True, allow_nan=False) + "\n"}
    return made | {f"{DOCUMENTS}/{sha}.bin": files.content(tx, sha) for sha in sorted(kept)}


def import_lab(tx: Transaction, folder: Path) -> int:
    """Take the lab of a shop's folder in; swatches that are there already, by their keys, stay as they are.

    A swatch keeps its number where that is free, and gets the next one where it is not.

    Returns
    -------
    int
        Swatches that are new.

    Raises
    ------
    InvalidInput
        When the file cannot be used; the sentence says where.
    """
    path = folder / LAB_FILE
    if not path.exists():
        return 0
    where = str(path)
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as error:
        raise InvalidInput(f"the file cannot be read ({error.strerror or error})", where=where) from None
    if len(content) > LARGEST:
        raise InvalidInput(f"the file is larger than {LARGEST // 1_000_000} MB, the most that is read", where=where)
    try:
        document = json.loads(text_from_bytes(content, where=where))
        _check_version(document["version"])
        numbers: dict[int, int] = {}
        new = sum(_take_in(tx, one, folder, numbers) for one in document["swatches"])
        for one in document["mappings"]:
            import_mappings.remember(tx, one["kind"], one["name"], one["document"])
        _take_results(tx, document, numbers)
    except InvalidInput as error:
        raise InvalidInput(error.what, where=where if not error.where else f"{where}, {error.where}") from None
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError) as error:
        raise InvalidInput(f"this describes no lab ({type(error).__name__}: {error})", where=where) from None
    if tx.connection.dialect.name == "postgresql":
        count_on(tx.connection)
    return new


def _check_version(version: object) -> None:
    if version != VERSION:
        raise InvalidInput(f"version {version!r} is unknown; this laydown reads {VERSION}")


def _swatch(tx: Transaction, row: Any) -> dict[str, Any]:
    steps = tx.run(
        select(tables.swatch_steps).where(tables.swatch_steps.c.swatch_id == row.id).order_by(tables.swatch_steps.c.id)
    )
    taken = readings.of_swatch(tx, row.id)
    keys = {one.number: one.key for one in taken}
    order = orders.get(tx, row.order_id) if row.order_id is not None else None
    return {
        "number": row.id,
        "key": row.key,
        "protocol": row.protocol,
        "garment": row.garment,
        "lot": row.lot,
        "ink": row.ink,
        "print": json.loads(row.document),
        "state": row.state,
        "made_at": _told(row.made_at),
        "order": {"id": order.id, "identifier": order.identifier, "name": order.name} if order else None,
        "plan": row.plan_number,
        "note": row.note,
        "started_at": _told(row.started_at),
        "started_by": row.started_by,
        "changed_at": _told(row.changed_at),
        "changed_by": row.changed_by,
        "steps": [
            {
                "key": one.key,
                "step": one.step,
                "done": one.done,
                "happened_at": _told(one.happened_at),
                "received_at": _told(one.received_at),
                "made_by": one.made_by,
            }
            for one in steps
        ],
        "readings": [
            {
                "number": one.number,
                "key": one.key,
                "reads": str(one.reading.reads),
                "part": one.reading.part,
                "area": one.reading.area,
                "value": readings.document_of(one.reading),
                "taken_at": _told(one.reading.taken_at),
                "operator": one.reading.operator,
                "corrects": keys[one.reading.corrects] if one.reading.corrects is not None else None,
                "note": one.reading.note,
                "file": one.file_sha256,
                "received_at": _told(one.received_at),
                "made_by": one.made_by,
            }
            for one in taken
        ],
    }


def _take_in(tx: Transaction, one: Mapping[str, Any], folder: Path, numbers: dict[int, int]) -> bool:
    there = tx.run(select(tables.swatches.c.id).where(tables.swatches.c.key == one["key"])).scalar()
    if there is not None:
        numbers[int(one["number"])] = int(there)
        return False
    where = f"swatch {one['number']}"
    # The records refuse what cannot be.
    told = json_text(one["print"])
    printed = read_print(told)
    swatch = Swatch(
        protocol=one["protocol"],
        garment=one["garment"],
        lot=one["lot"],
        ink=one["ink"],
        stack=printed.stack,
        run=printed.run,
        inked_area=printed.inked_area,
        film_thickness=printed.film_thickness,
        made_at=_moment(one["made_at"], where),
        state=SwatchState(one["state"]),
        order=_order(tx, one["order"]),
        plan=one["plan"],
        note=one["note"],
    )
    number = int(one["number"])
    free = number > 0 and tx.run(select(tables.swatches.c.id).where(tables.swatches.c.id == number)).first() is None
    line = tx.log("import", "swatch", str(one["key"])[:200], after={"number": number})
    made = tx.run(
        tables.swatches.insert().values(
            **swatches.columns_of(swatch if swatch.order is not None else replace(swatch, plan=None)),
            **({"id": number} if free else {}),
            key=storable("the key", one["key"], most=80),
            document=print_text(swatch, printed.protocol, printed.garment, printed.dryer),
            revision=line,
            started_at=_needed(one["started_at"], where),
            started_by=storable("the name", one["started_by"], most=80),
            changed_at=_needed(one["changed_at"], where),
            changed_by=storable("the name", one["changed_by"], most=80),
        )
    )
    given = int((made.inserted_primary_key or (number,))[0])
    numbers[number] = given
    for step in one["steps"]:
        tx.run(
            tables.swatch_steps.insert().values(
                swatch_id=given,
                key=storable("the key", step["key"], most=80),
                step=int(step["step"]),
                done=bool(step["done"]),
                happened_at=_needed(step["happened_at"], where),
                received_at=_needed(step["received_at"], where),
                made_by=storable("the name", step["made_by"], most=80),
            )
        )
    known: dict[str, int] = {}
    for reading in one["readings"]:
        known[reading["key"]] = _take_reading(tx, given, reading, known, folder, where)
    return True


def _take_reading(
    tx: Transaction, swatch: int, one: Mapping[str, Any], known: Mapping[str, int], folder: Path, where: str
) -> int:
    reads = Reads(one["reads"])
    sha = one["file"]
    if sha is not None:
        _take_file(tx, str(sha), folder)
    reading = Reading(
        swatch=swatch,
        reads=reads,
        value=value_from(one["value"], reads, where=where),
        taken_at=_needed(one["taken_at"], where),
        operator=one["operator"],
        part=one["part"],
        area=one["area"],
        corrects=known[one["corrects"]] if one["corrects"] is not None else None,
        note=one["note"],
    )
    there = tx.run(select(tables.readings.c.id).where(tables.readings.c.id == int(one["number"]))).first()
    made = tx.run(
        tables.readings.insert().values(
            **readings.columns_of(reading, sha),
            **({"id": int(one["number"])} if there is None and int(one["number"]) > 0 else {}),
            key=storable("the key", one["key"], most=80),
            received_at=_needed(one["received_at"], where),
            made_by=storable("the name", one["made_by"], most=80),
        )
    )
    return int((made.inserted_primary_key or (one["number"],))[0])


def _take_file(tx: Transaction, sha: str, folder: Path) -> None:
    if files.find(tx, sha) is not None:
        return
    path = folder / DOCUMENTS / f"{Path(sha).name}.bin"
    try:
        content = path.read_bytes()
    except OSError:
        raise InvalidInput("a photo or file of a reading is missing", where=f"{DOCUMENTS}/{sha[:12]}") from None
    if files.put(tx, content).sha256 != sha:
        raise InvalidInput("the content is not the one that its name says", where=f"{DOCUMENTS}/{sha[:12]}")


def _take_results(tx: Transaction, document: Mapping[str, Any], numbers: Mapping[int, int]) -> None:
    keys = {row.key: row.id for row in tx.run(select(tables.readings.c.id, tables.readings.c.key))}
    there = {(one.finding_sha256, one.rests_on) for one in findings.every(tx)}
    for one in document["findings"]:
        found = finding_from(one["finding"], where="findings")
        found = replace(found, swatches=tuple(numbers.get(number, number) for number in found.swatches))
        rests_on = tuple(sorted(keys[key] for key in one["rests_on"] if key in keys))
        if (findings.sha256_of(found), rests_on) not in there:
            findings.add(tx, found, rests_on=rests_on, report=one["report"], made_by=str(one["made_by"])[:80])
    measured = {(one.kind, one.subject, json_text(dict(one.document))) for one in findings.every_measure(tx)}
    for one in document["measures"]:
        if (one["kind"], one["subject"], json_text(one["document"])) not in measured:
            findings.add_measure(
                tx,
                one["kind"],
                one["subject"],
                one["document"],
                rests_on=[keys[key] for key in one["rests_on"] if key in keys],
                fitted_at=_needed(one["fitted_at"], "measures"),
                made_by=str(one["made_by"])[:80],
            )


def _order(tx: Transaction, told: Mapping[str, Any] | None) -> int | None:
    """Order of a swatch, where this store has the very one; the same number may be another order's elsewhere."""
    if told is None:
        return None
    try:
        found = orders.get(tx, int(told["id"]))
    except NotFound:
        return None
    return found.id if (found.identifier, found.name) == (told["identifier"], told["name"]) else None


def _told(moment: dt.datetime | None) -> str | None:
    return moment.isoformat() if moment is not None else None


def _moment(said: str | None, where: str) -> dt.datetime | None:
    return _needed(said, where) if said is not None else None


def _needed(said: Any, where: str) -> dt.datetime:
    try:
        moment = dt.datetime.fromisoformat(said)
    except (TypeError, ValueError):
        raise InvalidInput(f"{said!r} is no moment", where=where) from None
    if moment.tzinfo is None:
        raise InvalidInput(f"{said!r} names no time zone", where=where)
    return moment.astimezone(dt.UTC)
