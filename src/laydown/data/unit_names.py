"""Unit names as the shipped tables write them, and the SI unit each becomes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from laydown import units


def _same(value: float) -> float:
    return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit as written, the SI unit it belongs to and the conversion into it."""

    name: str
    si: str
    to_si: Callable[[float], float]


SI_UNITS = (
    "1",
    "1/m",
    "1/s",
    "J/kg",
    "J/kg/K",
    "J/mol",
    "K",
    "N/m",
    "Shore A",
    "W/m/K",
    "W/m2/K",
    "kg/m2",
    "kg/m3",
    "m",
    "m2/s",
    "m3/m2",
    "rad",
    "s",
)
"""Units that stand for themselves; Shore A is a scale of its own."""

UNITS = (
    *(Unit(name=name, si=name, to_si=_same) for name in SI_UNITS),
    Unit(name="%", si="1", to_si=units.from_percent),
    Unit(name="um", si="m", to_si=units.from_micron),
    Unit(name="mm", si="m", to_si=units.from_mm),
    Unit(name="in", si="m", to_si=units.from_inch),
    Unit(name="threads/cm", si="1/m", to_si=units.from_threads_per_cm),
    Unit(name="threads/in", si="1/m", to_si=units.from_threads_per_inch),
    Unit(name="1/um", si="1/m", to_si=units.from_per_micron),
    Unit(name="cm3/m2", si="m3/m2", to_si=units.from_cm3_per_m2),
    Unit(name="g/m2", si="kg/m2", to_si=units.from_gsm),
    Unit(name="g/mL", si="kg/m3", to_si=units.from_g_per_ml),
    Unit(name="degC", si="K", to_si=units.from_celsius),
    Unit(name="degF", si="K", to_si=units.from_fahrenheit),
    Unit(name="N/cm", si="N/m", to_si=units.from_n_per_cm),
    Unit(name="kJ/mol", si="J/mol", to_si=units.from_kj_per_mol),
    Unit(name="kJ/kg", si="J/kg", to_si=units.from_kj_per_kg),
    Unit(name="cm2/s", si="m2/s", to_si=units.from_cm2_per_s),
    Unit(name="deg", si="rad", to_si=units.from_degree),
)


def find_unit(name: str) -> Unit | None:
    """Look a unit up by the name it is written with."""
    return next((unit for unit in UNITS if unit.name == name), None)
