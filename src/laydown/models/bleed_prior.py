"""What is known of a cloth's bleed before any test: directions, what they share between cloths, a fingerprint."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from laydown.data.read import read_table
from laydown.domain.costs import Practice
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
"""Directions that a bleed test is run for."""

PRINT_DIMENSIONS = ("mesh volume", "transfer", "wet hit", "solids", "white scattering", "colour scattering")
"""Directions of how a shop prints: a swatch's colour hangs on them as well, and they last from print to print."""

SURFACE_DIMENSIONS = ("surface fill", "roughness", "cloth mass", "cloth conductivity", "moisture")
"""Directions of a cloth beside its dye: the same for all its lots."""

FINDING_DIMENSIONS = BLEED_DIMENSIONS + PRINT_DIMENSIONS + SURFACE_DIMENSIONS
"""Directions of a finding. What a swatch's readings say is said of all of these together: of a stain that is faint
because the film is thick, and of one that is faint because little dye was released."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """How the variance of an input's prior is made up; the five add up to 1.

    Attributes
    ----------
    shop : float
        The same in all prints of a shop: its ink film, its way of printing.
    dye_class, cloth, lot : float
    day : float
        Of one print run alone.
    """

    shop: float = 0.0
    dye_class: float = 0.0
    cloth: float = 0.0
    lot: float = 0.0
    day: float = 0.0


@lru_cache(maxsize=32)
def shares_of(dimension: str) -> Shares:
    """Shares of dye class, cloth and lot in a direction; a direction of the ink film is shared by all.

    Scaled to add up to 1, so that the prior of an untested cloth stays what the tables say.
    """
    if dimension in FILM_DIMENSIONS:
        return Shares(shop=1.0)
    if dimension in SURFACE_DIMENSIONS:
        return Shares(cloth=1.0)
    if dimension in PRINT_DIMENSIONS:
        lasting = read_table("calibration")["way of printing"]["lasting_variance"].value
        return Shares(shop=lasting, day=1 - lasting)
    row = read_table("calibration")[dimension]
    parts = np.array([row[f"{part}_variance"].value for part in ("class", "cloth", "lot")])
    dye_class, cloth, lot = (float(part) for part in parts / parts.sum())
    return Shares(dye_class=dye_class, cloth=cloth, lot=lot)


def prior_fingerprint(dye: Dye, practice: Practice) -> str:
    """Fingerprint of the priors that a finding's positions refer to: those of the dye, a dash, those of the print."""
    return f"{dye_fingerprint(dye)}-{print_fingerprint(practice)}"


@lru_cache(maxsize=64)
def dye_fingerprint(dye: Dye) -> str:
    """Fingerprint of the priors of dye class and ink film."""
    table = read_table("migration")
    rows = [table["disperse dye in cloth"], table["dye in cured film"], table["blocker"]]
    shares = [str(shares_of(name)) for name in CLOTH_DIMENSIONS]
    return _hash([*rows, read_table("dyes")[dye.value]], shares)


def print_fingerprint(practice: Practice) -> str:
    """Fingerprint of what the shop has weighed of its laydown; without it, of the table's rules."""
    transfer = practice.transfer or read_table("laydown")["stroke"]["transfer"]
    return _hash([{"transfer": transfer}], [str(shares_of("transfer"))])


def _hash(rows: list[Mapping[str, Quantity]], more: list[str]) -> str:
    texts = [f"{name}={q.value:.12g},{q.low:.12g},{q.high:.12g}" for row in rows for name, q in sorted(row.items())]
    return hashlib.sha256(";".join([*texts, *more]).encode()).hexdigest()[:16]
