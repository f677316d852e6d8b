"""What the lab has to read, as a calendar that calendar programs subscribe to by a secret address."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict

from laydown.errors import NotFound
from laydown.report.calendar_text import Entry, calendar_text
from laydown.services import swatch_book
from laydown.services.swatch_book import Due, SwatchSheet
from laydown.store import feeds
from laydown.store.database import Store
from laydown.store.shop_exchange import has_shop, load_shop

BACK = dt.timedelta(days=14)
"""So long a reading that was due stays in the calendar."""

LONG = dt.timedelta(minutes=15)


def feed(store: Store, secret: str, now: dt.datetime, *, base: str, without_login: bool = False) -> str:
    """Calendar for whoever knows a secret.

    Parameters
    ----------
    base : str
        Address of the app, without a slash at its end.
    without_login : bool
        Whether the secret of this machine counts.

    Raises
    ------
    NotFound
        When the secret opens nothing; it is not told whether it ever did.
    """
    with store.read() as tx:
        allowed = feeds.opens(tx, secret, without_login=without_login)
        name = load_shop(tx).name if allowed and has_shop(tx) else ""
    if not allowed:
        raise NotFound("calendar", "with this address", ())
    return due_calendar(swatch_book.find(store, states=swatch_book.OPEN), now, base=base, name=name)


def due_calendar(found: tuple[SwatchSheet, ...], now: dt.datetime, *, base: str, name: str) -> str:
    """Calendar of the readings of some swatches; readings of one swatch at one time are one entry."""
    entries = []
    for sheet in found:
        times: dict[float, list[Due]] = defaultdict(list)
        for one in sheet.due:
            if not one.done and one.at is not None and one.at >= now - BACK:
                times[one.wanted.after].append(one)
        for after, together in times.items():
            at = together[0].at
            assert at is not None
            entries.append(_entry(sheet, after, at, together, base))
    entries.sort(key=lambda one: (one.starts, one.uid))
    return calendar_text(f"{name}: tests to read", entries)


def renew(store: Store, user_id: int | None, *, who: str) -> str:
    """Make somebody's secret anew; told this once."""
    with store.write(who=who) as tx:
        return feeds.renew(tx, user_id)


def stop(store: Store, user_id: int | None, *, who: str) -> None:
    """Make somebody's secret useless."""
    with store.write(who=who) as tx:
        feeds.stop(tx, user_id)


def has(store: Store, user_id: int | None) -> bool:
    """Whether somebody has a secret."""
    with store.read() as tx:
        return feeds.has(tx, user_id)


def _entry(sheet: SwatchSheet, after: float, at: dt.datetime, together: list[Due], base: str) -> Entry:
    swatch = sheet.swatch
    what = [
        f"{one.wanted.reads.value}{f' of the {one.wanted.part}' if one.wanted.part else ''}, "
        f"{one.wanted.times - len(one.taken)} time{'s' if one.wanted.times - len(one.taken) != 1 else ''}"
        for one in together
    ]
    cloth = swatch.garment or swatch.ink
    about = [f"Swatch {swatch.number}: {sheet.protocol.title}", cloth + (f", lot {swatch.lot}" if swatch.lot else "")]
    address = f"{base}/lab/read/{swatch.number}"
    return Entry(
        uid=f"swatch-{sheet.stored.key}-{int(after)}@laydown",
        starts=at,
        ends=at + LONG,
        stamped=sheet.stored.changed_at,
        sequence=sheet.stored.revision,
        summary=f"Read swatch {swatch.number}: {sheet.protocol.title}, {cloth}",
        description="\n".join([*about, *what, address]),
        url=address,
    )
