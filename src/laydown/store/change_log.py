"""The log: who changed what, only ever added to."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from laydown.store.schema import change_log
from laydown.store.transaction import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class LogLine:
    """One change.

    Attributes
    ----------
    id : int
        Counts upwards; the revision of what was changed.
    action : str
        ``add``, ``change``, ``remove``, ``arrange``, ``state``, ``approve``, ``restore`` ...
    kind, key : str
        What was changed: a kind of shelf item, ``order``, ``plan``, ``user`` ..., and its name or number.
    before, after : dict or None
        What differs; of a document its JSON text.
    """

    id: int
    at: dt.datetime
    who: str
    action: str
    kind: str
    key: str
    before: Mapping[str, Any] | None
    after: Mapping[str, Any] | None


def lines(
    tx: Transaction,
    *,
    kind: str | None = None,
    key: str | None = None,
    who: str | None = None,
    before: int | None = None,
    limit: int = 100,
) -> tuple[LogLine, ...]:
    """Lines of the log, the newest first.

    Parameters
    ----------
    before : int, optional
        Only lines with a smaller number, for turning pages.
    """
    asked = select(change_log).order_by(change_log.c.id.desc()).limit(limit)
    for column, value in ((change_log.c.kind, kind), (change_log.c.key, key), (change_log.c.who, who)):
        asked = asked.where(column == value) if value is not None else asked
    asked = asked.where(change_log.c.id < before) if before is not None else asked
    return tuple(
        LogLine(
            id=row.id,
            at=row.at,
            who=row.who,
            action=row.action,
            kind=row.kind,
            key=row.key,
            before=_detail(row.before),
            after=_detail(row.after),
        )
        for row in tx.run(asked)
    )


def _detail(text: str | None) -> Mapping[str, Any] | None:
    return json.loads(text) if text is not None else None
