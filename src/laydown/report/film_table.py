"""Films that were written, and what their meshes hold, to read on a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Protocol

from laydown.domain.shop import Preferences
from laydown.report import display_units as show
from laydown.report.plain_text import printable

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType

    from laydown.artwork.films.write import WrittenFilm
    from laydown.artwork.mesh_checks import MeshCheck
    from laydown.domain.stack import Pass


class PlatesMade(Protocol):
    """Plates of a print, as far as the table asks."""

    @property
    def passes(self) -> tuple[Pass, ...]:
        """For each plate the pass that prints it."""


class FilmTable:
    """One line a film, then every question that a mesh does not answer well.

    Parameters
    ----------
    written : sequence of WrittenFilm
    made : PlatesMade
        Plates in the same order.
    checks : sequence of (str, MeshCheck)
        By the plate's name.
    prefs : Preferences
    """

    def __init__(
        self,
        written: Sequence[WrittenFilm],
        made: PlatesMade,
        checks: Sequence[tuple[str, MeshCheck]],
        prefs: Preferences,
    ) -> None:
        self._written, self._made, self._checks, self._prefs = written, made, checks, prefs

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Yield the films and the remarks."""
        from rich.padding import Padding
        from rich.table import Table
        from rich.text import Text

        table = Table(box=None, pad_edge=False, header_style="dim")
        for heading in ("Plate", "Mesh", "Film"):
            table.add_column(heading, overflow="fold")
        table.add_column("Size", justify="right")
        for film, pass_ in zip(self._written, self._made.passes, strict=True):
            mesh = pass_.screen.mesh
            size = " × ".join(
                show.length(pixels / film.sheet.resolution, self._prefs)
                for pixels in (film.sheet.columns, film.sheet.rows)
            )
            table.add_row(Text(printable(film.plate)), mesh.name if mesh else "", Text(", ".join(film.files)), size)
        yield table
        wrong = [(plate, check) for plate, check in self._checks if not check.ok]
        if wrong:
            yield ""
            yield Text("Look at", style="bold")
        for plate, check in wrong:
            yield Padding(Text(printable(f"{plate}: {check.sentence} {check.remedy}")), (0, 0, 0, 2))
