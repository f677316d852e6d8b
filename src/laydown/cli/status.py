"""Exit statuses of the commands."""

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

DONE = 0
"""The command did what was asked; a plan has a stack for every print."""

FAULT = 1
"""Something went wrong that no input should be able to bring about."""

BAD_INPUT = 2
"""Something that the user wrote cannot be used; one sentence says what, where, and what would do."""

NOTHING_PASSES = 3
"""The plan was made and written, but for some print no stack meets every requirement; the plan says which and why."""

INTERRUPTED = 130
"""Stopped by the user."""

ERROR_STATUS: tuple[tuple[type[LaydownError], int], ...] = (
    (InvalidInput, BAD_INPUT),
    (NotFound, BAD_INPUT),
    (OutOfRange, BAD_INPUT),
    (Conflict, BAD_INPUT),
    (ConvergenceError, FAULT),
    (StoreUnavailable, FAULT),
    (LaydownError, FAULT),
)
"""First line that fits decides."""


def status_of(error: LaydownError) -> int:
    """Exit status for an error."""
    return next(status for kind, status in ERROR_STATUS if isinstance(error, kind))
