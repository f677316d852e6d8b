"""Pages for people: one file a place, each with a ``router``; a new one is added to `PAGE_ROUTERS`."""

from __future__ import annotations

from laydown.web.pages import (
    account,
    exchange,
    jobs,
    log,
    login,
    look,
    new_order,
    orders,
    people,
    plan,
    press,
    programs,
    shelves,
    start,
    static,
    today,
)

PAGE_ROUTERS = (
    static.router,
    today.router,
    start.router,
    login.router,
    look.router,
    new_order.router,
    orders.router,
    plan.router,
    press.router,
    shelves.router,
    exchange.router,
    jobs.router,
    people.router,
    account.router,
    log.router,
    programs.router,
)
