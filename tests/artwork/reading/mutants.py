"""Damaged art files: what transmission, disks and people with bad intent do to them."""

from __future__ import annotations

import random
import zlib

EDGES = (0, 1, 0x7F, 0x80, 0xFF, 0x7FFF, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)
NUMBERS = (b"0", b"-1", b"99999", b"4294967296", b"1e308", b"1e-30", b"NaN")


def _flip(data: bytearray, draw: random.Random) -> None:
    for _ in range(draw.choice((1, 2, 8, 32))):
        data[draw.randrange(len(data))] ^= 1 << draw.randrange(8)


def _overwrite(data: bytearray, draw: random.Random) -> None:
    start = draw.randrange(len(data))
    data[start : start + draw.randrange(1, 40)] = draw.randbytes(draw.randrange(1, 40))


def _truncate(data: bytearray, draw: random.Random) -> None:
    del data[draw.randrange(1, len(data)) :]


def _remove(data: bytearray, draw: random.Random) -> None:
    start = draw.randrange(len(data))
    del data[start : start + draw.randrange(1, 200)]


def _splice(data: bytearray, draw: random.Random) -> None:
    source, target = draw.randrange(len(data)), draw.randrange(len(data))
    piece = data[source : source + draw.randrange(1, 200)]
    data[target:target] = piece * draw.choice((1, 1, 3, 30))


def _number_field(data: bytearray, draw: random.Random) -> None:
    """Set what may be a length, a count or an offset to a value at an edge, in either order of bytes."""
    size = draw.choice((1, 2, 4))
    if len(data) < size + 1:
        return
    # Headers are where such fields stand.
    place = draw.randrange(len(data) - size if draw.random() < 0.4 else min(len(data) - size, 120))
    value = draw.choice(EDGES) & ((1 << 8 * size) - 1)
    data[place : place + size] = value.to_bytes(size, draw.choice(("big", "little")))


def _written_number(data: bytearray, draw: random.Random) -> None:
    """The same for numbers that are written in digits."""
    places = [k for k in range(len(data)) if 48 <= data[k] <= 57]
    if not places:
        return _flip(data, draw)
    start = stop = draw.choice(places)
    while stop < len(data) and 48 <= data[stop] <= 57:
        stop += 1
    data[start:stop] = draw.choice(NUMBERS)
    return None


BINARY = (_flip, _overwrite, _truncate, _remove, _splice, _number_field, _number_field)
WRITTEN = (_flip, _overwrite, _truncate, _remove, _splice, _written_number, _written_number)


def with_sums(data: bytes) -> bytes:
    """A PNG whose check sums fit again, so that the damage gets past them."""
    made, place = bytearray(data), 8
    while place + 12 <= len(made):
        length = int.from_bytes(made[place : place + 4], "big")
        end = place + 8 + length
        if end + 4 > len(made):
            break
        made[end : end + 4] = zlib.crc32(made[place + 4 : end]).to_bytes(4, "big")
        place = end + 4
    return bytes(made)


def _damage(data: bytearray, ways: tuple, draw: random.Random) -> None:
    for _ in range(draw.choice((1, 1, 2, 4))):
        if len(data) > 1:
            draw.choice(ways)(data, draw)


def _inside_png(data: bytes, ways: tuple, draw: random.Random) -> bytes:
    """A PNG whose header or whose rows, once unpacked, are damaged, and which is sound around that."""
    made, place = bytearray(data[:8]), 8
    while place + 12 <= len(data):
        length = int.from_bytes(data[place : place + 4], "big")
        name, body = data[place + 4 : place + 8], bytearray(data[place + 8 : place + 8 + length])
        if name == b"IDAT":
            rows = bytearray(zlib.decompress(bytes(body)))
            _damage(rows, ways, draw)
            body = bytearray(zlib.compress(bytes(rows)))
        elif name != b"IEND" and draw.random() < 0.2:
            _damage(body, ways, draw)
        made += len(body).to_bytes(4, "big") + name + body + zlib.crc32(name + body).to_bytes(4, "big")
        place += 12 + length
    return bytes(made)


def mutant(seeds: list[bytes], ways: tuple, number: int) -> bytes:
    """One damaged file, always the same for the same number."""
    draw = random.Random(number)
    seed = draw.choice(seeds)
    packed = seed.startswith(b"\x89PNG")
    if packed and number % 3 == 0:
        return _inside_png(seed, ways, draw)
    data = bytearray(seed)
    _damage(data, ways, draw)
    damaged = bytes(data) or b"\0"
    return with_sums(damaged) if packed and number % 3 == 1 else damaged
