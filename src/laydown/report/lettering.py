"""How wide text is and where it breaks, for drawings that must know before anything is drawn."""

from __future__ import annotations

import unicodedata

FAMILY = "Inter, 'DejaVu Sans', 'Helvetica Neue', Arial, sans-serif"
"""First the fonts that come with the package, then what a browser has."""

# Advance widths of the semibold letters from U+0020 to U+007E, thousandths of the size (from the font's own table).
# Semibold, so that the same table is safe for the regular weight, which is narrower.
# fmt: off
_ADVANCE = (
    248, 309, 396, 643, 649, 844, 663, 213, 393, 393, 543, 673, 295, 466, 290, 379, 667, 481, 621, 652, 666, 632, 648,
    587, 646, 648, 290, 295, 673, 673, 673, 544, 999, 724, 657, 744, 724, 608, 586, 755, 744, 275, 561, 677, 566, 906,
    741, 775, 643, 776, 651, 649, 660, 734, 724, 1007, 690, 705, 653, 393, 379, 393, 481, 468, 497, 575, 630, 577, 630,
    593, 377, 625, 613, 261, 261, 569, 261, 898, 610, 608, 625, 625, 397, 549, 380, 608, 576, 837, 562, 576, 562, 393,
    358, 393, 673,
)
# fmt: on


def text_width(text: str, size: float) -> float:
    """Width of one line of text, on the safe side.

    Parameters
    ----------
    text : str
    size : float
        Font size, in any unit.

    Returns
    -------
    float
        Width in the unit of ``size``. Exact for ASCII in semibold; other letters count as wide ones.
    """
    return sum(_advance(letter) for letter in text) * size / 1000


def _advance(letter: str) -> float:
    code = ord(letter)
    if 0x20 <= code <= 0x7E:
        return _ADVANCE[code - 0x20]
    if unicodedata.combining(letter):
        return 0
    base = unicodedata.normalize("NFD", letter)[0]
    if base != letter:
        return _advance(base)
    return 1400 if code >= 0x1F000 or unicodedata.east_asian_width(letter) in "WF" else 750


def wrap(text: str, width: float, size: float, most: int) -> tuple[str, ...]:
    """Break text into at most so many lines; what does not fit ends in an ellipsis.

    Parameters
    ----------
    width, size : float
        Room for a line and font size, in the same unit.
    most : int
        Largest number of lines, at least 1.
    """
    lines: list[str] = []
    line = ""
    for word in _pieces(text, width, size):
        longer = f"{line} {word}" if line else word
        if not line or text_width(longer, size) <= width:
            line = longer
            continue
        lines.append(line)
        line = word
    lines.append(line)
    if len(lines) <= most:
        return tuple(lines)
    return (*lines[: most - 1], _shorten(" ".join(lines[most - 1 :]), width, size))


def _pieces(text: str, width: float, size: float) -> list[str]:
    """Words; one that is wider than a line is cut into pieces that are not."""
    pieces = []
    for word in text.split():
        piece = ""
        for letter in word:
            if piece and text_width(piece + letter, size) > width:
                pieces.append(piece)
                piece = ""
            piece += letter
        pieces.append(piece)
    return pieces or [""]


def _shorten(text: str, width: float, size: float) -> str:
    if text_width(text, size) <= width:
        return text
    while text and text_width(text + "…", size) > width:
        text = text[:-1]
    return text.rstrip() + "…"
