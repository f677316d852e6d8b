"""Polymer constants of Piringer's upper bound (formula: ``laydown.physics.piringer``)."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from laydown.domain.quantity import Grade
from laydown.errors import NotFound


@dataclass(frozen=True, slots=True, kw_only=True)
class PiringerPolymer:
    """One polymer of the table.

    Parameters
    ----------
    name : str
    polymer_constant : float
        A'_P.
    temperature_constant : float
        tau [K].
    grade : Grade
    source : str
        Publication and place.
    """

    name: str
    polymer_constant: float
    temperature_constant: float
    grade: Grade
    source: str


@cache
def piringer_polymers() -> Mapping[str, PiringerPolymer]:
    """Every polymer of the table by its name; read-only and shared, as it is read once."""
    text = (files("laydown.data") / "tables" / "piringer.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return MappingProxyType(
        {
            row["polymer"]: PiringerPolymer(
                name=row["polymer"],
                polymer_constant=float(row["polymer_constant"]),
                temperature_constant=float(row["temperature_constant_k"]),
                grade=Grade(row["grade"]),
                source=f"{row['source']}: {row['place']}",
            )
            for row in rows
        }
    )


def piringer_polymer(name: str) -> PiringerPolymer:
    """One polymer of the table.

    Parameters
    ----------
    name : str
        As in the table: "plasticised PVC", "PET above its glass transition", ...

    Raises
    ------
    NotFound
        For a polymer that is not in it; the message lists those that are.
    """
    polymers = piringer_polymers()
    if name not in polymers:
        raise NotFound("polymer", name, polymers)
    return polymers[name]
