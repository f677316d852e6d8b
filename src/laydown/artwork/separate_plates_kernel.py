"""Compiled look-up of plate tones from a picture's colours; `separate_plates` is the door."""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Values = NDArray[np.float64]

NONE = 255
"""Label of a cell that belongs to no flat colour."""
MIXED = 254
"""Label of a cell that may be the edge between two flat colours."""
REACH = 2
"""Pixels around an edge pixel in which the two colours are looked for."""
MOST_NEAR = 6
ALIKE = 3
"""Pixels of its own colour, itself among them, that a pixel beside an area of it has at most when it is an edge."""
OFF = 14.0
"""Levels that an edge pixel may lie off the line between its two colours."""


@njit(cache=True, error_model="numpy", nogil=True, parallel=True)
def find_mixes(srgb: Values, flats: Values) -> tuple[NDArray[np.int64], Values]:
    """Pair of flat colours that each colour lies between, (n, 2), -1 where it lies between none; the second's share."""
    pair = np.full((srgb.shape[0], 2), -1, dtype=np.int64)
    shares = np.zeros(srgb.shape[0])
    for i in prange(srgb.shape[0]):
        best = OFF * OFF
        for a in range(flats.shape[0]):
            for b in range(a + 1, flats.shape[0]):
                share, off = _between(srgb[i, 0], srgb[i, 1], srgb[i, 2], flats, a, b)
                if 0.0 < share < 1.0 and off <= best:
                    best = off
                    pair[i, 0] = a
                    pair[i, 1] = b
                    shares[i] = share
    return pair, shares


@njit(cache=True, error_model="numpy", nogil=True)
def _between(r: float, g: float, b: float, flats: Values, one: int, two: int) -> tuple[float, float]:
    """Share of the second flat colour in a mixture, and squared distance off the line between both."""
    length = 0.0
    along = 0.0
    square = 0.0
    for c in range(3):
        value = r if c == 0 else (g if c == 1 else b)
        step = flats[two, c] - flats[one, c]
        away = value - flats[one, c]
        length += step * step
        along += step * away
        square += away * away
    if length == 0.0:
        return 0.0, square
    share = min(1.0, max(0.0, along / length))
    return share, square - 2.0 * share * along + share * share * length


@njit(cache=True, error_model="numpy", nogil=True)
def _stands(pixels: Bytes, y: int, x: int, labels: Bytes) -> bool:
    """Whether a pixel lies in or beside an area of its own flat colour, and is not merely the edge of two others."""
    rows, columns, _ = pixels.shape
    own = labels[_cell_of(pixels, y, x)]
    like = 0
    for v in range(max(0, y - 1), min(rows, y + 2)):
        for u in range(max(0, x - 1), min(columns, x + 2)):
            if pixels[v, u, 3] and labels[_cell_of(pixels, v, u)] == own:
                like += 1
    return like > ALIKE


@njit(cache=True, error_model="numpy", nogil=True)
def _edge_tone(
    pixels: Bytes,
    y: int,
    x: int,
    labels: Bytes,
    doubtful: NDArray[np.bool_],
    flats: Values,
    flat_tones: Bytes,
    otherwise: int,
) -> int:
    """Tone of a pixel between two flat colours: their tones mixed by area, as the pixel's own colour says."""
    rows, columns, _ = pixels.shape
    near = np.empty(MOST_NEAR, dtype=np.int64)
    found = 0
    own = np.int64(labels[_cell_of(pixels, y, x)])
    # A flat colour that could be the edge of two others: it is none where its like is around it.
    if own < MIXED and _stands(pixels, y, x, labels):
        return otherwise
    for v in range(max(0, y - REACH), min(rows, y + REACH + 1)):
        for u in range(max(0, x - REACH), min(columns, x + REACH + 1)):
            if pixels[v, u, 3] == 0:
                continue
            label = np.int64(labels[_cell_of(pixels, v, u)])
            if label >= MIXED or label == own or (doubtful[label] and not _stands(pixels, v, u, labels)):
                continue
            known = False
            for k in range(found):
                known = known or near[k] == label
            if not known and found < MOST_NEAR:
                near[found] = label
                found += 1
    best = OFF * OFF
    tone = otherwise
    r = float(pixels[y, x, 0])
    g = float(pixels[y, x, 1])
    b = float(pixels[y, x, 2])
    for i in range(found):
        for j in range(i + 1, found):
            share, off = _between(r, g, b, flats, near[i], near[j])
            if off < best:
                best = off
                tone = int(np.floor((1.0 - share) * flat_tones[near[i]] + share * flat_tones[near[j]] + 0.5))
    return tone


