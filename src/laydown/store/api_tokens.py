"""Tokens that programs use in the place of a login; kept as a hash only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, or_, select

from laydown.errors import InvalidInput, NotFound
from laydown.store import users
from laydown.store.passwords import new_secret, secret_hash
from laydown.store.schema import api_tokens
from laydown.store.schema import users as user_table
from laydown.store.transaction import Transaction, storable
from laydown.store.users import User
from laydown.store.words import ROLES

PREFIX = "laydown_"
"""What every token begins with, so that one left lying about can be recognised."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ApiToken:
    """A token of a person.

    Attributes
    ----------
    role : str
        What the token may do; never more than its person may at the moment.
    """

    id: int
    user: User
    name: str
    role: str
    created_at: dt.datetime
    expires_at: dt.datetime | None
    revoked_at: dt.datetime | None


def add(
    tx: Transaction, user_id: int, name: str, *, role: str, lifetime: dt.timedelta | None = None
) -> tuple[ApiToken, str]:
    """Make a token; its text is told this once.

    Raises
    ------
    InvalidInput
        When the role is unknown or above the person's own.
    NotFound
        When there is no such person.
    """
    user = users.get(tx, user_id)
    if role not in ROLES[: ROLES.index(user.role) + 1]:
        allowed = ", ".join(ROLES[: ROLES.index(user.role) + 1])
        raise InvalidInput(f"{role!r} is not allowed for a token of {user.name!r}; allowed are {allowed}", where="role")
    storable("the token's name", name, most=80, needed=True)
    secret = PREFIX + new_secret()
    expires = tx.now + lifetime if lifetime is not None else None
    tx.log("add", "token", name, after={"user": user.name, "role": role})
    tx.run(
        api_tokens.insert().values(
            user_id=user_id,
            name=name,
            token_hash=secret_hash(secret),
            role=role,
            created_at=tx.now,
            expires_at=expires,
            revoked_at=None,
        )
    )
    row = tx.run(select(api_tokens).where(api_tokens.c.token_hash == secret_hash(secret))).one()
    return _token(tx, row), secret


def find(tx: Transaction, secret: str) -> ApiToken | None:
    """Token of a text; None when it is unknown, revoked or ran out, or its person is no longer active."""
    row = tx.run(
        select(api_tokens)
        .join(user_table, user_table.c.id == api_tokens.c.user_id)
        .where(
            api_tokens.c.token_hash == secret_hash(secret),
            api_tokens.c.revoked_at.is_(None),
            or_(api_tokens.c.expires_at.is_(None), api_tokens.c.expires_at > tx.now),
            user_table.c.active.is_(True),
        )
    ).first()
    return _token(tx, row) if row is not None else None


def revoke(tx: Transaction, token_id: int) -> None:
    """Make a token useless for ever.

    Raises
    ------
    NotFound
        When there is no such token that is not revoked yet.
    """
    row = tx.run(select(api_tokens).where(api_tokens.c.id == token_id, api_tokens.c.revoked_at.is_(None))).first()
    if row is None:
        raise NotFound("token", str(token_id), ())
    tx.log("revoke", "token", row.name)
    tx.run(api_tokens.update().where(api_tokens.c.id == token_id).values(revoked_at=tx.now))


def of_user(tx: Transaction, user_id: int) -> tuple[ApiToken, ...]:
    """Tokens of a person, revoked ones too, the newest first."""
    asked = select(api_tokens).where(api_tokens.c.user_id == user_id).order_by(api_tokens.c.id.desc())
    return tuple(_token(tx, row) for row in tx.run(asked).all())


def _token(tx: Transaction, row: Row[Any]) -> ApiToken:
    user = users.get(tx, row.user_id)
    return ApiToken(
        id=row.id,
        user=user,
        name=row.name,
        # A person who may do less by now takes the token along.
        role=min(row.role, user.role, key=ROLES.index),
        created_at=row.created_at,
        expires_at=row.expires_at,
        revoked_at=row.revoked_at,
    )
