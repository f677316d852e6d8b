"""What reader and worker say to each other: one JSON object a message, with open files beside it.

A message is its length in four bytes and then that many bytes of JSON. Files travel as descriptors over the
Unix socket, so that the worker needs no right to any folder.
"""

from __future__ import annotations

import json
import os
import socket
import struct
from collections.abc import Callable
from typing import Any

LONGEST = 1 << 20
_FILES = 2
_LENGTH = struct.Struct("!I")

Take = Callable[[int], bytes]


class Garbled(Exception):
    """The other side sent what is no message."""


def send(channel: socket.socket, message: dict[str, Any], files: tuple[int, ...] = ()) -> None:
    """Send one message, with descriptors of open files."""
    body = json.dumps(message).encode()
    if len(body) > LONGEST:
        raise Garbled(f"a message of {len(body)} bytes is too long")
    head = _LENGTH.pack(len(body))
    if files:
        socket.send_fds(channel, [head], files)
    else:
        channel.sendall(head)
    channel.sendall(body)


def _read(take: Take, count: int) -> bytes:
    parts = bytearray()
    while len(parts) < count:
        part = take(min(count - len(parts), 1 << 16))
        if not part:
            raise EOFError
        parts += part
    return bytes(parts)


def _parse(head: bytes, take: Take) -> dict[str, Any]:
    (length,) = _LENGTH.unpack(head)
    if length > LONGEST:
        raise Garbled(f"a message of {length} bytes is too long")
    try:
        message = json.loads(_read(take, length))
    except (ValueError, RecursionError) as error:
        raise Garbled("a message is no JSON") from error
    if not isinstance(message, dict):
        raise Garbled("a message is no JSON object")
    return message


def receive(take: Take) -> dict[str, Any]:
    """One message without files.

    Parameters
    ----------
    take : callable
        Gives up to so many bytes, none at the end: ``recv`` of a socket.

    Raises
    ------
    EOFError
        The other side has gone.
    Garbled
        It sent something else.
    """
    return _parse(_read(take, _LENGTH.size), take)


def receive_with_files(channel: socket.socket) -> tuple[dict[str, Any], list[int]]:
    """One message and the descriptors that came with it; the caller closes them.

    Raises
    ------
    EOFError
        The other side has gone.
    Garbled
        It sent something else.
    """
    head, files, _, _ = socket.recv_fds(channel, _LENGTH.size, _FILES)
    try:
        head += _read(channel.recv, _LENGTH.size - len(head))
        return _parse(head, channel.recv), files
    except BaseException:
        for file in files:
            os.close(file)
        raise


__all__ = ["LONGEST", "Garbled", "receive", "receive_with_files", "send"]
