"""Look at the plans of open orders ahead, so that whoever opens one in the morning does not wait for its drawings."""

from __future__ import annotations

import datetime as dt
import logging
import threading
from collections.abc import Callable

from laydown.errors import LaydownError
from laydown.services import opening, order_book_today
from laydown.web.pages.plan import view_of
from laydown.web.refusal import Refusal
from laydown.web.render import Taste
from laydown.web.state import AppState

log = logging.getLogger("laydown.web")

MOST = 60
"""Plans that are looked at; the soonest due come first."""


def look_ahead(state: AppState, *, over: Callable[[], bool]) -> int:
    """View the plans of open orders one after the other, as pages will show them; returns how many.

    Parameters
    ----------
    over : callable
        Asked before each: whether the app is about to end.
    """
    looked = 0
    try:
        shop = opening.shop_head(state.store)
        if shop is None:
            return 0
        # The first page of everybody's day reads the tests of every plan in use; it remembers them.
        order_book_today.today(state.store, dt.date.today())  # noqa: DTZ011 - the day at the shop
        for plan in order_book_today.plans_in_use(state.store, limit=MOST):
            if over():
                break
            view_of(state, plan, Taste(units=shop.preferences, decimal=".", theme="auto"))
            looked += 1
    except (LaydownError, Refusal) as error:
        # Whoever opens a plan then gets it, or the sentence that says why not.
        log.info("plans could not be looked at ahead: %s", error)
    return looked


class LookingAhead:
    """A thread that looks ahead once, when the app starts."""

    def __init__(self, state: AppState) -> None:
        self._over = threading.Event()
        self._thread = threading.Thread(
            target=look_ahead, args=(state,), kwargs={"over": self._over.is_set}, name="looking ahead", daemon=True
        )

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End after the plan that is looked at."""
        self._over.set()
