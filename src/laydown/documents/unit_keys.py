"""The units that people's files may be written in, and the conversions at that door."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from laydown import units

Convert = Callable[[float], float]


def _same(number: float) -> float:
    return number


@dataclass(frozen=True, slots=True, kw_only=True)
class FileUnit:
    """A unit as it is shown to people, and its conversions."""

    symbol: str
    to_si: Convert
    from_si: Convert


FILE_UNITS = (
    FileUnit(symbol="", to_si=_same, from_si=_same),
    FileUnit(symbol="°C", to_si=units.from_celsius, from_si=units.to_celsius),
    FileUnit(symbol="°F", to_si=units.from_fahrenheit, from_si=units.to_fahrenheit),
    FileUnit(symbol="K", to_si=_same, from_si=_same),
    FileUnit(symbol="µm", to_si=units.from_micron, from_si=units.to_micron),
    FileUnit(symbol="mil", to_si=units.from_mil, from_si=units.to_mil),
    FileUnit(symbol="mm", to_si=units.from_mm, from_si=units.to_mm),
    FileUnit(symbol="mm/s", to_si=units.from_mm, from_si=units.to_mm),
    FileUnit(symbol="in", to_si=units.from_inch, from_si=units.to_inch),
    FileUnit(symbol="g/m²", to_si=units.from_gsm, from_si=units.to_gsm),
    FileUnit(symbol="oz/yd²", to_si=units.from_oz_per_yd2, from_si=units.to_oz_per_yd2),
    FileUnit(symbol="threads/cm", to_si=units.from_threads_per_cm, from_si=units.to_threads_per_cm),
    FileUnit(symbol="threads/in", to_si=units.from_threads_per_inch, from_si=units.to_threads_per_inch),
    FileUnit(symbol="lines/in", to_si=units.from_threads_per_inch, from_si=units.to_threads_per_inch),
    FileUnit(symbol="lines/cm", to_si=units.from_threads_per_cm, from_si=units.to_threads_per_cm),
    FileUnit(symbol="s", to_si=_same, from_si=_same),
    FileUnit(symbol="min", to_si=units.from_minute, from_si=units.to_minute),
    FileUnit(symbol="h", to_si=units.from_hour, from_si=units.to_hour),
    FileUnit(symbol="d", to_si=units.from_day, from_si=units.to_day),
    FileUnit(symbol="days", to_si=_same, from_si=_same),
    FileUnit(symbol="m/min", to_si=units.from_metre_per_minute, from_si=units.to_metre_per_minute),
    FileUnit(symbol="ft/min", to_si=units.from_foot_per_minute, from_si=units.to_foot_per_minute),
    FileUnit(symbol="g/ml", to_si=units.from_g_per_ml, from_si=units.to_g_per_ml),
    FileUnit(symbol="cm³/m²", to_si=units.from_cm3_per_m2, from_si=units.to_cm3_per_m2),
    FileUnit(symbol="1/mm", to_si=units.from_per_mm, from_si=units.to_per_mm),
    FileUnit(symbol="N/cm", to_si=units.from_n_per_cm, from_si=units.to_n_per_cm),
    FileUnit(symbol="kJ/mol", to_si=units.from_kj_per_mol, from_si=units.to_kj_per_mol),
    FileUnit(symbol="W/m²K", to_si=_same, from_si=_same),
    FileUnit(symbol="kPa", to_si=units.from_kilopascal, from_si=units.to_kilopascal),
    FileUnit(symbol="kg", to_si=_same, from_si=_same),
    FileUnit(symbol="%", to_si=units.from_percent, from_si=units.to_percent),
)

_BY_SYMBOL = {unit.symbol: unit for unit in FILE_UNITS}


def file_unit(symbol: str) -> FileUnit:
    """Look a unit up by its symbol; a KeyError is a slip in this package, not in anybody's file."""
    return _BY_SYMBOL[symbol]


def written(si: float, unit: FileUnit) -> tuple[float, bool]:
    """Shortest number in a file's unit that is read back as this SI number.

    Parameters
    ----------
    si : float
        Finite number [SI].
    unit : FileUnit

    Returns
    -------
    number : float
        In the file's unit.
    exact : bool
        Whether reading it gives ``si`` to the last bit. A product cannot reach every float, so a number that was
        never written in this unit may come back one unit in the last place off.
    """
    full = unit.from_si(si)
    for digits in range(1, 18):
        number = float(f"{full:.{digits}g}")
        if unit.to_si(number) == si:
            return number, True
    for number in (math.nextafter(full, -math.inf), math.nextafter(full, math.inf)):
        if unit.to_si(number) == si:
            return number, True
    return full, False
