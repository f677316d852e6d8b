"""Who may do what: one table, and the mark that every route wears."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar

ROLES = ("viewer", "press", "lead", "owner")
"""Each may do what the ones before it may."""


class Need(NamedTuple):
    """Something that a route needs the person to be allowed.

    Attributes
    ----------
    name : str
        As routes name it.
    role : str
        Least role that may; empty: anybody, also without a login.
    what : str
        What it allows, as a sentence may say it.
    """

    name: str
    role: str
    what: str


NEEDS = (
    Need("open", "", "log in, and see that the app answers"),
    Need("own account", "viewer", "change the own password, tokens and preferences"),
    Need("read", "viewer", "look at orders, plans and shelves"),
    Need("enter at the press", "press", "enter what happened at the press"),
    Need("enter readings", "press", "enter what was read off a swatch"),
    Need("run the lab", "lead", "start swatches, import readings and fit cloths to them"),
    Need("plan", "lead", "take orders in, plan and approve them"),
    Need("change shelves", "lead", "change garments, inks, screens, presses, dryers and rules"),
    Need("change rates", "lead", "change costs, climate and the shop's preferences"),
    Need("read log", "lead", "read who changed what"),
    Need("move shop", "owner", "start the shop, take it out and put it in"),
    Need("people", "owner", "let people in, and say what each may do"),
)

_MARK = "__laydown_need__"
F = TypeVar("F", bound=Callable[..., Any])


def needs(name: str) -> Callable[[F], F]:
    """Mark an endpoint with what it needs; a route without the mark cannot be made."""
    need_named(name)

    def mark(endpoint: F) -> F:
        setattr(endpoint, _MARK, name)
        return endpoint

    return mark


def need_of(endpoint: Callable[..., Any]) -> Need:
    """Need of an endpoint.

    Raises
    ------
    TypeError
        When it has none: a slip in this package.
    """
    name = getattr(endpoint, _MARK, None)
    if name is None:
        raise TypeError(f"{endpoint.__module__}.{endpoint.__qualname__} says nothing of who may; add @needs(...)")
    return need_named(name)


def need_named(name: str) -> Need:
    """Need by its name; a KeyError is a slip in this package."""
    return {need.name: need for need in NEEDS}[name]


def allows(role: str | None, need: Need) -> bool:
    """Whether a role (None: nobody is logged in) may."""
    if not need.role:
        return True
    return role is not None and ROLES.index(role) >= ROLES.index(need.role)
