"""Labels of swatches: what stands on them, as PDF."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from laydown import units
from laydown.domain.protocol import DueReading
from laydown.errors import NotFound
from laydown.report.labels import SHEETS, SMALL, Label, labels_pdf, sheet_named
from laydown.services import swatch_book
from laydown.services.swatch_book import SwatchSheet
from laydown.store.database import Store

__all__ = ["SHEETS", "SMALL", "after_words", "labels"]


def labels(store: Store, numbers: Sequence[int], *, sheet: str, base: str, first: int = 1) -> bytes:
    """PDF with a label of each swatch, in the order of the numbers.

    Parameters
    ----------
    sheet : str
        ``a4``, ``letter`` or the size of a small label, such as ``50x30`` (mm).
    base : str
        Address by which a tablet reaches the app, without a slash at its end.
    first : int
        First place of the sheet that is still free.

    Raises
    ------
    NotFound
        When there is no such swatch.
    InvalidInput
        When there is no such sheet, or nothing to print.
    """
    wanted = tuple(dict.fromkeys(numbers))
    found = {one.stored.number: one for one in swatch_book.find(store, numbers=wanted, limit=len(wanted) or 1)}
    for number in wanted:
        if number not in found:
            raise NotFound("swatch", str(number), ())
    made = [label_of(found[number], base) for number in wanted]
    return labels_pdf(made, sheet_named(sheet), first=first)


def label_of(sheet: SwatchSheet, base: str) -> Label:
    """What stands on the label of a swatch."""
    swatch = sheet.swatch
    return Label(
        number=str(swatch.number),
        test=sheet.protocol.title,
        cloth=swatch.garment or f"drawdown of {swatch.ink}",
        lot=swatch.lot,
        stack=_shortened(swatch.stack.label if swatch.stack else ("bare cloth" if swatch.garment else "")),
        read=_read_words(sheet),
        address=f"{base}/lab/read/{swatch.number}",
    )


def after_words(seconds: float) -> str:
    """Time after the dryer in words, such as ``16 h`` or ``14 d``."""
    if seconds >= 3 * units.DAY or (seconds >= units.DAY and seconds % units.DAY == 0):
        return f"{units.to_day(seconds):.3g} d"
    if seconds >= units.HOUR:
        return f"{units.to_hour(seconds):.3g} h"
    return f"{units.to_minute(seconds):.3g} min" if seconds >= units.MINUTE else "at once"


def _read_words(sheet: SwatchSheet) -> str:
    """When it is to be read: days where it is known when it was made, times after the dryer where not."""
    left = [one for one in sheet.due if not one.done]
    if not left:
        return ""
    if sheet.swatch.made_at is None:
        return f"Read {', '.join(_distinct(one.wanted for one in left))} after the dryer"
    days = dict.fromkeys(one.at.astimezone().strftime("%b %-d, %H:%M") for one in left if one.at)
    return f"Read {' · '.join(days)}"


def _distinct(wanted: Iterable[DueReading]) -> list[str]:
    return [after_words(time) for time in dict.fromkeys(one.after for one in wanted)]


def _shortened(text: str, most: int = 150) -> str:
    return text if len(text) <= most else text[: most - 1].rsplit(" ", 1)[0] + " …"
