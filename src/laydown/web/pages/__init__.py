"""Pages for people: one file a place, each with a ``router``; a new one is added to `PAGE_ROUTERS`."""

from __future__ import annotations

from laydown.web.pages import account, exchange, home, jobs, log, login, look, people, programs, shelves, start, static

PAGE_ROUTERS = (
    static.router,
    home.router,
    start.router,
    login.router,
    look.router,
    shelves.router,
    exchange.router,
    jobs.router,
    people.router,
    account.router,
    log.router,
    programs.router,
)
