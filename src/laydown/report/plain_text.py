"""Names that people typed, made safe to print: what cannot be seen on paper is left out."""

from __future__ import annotations

import unicodedata
from html import escape

# Marks that turn or isolate the direction of what follows could scramble a whole line of a ticket.
_DIRECTION = frozenset("\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def printable(text: str) -> str:
    """Text without control characters, direction marks and halves of surrogate pairs, blanks collapsed."""
    if text.isprintable():
        # Then there is nothing to leave out; a plan has thousands of sentences, and nearly all are so.
        return " ".join(text.split())
    kept = (
        " " if letter.isspace() else letter
        for letter in text
        if letter.isspace() or (unicodedata.category(letter) not in {"Cc", "Cs", "Cn"} and letter not in _DIRECTION)
    )
    return " ".join("".join(kept).split())


def markup(text: str) -> str:
    """Printable text, escaped for XML."""
    return escape(printable(text))


def capital(text: str) -> str:
    """Text with its first letter as a capital, the rest untouched."""
    return text[:1].upper() + text[1:]
