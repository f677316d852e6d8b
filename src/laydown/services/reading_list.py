"""A list of masses or tones, looked at and then kept: every line or none, and each once however often it is sent."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from laydown.documents.reading_list import ListedReading, read_list
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading
from laydown.errors import InvalidInput, NotFound
from laydown.services import swatch_book, swatch_readings
from laydown.store import swatches
from laydown.store.database import Store
from laydown.store.transaction import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptList:
    """What became of a list.

    Attributes
    ----------
    readings : tuple of ListedReading
        As they were understood.
    new, same : int
        How many are new, and how many were kept before.
    """

    readings: tuple[ListedReading, ...]
    new: int
    same: int


class _OnlyLook(Exception):
    """Takes back what was written."""


def look(store: Store, name: str, text: str, *, who: str) -> KeptList:
    """Say what `keep` would do with a list; nothing is kept.

    Raises
    ------
    InvalidInput
        As `keep`.
    """
    found: list[KeptList] = []
    try:
        with store.write(who=who) as tx:
            found.append(_put(tx, name, text, who))
            raise _OnlyLook  # noqa: TRY301 - what was written is taken back on purpose
    except _OnlyLook:
        return found[0]


def keep(store: Store, name: str, text: str, *, who: str) -> KeptList:
    """Keep the readings of a list (`laydown.documents.reading_list.read_list`) in one transaction.

    A line that was kept before is not kept again, also when the list has grown meanwhile.

    Raises
    ------
    InvalidInput
        With file and line, when a line cannot be read or its swatch does not take it; nothing is kept then.
    """
    with store.write(who=who) as tx:
        return _put(tx, name, text, who)


def _put(tx: Transaction, name: str, text: str, who: str) -> KeptList:
    listed = read_list(name, text, zone=dt.datetime.now().astimezone().tzinfo)
    new = 0
    touched: dict[int, set[Reads]] = {}
    for one, key in zip(listed, _keys(listed), strict=True):
        try:
            reading = Reading(
                swatch=one.swatch,
                reads=one.reads,
                value=one.value,
                taken_at=one.taken_at or tx.now,
                operator=who,
                part=one.part,
                area=one.area,
            )
            _, is_new = swatch_readings.put(tx, reading, key=key)
        except InvalidInput as error:
            raise InvalidInput(error.what, where=f"{name}, line {one.line}") from None
        except NotFound:
            raise InvalidInput(f"there is no swatch {one.swatch}", where=f"{name}, line {one.line}") from None
        if is_new:
            new += 1
            touched.setdefault(one.swatch, set()).add(one.reads)
    for number, kinds in touched.items():
        swatch_book.settle(tx, number)
        swatch_readings.ask_after(tx, swatches.get(tx, number), kinds)
    return KeptList(readings=listed, new=new, same=len(listed) - new)


def _keys(listed: Sequence[ListedReading]) -> list[str]:
    """Key of each reading by what it says; the second of two that say the same has another."""
    met: Counter[str] = Counter()
    keys = []
    for one in listed:
        moment = one.taken_at.isoformat() if one.taken_at else ""
        said = "|".join((str(one.swatch), one.reads.value, one.part, one.area, repr(one.value), moment))
        met[said] += 1
        keys.append(f"list-{hashlib.sha256(said.encode(errors='surrogatepass')).hexdigest()[:40]}-{met[said]}")
    return keys
