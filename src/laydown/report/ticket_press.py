"""The workshop's part of a ticket: press order, ink to mix, screens to burn."""

from __future__ import annotations

from collections import Counter
from typing import Any

from laydown.domain.plan import PassSettings, Production, Settings
from laydown.domain.screen import Screen
from laydown.domain.shop import Preferences
from laydown.domain.stack import Stack
from laydown.report import display_units as show
from laydown.report.plain_text import printable
from laydown.report.stack_words import ink_words
from laydown.report.swatch_colour import srgb_of

Fields = dict[str, Any]


def press_rows(stack: Stack, settings: Settings, prefs: Preferences) -> list[Fields]:
    """Rows of the press order: how each pass is set, and the flash after it."""
    rows = []
    for n, (p, s) in enumerate(zip(stack.passes, settings.passes, strict=True), start=1):
        rows.append(
            {
                "n": str(n),
                "head": str(s.head),
                "turn": str(s.revolution),
                "role": p.role.value if p.ink else f"{p.role.value}, no ink",
                "ink": ink_words(p),
                "swatch": srgb_of(p.ink.optics.colour) if p.ink and p.ink.optics else "",
                "mesh": show.mesh(p.screen.mesh, prefs),
                "hits": str(p.hits),
                "shore": show.shore(s.squeegee_shore),
                "squeegee": printable(s.squeegee_note),
                "off": show.length(s.off_contact, prefs),
                "tension": show.tension(s.tension_low, s.tension_high),
                "eom": show.micron(s.emulsion_over_mesh) if p.ink else show.NOTHING,
                "flash": _flash(s),
            }
        )
    return rows


def _flash(s: PassSettings) -> Fields | None:
    """Describe the flash after a pass; on a manual press it stands at no head."""
    if s.flash_seconds is None:
        return None
    head = show.NOTHING if s.flash_head is None else str(s.flash_head)
    return {"head": head, "seconds": show.duration(s.flash_seconds)}


def inks_to_mix(production: Production) -> list[Fields]:
    """List ink to mix, one line an ink: the same white in two passes is mixed once."""
    total: dict[str, float] = {}
    each: dict[str, float] = {}
    for amount in production.inks:
        total[amount.ink] = total.get(amount.ink, 0.0) + amount.total
        each[amount.ink] = each.get(amount.ink, 0.0) + amount.per_piece
    return [
        {"ink": printable(ink), "total": show.mass(total[ink]), "each": f"{show.mass(each[ink])} a piece"}
        for ink in total
    ]


def screens_to_burn(stack: Stack, prefs: Preferences) -> list[Fields]:
    """List screens to fetch, one line a kind, with what must be done to them before they can be burned."""
    screens = {p.screen.name: p.screen for p in stack.passes}
    needed = Counter(p.screen.name for p in stack.passes)
    return [
        {
            "count": f"{needed[name]} ×",
            "screen": printable(name),
            "mesh": show.mesh(screen.mesh, prefs),
            "state": _screen_state(screen, needed[name]),
        }
        for name, screen in screens.items()
    ]


def _screen_state(screen: Screen, needed: int) -> str:
    state = "no stencil" if screen.smooths else screen.state.value
    return state if screen.count >= needed else f"{state}; only {screen.count} in the rack"
