"""HTTP statuses of errors, and what a person can do about each."""

from __future__ import annotations

from laydown.errors import (
    Conflict,
    ConvergenceError,
    InvalidInput,
    LaydownError,
    NotFound,
    OutOfRange,
    StoreUnavailable,
)

ERROR_STATUS: tuple[tuple[type[LaydownError], int], ...] = (
    (InvalidInput, 422),
    (NotFound, 404),
    (OutOfRange, 422),
    (Conflict, 409),
    (StoreUnavailable, 503),
    (ConvergenceError, 500),
    (LaydownError, 500),
)
"""First line that fits decides."""

TITLES: tuple[tuple[int, str, str], ...] = (
    (400, "That could not be read", "Go back and send the page again."),
    (401, "Please log in", "Log in, then do it again."),
    (403, "That is not for you to do", "Ask an owner of the shop when you need it."),
    (404, "There is no such thing", "Go back, or begin at one of the places above."),
    (405, "That does not work here", "Go back, or begin at one of the places above."),
    (409, "Somebody else was faster", "Go back, load the page again, and look at what stands there now."),
    (413, "That is too large", "Go back and send a smaller file, or a shorter text."),
    (422, "That cannot be used", "Go back and change what the sentence names."),
    (429, "Too many tries", "Wait that long, then try again. An owner can give you a new password meanwhile."),
    (
        500,
        "This should not have happened",
        "Nothing was kept. Try again; if it comes back, report the number below.",
    ),
    (503, "The database does not answer", "Nothing of it was kept. See to what the sentence names, then try again."),
)
"""Title and next step of an error page by status."""


def status_of(error: LaydownError) -> int:
    """HTTP status for an error."""
    return next(status for kind, status in ERROR_STATUS if isinstance(error, kind))


def told_by_status(status: int) -> tuple[str, str]:
    """Title and next step of an error page."""
    return next(((title, then) for known, title, then in TITLES if known == status), (TITLES[-2][1], TITLES[-2][2]))
