"""Who is logged in; the cookie's secret is kept as a hash only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from laydown.store import users
from laydown.store.passwords import new_secret, secret_hash
from laydown.store.schema import sessions
from laydown.store.schema import users as user_table
from laydown.store.transaction import Transaction, plain
from laydown.store.users import User


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """A login.

    Attributes
    ----------
    csrf : str
        What a form of this login has to send back.
    device : str
        What the browser calls itself.
    """

    user: User
    csrf: str
    device: str
    created_at: dt.datetime
    expires_at: dt.datetime


def start(tx: Transaction, user_id: int, *, lifetime: dt.timedelta, device: str = "") -> tuple[Session, str]:
    """Log a person in.

    Returns
    -------
    Session, str
        And the secret for the cookie, which is told this once.

    Raises
    ------
    NotFound
        When there is no such person.
    """
    user = users.get(tx, user_id)
    secret = new_secret()
    tx.log("log in", "user", user.name)
    tx.run(
        sessions.insert().values(
            token_hash=secret_hash(secret),
            user_id=user_id,
            csrf=new_secret(),
            device=plain(device, most=200),
            created_at=tx.now,
            expires_at=tx.now + lifetime,
        )
    )
    session = find(tx, secret)
    if session is None:
        raise ValueError("the login had run out before it began")
    return session, secret


def find(tx: Transaction, secret: str) -> Session | None:
    """Login of a cookie's secret; None when it ran out, was ended, or its person is no longer active."""
    row = tx.run(
        select(sessions)
        .join(user_table, user_table.c.id == sessions.c.user_id)
        .where(
            sessions.c.token_hash == secret_hash(secret),
            sessions.c.expires_at > tx.now,
            user_table.c.active.is_(True),
        )
    ).first()
    return _session(tx, row) if row is not None else None


def end(tx: Transaction, secret: str) -> None:
    """Log out; nothing happens when there is no such login."""
    session = find(tx, secret)
    if session is not None:
        tx.log("log out", "user", session.user.name)
        tx.run(sessions.delete().where(sessions.c.token_hash == secret_hash(secret)))


def end_all(tx: Transaction, user_id: int) -> int:
    """Log a person out everywhere; returns how many logins that were."""
    user = users.get(tx, user_id)
    ended = tx.run(sessions.delete().where(sessions.c.user_id == user_id)).rowcount
    if ended:
        tx.log("log out", "user", user.name, after={"logins": ended})
    return ended


def of_user(tx: Transaction, user_id: int) -> tuple[Session, ...]:
    """Logins of a person that have not run out, the newest first."""
    asked = select(sessions).where(sessions.c.user_id == user_id, sessions.c.expires_at > tx.now)
    return tuple(_session(tx, row) for row in tx.run(asked.order_by(sessions.c.created_at.desc())).all())


def sweep(tx: Transaction) -> int:
    """Remove logins that ran out; returns how many. They are not logged: nobody did anything."""
    return tx.run(sessions.delete().where(sessions.c.expires_at <= tx.now)).rowcount


def _session(tx: Transaction, row: Row[Any]) -> Session:
    return Session(
        user=users.get(tx, row.user_id),
        csrf=row.csrf,
        device=row.device,
        created_at=row.created_at,
        expires_at=row.expires_at,
    )
