"""When the readings of a swatch are due, and which of them are there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from laydown.domain.protocol import DueReading, Protocol
from laydown.domain.reading import Reading, standing
from laydown.domain.swatch import Swatch, SwatchState

GRACE = dt.timedelta(hours=2)
"""A reading is not late before so long after it was due, or a tenth of its time where that is longer."""

SOON = dt.timedelta(days=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """A reading that a swatch's test asks for, and how far it is.

    Attributes
    ----------
    wanted : DueReading
    at : datetime or None
        When it is due; None before the swatch is made.
    taken : tuple of Reading
        Readings that count as this one.
    """

    swatch: int
    wanted: DueReading
    at: dt.datetime | None
    taken: tuple[Reading, ...]

    @property
    def done(self) -> bool:
        """Whether every repeat of it is there."""
        return len(self.taken) >= self.wanted.times

    def state(self, now: dt.datetime) -> str:
        """``done``, ``planned`` (not made yet), ``overdue``, ``now``, ``soon`` or ``later``."""
        if self.done:
            return "done"
        if self.at is None:
            return "planned"
        if now >= self.at + max(GRACE, dt.timedelta(seconds=0.1 * self.wanted.after)):
            return "overdue"
        if now >= self.at:
            return "now"
        return "soon" if now >= self.at - SOON else "later"


def due_of(swatch: Swatch, protocol: Protocol, readings: Iterable[Reading]) -> tuple[Due, ...]:
    """Readings that a swatch asks for, in the order in which they are due.

    Parameters
    ----------
    swatch : Swatch
    protocol : Protocol
        As it was when the swatch was started.
    readings : iterable of Reading
        Of this swatch; corrected ones do not count.

    Notes
    -----
    A reading counts for the due one of its kind and part whose time is nearest to when it was taken. One that is taken
    of a part where the test asks for none counts for nothing.
    """
    wanted = sorted(protocol.readings, key=lambda one: one.after)
    taken: dict[int, list[Reading]] = {index: [] for index in range(len(wanted))}
    for reading in standing(tuple(readings)):
        fits = [i for i, one in enumerate(wanted) if (one.reads, one.part) == (reading.reads, reading.part)]
        if not fits:
            fits = [i for i, one in enumerate(wanted) if one.reads is reading.reads and not one.part]
        if fits:
            after = (reading.taken_at - swatch.made_at).total_seconds() if swatch.made_at else 0.0
            # Where two are equally near, the earlier one that still lacks a reading.
            best = min(fits, key=lambda i: (round(abs(wanted[i].after - after), -1), len(taken[i]) >= wanted[i].times))
            taken[best].append(reading)
    return tuple(
        Due(
            swatch=swatch.number,
            wanted=one,
            at=swatch.made_at + dt.timedelta(seconds=one.after) if swatch.made_at else None,
            taken=tuple(taken[index]),
        )
        for index, one in enumerate(wanted)
    )


def state_after(swatch: Swatch, due: Iterable[Due]) -> SwatchState:
    """How far a swatch is, given its readings: ``read`` once every reading that was asked for is there."""
    if swatch.state in {SwatchState.DROPPED, SwatchState.PLANNED}:
        return swatch.state
    return SwatchState.READ if all(one.done for one in due) else SwatchState.MADE
