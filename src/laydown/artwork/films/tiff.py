"""A film as a TIFF file: one bit a pixel, Group 4, one strip, resolution exact."""

from __future__ import annotations

import struct
from fractions import Fraction

from laydown import units

SHORT, LONG, RATIONAL, ASCII = 3, 4, 5, 2
INCHES = 2


def tiff_file(coded: bytes, *, columns: int, rows: int, resolution: float, title: str) -> bytes:
    """Film as the bytes of a TIFF file.

    Parameters
    ----------
    coded : bytes
        Group 4 data of all rows, from `laydown.artwork.films.g4.G4Encoder`.
    columns, rows : int
        Pixels.
    resolution : float
        Pixels per metre; written as a fraction of pixels per inch.
    title : str
        What the film is; letters that ASCII does not have become ``?``.

    Notes
    -----
    Ink is 1 and shown black (tag 262 is 0, white is zero). Nothing in the file depends on the day or the machine.
    """
    per_inch = Fraction(units.to_per_inch(resolution)).limit_denominator(1000)
    text = title.encode("ascii", "replace") + b"\0"
    entries: list[tuple[int, int, int, bytes]] = [
        (254, LONG, 1, struct.pack("<I", 0)),
        (256, LONG, 1, struct.pack("<I", columns)),
        (257, LONG, 1, struct.pack("<I", rows)),
        (258, SHORT, 1, struct.pack("<H", 1)),
        (259, SHORT, 1, struct.pack("<H", 4)),
        (262, SHORT, 1, struct.pack("<H", 0)),
        (266, SHORT, 1, struct.pack("<H", 1)),
        (270, ASCII, len(text), text),
        (273, LONG, 1, b""),
        (277, SHORT, 1, struct.pack("<H", 1)),
        (278, LONG, 1, struct.pack("<I", rows)),
        (279, LONG, 1, struct.pack("<I", len(coded))),
        (282, RATIONAL, 1, struct.pack("<II", per_inch.numerator, per_inch.denominator)),
        (283, RATIONAL, 1, struct.pack("<II", per_inch.numerator, per_inch.denominator)),
        (293, LONG, 1, struct.pack("<I", 0)),
        (296, SHORT, 1, struct.pack("<H", INCHES)),
    ]
    start = 8
    directory = start + 2 + 12 * len(entries) + 4
    beside = b""
    table = struct.pack("<H", len(entries))
    strip = directory + sum(len(value) + len(value) % 2 for _, _, _, value in entries if len(value) > 4)
    for tag, kind, count, given in entries:
        value = struct.pack("<I", strip) if tag == 273 else given
        if len(value) > 4:
            table += struct.pack("<HHII", tag, kind, count, directory + len(beside))
            beside += value + b"\0" * (len(value) % 2)
        else:
            table += struct.pack("<HHI", tag, kind, count) + value.ljust(4, b"\0")
    return b"II*\0" + struct.pack("<I", start) + table + struct.pack("<I", 0) + beside + coded


__all__ = ["tiff_file"]
