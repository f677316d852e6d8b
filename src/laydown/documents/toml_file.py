"""Reading a TOML file, with one clear sentence for everything that can be wrong with it as a file."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from laydown.errors import InvalidInput

LARGEST = 5_000_000
"""Bytes; a file that people write by hand is a thousand times smaller, so a larger one is some other file."""

_AT_LINE = re.compile(r" \(at line (\d+), column (\d+)\)\Z")
_AT_END = " (at end of document)"


def read_text(path: Path, *, purpose: str = "") -> str:
    """Text of a file.

    Parameters
    ----------
    path : Path
    purpose : str
        What the file is for, in a few words, told when it is missing.

    Raises
    ------
    InvalidInput
        When the file is missing, a directory, larger than `LARGEST`, cannot be opened or is not UTF-8.
    """
    where = str(path)
    what_for = f"; it is for {purpose}" if purpose else ""
    try:
        if path.is_dir():
            raise InvalidInput(f"this is a folder, but a file is needed{what_for}", where=where)
        if path.exists() and not path.is_file():
            raise InvalidInput(f"this is not an ordinary file{what_for}", where=where)
        with path.open("rb") as file:
            # One byte more than allowed is enough to know, however large the file is.
            content = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise InvalidInput(f"there is no such file{what_for}", where=where) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InvalidInput(f"the file cannot be read ({reason}){what_for}", where=where) from None
    if len(content) > LARGEST:
        raise InvalidInput(f"the file is larger than {LARGEST // 1_000_000} MB, the most that is read", where=where)
    return text_from_bytes(content, where=where)


def text_from_bytes(content: bytes, *, where: str) -> str:
    """UTF-8 text of some bytes, without a byte order mark.

    Raises
    ------
    InvalidInput
        When the bytes are not UTF-8; the sentence says line and byte.
    """
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # With a byte order mark the codec counts from behind it.
        start = error.start + (3 if content.startswith(b"\xef\xbb\xbf") else 0)
        line = content.count(b"\n", 0, start) + 1
        raise InvalidInput(
            f"the text is not UTF-8 (byte {start} of the file is 0x{content[start]:02x}); save it as UTF-8",
            where=f"{where}, line {line}",
        ) from None


def toml_from_text(text: str, *, where: str) -> dict[str, Any]:
    """Tables of a TOML text.

    Raises
    ------
    InvalidInput
        When the text is not TOML; the sentence says line and column.
    """
    if len(text) > LARGEST:
        raise InvalidInput(f"the text is longer than {LARGEST // 1_000_000} MB, the most that is read", where=where)
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise InvalidInput(f"character {error.start + 1} of the text is no character of Unicode", where=where) from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _no_toml(str(error), where) from None
    except RecursionError:
        raise InvalidInput("the brackets of this text are nested too deeply to be read", where=where) from None
    except ValueError:
        # Python refuses to read integers of thousands of digits.
        raise InvalidInput("a number in this text has more digits than can be read", where=where) from None


def read_toml(path: Path, *, purpose: str = "") -> dict[str, Any]:
    """Tables of a TOML file.

    Raises
    ------
    InvalidInput
        As `read_text` and `toml_from_text`.
    """
    return toml_from_text(read_text(path, purpose=purpose), where=str(path))


def _no_toml(message: str, where: str) -> InvalidInput:
    place = _AT_LINE.search(message)
    if place:
        reason = message[: place.start()]
        where = f"{where}, line {place[1]}, column {place[2]}"
    else:
        reason = message.removesuffix(_AT_END)
        where = f"{where}, at its end"
    return InvalidInput(f"this is not TOML: {reason[:1].lower()}{reason[1:]}", where=where)