@njit(cache=True, error_model="numpy", nogil=True)
def look_up(
    pixels: Bytes,
    words: NDArray[np.uint32],
    start: int,
    stop: int,
    table: Bytes,
    labels: Bytes,
    flats: Values,
    flat_tones: Bytes,
    doubtful: NDArray[np.bool_],
    edges: bool,
) -> Bytes:
    """Tones of rows start to stop: by cell, by the neighbours where a pixel is an edge, times alpha.

    ``words`` are the same pixels, four bytes at once: red is the lowest. ``doubtful`` says of each label whether the
    neighbours are asked.
    """
    columns = pixels.shape[1]
    tones = np.empty((stop - start, columns), dtype=np.uint8)
    for y in range(start, stop):
        row = words[y]
        out = tones[y - start]
        if not edges:
            for x in range(columns):
                word = row[x]
                out[x] = _times(table[_cell(word)], word)
            continue
        # Drawn art is long runs of one colour.
        last = ~row[0]
        value = np.uint32(0)
        doubt = False
        for x in range(columns):
            word = row[x]
            if word != last:
                last = word
                cell = _cell(word)
                value = _times(table[cell], word)
                doubt = doubtful[labels[cell]] and word >> np.uint32(24) > 0
            if doubt:
                otherwise = table[_cell(word)]
                tone = _edge_tone(pixels, y, x, labels, doubtful, flats, flat_tones, otherwise)
                out[x] = _times(np.uint8(tone), word)
            else:
                out[x] = value
    return tones


@njit(cache=True, error_model="numpy", nogil=True)
def look_up_choked(
    pixels: Bytes,
    words: NDArray[np.uint32],
    start: int,
    stop: int,
    table: Bytes,
    shown: Bytes,
    kept: NDArray[np.uint64],
    labels: Bytes,
    flats: Values,
    flat_tones: Bytes,
    flat_shown: Bytes,
    doubtful: NDArray[np.bool_],
    edges: bool,
) -> Bytes:
    """Do as `look_up`, but where the bit in ``kept`` is 0 take what of the white shows between the colours."""
    columns = pixels.shape[1]
    tones = np.empty((stop - start, columns), dtype=np.uint8)
    for y in range(start, stop):
        row = words[y]
        out = tones[y - start]
        last = ~row[0]
        whole = np.uint32(0)
        part = np.uint32(0)
        doubt = False
        for x in range(columns):
            word = row[x]
            if word != last:
                last = word
                cell = _cell(word)
                whole = _times(table[cell], word)
                part = _times(shown[cell], word)
                doubt = edges and doubtful[labels[cell]] and word >> np.uint32(24) > 0
            keep = (kept[y, x >> 6] >> np.uint64(x & 63)) & np.uint64(1)
            if doubt:
                otherwise = table[_cell(word)] if keep else shown[_cell(word)]
                if keep:
                    tone = _edge_tone(pixels, y, x, labels, doubtful, flats, flat_tones, otherwise)
                else:
                    tone = _edge_tone(pixels, y, x, labels, doubtful, flats, flat_shown, otherwise)
                out[x] = _times(np.uint8(tone), word)
            else:
                out[x] = whole if keep else part
    return tones


@njit(cache=True, error_model="numpy", nogil=True)
def _cell_of(pixels: Bytes, y: int, x: int) -> int:
    """Cell of a pixel's colour, by its place."""
    return (int(pixels[y, x, 0] >> 2) << 12) | (int(pixels[y, x, 1] >> 2) << 6) | int(pixels[y, x, 2] >> 2)


@njit(cache=True, error_model="numpy", nogil=True, inline="always")
def _cell(word: np.uint32) -> np.uint32:
    """Cell of a pixel's colour."""
    return (
        ((word & np.uint32(0xFC)) << np.uint32(10))
        | ((word >> np.uint32(4)) & np.uint32(0xFC0))
        | ((word >> np.uint32(18)) & np.uint32(0x3F))
    )


@njit(cache=True, error_model="numpy", nogil=True, inline="always")
def _times(tone: np.uint8, word: np.uint32) -> np.uint32:
    """Tone times alpha, rounded: 255 times 255 gives 255."""
    product = np.uint32(tone) * (word >> np.uint32(24)) + np.uint32(128)
    return (product + (product >> np.uint32(8))) >> np.uint32(8)
