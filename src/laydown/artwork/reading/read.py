"""Read an art file: what it is, and its picture at the size it will be printed."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from laydown.artwork.picture import Picture, SpotPlate
from laydown.artwork.reading.canvas import CHANNELS
from laydown.artwork.reading.facts import ArtFacts, Unusable, facts_from, listed, notes_of, whole, words
from laydown.artwork.reading.kinds import HEAD_BYTES, SUPPORTED, lying_suffix, name_other, tell_kind
from laydown.artwork.reading.limits import Limits
from laydown.artwork.reading.print_size import PrintSize, settle_size
from laydown.artwork.reading.reader import NONSENSE, Reader, clean, map_result, result_memory
from laydown.errors import InvalidInput


def read_picture(
    path: Path,
    *,
    width: float | None = None,
    height: float | None = None,
    limits: Limits = Limits(),  # noqa: B008 - frozen
    page: int = 1,
    reader: Reader | None = None,
) -> Picture:
    """Picture of an art file at the size it will be printed.

    The file is read by a worker process; this process only ever sees finished pixels.

    Parameters
    ----------
    path : Path
        PNG, TIFF, JPEG, SVG or PDF; told from the content.
    width, height : float, optional
        Size on the garment [m]. One is enough; both must fit the art's shape within 1 %; without any the file's own
        size holds.
    limits : Limits
        What reading may cost. A reader that is given brings its own.
    page : int
        Page of a PDF or TIFF, from 1.
    reader : Reader, optional
        A worker to use again for many files; without it one is started and ended.

    Returns
    -------
    Picture

    Raises
    ------
    InvalidInput
        The file cannot be read, is too large, is damaged, states no size, or does not fit the size asked for.
    """
    if reader is None:
        with Reader(limits) as own:
            return read_picture(path, width=width, height=height, page=page, reader=own)
    path = Path(path)
    with _naming(path), _opened(path, reader.limits) as art:
        kind, notes = _kind(path, art)
        facts = _facts(art, kind, page, reader)
        size = settle_size(facts, width=width, height=height, limits=reader.limits)
        return _picture(art, facts, size, page, reader, (*notes, *facts.notes))


def inspect_art(path: Path, *, limits: Limits = Limits(), page: int = 1, reader: Reader | None = None) -> ArtFacts:  # noqa: B008 - frozen
    """What the header of an art file says, without decoding it.

    Parameters
    ----------
    path : Path
    limits : Limits
    page : int
        Page of a PDF or TIFF, from 1.
    reader : Reader, optional
        A worker to use again.

    Raises
    ------
    InvalidInput
        The file cannot be read, is too large or is damaged.
    """
    if reader is None:
        with Reader(limits) as own:
            return inspect_art(path, page=page, reader=own)
    path = Path(path)
    with _naming(path), _opened(path, reader.limits) as art:
        kind, notes = _kind(path, art)
        return _facts(art, kind, page, reader, notes)


@contextmanager
def _naming(path: Path) -> Iterator[None]:
    """Put the file's name before whatever is wrong with it."""
    try:
        yield
    except Unusable:
        raise InvalidInput(NONSENSE, where=_name(path)) from None
    except InvalidInput as error:
        raise InvalidInput(error.what, where=_name(path)) from error.__cause__


def _name(path: Path) -> str:
    return clean(path.name, 120) or clean(str(path), 120)


