"""Long work that is done outside the web process: what waits, how far it is, what came of it."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store.schema import jobs
from laydown.store.transaction import Transaction, json_text, plain, storable

FINAL = ("done", "failed", "cancelled")
LOST = "the program that did this work stopped before its end; start it again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A piece of long work.

    Attributes
    ----------
    state : str
        One of `laydown.store.words.JOB_STATES`.
    request : dict
        What is to be done, as the service that asked for it describes it.
    progress : float
        Share of one.
    message : str
        What is being done, or why it failed: one sentence.
    result : dict
        Where the result is (a plan's number, a file's SHA-256); empty until done.
    cancel_asked : bool
        Whether somebody wants it to stop; the worker looks at what `report` returns.
    worker : str
        Who does it.
    heard_at : datetime or None
        When the worker last reported.
    """

    id: int
    kind: str
    state: str
    request: Mapping[str, Any]
    progress: float
    message: str
    result: Mapping[str, Any]
    cancel_asked: bool
    worker: str
    heard_at: dt.datetime | None
    created_at: dt.datetime
    started_at: dt.datetime | None
    ended_at: dt.datetime | None
    made_by: str


def add(tx: Transaction, kind: str, request: Mapping[str, Any]) -> Job:
    """Ask for a piece of work."""
    storable("the kind of work", kind, most=40, needed=True)
    made = tx.run(
        jobs.insert().values(
            kind=kind,
            state="waiting",
            request=json_text(dict(request)),
            progress=0.0,
            message="",
            result="{}",
            cancel_asked=False,
            worker="",
            created_at=tx.now,
            made_by=tx.who,
        )
    ).inserted_primary_key
    if made is None:  # pragma: no cover - both databases return it
        raise RuntimeError("the job got no number")
    tx.log("add", "job", str(made[0]), after={"kind": kind})
    return get(tx, int(made[0]))


def claim(tx: Transaction, worker: str, *, kinds: Sequence[str] = ()) -> Job | None:
    """Take the piece of work that waits longest (of some kinds, or of any); None when nothing waits.

    No two workers get the same piece.
    """
    storable("the worker", worker, most=80, needed=True)
    asked = select(jobs.c.id).where(jobs.c.state == "waiting").order_by(jobs.c.id).limit(1)
    found = tx.run(asked.where(jobs.c.kind.in_(kinds)) if kinds else asked).scalar()
    if found is None:
        return None
    tx.log("start", "job", str(found), after={"worker": worker})
    _set(tx, found, state="running", worker=worker, started_at=tx.now, heard_at=tx.now)
    return get(tx, found)


def report(tx: Transaction, job_id: int, *, progress: float, message: str = "") -> bool:
    """Say how far a running piece of work is; returns whether it is to stop. Not logged: it changes nothing.

    Raises
    ------
    Conflict
        When it runs no longer, as it was given up for lost.
    """
    job = _running(tx, job_id)
    _set(tx, job_id, progress=min(max(progress, 0.0), 1.0), message=plain(message, most=2000), heard_at=tx.now)
    return job.cancel_asked


def finish(tx: Transaction, job_id: int, result: Mapping[str, Any]) -> Job:
    """Say that a running piece of work is done, and where its result is.

    Raises
    ------
    Conflict
        When it runs no longer, as it was given up for lost; write nothing of it then.
    """
    _running(tx, job_id)
    return _end(tx, job_id, "done", result=json_text(dict(result)), progress=1.0, message="")


def fail(tx: Transaction, job_id: int, why: str) -> Job:
    """Say that a running piece of work failed, in one sentence; raises as `finish`."""
    _running(tx, job_id)
    return _end(tx, job_id, "failed", message=plain(why, most=2000))


def stopped(tx: Transaction, job_id: int) -> Job:
    """Say that a running piece of work stopped because it was asked to; raises as `finish`."""
    _running(tx, job_id)
    return _end(tx, job_id, "cancelled")


def ask_cancel(tx: Transaction, job_id: int) -> Job:
    """Ask for an end: what waits is cancelled at once, what runs when its worker hears of it.

    Raises
    ------
    NotFound
        When there is no such piece of work.
    InvalidInput
        When it has ended already.
    """
    job = get(tx, job_id)
    if job.state in FINAL:
        raise InvalidInput(f"this work is {job.state} already", where="state")
    if job.state == "waiting":
        return _end(tx, job_id, "cancelled")
    if not job.cancel_asked:
        tx.log("cancel", "job", str(job_id))
        _set(tx, job_id, cancel_asked=True)
    return get(tx, job_id)


def give_up_lost(tx: Transaction, *, silent_for: dt.timedelta) -> tuple[Job, ...]:
    """Fail every running piece of work whose worker has not reported for so long; returns them."""
    silent = select(jobs.c.id).where(jobs.c.state == "running", jobs.c.heard_at < tx.now - silent_for)
    return tuple(_end(tx, found, "failed", message=LOST) for found in tx.run(silent).scalars().all())


def get(tx: Transaction, job_id: int) -> Job:
    """Piece of work by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(jobs).where(jobs.c.id == job_id)).first()
    if row is None:
        raise NotFound("job", str(job_id), ())
    return _job(row)


def recent(tx: Transaction, *, states: Sequence[str] = (), limit: int = 50) -> tuple[Job, ...]:
    """Pieces of work, the newest first."""
    asked = select(jobs).order_by(jobs.c.id.desc()).limit(limit)
    return tuple(_job(row) for row in tx.run(asked.where(jobs.c.state.in_(states)) if states else asked))


def _running(tx: Transaction, job_id: int) -> Job:
    job = get(tx, job_id)
    if job.state != "running":
        raise Conflict(f"this work is {job.state} and runs no longer", kind="job", name=str(job_id), present=job)
    return job


def _end(tx: Transaction, job_id: int, state: str, **values: Any) -> Job:
    tx.log(state, "job", str(job_id), after={key: value for key, value in values.items() if key != "progress"})
    _set(tx, job_id, state=state, ended_at=tx.now, **values)
    return get(tx, job_id)


def _set(tx: Transaction, job_id: int, **values: Any) -> None:
    tx.run(jobs.update().where(jobs.c.id == job_id).values(**values))


def _job(row: Row[Any]) -> Job:
    values = dict(row._mapping)  # noqa: SLF001 - SQLAlchemy's public name for it
    return Job(**(values | {"request": json.loads(row.request), "result": json.loads(row.result)}))
