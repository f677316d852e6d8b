"""From a row of tokens to fibres and their shares, whatever order the label writes them in."""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass
from itertools import pairwise

from laydown.data.label_words import WordKind, fibre_names, folded
from laydown.documents.label_tokens import Token, TokenKind
from laydown.domain.fibre import SUM_TOLERANCE

Shares = dict[str, float]
"""Generic fibre name and its share in per cent, in the order of the label."""

TOLERANCE = 100 * SUM_TOLERANCE + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """Why a row of tokens is no composition; of several readings the one with the highest rank explains best."""

    rank: int
    sentence: str


def read_shares(tokens: list[Token], *, marked_only: bool) -> Shares | Unread:
    """Read one part of a label.

    Parameters
    ----------
    tokens : list of Token
    marked_only : bool
        Take only numbers with a percent sign for shares; the others are sizes, yarn counts and the like.
    """
    refusal = _refusal(tokens)
    if refusal is not None:
        return refusal
    any_marked = any(token.marked for token in tokens)
    numbers: list[Token] = []
    runs: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind is TokenKind.NUMBER and (token.marked or not (marked_only and any_marked)):
            numbers.append(token)
            runs.append([])
        elif token.kind in {TokenKind.FIBRE, TokenKind.WORD}:
            runs[-1].append(token)
    if not numbers:
        return _without_numbers(runs[0])
    bad = next((number for number in numbers if not (0 < number.value < math.inf)), None)
    if bad is not None:
        return Unread(rank=6, sentence=f"a share is {bad.text} %; it must be above 0 % (leave out what is not there)")
    return _with_numbers(numbers, runs)


def _refusal(tokens: list[Token]) -> Unread | None:
    if any(token.kind is TokenKind.PERCENT for token in tokens):
        return Unread(rank=5, sentence="a % sign stands without a number; write a share as '50 %'")
    denial = next((token for token in tokens if token.word is WordKind.DENIAL), None)
    if denial is not None:
        return Unread(rank=5, sentence=f"{denial.text!r} turns the label's sense round; say what the cloth is made of")
    return None


def _with_numbers(numbers: list[Token], runs: list[list[Token]]) -> Shares | Unread:
    """Read ``runs[0] numbers[0] runs[1] numbers[1] ... runs[-1]`` in every order that makes sense."""
    readings = [
        reading
        for reading in (_list(numbers, runs), _number_first(numbers, runs), _fibre_first(numbers, runs))
        if reading is not None
    ]
    if not readings:
        return _explain(numbers, runs)
    results = [_add_up(reading) for reading in readings]
    sums = [result for result in results if not isinstance(result, Unread)]
    if not sums:
        return results[0]
    if any(result != sums[0] for result in sums):
        return Unread(
            rank=4, sentence="it is not clear which share belongs to which fibre; write '60% cotton 40% polyester'"
        )
    return sums[0]


def nearest_names(written: list[str]) -> str:
    """Names of fibres that are spelled most like some words, for an error message."""
    names = sorted({" ".join(name) for name in fibre_names()})
    near = [
        name for word in written[:5] for name in difflib.get_close_matches(folded(word[:40]), names, n=3, cutoff=0.7)
    ]
    if near:
        return "nearest are " + ", ".join(map(repr, dict.fromkeys(near)))
    return "known are cotton, polyester, nylon, elastane, viscose and other generic names"


def _fibres(run: list[Token]) -> list[str]:
    return list(dict.fromkeys(token.fibre for token in run if token.kind is TokenKind.FIBRE))


def _without_numbers(run: list[Token]) -> Shares | Unread:
    fibres = _fibres(run)
    if any(token.word is None for token in run if token.kind is TokenKind.WORD):
        return _unknown(run)
    if not fibres:
        return Unread(
            rank=0, sentence="no fibre is named; write the fibres and their shares, '60% cotton 40% polyester'"
        )
    if len(fibres) > 1:
        return Unread(
            rank=2, sentence=f"the shares of {' and '.join(fibres)} are missing; write '60% cotton 40% polyester'"
        )
    return {fibres[0]: 100.0}