@contextmanager
def _opened(path: Path, limits: Limits) -> Iterator[int]:
    """A descriptor of a regular file of a size that may be read."""
    try:
        # Without blocking: a pipe that nobody writes to would otherwise hold this process forever.
        art = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    except FileNotFoundError:
        raise InvalidInput("there is no such file") from None
    except PermissionError:
        raise InvalidInput("it may not be read by this user; change its permissions") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InvalidInput(f"it cannot be opened ({reason.lower()}); name a {SUPPORTED} file") from None
    try:
        status = os.fstat(art)
        if stat.S_ISDIR(status.st_mode):
            raise InvalidInput(f"it is a folder; name a {SUPPORTED} file in it")
        if not stat.S_ISREG(status.st_mode):
            raise InvalidInput(f"it is a pipe or a device; name a {SUPPORTED} file")
        if status.st_size == 0:
            raise InvalidInput("the file is empty; export it again")
        if status.st_size > limits.file_bytes:
            raise InvalidInput(
                f"the file has {status.st_size / 1e6:.0f} MB; allowed are {limits.file_bytes / 1e6:.0f} MB"
            )
        yield art
    finally:
        os.close(art)


def _kind(path: Path, art: int) -> tuple[str, tuple[str, ...]]:
    """What the file is, and a note when its name says otherwise."""
    try:
        head = os.pread(art, HEAD_BYTES, 0)
    except OSError as error:
        raise InvalidInput(f"it cannot be read ({(error.strerror or '').lower()})") from None
    kind = tell_kind(head)
    if kind is None:
        other = name_other(head)
        raise InvalidInput(f"it is {other or 'of an unknown kind'}; art can be {SUPPORTED}")
    if lying_suffix(path.suffix, kind):
        return kind, (f"the name ends in {clean(path.suffix, 20)}, but the content is {kind} and was read as that",)
    return kind, ()


def _facts(art: int, kind: str, page: int, reader: Reader, notes: tuple[str, ...] = ()) -> ArtFacts:
    if page < 1:
        raise InvalidInput(f"page {page} was asked for; pages count from 1")
    if page > 1 and kind not in {"PDF", "TIFF"}:
        raise InvalidInput(f"page {page} was asked for, but a {kind} has one page")
    result = result_memory()
    try:
        answer = reader.ask({"do": "inspect", "kind": kind, "page": page}, art, result)
    finally:
        os.close(result)
    facts = facts_from(answer, kind, reader.limits)
    if not notes:
        return facts
    from dataclasses import replace

    return replace(facts, notes=(*notes, *facts.notes))


def _picture(art: int, facts: ArtFacts, size: PrintSize, page: int, reader: Reader, notes: tuple[str, ...]) -> Picture:
    """Have the picture decoded, and check that what came back is what was agreed."""
    job = {"do": "decode", "kind": facts.kind, "page": page, "columns": size.columns, "rows": size.rows}
    result = result_memory()
    try:
        answer = reader.ask(job, art, result)
        rows = whole(answer.get("rows"), size.rows, size.rows)
        columns = whole(answer.get("columns"), size.columns, size.columns)
        spots = listed(answer.get("spots"), reader.limits.spots)
        memory = map_result(result, rows * columns * (CHANNELS + len(spots)))
    finally:
        os.close(result)
    plane = rows * columns
    pixels = np.frombuffer(memory, np.uint8, plane * CHANNELS).reshape(rows, columns, CHANNELS)
    return Picture(
        pixels=pixels,
        width=size.width,
        height=size.height,
        spots=tuple(
            _spot(spot, np.frombuffer(memory, np.uint8, plane, plane * (CHANNELS + index)).reshape(rows, columns))
            for index, spot in enumerate(spots)
        ),
        kind=facts.kind,
        bits=whole(answer.get("bits"), 1, 64),
        profile=words(answer.get("profile")),
        notes=(*notes, *size.notes, *notes_of(answer)),
    )


def _spot(spot: Any, tone: np.ndarray[Any, np.dtype[np.uint8]]) -> SpotPlate:
    if not isinstance(spot, Mapping):
        raise Unusable
    srgb = [whole(one, 0, 255) for one in listed(spot.get("srgb"), 3)]
    if len(srgb) != 3:
        raise Unusable
    return SpotPlate(name=words(spot.get("name")), tone=tone, srgb="#{:02x}{:02x}{:02x}".format(*srgb))


__all__ = ["inspect_art", "read_picture"]
