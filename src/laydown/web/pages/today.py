"""Today: what is due, and what needs a decision."""

from __future__ import annotations

import datetime as dt

from starlette.requests import Request
from starlette.responses import Response

from laydown.services import order_book_today, swatch_book
from laydown.services.first_steps import first_steps
from laydown.web.needs import needs
from laydown.web.pages.jobs import told
from laydown.web.pages.lab_words import ago, due_words
from laydown.web.render import render
from laydown.web.routing import State, page_router

router = page_router()


@router.get("/")
@needs("read")
def today(request: Request, state: State) -> Response:
    """Show the day."""
    day = order_book_today.today(state.store, dt.date.today())  # noqa: DTZ011 - the day at the shop
    open_orders = len(day.late) + len(day.soon) + len(day.later)
    steps = first_steps(state.store) if len(day.without_plan) == open_orders else ()
    lab = swatch_book.day(state.store, dt.datetime.now(dt.UTC))
    jobs = [told(job) for job in day.jobs]
    return render(request, "today.html", day=day, steps=steps, jobs=jobs, lab=lab, due_words=due_words, ago=ago)
