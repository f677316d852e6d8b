"""The JSON interface: one file a part, each with a ``router``; a new one is added to `API_ROUTERS`."""

from __future__ import annotations

from fastapi import APIRouter

from laydown.web.api import (
    dryers,
    jobs,
    lab,
    lab_list,
    lab_measured,
    log,
    looking_back,
    orders,
    people,
    plans,
    press,
    schema,
    shelves,
    shop,
)

API_ROUTERS: tuple[APIRouter, ...] = (
    shop.router,
    orders.router,
    plans.router,
    press.router,
    lab.router,
    lab_list.router,
    lab_measured.router,
    dryers.router,
    shelves.router,
    people.router,
    log.router,
    looking_back.router,
    jobs.router,
    schema.router,
)
