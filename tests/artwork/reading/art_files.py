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


_SHORT, _LONG, _RATIO, _BYTES = 3, 4, 5, 7
_SIZES = {_SHORT: 2, _LONG: 4, _RATIO: 8, _BYTES: 1}


def tiff(
    samples: np.ndarray,
    *,
    photometric: int,
    bits: int = 8,
    extra: tuple[int, ...] = (),
    order: str = "<",
    tags: dict[int, tuple[int, tuple]] | None = None,
    deflate: bool = False,
    pages: int = 1,
) -> bytes:
    """A TIFF of one strip a page; ``tags`` maps further tags to (type, values)."""
    rows, columns = samples.shape[:2]
    channels = 1 if samples.ndim == 2 else samples.shape[2]
    if bits == 1:
        data = np.packbits(samples.astype(np.uint8), axis=1).tobytes()
    else:
        data = samples.astype(f"{order}u{bits // 8}").tobytes()
    if deflate:
        data = zlib.compress(data)
    entries = {
        256: (_LONG, (columns,)),
        257: (_LONG, (rows,)),
        258: (_SHORT, (bits,) * channels),
        259: (_SHORT, (8 if deflate else 1,)),
        262: (_SHORT, (photometric,)),
        273: (_LONG, (8,)),
        277: (_SHORT, (channels,)),
        278: (_LONG, (rows,)),
        279: (_LONG, (len(data),)),
        284: (_SHORT, (1,)),
        **({338: (_SHORT, extra)} if extra else {}),
        **(tags or {}),
    }
    mark = b"II*\0" if order == "<" else b"MM\0*"
    body = bytearray(mark + struct.pack(order + "I", 0) + data + b"\0" * (len(data) % 2))
    link = 4
    for _ in range(pages):
        struct.pack_into(order + "I", body, link, len(body))
        table, rest = bytearray(struct.pack(order + "H", len(entries))), bytearray()
        after = len(body) + 2 + 12 * len(entries) + 4
        for tag, (kind, values) in sorted(entries.items()):
            packed = _packed(kind, values, order)
            count = len(values)
            table += struct.pack(order + "HHI", tag, kind, count)
            if len(packed) <= 4:
                table += packed.ljust(4, b"\0")
            else:
                table += struct.pack(order + "I", after + len(rest))
                rest += packed + b"\0" * (len(packed) % 2)
        link = len(body) + len(table)
        body += table + struct.pack(order + "I", 0) + rest
    return bytes(body)


def _packed(kind: int, values: tuple, order: str) -> bytes:
    if kind == _RATIO:
        return b"".join(struct.pack(order + "II", *value) for value in values)
    if kind == _BYTES:
        return bytes(values)
    return struct.pack(order + ("H" if kind == _SHORT else "I") * len(values), *values)


def resolution(per_unit: int, unit: int) -> dict[int, tuple[int, tuple]]:
    """TIFF tags for a resolution; unit 1 none, 2 inch, 3 centimetre."""
    return {282: (_RATIO, ((per_unit, 1),)), 283: (_RATIO, ((per_unit, 1),)), 296: (_SHORT, (unit,))}


def pdf(
    content: bytes, *, resources: str = "", box: str = "0 0 72 36", page: str = "", objects: tuple[bytes, ...] = ()
) -> bytes:
    """A PDF of one page; ``objects`` are numbered from 10 on and may be named in ``resources``."""
    parts = {
        1: b"<< /Type /Catalog /Pages 2 0 R >>",
        2: b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        3: f"<< /Type /Page /Parent 2 0 R /MediaBox [{box}] /Contents 4 0 R "
        f"/Resources << {resources} >> {page} >>".encode(),
        4: stream(content),
        **{10 + k: one for k, one in enumerate(objects)},
    }
    body = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
    places = {}
    for number, one in parts.items():
        places[number] = len(body)
        body += b"%d 0 obj\n" % number + one + b"\nendobj\n"
    start = len(body)
    size = max(parts) + 1
    body += b"xref\n0 %d\n" % size
    for number in range(size):
        body += b"%010d 00000 n \n" % places[number] if number in places else b"0000000000 65535 f \n"
    return bytes(body + b"trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (size, start))


def stream(content: bytes, entries: str = "") -> bytes:
    """A stream object of a PDF."""
    return b"<< %s /Length %d >>\nstream\n%s\nendstream" % (entries.encode(), len(content), content)
