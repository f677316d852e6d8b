"""Does long work, one piece after the other, in a process of its own."""

from __future__ import annotations

import datetime as dt
import logging
import os
import threading
import time
from collections.abc import Callable

from laydown.errors import Conflict, LaydownError, StoreUnavailable
from laydown.services.job_kinds import kind_named
from laydown.services.job_progress import Progress, Stopped
from laydown.store import jobs
from laydown.store.database import Store
from laydown.store.jobs import Job

LOOK_S = 0.3
"""How often a worker looks for work."""

BEAT_S = 0.5
"""How often it reports while it works."""

PATIENCE_S = 3.0
"""How long work may go on after it was called off; then the process ends itself, and another takes its place."""

SILENT = dt.timedelta(seconds=30)
"""After so long without a report a worker is taken for dead, also one that another app started."""

STUCK = 75
"""Exit status of a worker that ended itself because its work would not stop."""

log = logging.getLogger("laydown.worker")


def run_worker(store: Store, name: str, *, stop: Callable[[], bool], leave: Callable[[int], None] = os._exit) -> None:
    """Do work until told to stop.

    Parameters
    ----------
    store : Store
        Of this process alone.
    name : str
        What the store calls this worker.
    stop : callable
        Asked between two pieces of work.
    leave : callable
        Ends the process when work that was called off does not end by itself.
    """
    while not stop():
        job = _claimed(store, name)
        if job is None:
            time.sleep(LOOK_S)
        else:
            do_job(store, job, leave=leave)


def do_job(store: Store, job: Job, *, leave: Callable[[int], None] = os._exit) -> None:
    """Do one piece of work that was claimed; whatever goes wrong is told in the store."""
    progress = Progress()
    beat = threading.Event()
    beating = threading.Thread(target=_beat, args=(store, job, progress, beat, leave), daemon=True)
    beating.start()
    try:
        result = kind_named(job.kind).work(store, job, progress)
    except Stopped:
        _tell(store, job, lambda tx: jobs.stopped(tx, job.id))
    except Conflict as error:
        log.info("job %d: %s", job.id, error)
        _tell(store, job, lambda tx, why=str(error): jobs.fail(tx, job.id, why))
    except LaydownError as error:
        _tell(store, job, lambda tx, why=str(error): jobs.fail(tx, job.id, why))
    except Exception as error:
        log.exception("job %d", job.id)
        why = f"something went wrong that should not ({type(error).__name__}); the log of the worker has more"
        _tell(store, job, lambda tx: jobs.fail(tx, job.id, why))
    else:
        _tell(store, job, lambda tx: jobs.finish(tx, job.id, result))
    finally:
        beat.set()
        beating.join()


def give_up(store: Store, worker: str) -> tuple[Job, ...]:
    """Fail what a worker that died was doing; each says so."""
    with store.write(who="worker") as tx:
        lost = [job for job in jobs.recent(tx, states=("running",), limit=1000) if job.worker == worker]
        return tuple(jobs.stopped(tx, job.id) if job.cancel_asked else jobs.fail(tx, job.id, jobs.LOST) for job in lost)


def give_up_silent(store: Store, silent_for: dt.timedelta = SILENT) -> tuple[Job, ...]:
    """Fail what workers were doing that have not reported for long, such as those of a machine that lost its power."""
    with store.write(who="worker") as tx:
        return jobs.give_up_lost(tx, silent_for=silent_for)


def _claimed(store: Store, name: str) -> Job | None:
    try:
        # Looking first keeps the line of writers free while there is nothing to do.
        with store.read() as tx:
            if not jobs.recent(tx, states=("waiting",), limit=1):
                return None
        with store.write(who="worker") as tx:
            return jobs.claim(tx, name)
    except StoreUnavailable as error:
        log.warning("%s", error)
        time.sleep(1.0)
        return None


def _beat(store: Store, job: Job, progress: Progress, over: threading.Event, leave: Callable[[int], None]) -> None:
    asked_at: float | None = None
    while not over.wait(BEAT_S):
        share, message = progress.told()
        try:
            with store.write(who="worker") as tx:
                asked = jobs.report(tx, job.id, progress=share, message=message)
        except Conflict:
            # It ended, or was given up for lost: then its result may not be kept.
            progress.stop()
            continue
        except LaydownError as error:
            log.warning("job %d: %s", job.id, error)
            continue
        if asked:
            progress.stop()
            asked_at = asked_at or time.monotonic()
            if time.monotonic() - asked_at > PATIENCE_S:
                _tell(store, job, lambda tx: jobs.stopped(tx, job.id))
                leave(STUCK)


def _tell(store: Store, job: Job, write: Callable[..., object]) -> None:
    """Write how a job ended, unless it has ended already; waits for a database that is out of reach."""
    for _ in range(60):
        try:
            with store.write(who="worker") as tx:
                if jobs.get(tx, job.id).state == "running":
                    write(tx)
        except StoreUnavailable as error:
            log.warning("job %d: %s", job.id, error)
            time.sleep(1.0)
        else:
            return
