"""Words of care labels: fibre names in five languages and the words that stand beside them."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from laydown.data.read import sources
from laydown.domain.fibre import FIBRES
from laydown.errors import InvalidInput

Phrase = tuple[str, ...]


class WordKind(StrEnum):
    """What a word does on a label."""

    MAIN = "main"
    PART = "part"
    HEADING = "heading"
    FILLER = "filler"
    DENIAL = "denial"


LANGUAGES = ("en", "de", "fr", "es", "it")
CODE = "code"


def folded(text: str) -> str:
    """Strip accents and case, so that spellings can be compared.

    Examples
    --------
    >>> folded("ALGODÓN")
    'algodon'
    """
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in decomposed if not unicodedata.combining(letter))


def phrase(text: str) -> Phrase:
    """Folded words of a name, the way they are looked up."""
    return tuple(re.findall(r"[^\W\d_]+", folded(text)))


@dataclass(frozen=True, slots=True, kw_only=True)
class FibreName:
    """One name of a fibre: its folded words, the language (or `CODE`) and the generic name."""

    words: Phrase
    language: str
    fibre: str


@cache
def all_fibre_names() -> tuple[FibreName, ...]:
    """Every name in ``fibre_names.csv``, codes included."""
    return parse_fibre_names(_text("fibre_names.csv"), where="fibre_names.csv", known_sources=sources())


@cache
def fibre_names() -> Mapping[Phrase, str]:
    """Map the folded words of each name on labels to the generic fibre name."""
    return MappingProxyType({name.words: name.fibre for name in all_fibre_names() if name.language != CODE})


@cache
def fibre_codes() -> Mapping[str, str]:
    """Map short forms in capitals (``CO``, ``PES``) to the generic fibre name."""
    return MappingProxyType({name.words[0].upper(): name.fibre for name in all_fibre_names() if name.language == CODE})


@cache
def label_words() -> Mapping[Phrase, WordKind]:
    """Map the folded words of what stands beside fibre names to what it does."""
    return MappingProxyType(parse_label_words(_text("label_words.csv"), where="label_words.csv"))


def parse_fibre_names(text: str, *, where: str, known_sources: Container[str]) -> tuple[FibreName, ...]:
    """Read a table ``name,language,fibre,source,place``.

    Raises
    ------
    InvalidInput
        When a field is missing, a language, fibre or source is unknown, or a name stands for two fibres.
    """
    names: list[FibreName] = []
    meanings: dict[tuple[Phrase, bool], str] = {}
    for place, row in _rows(text, ("name", "language", "fibre", "source", "place"), where=where):
        words, language, fibre = phrase(row["name"]), row["language"], row["fibre"]
        if not words:
            raise InvalidInput(f"{row['name']!r} holds no letter; a name is made of words", where=place)
        if language not in (*LANGUAGES, CODE):
            allowed = ", ".join((*LANGUAGES, CODE))
            raise InvalidInput(f"the language {language!r} is unknown; allowed are {allowed}", where=place)
        if fibre not in FIBRES:
            raise InvalidInput(f"{fibre!r} is no generic fibre name; known are {', '.join(FIBRES)}", where=place)
        if row["source"] not in known_sources:
            raise InvalidInput(f"the source {row['source']!r} is unknown; sources.toml lists them", where=place)
        if meanings.setdefault((words, language == CODE), fibre) != fibre:
            raise InvalidInput(f"{row['name']!r} stands for two fibres; allowed is one", where=place)
        names.append(FibreName(words=words, language=language, fibre=fibre))
    return tuple(names)


def parse_label_words(text: str, *, where: str) -> dict[Phrase, WordKind]:
    """Read a table ``word,language,kind``.

    Raises
    ------
    InvalidInput
        When a field is missing, a kind is unknown, or a word stands under two kinds.
    """
    words: dict[Phrase, WordKind] = {}
    for place, row in _rows(text, ("word", "language", "kind"), where=where):
        kind = next((kind for kind in WordKind if kind == row["kind"]), None)
        if kind is None:
            raise InvalidInput(f"the kind {row['kind']!r} is unknown; allowed are {', '.join(WordKind)}", where=place)
        if words.setdefault(phrase(row["word"]), kind) is not kind:
            raise InvalidInput(f"{row['word']!r} stands under two kinds; allowed is one", where=place)
    return words


def _rows(text: str, columns: tuple[str, ...], *, where: str) -> Iterator[tuple[str, dict[str, str]]]:
    lines = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line and not line.startswith("#")]
    for index, (number, line) in enumerate(lines):
        place = f"{where}, line {number}"
        fields = next(csv.reader([line]))
        if index == 0:
            if tuple(fields) != columns:
                raise InvalidInput(f"the first line must read {','.join(columns)!r}", where=place)
            continue
        if len(fields) != len(columns) or not all(fields):
            raise InvalidInput(f"a line has {len(columns)} fields, none of them empty", where=place)
        yield place, dict(zip(columns, fields, strict=True))


def _text(file: str) -> str:
    return (files("laydown.data") / file).read_text(encoding="utf-8")
