"""Who works with the app: letting people in, what each may do, their passwords, tokens and preferences."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from laydown.documents.sentences import validated
from laydown.documents.shop_file import PreferencesEntry
from laydown.errors import InvalidInput, NotFound
from laydown.store import api_tokens, passwords, sessions, users
from laydown.store.api_tokens import ApiToken
from laydown.store.database import Store
from laydown.store.users import User

DECIMALS = (".", ",")
OWN_PREFERENCES = ("temperature", "mesh", "length", "areal_mass", "paper")
"""Preferences of the shop that a person may have otherwise; where colours refer to is the shop's matter."""

LONGEST_TOKEN = dt.timedelta(days=3650)


def everyone(store: Store) -> tuple[User, ...]:
    """All people, those who left included."""
    with store.read() as tx:
        return users.everyone(tx)


def person(store: Store, user_id: int) -> User:
    """Person by number.

    Raises
    ------
    NotFound
        When there is none.
    """
    with store.read() as tx:
        return users.get(tx, user_id)


def take_in(store: Store, name: str, role: str, *, password: str, who: str) -> User:
    """Let a person in.

    Parameters
    ----------
    password : str
        To begin with; empty: the person cannot log in yet.

    Raises
    ------
    InvalidInput
        When name, role or password cannot be one.
    Conflict
        When somebody has the name.
    """
    hashed = passwords.hash_password(password) if password else None
    with store.write(who=who) as tx:
        return users.add(tx, name, role, password_hash=hashed)


def change(
    store: Store, user_id: int, *, revision: int, who: str, role: str | None = None, active: bool | None = None
) -> User:
    """Change what a person may do, or whether they still work here.

    Raises
    ------
    InvalidInput, NotFound, Conflict
        As `laydown.store.users.change`.
    """
    with store.write(who=who) as tx:
        return users.change(tx, user_id, revision=revision, role=role, active=active)


def give_password(store: Store, user_id: int, password: str, *, who: str) -> None:
    """Give a person another password and log them out everywhere.

    Raises
    ------
    InvalidInput, NotFound
        When it cannot be one, or there is no such person.
    """
    hashed = passwords.hash_password(password)
    with store.write(who=who) as tx:
        users.set_password(tx, user_id, hashed)


def change_own_password(store: Store, user: User, present: str, password: str) -> None:
    """Change the own password; logs out everywhere.

    Raises
    ------
    InvalidInput
        When the present one does not fit, or the new one cannot be one.
    """
    with store.read() as tx:
        kept = users.password_hash_of(tx, user.name)
    if not passwords.password_fits(kept, present):
        raise InvalidInput("this is not your present password", where="present password")
    give_password(store, user.id, password, who=user.name)


def like(store: Store, user: User, wanted: Mapping[str, str]) -> User:
    """Keep how a person likes to read numbers; an empty text means: as the shop.

    Raises
    ------
    InvalidInput
        When a preference is unknown.
    Conflict
        When the person's entry was changed meanwhile.
    """
    kept: dict[str, Any] = {name: value for name, value in wanted.items() if value}
    decimal = kept.pop("decimal", ".")
    if decimal not in DECIMALS:
        raise InvalidInput(f"{decimal[:20]!r} is no decimal sign; allowed are '.' and ','", where="decimal")
    unknown = [name for name in kept if name not in OWN_PREFERENCES]
    if unknown:
        raise InvalidInput(
            f"{unknown[0][:40]!r} is no preference; allowed are {', '.join(OWN_PREFERENCES)} and decimal",
            where="preferences",
        )
    validated(PreferencesEntry, kept, where="preferences")
    with store.write(who=user.name) as tx:
        present = users.get(tx, user.id)
        return users.change(tx, user.id, revision=present.revision, preferences=kept | {"decimal": decimal})


def log_out_everywhere(store: Store, user_id: int, *, who: str) -> int:
    """End every login of a person; returns how many there were."""
    with store.write(who=who) as tx:
        return sessions.end_all(tx, user_id)


def tokens_of(store: Store, user: User) -> tuple[ApiToken, ...]:
    """Tokens of a person, the newest first."""
    with store.read() as tx:
        return api_tokens.of_user(tx, user.id)


def make_token(store: Store, user: User, name: str, role: str, *, days: int | None = None) -> tuple[ApiToken, str]:
    """Make a token; its text is told this once.

    Raises
    ------
    InvalidInput
        When the role is above the person's own, or the time is none.
    """
    lifetime = dt.timedelta(days=days) if days is not None and 0 < days <= LONGEST_TOKEN.days else None
    if days is not None and lifetime is None:
        raise InvalidInput(f"{days} days are not allowed; allowed are 1 to {LONGEST_TOKEN.days}", where="days")
    with store.write(who=user.name) as tx:
        return api_tokens.add(tx, user.id, name, role=role, lifetime=lifetime)


def revoke_token(store: Store, token_id: int, *, who: str, user: User | None) -> None:
    """Make a token useless; of another person's only with ``user`` None, for whom everything is allowed.

    Raises
    ------
    NotFound
        When there is no such token.
    """
    with store.write(who=who) as tx:
        if user is not None and token_id not in {token.id for token in api_tokens.of_user(tx, user.id)}:
            raise NotFound("token", str(token_id), ())
        api_tokens.revoke(tx, token_id)