def _list(numbers: list[Token], runs: list[list[Token]]) -> list[tuple[str, float]] | None:
    """Read ``52/48 cotton/poly`` or ``cotton/poly 52/48``."""
    if len(numbers) < 2 or any(map(_fibres, runs[1:-1])):
        return None
    before, after = _fibres(runs[0]), _fibres(runs[-1])
    fibres = after or before
    if len(fibres) != len(numbers) or (before and after and before != after):
        return None
    return [(fibre, number.value) for fibre, number in zip(fibres, numbers, strict=True)]


def _number_first(numbers: list[Token], runs: list[list[Token]]) -> list[tuple[str, float]] | None:
    """Read ``52% cotton 48% polyester``; fibres named before the first share must come again."""
    named = [_fibres(run) for run in runs[1:]]
    if any(len(fibres) != 1 for fibres in named) or not {*_fibres(runs[0])} <= {fibres[0] for fibres in named}:
        return None
    return [(fibres[0], number.value) for fibres, number in zip(named, numbers, strict=True)]


def _fibre_first(numbers: list[Token], runs: list[list[Token]]) -> list[tuple[str, float]] | None:
    """Read ``cotton 52% polyester 48%``; fibres named after the last share must have come before."""
    named = [_fibres(run) for run in runs[:-1]]
    if any(len(fibres) != 1 for fibres in named) or not {*_fibres(runs[-1])} <= {fibres[0] for fibres in named}:
        return None
    return [(fibres[0], number.value) for fibres, number in zip(named, numbers, strict=True)]


def _add_up(pairs: list[tuple[str, float]]) -> Shares | Unread:
    """Sum up by fibre; a composition said twice (in two languages) counts once."""
    total = math.fsum(share for _, share in pairs)
    if abs(total - 100) <= TOLERANCE:
        return _by_fibre(pairs)
    compositions = [_by_fibre(pairs[start:end]) for start, end in pairwise(_hundreds(pairs))]
    if len(compositions) < 2:
        return Unread(
            rank=6,
            sentence=f"the shares add up to {total:g} %; they must add up to 100 % within {100 * SUM_TOLERANCE:g} %",
        )
    if all(one == other for one, other in pairwise(compositions)):
        return compositions[0]
    return Unread(rank=4, sentence="the label gives several compositions; name the printed part, 'body: 100% cotton'")


def _by_fibre(pairs: list[tuple[str, float]]) -> Shares:
    shares: Shares = {}
    for fibre, share in pairs:
        shares[fibre] = shares.get(fibre, 0.0) + share
    return shares


def _hundreds(pairs: list[tuple[str, float]]) -> list[int]:
    """Places that cut the pairs into compositions of 100 % each; only the start when they cannot be cut so."""
    cuts, since = [0], 0.0
    for place, (_, share) in enumerate(pairs, start=1):
        since += share
        if abs(since - 100) <= TOLERANCE:
            cuts.append(place)
            since = 0.0
    return cuts if cuts[-1] == len(pairs) else [0]


def _explain(numbers: list[Token], runs: list[list[Token]]) -> Unread:
    named = any(map(_fibres, runs))
    # Where numbers come first, the unknown fibre is in a run after a number that names none; else in one before.
    speaks_first = any(token.fibre or token.word is None for token in runs[0])
    facing = runs[:-1] if speaks_first and not _fibres(runs[-1]) else runs[1:]
    for run in facing:
        if not _fibres(run) and run:
            return _unknown(run)
    if not named:
        return Unread(rank=1, sentence="no fibre is named beside the shares; write '60% cotton 40% polyester'")
    return Unread(
        rank=2,
        sentence=f"{len(numbers)} shares and the fibres named do not pair up; write '60% cotton 40% polyester'",
    )


def _unknown(run: list[Token]) -> Unread:
    words = [token for token in run if token.kind is TokenKind.WORD]
    # Joining words and adjectives are not what is unknown, unless there is nothing else.
    strange = [token.text for token in words if token.word is None] or [token.text for token in words]
    written = " ".join(strange)
    shown = written if len(written) <= 40 else f"{written[:40]}…"
    return Unread(rank=3, sentence=f"{shown!r} is no fibre that is known; {nearest_names(strange)}")
