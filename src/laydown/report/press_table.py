"""The order at the press on a terminal, head by head."""

from __future__ import annotations

from typing import TYPE_CHECKING

from laydown.domain.plan import PassSettings, Settings
from laydown.domain.shop import Preferences
from laydown.domain.stack import Pass, Stack
from laydown.report import display_units as show
from laydown.report.plain_text import printable
from laydown.report.stack_words import ink_words

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.text import Text


def press_table(stack: Stack, settings: Settings, prefs: Preferences, *, narrow: bool) -> RenderableType:
    """Heads from first to last: what is printed there, through what, and how the press is set.

    Parameters
    ----------
    stack : Stack
    settings : Settings
        As many passes as the stack has.
    prefs : Preferences
    narrow : bool
        Put the lesser settings on a second line of each pass instead of into columns.
    """
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    turned = settings.revolutions > 1
    turns = f"{settings.revolutions} revolutions" if turned else "one revolution"
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    for title, justify in (("head", "right"), *((("rev.", "right"),) if turned else ())):
        table.add_column(title, justify=justify, no_wrap=True)
    table.add_column(ratio=1, overflow="fold")
    more = ("squeegee", "off-contact", "tension", "EOM")
    titles = (f"mesh {show.mesh_unit(prefs)}", "hits", *(() if narrow else more))
    for _ in titles:
        table.add_column(no_wrap=True)
    lead = ["head", *(["rev."] if turned else [])]
    table.add_row(*lead, Text(f"{printable(settings.press)}, {turns}"), *titles, style="dim")
    for p, s in zip(stack.passes, settings.passes, strict=True):
        table.add_row(*_press_row(p, s, prefs, turned=turned, narrow=narrow))
        if s.flash_seconds is not None:
            head = show.NOTHING if s.flash_head is None else str(s.flash_head)
            table.add_row(head, *([str(s.revolution)] if turned else []), f"flash {show.duration(s.flash_seconds)}")
    return Padding(table, (0, 0, 0, 2))


def _press_row(p: Pass, s: PassSettings, prefs: Preferences, *, turned: bool, narrow: bool) -> list[str | Text]:
    from rich.text import Text

    fine = (
        f"{show.shore(s.squeegee_shore)} A",
        show.length(s.off_contact, prefs),
        show.tension(s.tension_low, s.tension_high),
        show.micron(s.emulsion_over_mesh) if p.ink else show.NOTHING,
    )
    what = Text(ink_words(p), style="bold")
    what.append(f", {p.role.value}", style="not bold")
    notes = [printable(s.squeegee_note)] if s.squeegee_note else []
    if narrow:
        notes = [f"squeegee {fine[0]}", *notes, f"off-contact {fine[1]}", fine[2]]
        notes += [f"EOM {fine[3]}"] if p.ink else []
    if notes:
        what.append("\n" + ", ".join(notes), style="not bold dim")
    row: list[str | Text] = [str(s.head), *([str(s.revolution)] if turned else []), what]
    row += [show.mesh(p.screen.mesh, prefs), str(p.hits)]
    return row if narrow else [*row, *fine]
