"""Long work of the kind ``measure``: fit what new readings say of the shop's own screens or inks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from laydown.services.job_progress import Progress
from laydown.services.shop_fits import use_when_clear
from laydown.store import jobs
from laydown.store.database import Store
from laydown.store.jobs import Job
from laydown.store.transaction import Transaction


def measure(store: Store, job: Job, progress: Progress) -> Mapping[str, Any]:
    """Fit the thing that the job names; where readings contradict each other plans wait until somebody has looked.

    Parameters
    ----------
    store : Store
    job : Job
        Its request has ``kind`` and ``subject``.
    progress : Progress

    Returns
    -------
    mapping
        ``kind``, ``subject``, and whether it is ``used`` now.

    Raises
    ------
    NotFound
        When the ink left its shelf.
    Conflict
        When the job was given up meanwhile; nothing was kept then.
    """
    kind, subject = str(job.request["kind"]), str(job.request["subject"])
    progress(f"fitting {subject or kind}", 0.2)
    about = {"kind": kind, "subject": subject}

    def finish(tx: Transaction, used: bool) -> None:
        # In the same transaction: what plans use changes exactly when the job is done.
        jobs.finish(tx, job.id, about | {"used": used})

    return about | {"used": use_when_clear(store, kind, subject, who=job.made_by, then=finish)}
