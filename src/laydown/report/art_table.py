"""An art file, its inks and its plates, to read on a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from laydown.domain.art import PlateMeasure
from laydown.domain.order import Print
from laydown.domain.shop import Preferences
from laydown.report import display_units as show
from laydown.report.plain_text import printable
from laydown.units import to_cm2, to_percent

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType
    from rich.table import Table


class ArtTable:
    """What an art file is, what prints its colours, and what each plate holds.

    Parameters
    ----------
    facts : sequence of str
        Lines about the file itself.
    print_ : Print
        With its measured art.
    prefs : Preferences
        How the shop likes to read numbers.
    """

    def __init__(self, facts: Sequence[str], print_: Print, prefs: Preferences) -> None:
        self._facts, self._print, self._prefs = facts, print_, prefs

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Yield the file, the plates, the colours and the warnings."""
        from rich.padding import Padding
        from rich.text import Text

        art = self._print.art
        for line in self._facts:
            yield Text(printable(line))
        if art is None:
            return
        size = f"{show.length(self._print.width, self._prefs)} × {show.length(self._print.height, self._prefs)}"
        yield Text(f"Printed {size}; {to_percent(art.inked):.1f} % of the rectangle carries ink.", style="bold")
        yield ""
        yield plates_table(art.plates, self._prefs)
        for heading, lines in (("Colours", art.notes), ("Look at", art.warnings)):
            if lines:
                yield ""
                yield Text(heading, style="bold")
                for line in lines:
                    yield Padding(Text(printable(line)), (0, 0, 0, 2))


def plates_table(plates: Sequence[PlateMeasure], prefs: Preferences) -> Table:
    """One line a plate: inked area, solids and dots, edges and finest detail."""
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="dim")
    table.add_column("Plate", overflow="fold")
    for heading in ("Inked", "Solid", "Dots", "Line", "Gap"):
        table.add_column(heading, justify="right")
    for plate in plates:
        table.add_row(
            Text(printable(plate.plate)),
            f"{to_cm2(plate.area):.1f} cm²",
            f"{to_percent(plate.solid):.1f} %",
            f"{to_percent(plate.toned):.1f} %",
            "–" if plate.finest_line is None else show.fine_length(plate.finest_line, prefs),
            "–" if plate.finest_gap is None else show.fine_length(plate.finest_gap, prefs),
        )
    return table
