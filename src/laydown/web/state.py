"""Everything the app holds on to while it runs; it hangs on the application, nothing is global."""

from __future__ import annotations

import secrets
import threading
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from starlette.requests import Request

from laydown.services.opening import Store
from laydown.web.assets import Assets
from laydown.web.desk import Desk
from laydown.web.limiter import Limiter
from laydown.web.settings import Settings

if TYPE_CHECKING:
    from jinja2 import Environment

    from laydown.web.worker_keeper import WorkerKeeper


@dataclass(slots=True, kw_only=True)
class AppState:
    """What requests share.

    Attributes
    ----------
    secret : bytes
        For the tokens of forms of people who are not logged in; another one at each start.
    setup_code : str
        With it the first owner is made; empty once there is one, or when no login is needed.
    password_checks : BoundedSemaphore
        Each takes 64 MB for a moment.
    shop_started : bool
        Whether a shop was seen in the store; before, pages lead to the first run.
    desk : Desk
        Answers within a second what takes more than a page may take: what-if, a changed plan.
    drawing : Desk
        Makes what pages show of a plan, so that a page never waits for a forecast.
    printing : Desk
        Makes tickets, which with art take seconds; its process begins with the first.
    """

    settings: Settings
    store: Store
    assets: Assets
    templates: Environment
    places: tuple[Any, ...] = ()
    secret: bytes = field(default_factory=lambda: secrets.token_bytes(32))
    setup_code: str = ""
    tries: Limiter = field(default_factory=Limiter)
    password_checks: threading.BoundedSemaphore = field(default_factory=lambda: threading.BoundedSemaphore(2))
    shop_started: bool = False
    worker: WorkerKeeper | None = None
    desk: Desk = field(default_factory=lambda: Desk(own_process=False))
    drawing: Desk = field(default_factory=lambda: Desk(own_process=False, kernels=False))
    printing: Desk = field(default_factory=lambda: Desk(own_process=False, kernels=False))


def state_of(request: Request) -> AppState:
    """State of the application that a request belongs to."""
    found: AppState = request.app.state.laydown
    return found
