"""The sign before decimals as whoever reads likes it: the one place where figures of pages get a comma.

Numbers are written with a point, thousands parted by a comma, by `laydown.report.display_units`, and stand so in
sentences that planning wrote. Inside ``with decimal_sign(","):`` both come out as ``1,5`` and ``12 000``. Files and the
interface for programs never ask for it, so they keep the point.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from typing import NamedTuple

THIN = "\u202f"
"""Parts thousands beside a decimal comma: narrow, and no line breaks there."""

SIGNS = (".", ",")

_FIGURE = r"(?<![\w.,#])\d+(?:,\d{3})*(?:\.\d+)?(?:e[-+]?\d+)?(?![\w]|[.,]\d)"


class _Way(NamedTuple):
    sign: str = "."
    names: tuple[str, ...] = ()


_POINT = _Way()
_WAY: ContextVar[_Way] = ContextVar("decimal sign", default=_POINT)


@contextmanager
def decimal_sign(sign: str, names: Iterable[str] = ()) -> Iterator[None]:
    """Write figures with this sign as long as the block lasts, in this thread or task only.

    Parameters
    ----------
    sign : str
        ``.`` or ``,``; whatever else counts as a point.
    names : iterable of str
        Names that may stand in sentences; figures in them belong to the name and stay.
    """
    if sign == ",":
        kept = tuple(sorted({one for one in names if re.search(r"\d[.,]\d", one)}, key=len, reverse=True))
        token = _WAY.set(_Way(",", kept))
    else:
        token = _WAY.set(_POINT)
    try:
        yield
    finally:
        _WAY.reset(token)


def figure(text: str) -> str:
    """Figure that was written with a point, as it is read."""
    return _turned(text) if _WAY.get().sign == "," else text


def sentence(text: str) -> str:
    """Sentence whose figures were written with a point, as it is read; dates, meshes and names stay."""
    way = _WAY.get()
    if way.sign == ".":
        return text
    return _pattern(way.names).sub(lambda found: found[0] if found[1] else _turned(found[0]), text)


def _turned(text: str) -> str:
    return text.replace(",", THIN).replace(".", ",")


@lru_cache(maxsize=64)
def _pattern(names: tuple[str, ...]) -> re.Pattern[str]:
    """Names first, so that a figure in a name is never reached."""
    return re.compile(f"({'|'.join(map(re.escape, names)) or '(?!)'})|{_FIGURE}")
