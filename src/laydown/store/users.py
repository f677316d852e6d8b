"""People and what each may do."""

from __future__ import annotations

import datetime as dt
import json
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, func, select

from laydown.documents.sentences import nearest
from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store.schema import sessions, users
from laydown.store.transaction import Transaction, json_text, storable
from laydown.store.words import ROLES


@dataclass(frozen=True, slots=True, kw_only=True)
class User:
    """A person.

    Attributes
    ----------
    role : str
        One of `laydown.store.words.ROLES`; each may do what the ones before it may.
    has_password : bool
        Whether the person can log in.
    active : bool
        Whether the person still works here; whoever does not cannot log in, and stays in the log by name.
    preferences : dict
        How the person likes to read numbers, over the shop's own preferences.
    revision : int
        Names this state; a change says which one it started from.
    """

    id: int
    name: str
    role: str
    has_password: bool
    active: bool
    preferences: Mapping[str, Any]
    revision: int
    created_at: dt.datetime
    changed_at: dt.datetime


def add(tx: Transaction, name: str, role: str, *, password_hash: str | None = None) -> User:
    """Take a person in.

    Parameters
    ----------
    password_hash : str or None
        From `laydown.store.passwords.hash_password`; None: cannot log in yet.

    Raises
    ------
    InvalidInput
        When the name cannot be one, or there is no such role.
    Conflict
        When somebody has the name; capitals make no difference.
    """
    _check_role(role)
    name = _name(name)
    taken = find(tx, name)
    if taken is not None:
        raise Conflict(f"there is somebody named {taken.name!r} already", kind="user", name=name, present=taken)
    line = tx.log("add", "user", name, after={"role": role, "password": password_hash is not None})
    tx.run(
        users.insert().values(
            name=name,
            folded=_folded(name),
            role=role,
            password_hash=password_hash,
            active=True,
            preferences="{}",
            revision=line,
            created_at=tx.now,
            changed_at=tx.now,
        )
    )
    found = find(tx, name)
    if found is None:  # pragma: no cover - it was just written
        raise NotFound("user", name, ())
    return found


def change(
    tx: Transaction,
    user_id: int,
    *,
    revision: int,
    role: str | None = None,
    active: bool | None = None,
    preferences: Mapping[str, Any] | None = None,
) -> User:
    """Change what a person may do or likes; None leaves it as it is.

    Whoever is no longer active is logged out everywhere.

    Raises
    ------
    InvalidInput
        When there is no such role, or nobody would be left who is owner.
    NotFound
        When there is no such person.
    Conflict
        When the person's entry was changed after it was read.
    """
    present = get(tx, user_id)
    if present.revision != revision:
        raise Conflict(
            f"the entry of {present.name!r} was changed meanwhile; nothing was written",
            kind="user",
            name=present.name,
            present=present,
        )
    wanted: dict[str, Any] = {}
    if role is not None:
        _check_role(role)
        wanted["role"] = role
    wanted |= {"active": active} if active is not None else {}
    wanted |= {"preferences": dict(preferences)} if preferences is not None else {}
    before = {key: getattr(present, key) for key in wanted}
    if wanted == before:
        return present
    if present.role == "owner" and present.active and (wanted.get("role", "owner") != "owner" or active is False):
        _keep_an_owner(tx)
    line = tx.log("change", "user", present.name, before=before, after=wanted)
    values = wanted | ({"preferences": json_text(wanted["preferences"])} if preferences is not None else {})
    tx.run(users.update().where(users.c.id == user_id).values(**values, revision=line, changed_at=tx.now))
    if active is False:
        tx.run(sessions.delete().where(sessions.c.user_id == user_id))
    return get(tx, user_id)


def set_password(tx: Transaction, user_id: int, password_hash: str) -> None:
    """Give a person another password and log them out everywhere.

    Raises
    ------
    NotFound
        When there is no such person.
    """
    present = get(tx, user_id)
    line = tx.log("password", "user", present.name)
    tx.run(
        users.update()
        .where(users.c.id == user_id)
        .values(password_hash=password_hash, revision=line, changed_at=tx.now)
    )
    tx.run(sessions.delete().where(sessions.c.user_id == user_id))


def password_hash_of(tx: Transaction, name: str) -> str | None:
    """Hash of the password of an active person; None when there is nobody of that name who can log in.

    Hand it to `laydown.store.passwords.password_fits` after the transaction, in either case.
    """
    asked = select(users.c.password_hash).where(users.c.folded == _folded(name), users.c.active.is_(True))
    found = tx.run(asked).scalar()
    return str(found) if found is not None else None


def get(tx: Transaction, user_id: int) -> User:
    """Person by number.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = tx.run(select(users).where(users.c.id == user_id)).first()
    if row is None:
        raise NotFound("user", str(user_id), ())
    return _user(row)


def find(tx: Transaction, name: str) -> User | None:
    """Person by name, or None; capitals make no difference."""
    row = tx.run(select(users).where(users.c.folded == _folded(name))).first()
    return _user(row) if row is not None else None


def everyone(tx: Transaction) -> tuple[User, ...]:
    """All people, in the order of their names."""
    return tuple(sorted((_user(row) for row in tx.run(select(users))), key=lambda one: (_folded(one.name), one.id)))


def _keep_an_owner(tx: Transaction) -> None:
    owners = select(func.count()).select_from(users).where(users.c.role == "owner", users.c.active.is_(True))
    if tx.run(owners).scalar_one() < 2:
        raise InvalidInput("this is the only owner; make somebody else owner first", where="role")


def _check_role(role: str) -> None:
    if role not in ROLES:
        raise InvalidInput(f"{role!r} is no role; {nearest(role, ROLES)}", where="role")


def _name(name: str) -> str:
    name = storable("the name", unicodedata.normalize("NFC", name).strip(), most=80, needed=True)
    if not name.isprintable() or not _folded(name):
        raise InvalidInput("the name holds characters that cannot stand in a name", where="name")
    return name


def _folded(name: str) -> str:
    folded = unicodedata.normalize("NFKC", name.strip()).casefold()
    # What no name can be is nobody's name.
    return folded if folded.isprintable() and len(folded) <= 240 else ""


def _user(row: Row[Any]) -> User:
    return User(
        id=row.id,
        name=row.name,
        role=row.role,
        has_password=row.password_hash is not None,
        active=row.active,
        preferences=json.loads(row.preferences),
        revision=row.revision,
        created_at=row.created_at,
        changed_at=row.changed_at,
    )
