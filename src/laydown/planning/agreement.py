"""Several prints of one order: printed with one white where that is cheaper than a second pail and a wash-up."""

from __future__ import annotations

from dataclasses import replace

from laydown.domain.ink import InkKind
from laydown.planning.choice import Choice
from laydown.planning.job import Assessment


def agree(choices: tuple[Choice, ...], *, wash_up: float) -> tuple[Choice, ...]:
    """Let the prints of an order share a white where that costs less.

    Parameters
    ----------
    choices : tuple of Choice
        One a print, each with its own best stack.
    wash_up : float
        Cost of one more white in the order.

    Returns
    -------
    tuple of Choice
        The same passing stacks; where sharing wins, the best with the shared white comes first.
    """
    if len(choices) < 2 or any(c.best is None for c in choices):
        return choices
    bests = tuple(c.best for c in choices if c.best is not None)
    own = {white for a in bests if (white := white_of(a))}
    if len(own) < 2:
        return choices
    least, taken, agreed = sum(a.rank_cost for a in bests) + wash_up * (len(own) - 1), bests, ""
    shared = {white for c in choices for a in c.passing if (white := white_of(a))}
    for white in sorted(shared):
        with_it = tuple(_best_with(c, white) for c in choices)
        found = tuple(a for a in with_it if a is not None)
        if len(found) == len(choices) and (cost := sum(a.rank_cost for a in found)) < least:
            least, taken, agreed = cost, found, white
    return tuple(_led_by(choice, best, agreed) for choice, best in zip(choices, taken, strict=True))


def white_of(assessment: Assessment) -> str:
    """Name of the white in a stack; empty without one."""
    return next((ink.name for ink in assessment.stack.inks if ink.kind is InkKind.WHITE), "")


def _best_with(choice: Choice, white: str) -> Assessment | None:
    """Best passing stack that needs no other white."""
    return next((a for a in choice.passing if white_of(a) in {white, ""}), None)


def _led_by(choice: Choice, best: Assessment, white: str) -> Choice:
    if best is choice.best:
        return choice
    rest = tuple(a for a in choice.passing if a is not best)
    return replace(choice, best=best, passing=(best, *rest), agreed=white)
