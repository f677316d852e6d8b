"""A care label's text as a row of numbers, fibre names, words and separators."""

from __future__ import annotations

import html
import re
import unicodedata
from dataclasses import dataclass, replace
from enum import StrEnum

from laydown.data.label_words import WordKind, fibre_codes, fibre_names, folded, label_words


class TokenKind(StrEnum):
    """What a token is."""

    NUMBER = "number"
    FIBRE = "fibre"
    WORD = "word"
    PERCENT = "percent"
    COLON = "colon"
    SEPARATOR = "separator"


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """One piece of a label.

    Attributes
    ----------
    kind : TokenKind
    text : str
        As written.
    value : float
        Of a number, in per cent.
    marked : bool
        Whether a number wears a percent sign, its own or that of a list it stands in (``52/48 %``).
    fibre : str
        Generic name, of a fibre.
    word : WordKind or None
        What a word does; None for one that is not known.
    """

    kind: TokenKind
    text: str
    value: float = 0.0
    marked: bool = False
    fibre: str = ""
    word: WordKind | None = None


# Numbers that say something else than a share: mass, fineness, wash temperature, length.
_MEASURES = re.compile(
    r"\d+(?:[.,]\d+)?\s*(?:g\s*/\s*(?:m2|qm|sqm)|gsm|gr\b|g\b|oz\b\.?(?:\s*/?\s*(?:sq\.?\s*)?yd2?\b)?|"
    r"°\s*[cf]?\b|°|den(?:ier)?\b|d?tex\b|[cm]m\b|inch\b|singles?\b|ply\b)",
    re.IGNORECASE,
)
_PERCENT_WORDS = re.compile(r"\b(?:per\s?cento?|pct|prozent|pour\s?cents?|por\s?ciento)\b|٪", re.IGNORECASE)
_TAGS = re.compile(r"<\s*/?\s*[a-zA-Z!][^<>]*>")
_LINKS = frozenset("/-–—,+&|:")


def clean(text: str) -> str:
    """Text without markup, accents and odd spaces; case is kept."""
    plain = _TAGS.sub(" ", html.unescape(_TAGS.sub(" ", text)))
    plain = unicodedata.normalize("NFKD", plain)
    plain = "".join(c for c in plain if not unicodedata.combining(c) and unicodedata.category(c) != "Cf")
    return _MEASURES.sub(" ; ", _PERCENT_WORDS.sub("%", plain))


def tokenise(text: str, *, decimal_comma: bool, codes: bool) -> list[Token]:
    """Cut a cleaned text into tokens.

    Parameters
    ----------
    text : str
        From `clean`.
    decimal_comma : bool
        Whether a comma between digits is a decimal sign; otherwise it separates.
    codes : bool
        Whether short forms in capitals (``CO``, ``PES``) are fibre names.
    """
    decimal = "[.,]" if decimal_comma else "[.]"
    pattern = re.compile(
        rf"(?P<number>(?:(?<![\w%.,])[-\u2212])?[0-9]+(?:{decimal}[0-9]+)?)|(?P<word>[^\W\d_]+)|(?P<percent>%)"
        r"|(?P<colon>[:=])|(?P<separator>[^\s\w]|_)"
    )
    tokens = []
    for match in pattern.finditer(text):
        kind = TokenKind(match.lastgroup or "")
        value = float(match[0].replace(",", ".").replace("\u2212", "-")) if kind is TokenKind.NUMBER else 0.0
        tokens.append(Token(kind=kind, text=match[0], value=value))
    return _marked(_named(tokens, codes=codes))


def _named(tokens: list[Token], *, codes: bool) -> list[Token]:
    """Join words into fibre names and known phrases, the longest first."""
    names, words = fibre_names(), label_words()
    longest = max(map(len, (*names, *words)))
    named: list[Token] = []
    place = 0
    while place < len(tokens):
        length = 0
        while length < longest and place + length < len(tokens) and tokens[place + length].kind is TokenKind.WORD:
            length += 1
        for size in range(length, 0, -1):
            written = [token.text for token in tokens[place : place + size]]
            key = tuple(map(folded, written))
            code = fibre_codes().get(written[0]) if codes and size == 1 else None
            fibre = names.get(key) or code
            if fibre or key in words or size == 1:
                kind = TokenKind.FIBRE if fibre else TokenKind.WORD
                named.append(Token(kind=kind, text=" ".join(written), fibre=fibre or "", word=words.get(key)))
                place += size
                break
        else:
            named.append(tokens[place])
            place += 1
    return named


def _marked(tokens: list[Token]) -> list[Token]:
    """Give each percent sign to the number before it, else to the one after; one that belongs to none stays."""
    marked: list[Token] = []
    owed = False
    for index, token in enumerate(tokens):
        if token.kind is TokenKind.PERCENT:
            if marked and marked[-1].kind is TokenKind.NUMBER and not marked[-1].marked:
                marked[-1] = replace(marked[-1], marked=True)
            elif index + 1 < len(tokens) and tokens[index + 1].kind is TokenKind.NUMBER:
                owed = True
            else:
                marked.append(token)
            continue
        marked.append(replace(token, marked=True) if owed else token)
        owed = False
    # A sign at one end of a list of numbers counts for all of them.
    for order in (1, -1):
        row = marked[::order]
        for place in range(len(row) - 2):
            one, link, other = row[place : place + 3]
            if one.marked and link.text in _LINKS and other.kind is TokenKind.NUMBER:
                row[place + 2] = replace(other, marked=True)
        marked = row[::order]
    return marked
