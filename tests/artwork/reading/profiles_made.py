"""Colour profiles made from primaries and tables, and the arithmetic that says what they must give."""

from __future__ import annotations

import struct

import numpy as np

D50 = np.array([0.9642, 1.0, 0.8249])
D65_XY = (0.3127, 0.3290)
WIDE = ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06))
"""Primaries of a common wide-gamut space; gamma 563/256."""
SRGB = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
GAMMA = 563 / 256
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def xyz_of(xy: tuple[float, float]) -> np.ndarray:
    return np.array([xy[0] / xy[1], 1.0, (1 - xy[0] - xy[1]) / xy[1]])


def adaptation(source: np.ndarray, target: np.ndarray) -> np.ndarray:
    """Bradford's matrix from one white to another."""
    scale = (_BRADFORD @ target) / (_BRADFORD @ source)
    return np.linalg.inv(_BRADFORD) @ np.diag(scale) @ _BRADFORD


def to_d50(primaries, white_xy=D65_XY) -> np.ndarray:
    """Matrix from linear RGB to XYZ under D50."""
    columns = np.column_stack([xyz_of(xy) for xy in primaries])
    white = xyz_of(white_xy)
    return adaptation(white, D50) @ (columns * np.linalg.solve(columns, white))


def _fixed(value: float) -> bytes:
    return struct.pack(">i", round(value * 65536))


def _description(text: str) -> bytes:
    name = text.encode() + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(name)) + name + b"\0" * 78


def _xyz(value: np.ndarray) -> bytes:
    return b"XYZ \0\0\0\0" + b"".join(_fixed(one) for one in value)


def _curve(gamma: float) -> bytes:
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256)) + b"\0\0"


def _profile(kind: bytes, space: bytes, pcs: bytes, tags: dict[bytes, bytes]) -> bytes:
    start = 128 + 4 + 12 * len(tags)
    table, body = struct.pack(">I", len(tags)), b""
    for name, value in tags.items():
        table += name + struct.pack(">II", start + len(body), len(value))
        body += value + b"\0" * (-len(value) % 4)
    head = struct.pack(">I4sI4s4s4s", start + len(body), b"\0" * 4, 0x02400000, kind, space, pcs)
    head += struct.pack(">6H4s", 2026, 1, 1, 0, 0, 0, b"acsp") + b"\0" * 28
    head += b"".join(_fixed(one) for one in D50)
    return head.ljust(128, b"\0") + table + body


def matrix_profile(primaries=WIDE, gamma=GAMMA, white_xy=D65_XY, name="Wide test space") -> bytes:
    """An RGB profile of three primaries and one gamma."""
    columns = to_d50(primaries, white_xy).T
    tags = {b"desc": _description(name), b"cprt": b"text\0\0\0\0none\0", b"wtpt": _xyz(D50)}
    tags |= {name: _xyz(column) for name, column in zip((b"rXYZ", b"gXYZ", b"bXYZ"), columns, strict=True)}
    tags |= {name: _curve(gamma) for name in (b"rTRC", b"gTRC", b"bTRC")}
    return _profile(b"mntr", b"RGB ", b"XYZ ", tags)


def grey_profile(gamma: float, name="Grey test space") -> bytes:
    tags = {b"desc": _description(name), b"cprt": b"text\0\0\0\0none\0", b"wtpt": _xyz(D50), b"kTRC": _curve(gamma)}
    return _profile(b"mntr", b"GRAY", b"XYZ ", tags)


def cmyk_profile(corners: np.ndarray, name="Press test space", kind: bytes = b"prtr") -> bytes:
    """A CMYK profile: CIELAB at the 16 corners, shape (2, 2, 2, 2, 3), linear between them."""
    flat = corners.reshape(16, 3)
    codes = np.stack([flat[:, 0] * 652.80, (flat[:, 1] + 128) * 256, (flat[:, 2] + 128) * 256], axis=1)
    table = struct.pack(">4s4xBBBx", b"mft2", 4, 3, 2) + b"".join(_fixed(one) for one in np.eye(3).ravel())
    table += struct.pack(">HH", 2, 2) + struct.pack(">HH", 0, 65535) * 4
    table += np.round(codes).astype(">u2").tobytes() + struct.pack(">HH", 0, 65535) * 3
    tags = {b"desc": _description(name), b"cprt": b"text\0\0\0\0none\0", b"wtpt": _xyz(D50)}
    return _profile(kind, b"CMYK", b"Lab ", {**tags, b"A2B0": table, b"A2B1": table})


def srgb_from_d50(xyz: np.ndarray) -> np.ndarray:
    """SRGB in steps of 8 bits, not rounded, from XYZ under D50; clipped to its gamut."""
    linear = np.clip(np.asarray(xyz) @ np.linalg.inv(to_d50(SRGB)).T, 0, 1)
    return 255 * np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def d50_from_lab(lab: np.ndarray) -> np.ndarray:
    """XYZ under D50 from CIELAB."""
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    return D50 * np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))
