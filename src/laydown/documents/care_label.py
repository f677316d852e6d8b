"""Care labels: what people write on them, and the fibre content that it says."""

from __future__ import annotations

from itertools import product

from laydown import units
from laydown.documents.label_parts import Part, printed_parts, split_parts
from laydown.documents.label_shares import Shares, Unread, read_shares
from laydown.documents.label_tokens import clean, tokenise
from laydown.domain.fibre import FibreContent
from laydown.errors import InvalidInput

LONGEST = 1000
"""Characters; a care label is not a book."""


def parse_care_label(text: str, where: str = "") -> FibreContent:
    """Read the fibre content from a care label or a catalogue's line.

    Parameters
    ----------
    text : str
        Names in English, German, French, Spanish or Italian, or short forms such as ``PES``; shares before or after the
        names (``52% cotton 48% polyester``, ``cotton 52, polyester 48``) or as lists (``52/48 cotton/poly``); with or
        without percent signs, decimal point or comma; one fibre alone stands for all. Of several parts the body is
        taken (``body: 100% cotton, rib: 95% cotton 5% elastane``).
    where : str, optional
        Place of the text, for error messages.

    Returns
    -------
    FibreContent
        In the order of the label, shares as stated.

    Raises
    ------
    InvalidInput
        When no fibre or an unknown one is named (the nearest names are listed), shares are missing, not above 0 or do
        not add up to 100 %, or the label gives several compositions without saying which is the body's.

    Notes
    -----
    A label is read in several ways (with and without regard to bare numbers, with a comma as decimal sign or between
    shares, with and without short forms); the first way whose shares add up is taken.

    References
    ----------
    Generic names: ISO 2076; Regulation (EU) No 1007/2011, Annex I. No trade marks are read.

    Examples
    --------
    >>> print(parse_care_label("52/48 cotton/poly"))
    52 % cotton, 48 % polyester
    """
    if len(text) > LONGEST:
        raise InvalidInput(f"the care label has {len(text)} characters; allowed are up to {LONGEST}", where=where)
    cleaned = clean(text)
    why: Unread | None = None
    for codes, marked_only, decimal_comma in product((False, True), (True, False), (True, False)):
        parts = split_parts(tokenise(cleaned, decimal_comma=decimal_comma, codes=codes))
        shares = _agreed(parts, marked_only=marked_only)
        if not isinstance(shares, Unread):
            return FibreContent(shares=tuple((fibre, units.from_percent(share)) for fibre, share in shares.items()))
        if why is None or shares.rank > why.rank:
            why = shares
    shown = text.strip() if len(text.strip()) <= 60 else f"{text.strip()[:60]}…"
    raise InvalidInput(f"the care label {shown!r} cannot be read: {why.sentence if why else ''}", where=where)


def _agreed(parts: list[Part], *, marked_only: bool) -> Shares | Unread:
    chosen = printed_parts(parts)
    if not chosen:
        names = ", ".join(part.name for part in parts)
        return Unread(rank=4, sentence=f"it names only {names}; name the printed part, 'body: 100% cotton'")
    readings = [read_shares(part.tokens, marked_only=marked_only) for part in chosen]
    for reading in readings:
        if isinstance(reading, Unread):
            return reading
    if any(reading != readings[0] for reading in readings):
        names = ", ".join(part.name or "the part without a name" for part in chosen)
        return Unread(rank=4, sentence=f"{names} differ; keep only the printed part, 'body: 100% cotton'")
    return readings[0]
