"""Long work of the kinds ``catalogue`` and ``shop``: look at a file, or put what is in it onto the shelves."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from laydown.documents.garment_catalogue import CatalogueRow
from laydown.errors import NotFound
from laydown.services import exchange
from laydown.services.exchange import CatalogueComparison, CatalogueMapping
from laydown.services.job_progress import Progress
from laydown.store import files, jobs
from laydown.store.database import Store
from laydown.store.jobs import Job
from laydown.store.transaction import Transaction

CATALOGUE, SHOP = "catalogue", "shop"
"""Kinds of this work."""

MOST_ROWS = 200
"""Rows and mistakes that a result tells one by one."""

MOST_NAMES = 20_000


def ask_for_catalogue(
    store: Store,
    content: bytes | str,
    name: str,
    mapping: CatalogueMapping,
    *,
    who: str,
    do: bool = False,
    change_present: bool = False,
    leave_out_mistakes: bool = False,
) -> Job:
    """Ask for a look at a mill's catalogue, or for its import.

    Parameters
    ----------
    content : bytes or str
        The file, or the SHA-256 under which an earlier look kept it.
    name : str
        What the file is called.
    do : bool
        False: a dry run.

    Raises
    ------
    NotFound
        When no such file is kept.
    """
    with store.write(who=who) as tx:
        request = {
            "sha256": _kept(tx, content),
            "name": name,
            "columns": {key: list(heads) for key, heads in mapping.columns.items()},
            "fixed": dict(mapping.fixed),
            "words": {key: dict(words) for key, words in mapping.words.items()},
            "decimal": mapping.decimal,
            "do": do,
            "change_present": change_present,
            "leave_out_mistakes": leave_out_mistakes,
        }
        return jobs.add(tx, CATALOGUE, request)


def ask_for_shop(store: Store, content: bytes | str, *, who: str, do: bool = False) -> Job:
    """Ask for a look at a shop's archive, or for putting it in; the parameters are those of `ask_for_catalogue`."""
    with store.write(who=who) as tx:
        return jobs.add(tx, SHOP, {"sha256": _kept(tx, content), "do": do})


def work_of(store: Store, kind: str, job_id: int) -> Job:
    """Work of one of these kinds by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    with store.read() as tx:
        job = jobs.get(tx, job_id)
    if job.kind != kind:
        raise NotFound("job", str(job_id), ())
    return job


def file_of(store: Store, job: Job) -> bytes:
    """File that such work is about."""
    with store.read() as tx:
        return files.content(tx, str(job.request["sha256"]))


def mapping_of(job: Job) -> CatalogueMapping:
    """What the columns of a catalogue were said to mean."""
    asked = job.request
    return CatalogueMapping(
        columns={key: tuple(heads) for key, heads in asked["columns"].items()},
        fixed=asked["fixed"],
        words=asked["words"],
        decimal=asked["decimal"],
    )


def catalogue_work(store: Store, job: Job, progress: Progress) -> Mapping[str, Any]:
    """Compare a catalogue with the shelf, or put its garments there.

    Returns
    -------
    mapping
        ``done``; ``heads`` of the columns, of a dry run; ``new``, ``changed`` and ``same`` with the names;
        ``mistakes`` (how many), ``left_out`` (rows), ``rows`` and ``wrong`` (the first `MOST_ROWS` one by one).

    Raises
    ------
    InvalidInput
        When the file cannot be used, or a row is wrong and may not be left out; nothing was written then.
    """
    asked = job.request
    name, mapping, content = str(asked["name"]), mapping_of(job), file_of(store, job)

    def read(share: float) -> None:
        progress("reading the rows", 0.05 + 0.75 * share)

    if not asked["do"]:
        found = exchange.compare_catalogue(store, content, mapping, name, progress=read)
        return _told(found, done=False) | {"heads": list(exchange.heads_of(content, name))}
    made: dict[str, Any] = {}

    def then(tx: Transaction, found: CatalogueComparison) -> None:
        made.update(_told(found, done=True))
        jobs.finish(tx, job.id, made)

    exchange.import_catalogue(
        store,
        content,
        mapping,
        name,
        who=job.made_by,
        change_present=bool(asked["change_present"]),
        leave_out_mistakes=bool(asked["leave_out_mistakes"]),
        progress=read,
        then=then,
    )
    return made


def shop_work(store: Store, job: Job, progress: Progress) -> Mapping[str, Any]:
    """Say what a shop's archive would change, or put it in.

    Returns
    -------
    mapping
        ``done``, ``name`` of the shop and, of a dry run, ``changes``.

    Raises
    ------
    InvalidInput
        When the archive or a file in it cannot be used; nothing was changed then.
    """
    progress("reading the shop", 0.1)
    content = file_of(store, job)
    name, changes = exchange.read_in(store, content)
    if not job.request["do"]:
        return {"done": False, "name": name, "changes": list(changes)}
    progress("changing the shelves", 0.5)
    made = {"done": True, "name": name}
    exchange.put_in(store, content, who=job.made_by, then=lambda tx, _name: _finish(tx, job, made))
    return made


def _finish(tx: Transaction, job: Job, result: Mapping[str, Any]) -> None:
    jobs.finish(tx, job.id, result)


def _kept(tx: Transaction, content: bytes | str) -> str:
    if isinstance(content, bytes):
        return files.put(tx, content, pack=True).sha256
    next(files.chunks(tx, content), None)
    return content


def _told(found: CatalogueComparison, *, done: bool) -> dict[str, Any]:
    parts = {"new": found.new, "changed": found.changed, "same": found.same}
    return {
        "done": done,
        **{part: [row.garment.name for row in rows[:MOST_NAMES]] for part, rows in parts.items()},
        "rows": {part: _rows(parts[part]) for part in ("new", "changed")},
        "mistakes": len(found.mistakes),
        "left_out": len({one.line for one in found.mistakes}),
        "wrong": [
            {"line": one.line, "column": one.column, "value": one.value, "what": one.what}
            for one in found.mistakes[:MOST_ROWS]
        ],
    }


def _rows(rows: tuple[CatalogueRow, ...]) -> list[dict[str, Any]]:
    return [
        {
            "line": row.line,
            "name": row.garment.name,
            "content": str(row.garment.content),
            "structure": str(row.garment.structure),
        }
        for row in rows[:MOST_ROWS]
    ]
