"""The kinds of long work, each with the function that does it; one file a kind, one line here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from laydown.errors import NotFound
from laydown.services.job_films import make_films
from laydown.services.job_fit import fit_cloth
from laydown.services.job_imports import CATALOGUE, SHOP, catalogue_work, shop_work
from laydown.services.job_measure import measure
from laydown.services.job_pictures import make_pictures
from laydown.services.job_plan import plan_version
from laydown.services.job_progress import Progress
from laydown.services.shop_fits import MEASURE
from laydown.store.database import Store
from laydown.store.jobs import Job

Work = Callable[[Store, Job, Progress], Mapping[str, Any]]
"""Does a piece of work and returns where its result is.

It calls the progress now and then, computes outside of any transaction, and writes its result in one transaction that
begins with ``jobs.finish``'s check (see `laydown.services.job_plan`), so that work that was given up leaves nothing.
"""


class JobKind(NamedTuple):
    """A kind of long work: name in the store, what it is called before people, and what does it."""

    name: str
    label: str
    work: Work


JOB_KINDS: tuple[JobKind, ...] = (
    JobKind("plan", "Planning an order", plan_version),
    JobKind("pictures", "Pictures of a print, day by day", make_pictures),
    JobKind("fit", "Fitting a cloth to its tests", fit_cloth),
    JobKind(MEASURE, "Fitting weighings, drawdowns or strips", measure),
    JobKind("films", "Films of a plan", make_films),
    JobKind(CATALOGUE, "Reading a mill's catalogue", catalogue_work),
    JobKind(SHOP, "Putting a shop in", shop_work),
)


def kind_named(name: str) -> JobKind:
    """Kind by its name.

    Raises
    ------
    NotFound
        When this version knows none of that name.
    """
    for kind in JOB_KINDS:
        if kind.name == name:
            return kind
    raise NotFound("kind of work", name, (kind.name for kind in JOB_KINDS))
