"""Long work: how far it is, and calling it off."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from laydown.services import jobs
from laydown.services.job_kinds import JOB_KINDS
from laydown.services.jobs import FINAL, Job
from laydown.web.needs import needs
from laydown.web.render import render
from laydown.web.routing import State, Who, page_router

router = page_router()

RESULT_PAGES = (
    *((kind, "/orders/{order}/plans/{number}") for kind in ("plan", "pictures", "films")),
    ("catalogue", "/catalogue/{job}"),
    ("shop", "/shop/exchange/{job}"),
)
"""By kind of work, where its result is shown; the names are those of the job's result, and ``job`` is its number."""

BACK = (("catalogue", "/catalogue"), ("shop", "/shop/exchange"))
"""By kind of work, where it is asked for, for whoever has to ask again."""


@router.get("/jobs")
@needs("read")
def recent(request: Request, state: State) -> Response:
    """Show what waits, runs and ended lately."""
    return render(request, "jobs.html", jobs=[told(job) for job in jobs.recent(state.store)])


@router.get("/jobs/{job_id}")
@needs("read")
def job(request: Request, state: State, job_id: int) -> Response:
    """Show one piece of work."""
    return render(request, "job.html", job=told(jobs.find(state.store, job_id)))


@router.get("/jobs/{job_id}/state")
@needs("read")
def progress(request: Request, state: State, job_id: int) -> Response:
    """Show how far it is, for the page that asks again and again."""
    return render(request, "parts/job.html", job=told(jobs.find(state.store, job_id)))


@router.post("/jobs/{job_id}/cancel")
@needs("plan")
def cancel(state: State, who: Who, job_id: int) -> Response:
    """Call it off."""
    jobs.cancel(state.store, job_id, who=who.name)
    return RedirectResponse(f"/jobs/{job_id}", 303)


def told(job: Job) -> dict[str, object]:
    """Piece of work as ``parts/job.html`` shows it; other pages include it with the name ``job``."""
    label = next((kind.label for kind in JOB_KINDS if kind.name == job.kind), job.kind)
    page = dict(RESULT_PAGES).get(job.kind, "")
    return {
        "id": job.id,
        "label": label,
        "state": job.state,
        "over": job.state in FINAL,
        "percent": round(100 * job.progress),
        "message": job.message,
        "cancel_asked": job.cancel_asked,
        "result": page.format(**({"job": job.id} | dict(job.result))) if page and job.state == "done" else "",
        "back": dict(BACK).get(job.kind, ""),
        "made_by": job.made_by,
        "created_at": job.created_at,
        "ended_at": job.ended_at,
    }
