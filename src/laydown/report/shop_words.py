"""Sentences of a plan in the units that the shop reads.

Reasons, cautions and tests are written once, in °C, mm, g/m² and threads per centimetre, wherever they arise. On paper
and on the screen they stand beside figures in the shop's own units, so their figures are turned into those here.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from laydown import units
from laydown.domain.shop import Preferences
from laydown.report.decimal_sign import decimal_sign
from laydown.report.decimal_sign import sentence as as_read
from laydown.report.display_units import areal_mass, length, mesh_figures, number, temperature
from laydown.report.plain_text import printable

_FIGURE = r"-?\d+(?:\.\d+)?"
_MESH = re.compile(r"\b(through|mesh) (\d+)/(\d+)\b")


def shop_words(sentence: str, prefs: Preferences) -> str:
    """Turn the figures of a plan's sentence into the shop's units, and make it printable.

    Parameters
    ----------
    sentence : str
        Figures in °C, K (differences), mm and g/m², meshes as threads per centimetre over micrometres; ranges as
        ``20 to 30 °C`` or ``20–30 °C``.
    prefs : Preferences

    Returns
    -------
    str
        The sentence as it is for a shop that reads those units, and for whoever reads a decimal comma.
    """
    with decimal_sign("."):
        said = _in_units(printable(sentence), prefs)
    return as_read(said)


def _in_units(said: str, prefs: Preferences) -> str:
    if prefs.temperature == "F":
        said = _turned(said, "°C", lambda value: temperature(units.from_celsius(value), prefs))
        said = _turned(said, "K", lambda value: f"{number(1.8 * value)} °F")
    if prefs.length == "inch":
        said = _turned(said, "mm", lambda value: length(units.from_mm(value), prefs))
    if prefs.areal_mass == "oz":
        said = _turned(said, "g/m²", lambda value: areal_mass(units.from_gsm(value), prefs))
    if prefs.mesh == "inch":
        said = _MESH.sub(
            lambda m: f"{m[1]} {mesh_figures(units.from_threads_per_cm(float(m[2])), float(m[3]), prefs)}", said
        )
    return said


def _turned(said: str, unit: str, told: Callable[[float], str]) -> str:
    """Replace each figure (or both ends of a range) that wears a unit."""

    def one(found: re.Match[str]) -> str:
        last = told(float(found["last"]))
        if found["first"] is None:
            return last
        return f"{told(float(found['first'])).rsplit(' ', 1)[0]}{found['between']}{last}"

    pattern = rf"(?<![\w.])(?:(?P<first>{_FIGURE})(?P<between> to |–))?(?P<last>{_FIGURE}) {re.escape(unit)}(?!\w)"
    return re.sub(pattern, one, said)
