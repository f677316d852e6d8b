"""People who use the app: the first owner, logging in and out, and who a request is from."""

from __future__ import annotations

import datetime as dt

from laydown.errors import Conflict
from laydown.store import api_tokens, passwords, sessions, users
from laydown.store.api_tokens import ApiToken
from laydown.store.database import Store
from laydown.store.sessions import Session
from laydown.store.users import User
from laydown.store.words import ROLES

__all__ = [
    "ROLES",
    "ApiToken",
    "Session",
    "User",
    "add_first_owner",
    "find_session",
    "find_token",
    "has_owner",
    "log_in",
    "log_out",
]

LIFETIME = dt.timedelta(days=14)
"""How long a login lasts."""


def has_owner(store: Store) -> bool:
    """Whether somebody can log in as owner."""
    with store.read() as tx:
        return any(one.role == "owner" and one.active and one.has_password for one in users.everyone(tx))


def add_first_owner(store: Store, name: str, password: str) -> User:
    """Take the first owner in.

    Raises
    ------
    InvalidInput
        When name or password cannot be one.
    Conflict
        When there is an owner already.
    """
    hashed = passwords.hash_password(password)
    with store.write(who="set-up") as tx:
        if any(one.role == "owner" and one.active and one.has_password for one in users.everyone(tx)):
            raise Conflict("there is an owner already", kind="user", name="owner", present=None)
        present = users.find(tx, name)
        if present is None:
            return users.add(tx, name, "owner", password_hash=hashed)
        users.set_password(tx, present.id, hashed)
        present = users.get(tx, present.id)
        return users.change(tx, present.id, revision=present.revision, role="owner", active=True)


def log_in(store: Store, name: str, password: str, *, device: str = "") -> tuple[Session, str] | None:
    """Log a person in; None when name and password do not fit.

    Returns
    -------
    Session, str
        And the secret for the cookie.
    """
    with store.read() as tx:
        kept = users.password_hash_of(tx, name)
    # Outside of any transaction: it takes long on purpose, and as long when there is nobody of that name.
    if not passwords.password_fits(kept, password) or kept is None:
        return None
    renewed = passwords.hash_password(password) if passwords.is_outdated(kept) else None
    with store.write(who=name.strip()[:80]) as tx:
        user = users.find(tx, name)
        if user is None or not user.active or users.password_hash_of(tx, name) != kept:
            return None
        if renewed is not None:
            users.set_password(tx, user.id, renewed)
        sessions.sweep(tx)
        return sessions.start(tx, user.id, lifetime=LIFETIME, device=device)


def log_out(store: Store, secret: str, *, who: str) -> None:
    """End a login."""
    with store.write(who=who) as tx:
        sessions.end(tx, secret)


def find_session(store: Store, secret: str) -> Session | None:
    """Login of a cookie's secret, or None."""
    with store.read() as tx:
        return sessions.find(tx, secret)


def find_token(store: Store, secret: str) -> ApiToken | None:
    """Token of its text, or None."""
    with store.read() as tx:
        return api_tokens.find(tx, secret)
