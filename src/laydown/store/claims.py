"""What customers came back with: only ever added to; a correction names the claim whose place it takes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from laydown.domain.outcome import Claim
from laydown.errors import InvalidInput
from laydown.store import orders
from laydown.store.added_rows import AddedRows
from laydown.store.schema_claims import claims
from laydown.store.transaction import Transaction, storable


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredClaim:
    """A claim that is kept.

    Attributes
    ----------
    replaces : int or None
        Claim whose place it takes.
    aside : bool
        Whether it only takes the older one back.
    """

    claim: Claim
    key: str
    replaces: int | None
    aside: bool
    entered_at: dt.datetime
    made_by: str


def add(
    tx: Transaction, claim: Claim, *, key: str, replaces: int | None = None, aside: bool = False
) -> tuple[StoredClaim, bool]:
    """Keep a claim, unless it was kept before.

    Parameters
    ----------
    claim : Claim
        With the number of its order.
    key : str
        Eight to 80 characters, made once a claim by whoever sends it.
    replaces : int, optional
        Claim that this one corrects.
    aside : bool
        Take the older one back, and put nothing in its place.

    Returns
    -------
    StoredClaim, bool
        The claim as it is kept, and whether it is new.

    Raises
    ------
    InvalidInput
        When it cannot be kept, or the claim it corrects is of another order.
    NotFound
        When there is no such order, or the claim that it corrects is not there.
    Conflict
        When another claim has this key, or that one was corrected already.
    """
    if aside and replaces is None:
        raise InvalidInput("say which claim is taken back", where="replaces")
    row: dict[str, Any] = {
        "order_id": claim.order,
        "cause": claim.cause,
        "pieces": claim.pieces,
        "received_on": claim.received_on,
        "note": storable("the note", claim.text, most=2000),
        "replaces": replaces,
        "aside": aside,
    }

    def check() -> None:
        orders.get(tx, claim.order)
        if replaces is not None:
            _check_replaced(tx, replaces, claim)

    return _ROWS.add(tx, row, key=key, check=check)


def get(tx: Transaction, number: int) -> StoredClaim:
    """Claim by its number.

    Raises
    ------
    NotFound
        When there is none.
    """
    return _ROWS.get(tx, number)


def standing(tx: Transaction, *, order: int | None = None) -> tuple[StoredClaim, ...]:
    """Claims that hold, of one order or of all, the oldest first: neither corrected nor taken back."""
    asked = select(claims).order_by(claims.c.received_on, claims.c.id)
    if order is not None:
        asked = asked.where(claims.c.order_id == order)
    return tuple(_ROWS.standing(tx, asked))


def _check_replaced(tx: Transaction, number: int, claim: Claim) -> None:
    old = get(tx, number)
    if old.claim.order != claim.order:
        raise InvalidInput(
            f"claim {number} is of order {old.claim.order}, not of order {claim.order}", where="replaces"
        )
    _ROWS.check_uncorrected(tx, number)


def _stored(row: Row[Any]) -> StoredClaim:
    return StoredClaim(
        claim=Claim(
            number=row.id,
            order=row.order_id,
            cause=row.cause,
            pieces=row.pieces,
            received_on=row.received_on,
            text=row.note,
        ),
        key=row.key,
        replaces=row.replaces,
        aside=row.aside,
        entered_at=row.entered_at,
        made_by=row.made_by,
    )


_ROWS = AddedRows(table=claims, noun="claim", kind="claim", moment="entered_at", stored=_stored)
