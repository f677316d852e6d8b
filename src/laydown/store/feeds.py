"""Secret addresses of calendars: whoever knows one may read what is due, and nothing else."""

from __future__ import annotations

from sqlalchemy import delete, or_, select

from laydown.store.passwords import new_secret, secret_hash
from laydown.store.schema import feeds
from laydown.store.schema import users as user_table
from laydown.store.transaction import Transaction


def renew(tx: Transaction, user_id: int | None) -> str:
    """Make a person's secret anew; the one before opens nothing any longer.

    Parameters
    ----------
    user_id : int or None
        None: whoever sits at this machine, where no login is needed.

    Returns
    -------
    str
        The secret, told this once.
    """
    secret = new_secret()
    stop(tx, user_id)
    tx.log("add", "calendar address", str(user_id or "this machine"))
    tx.run(feeds.insert().values(token_hash=secret_hash(secret), user_id=user_id, created_at=tx.now))
    return secret


def stop(tx: Transaction, user_id: int | None) -> bool:
    """Make a person's secret useless; returns whether there was one."""
    mine = feeds.c.user_id.is_(None) if user_id is None else feeds.c.user_id == user_id
    if tx.run(select(feeds.c.token_hash).where(mine)).first() is None:
        return False
    tx.log("remove", "calendar address", str(user_id or "this machine"))
    tx.run(delete(feeds).where(mine))
    return True


def has(tx: Transaction, user_id: int | None) -> bool:
    """Whether a person has a secret."""
    mine = feeds.c.user_id.is_(None) if user_id is None else feeds.c.user_id == user_id
    return tx.run(select(feeds.c.token_hash).where(mine)).first() is not None


def opens(tx: Transaction, secret: str, *, without_login: bool = False) -> bool:
    """Whether a secret is somebody's who is still active.

    Parameters
    ----------
    without_login : bool
        Whether the secret of this machine counts, as it does where no login is needed.
    """
    if not 20 <= len(secret) <= 200:
        return False
    row = tx.run(
        select(feeds.c.user_id)
        .outerjoin(user_table, user_table.c.id == feeds.c.user_id)
        .where(
            feeds.c.token_hash == secret_hash(secret),
            or_(feeds.c.user_id.is_(None), user_table.c.active.is_(True)),
        )
    ).first()
    return row is not None and (row.user_id is not None or without_login)
