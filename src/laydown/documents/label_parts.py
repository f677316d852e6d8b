"""The parts a care label names (body, rib, lining), and which of them is printed on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from laydown.data.label_words import WordKind
from laydown.documents.label_tokens import Token, TokenKind


class PartKind(StrEnum):
    """What a part of a label is about."""

    MAIN = "main"
    OPEN = "open"
    NAMED = "named"
    OTHER = "other"


@dataclass(slots=True, kw_only=True)
class Part:
    """A run of tokens under one heading.

    Attributes
    ----------
    kind : PartKind
        Main (body, shell), open (no heading, or one that names no part), named by a word that is not known,
        or another part (rib, lining).
    name : str
        As written; empty without a heading.
    """

    kind: PartKind
    name: str = ""
    tokens: list[Token] = field(default_factory=list)

    @property
    def speaks(self) -> bool:
        """Whether it says anything of fibres."""
        return any(token.kind in {TokenKind.NUMBER, TokenKind.FIBRE, TokenKind.PERCENT} for token in self.tokens)


_JOINERS = frozenset({"and", "und", "et", "y", "e", "&", "+", "/"})
_IN_A_HEADING = frozenset({"/", "&", "-", "+", "(", ")"})


def split_parts(tokens: Iterable[Token]) -> list[Part]:
    """Cut a label at its headings: words that a colon follows and that name no fibre.

    A colon between fibre and number (``cotton: 60 %``) only separates.
    """
    parts = [Part(kind=PartKind.OPEN)]
    for token in tokens:
        current = parts[-1].tokens
        if token.kind is not TokenKind.COLON:
            current.append(token)
            continue
        start = len(current)
        while start and (current[start - 1].kind is TokenKind.WORD or current[start - 1].text in _IN_A_HEADING):
            start -= 1
        heading = current[start:]
        kind = _heading_kind(heading)
        if kind is None:
            current.append(token)
        else:
            del current[start:]
            parts.append(Part(kind=kind, name=" ".join(word.text for word in heading)))
    return [part for part in parts if part.speaks] or [_whole(parts)]


def printed_parts(parts: list[Part]) -> list[Part]:
    """Those parts that may be what is printed on; all of them must then agree.

    Main parts where there are any, else what stands without a part's name, else what stands under unknown names.
    Empty when the label speaks of other parts only.
    """
    for kind in (PartKind.MAIN, PartKind.OPEN, PartKind.NAMED):
        chosen = [part for part in parts if part.kind is kind]
        if chosen:
            return chosen
    return []


def _heading_kind(heading: list[Token]) -> PartKind | None:
    words = [token for token in heading if token.kind is TokenKind.WORD]
    kinds = [token.word for token in words if token.word is not WordKind.FILLER]
    if not kinds or WordKind.DENIAL in kinds:
        return None
    if WordKind.MAIN in kinds:
        joined = any(token.text.casefold() in _JOINERS for token in heading)
        return PartKind.MAIN if joined or WordKind.PART not in kinds else PartKind.OTHER
    if WordKind.PART in kinds:
        return PartKind.OTHER
    return PartKind.OPEN if set(kinds) == {WordKind.HEADING} else PartKind.NAMED


def _whole(parts: list[Part]) -> Part:
    return Part(kind=PartKind.OPEN, tokens=[token for part in parts for token in part.tokens])
