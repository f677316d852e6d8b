"""Plates for the tests of dots and films."""

import numpy as np

from laydown import units
from laydown.artwork.plate import Plate, StoredTone
from laydown.domain.stack import Role

DEVICE = units.from_per_inch(720.0)


def plate(tones, *, art_per_inch=300.0, name="colour 1", ink="Red plastisol"):
    """Tones at a resolution of the art."""
    values = np.asarray(tones, dtype=np.uint8)
    rows, columns = values.shape
    return Plate(
        name=name,
        role=Role.COLOUR,
        ink=ink,
        tones=StoredTone(values=values),
        width=units.from_inch(columns / art_per_inch),
        height=units.from_inch(rows / art_per_inch),
    )


def unpacked(bands, columns):
    """Bits of packed rows, one a byte."""
    return np.unpackbits(np.concatenate(list(bands)), axis=1)[:, :columns]


def overflowing():
    """Compiled code multiplies past 64 bits on purpose; interpreted, numpy would warn of it."""
    return np.errstate(over="ignore")
