"""Probe logs, fits and matches as tables of a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from laydown.domain.shop import Preferences
from laydown.lab.dryer_fit import DryerFit
from laydown.lab.dryer_match import DryerMatch
from laydown.lab.flash_fit import FlashFit
from laydown.lab.probe_reading import ProbeReading
from laydown.report import display_units as show
from laydown.report.plain_text import capital, printable
from laydown.services import probe_words as words

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType
    from rich.table import Table


class ReadingTable:
    """What a log says."""

    def __init__(self, reading: ProbeReading, prefs: Preferences) -> None:
        self._reading, self._prefs = reading, prefs

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Yield a row a wire, then the sentences."""
        from rich.text import Text

        above = show.temperature(self._reading.above, self._prefs)
        table = _table("Wire", "Lies", "Peak", f"Above {above}", "Rise", "Cooling")
        for one in self._reading.channels:
            table.add_row(*(Text(cell) for cell in words.channel_cells(one, self._prefs)))
        yield table
        for sentence in words.reading_sentences(self._reading, self._prefs):
            yield Text(sentence)


class FitTable:
    """A dryer or flash unit fitted to logs, beside what the shelf said."""

    def __init__(self, fit: DryerFit | FlashFit, prefs: Preferences) -> None:
        self._fit, self._prefs = fit, prefs

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Yield a row a coefficient, then what cannot be told."""
        from rich.text import Text

        fit = self._fit
        yield Text(f"{printable(fit.prior.name)}: {words.fit_sentence(fit, self._prefs)}", style="bold")
        table = _table("Coefficient", "Shelf", "Fitted", "9 of 10", "Told")
        for number in fit.curves.numbers:
            if number.of_dryer:
                table.add_row(*(Text(cell) for cell in words.number_cells(number, self._prefs)))
        yield table
        for sentence in (
            words.lane_sentence(fit),
            *(f"{capital(one)}." for one in fit.curves.conflicts),
            *(f"{capital(one)}." for one in fit.cannot_tell),
        ):
            if sentence:
                yield Text(sentence)


class MatchTable:
    """Setting of a dryer that gives a curve."""

    def __init__(self, match: DryerMatch, prefs: Preferences) -> None:
        self._match, self._prefs = match, prefs

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Yield what is asked beside what comes, then what is missed."""
        from rich.text import Text

        match = self._match
        yield Text(
            f"{printable(match.dryer)}: panel {show.temperature(match.setting, self._prefs)}, "
            f"belt {show.belt_speed(match.speed, self._prefs)}",
            style="bold",
        )
        table = _table("", "Asked", "Comes")
        for row in words.match_cells(match, self._prefs):
            table.add_row(*(Text(cell) for cell in row))
        yield table
        for sentence in match.misses:
            yield Text(f"Not met: {sentence}.")


def _table(*heads: str) -> Table:
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
    for head in heads:
        table.add_column(head, overflow="fold")
    return table
