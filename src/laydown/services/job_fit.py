"""Long work of the kind ``fit``: fit the bleed model to the swatches of a cloth lot and keep the finding."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from laydown.services.cloth_fit import fitted, records_of
from laydown.services.job_progress import Progress
from laydown.store import findings, jobs
from laydown.store.database import Store
from laydown.store.jobs import Job


def fit_cloth(store: Store, job: Job, progress: Progress) -> Mapping[str, Any]:
    """Fit the cloth lot that the job names.

    Parameters
    ----------
    store : Store
    job : Job
        Its request has ``garment`` and ``lot``.
    progress : Progress

    Returns
    -------
    mapping
        ``garment``, ``lot`` and the ``finding``'s number; None where no reading of it tells of bleed.

    Raises
    ------
    NotFound
        When no swatch is of it.
    Conflict
        When the job was given up meanwhile; nothing was kept then.
    """
    from laydown.services.cloth_fit_report import report_document

    garment, lot = str(job.request["garment"]), str(job.request["lot"])
    progress("gathering readings", 0.1)
    with store.read() as tx:
        shop, cloth, records, numbers = records_of(tx, garment, lot)
    progress(f"fitting {garment}" + (f", lot {lot}" if lot else ""), 0.2)
    fit, found = fitted(shop, cloth, records, dt.datetime.now(dt.UTC))
    progress("telling what it found", 0.8)
    told = report_document(shop, fit, records)
    result: dict[str, Any] = {"garment": garment, "lot": lot, "finding": None}
    with store.write(who=job.made_by) as tx:
        if fit.evidence.readings:
            result["finding"] = findings.add(tx, found, rests_on=numbers, report=told).number
        # In the same transaction: a finding is kept exactly when its job is done.
        jobs.finish(tx, job.id, result)
    return result
