"""What is known of a cloth's bleed before any test: directions, what they share between cloths, a fingerprint."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from laydown.data.read import read_table
from laydown.domain.garment import Dye
from laydown.domain.quantity import Quantity

CLOTH_DIMENSIONS = ("release", "release energy", "reservoir depth", "dye strength")
"""Directions in which dye classes, cloths and lots differ."""

FILM_DIMENSIONS = (
    "diffusion",
    "diffusion energy",
    "partition",
    "white capacity",
    "barrier capacity",
    "reaction length",
)
"""Directions that belong to the ink film: the same on every cloth."""

BLEED_DIMENSIONS = CLOTH_DIMENSIONS + FILM_DIMENSIONS
"""Directions that a bleed test tells of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """How the variance of an input's prior is made up; the four add up to 1."""

    film: float
    dye_class: float
    cloth: float
    lot: float


@lru_cache(maxsize=32)
def shares_of(dimension: str) -> Shares:
    """Shares of dye class, cloth and lot in a direction; a direction of the ink film is shared by all.

    Scaled to add up to 1, so that the prior of an untested cloth stays what the tables say.
    """
    if dimension in FILM_DIMENSIONS:
        return Shares(film=1.0, dye_class=0.0, cloth=0.0, lot=0.0)
    row = read_table("calibration")[dimension]
    parts = np.array([row[f"{part}_variance"].value for part in ("class", "cloth", "lot")])
    dye_class, cloth, lot = (float(part) for part in parts / parts.sum())
    return Shares(film=0.0, dye_class=dye_class, cloth=cloth, lot=lot)


@lru_cache(maxsize=64)
def prior_fingerprint(dye: Dye) -> str:
    """Fingerprint of the priors of a dye class: positions found under others mean something else."""
    table = read_table("migration")
    rows = [table["disperse dye in cloth"], table["dye in cured film"], table["blocker"]]
    shares = [str(shares_of(name)) for name in CLOTH_DIMENSIONS]
    return _hash([*rows, read_table("dyes")[dye.value]], shares)


def _hash(rows: list[Mapping[str, Quantity]], more: list[str]) -> str:
    texts = [f"{name}={q.value:.12g},{q.low:.12g},{q.high:.12g}" for row in rows for name, q in sorted(row.items())]
    return hashlib.sha256(";".join([*texts, *more]).encode()).hexdigest()[:16]
