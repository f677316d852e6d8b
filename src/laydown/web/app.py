"""The application: every route, the layers around them, and what they share."""

from __future__ import annotations

import secrets
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI

from laydown import __version__
from laydown.services import accounts
from laydown.services.opening import open_database
from laydown.web import problems
from laydown.web.ahead import LookingAhead
from laydown.web.api import API_ROUTERS
from laydown.web.assets import Assets
from laydown.web.desk import Desk
from laydown.web.outer import Outer, Sentences
from laydown.web.pages import PAGE_ROUTERS
from laydown.web.places import LAB_PLACES, NEW_ORDER, PLACES
from laydown.web.render import make_templates
from laydown.web.settings import Settings, check_settings
from laydown.web.state import AppState
from laydown.web.worker import NICENESS
from laydown.web.worker_keeper import WorkerKeeper

LARGEST_BODY = 1_000_000
"""Bytes of a request, unless its route says ``max_body_size``."""


def create_app(settings: Settings) -> FastAPI:
    """Build the application; the database is opened here, so that what is wrong with it is told before serving.

    Parameters
    ----------
    settings : Settings

    Raises
    ------
    InvalidInput
        When the settings would leave a door open.
    StoreUnavailable
        When the database cannot be opened.
    """
    check_settings(settings)
    assets = Assets()
    state = AppState(
        settings=settings,
        store=open_database(settings.database_url),
        assets=assets,
        templates=make_templates(assets),
    )
    if settings.needs_login and not accounts.has_owner(state.store):
        state.setup_code = secrets.token_hex(5)
    app = FastAPI(
        title="laydown",
        version=__version__,
        description="Everything that the pages do, for programs.",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        lifespan=_life,
        max_body_size=LARGEST_BODY,
        # A slash too much is another address; redirecting would lose what was posted.
        redirect_slashes=False,
    )
    app.state.laydown = state
    for router in (*PAGE_ROUTERS, *API_ROUTERS):
        app.include_router(router)
    addresses = {getattr(route, "path", "") for router in PAGE_ROUTERS for route in router.routes}
    state.places = tuple(place for place in (*PLACES, NEW_ORDER) if place.address in addresses)
    lab = tuple(place for place in LAB_PLACES if place.address in addresses)
    state.templates.globals["lab_tabs"] = lambda may: [(one.label, one.address) for one in lab if may(one.need)]
    problems.add_handlers(app)
    app.add_middleware(Outer, settings=settings, on_fault=problems.fault)
    # The framework's limit of bodies stands outside of every layer that can be added, so this is laid around the whole.
    app.middleware_stack = Sentences(app.build_middleware_stack(), settings, problems.too_large)
    return app


@asynccontextmanager
async def _life(app: FastAPI) -> AsyncIterator[None]:
    state: AppState = app.state.laydown
    ahead = LookingAhead(state)
    if state.settings.worker:
        state.worker = WorkerKeeper(state.store)
        state.worker.start()
        state.desk = Desk(own_process=True)
        state.drawing = Desk(own_process=True, kernels=False)
        state.printing = Desk(own_process=True, kernels=False, niceness=NICENESS)
        state.drawing.start()
        ahead.start()
        state.desk.start()
    try:
        yield
    finally:
        ahead.stop()
        for desk in (state.desk, state.drawing, state.printing):
            desk.stop()
        if state.worker is not None:
            state.worker.stop()
        state.store.close()
