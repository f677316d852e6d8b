"""A stack in words, long for a plan and short for a list of orders."""

from __future__ import annotations

from laydown.domain.shop import Preferences
from laydown.domain.stack import Pass, Role, Stack
from laydown.report.display_units import mesh, percent
from laydown.report.plain_text import printable

_BESIDE = frozenset({Role.COLOUR})


def pass_words(p: Pass, prefs: Preferences) -> str:
    """One pass: ``Polyester white through 43/80, 2 hits``."""
    if p.ink is None:
        return "smoothing pass"
    hits = f", {p.hits} hits" if p.hits > 1 else ""
    return f"{ink_words(p)} through {mesh(p.screen.mesh, prefs)}{hits}"


def ink_words(p: Pass) -> str:
    """Ink of a pass with what is stirred in; the screen's name where no ink is laid."""
    if p.ink is None:
        return printable(p.screen.name)
    mixed = f" + {percent(p.additive_share)} {p.additive.name}" if p.additive else ""
    return printable(p.ink.name + mixed)


def stack_words(stack: Stack, prefs: Preferences) -> str:
    """Every pass and flash, in order."""
    words = []
    for p in stack.passes:
        words.append(pass_words(p, prefs))
        if p.flash_after:
            words.append("flash")
    return " · ".join(words)


def stack_in_short(stack: Stack, prefs: Preferences) -> str:
    """Grounds by name, colours by number: ``Polyester white through 43/80, 2 hits · flash · 3 colours``."""
    words: list[str] = []
    colours = 0
    several = sum(p.role in _BESIDE for p in stack.passes) > 1
    for n, p in enumerate(stack.passes):
        if p.role in _BESIDE and several:
            colours += 1
        elif p.role is Role.HIGHLIGHT:
            words.append(p.role.value)
        else:
            words.append(pass_words(p, prefs))
        ends = n + 1 == len(stack.passes) or stack.passes[n + 1].role not in _BESIDE
        if colours and (ends or p.flash_after):
            words.append(f"{colours} colour{'s' if colours > 1 else ''}")
            colours = 0
        if p.flash_after:
            words.append("flash")
    return " · ".join(words)
