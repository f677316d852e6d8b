"""Files by what is in them: art, plans and snapshots, each kept once under its SHA-256."""

from __future__ import annotations

import hashlib
import io
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

from sqlalchemy import select

from laydown.errors import InvalidInput, NotFound, StoreUnavailable
from laydown.store.schema import file_chunks, files
from laydown.store.transaction import Transaction

CHUNK = 1 << 20
"""Bytes of a file in one row."""

LARGEST = 500_000_000
"""Bytes; art is smaller, and nothing larger is to stop everybody else's writing while it is copied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredFile:
    """A file that is kept.

    Attributes
    ----------
    sha256 : str
        64 hexadecimal digits.
    size : int
        Bytes.
    """

    sha256: str
    size: int


def put(tx: Transaction, content: bytes | BinaryIO, *, pack: bool = False) -> StoredFile:
    """Keep a file; the same content is kept once.

    Parameters
    ----------
    content : bytes or binary file
        A file is read twice from its beginning, in pieces, so that it need not fit into memory. It has to lie on a
        disk: everybody else's writing waits until it is read.
    pack : bool
        Compress it; for text.

    Raises
    ------
    InvalidInput
        When it is larger than `LARGEST`.
    """
    file = io.BytesIO(content) if isinstance(content, bytes) else content
    digest, size = _measured(file)
    if size > LARGEST:
        raise InvalidInput(f"the file is larger than {LARGEST // 1_000_000} MB, the most that is kept")
    if tx.run(select(files.c.size).where(files.c.sha256 == digest)).first() is None:
        tx.run(files.insert().values(sha256=digest, size=size, added_at=tx.now))
        for number, piece in enumerate(_pieces(file)):
            data = zlib.compress(piece, 6) if pack else piece
            tx.run(file_chunks.insert().values(sha256=digest, number=number, packed=pack, data=data))
        tx.log("add", "file", digest, after={"size": size})
    return StoredFile(sha256=digest, size=size)


def find(tx: Transaction, sha256: str) -> StoredFile | None:
    """File by its content's SHA-256, or None."""
    size = tx.run(select(files.c.size).where(files.c.sha256 == sha256)).scalar()
    return StoredFile(sha256=sha256, size=size) if size is not None else None


def chunks(tx: Transaction, sha256: str) -> Iterator[bytes]:
    """Content in pieces of at most `CHUNK` bytes, checked against its SHA-256 at the end.

    Raises
    ------
    NotFound
        When it is not kept.
    StoreUnavailable
        When the content is not what was kept: the database is damaged.
    """
    if find(tx, sha256) is None:
        raise NotFound("file", sha256, ())
    found = hashlib.sha256()
    number = 0
    while True:
        row = tx.run(
            select(file_chunks.c.packed, file_chunks.c.data).where(
                file_chunks.c.sha256 == sha256, file_chunks.c.number == number
            )
        ).first()
        if row is None:
            break
        piece = zlib.decompress(row.data) if row.packed else bytes(row.data)
        found.update(piece)
        yield piece
        number += 1
    if found.hexdigest() != sha256:
        raise StoreUnavailable(f"the content of file {sha256[:12]} is damaged; restore the newest backup")


def content(tx: Transaction, sha256: str) -> bytes:
    """Content as a whole; raises as `chunks`."""
    return b"".join(chunks(tx, sha256))


def _measured(file: BinaryIO) -> tuple[str, int]:
    digest, size = hashlib.sha256(), 0
    for piece in _pieces(file):
        digest.update(piece)
        size += len(piece)
    return digest.hexdigest(), size


def _pieces(file: BinaryIO) -> Iterator[bytes]:
    file.seek(0)
    while piece := file.read(CHUNK):
        yield piece
