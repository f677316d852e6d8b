"""Art files made by hand, byte by byte, so that they do not rest on the library that reads them."""

from __future__ import annotations

import struct
import zlib

import numpy as np

_GREY, _RGB, _PALETTE, _GREY_ALPHA, _RGBA = 0, 2, 3, 4, 6
_COLOUR_TYPES = {1: _GREY, 2: _GREY_ALPHA, 3: _RGB, 4: _RGBA}


def chunk(name: bytes, body: bytes) -> bytes:
    """One PNG chunk."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def ihdr(columns: int, rows: int, bits: int, colour: int) -> bytes:
    return chunk(b"IHDR", struct.pack(">IIBBBBB", columns, rows, bits, colour, 0, 0, 0))


def packed_rows(samples: np.ndarray, bits: int) -> bytes:
    """Rows of a PNG: a filter byte, then samples of so many bits."""
    rows = samples.shape[0]
    flat = samples.reshape(rows, -1)
    if bits == 16:
        body = flat.astype(">u2").view(np.uint8).reshape(rows, -1)
    elif bits == 8:
        body = flat.astype(np.uint8)
    else:
        parts = (flat[..., None] >> np.arange(bits - 1, -1, -1)) & 1
        body = np.packbits(parts.reshape(rows, -1).astype(np.uint8), axis=1)
    return b"".join(b"\0" + row.tobytes() for row in body)


def png(samples: np.ndarray, *, bits: int = 8, palette: np.ndarray | None = None, chunks: bytes = b"") -> bytes:
    """A PNG of samples, shape (rows, columns[, channels]); ``chunks`` stand before the pixels."""
    channels = 1 if samples.ndim == 2 else samples.shape[2]
    colour = _PALETTE if palette is not None else _COLOUR_TYPES[channels]
    body = ihdr(samples.shape[1], samples.shape[0], bits, colour)
    if palette is not None:
        body += chunk(b"PLTE", palette.astype(np.uint8).tobytes())
    body += chunks + chunk(b"IDAT", zlib.compress(packed_rows(samples, bits)))
    return b"\x89PNG\r\n\x1a\n" + body + chunk(b"IEND", b"")


def phys(per_metre: int, down: int | None = None, unit: int = 1) -> bytes:
    """A chunk that says how large the pixels are."""
    return chunk(b"pHYs", struct.pack(">IIB", per_metre, down or per_metre, unit))


def noise(rows: int, columns: int, channels: int, *, seed: int = 5, high: int = 256) -> np.ndarray:
    shape = (rows, columns) if channels == 1 else (rows, columns, channels)
    return np.random.default_rng(seed).integers(0, high, shape, dtype=np.uint16 if high > 256 else np.uint8)
