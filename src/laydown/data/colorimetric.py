"""Tristimulus weights by illuminant and observer, for spectra of 380 to 730 nm in 10 nm steps."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from laydown.errors import InvalidInput

# Name -> file of data/tables; the first is laydown's default.
CONDITIONS = (
    ("D65/10", "astm_e308_d65_10.csv"),
    ("D50/2", "astm_e308_d50_2.csv"),
    ("D65/2", "astm_e308_d65_2.csv"),
    ("A/10", "astm_e308_a_10.csv"),
)


@cache
def tristimulus_weights(condition: str) -> NDArray[np.float64]:
    """Weights that turn a reflectance spectrum into XYZ (ASTM E308).

    Parameters
    ----------
    condition : str
        Illuminant and observer: "D65/10", "D50/2", "D65/2" or "A/10".

    Returns
    -------
    ndarray, shape (36, 3), read-only
        One row a band, 380 to 730 nm; XYZ = reflectance @ weights, 0 to 100. The first and last rows hold what
        lies outside. Source and grade stand in the table's head (published, computed by ASTM E2022).

    Raises
    ------
    InvalidInput
        An unknown condition.
    """
    names = [name for name, _ in CONDITIONS]
    if condition not in names:
        raise InvalidInput(f"there are no weights for {condition!r}; there are: {', '.join(names)}")
    text = (files("laydown.data") / "tables" / dict(CONDITIONS)[condition]).read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    weights = np.array([[float(row[f"weight_{axis}"]) for axis in "xyz"] for row in rows])
    weights.flags.writeable = False
    return weights


@cache
def white_point(condition: str) -> NDArray[np.float64]:
    """XYZ of the perfect white under an illuminant and observer: the column sums of its weights.

    Parameters
    ----------
    condition : str
        As `tristimulus_weights`.

    Returns
    -------
    ndarray, shape (3,), read-only
        Within 0.01 of the rounded white points printed in ASTM E308; taken from the weights so that a
        reflectance of 1 in every band is L* = 100, a* = b* = 0 exactly.

    Raises
    ------
    InvalidInput
        An unknown condition.
    """
    white: NDArray[np.float64] = tristimulus_weights(condition).sum(axis=0)
    white.flags.writeable = False
    return white
