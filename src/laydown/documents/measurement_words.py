"""Words by which files say under what a colour was read, as conditions."""

from __future__ import annotations

import re
from collections.abc import Mapping

from laydown.documents.measurement_text import one_line
from laydown.domain.measurement import LONGEST_TEXT, Backing, Conditions, Geometry, MeasurementMode

FIELDS = ("illuminant", "observer", "mode", "geometry", "backing", "instrument", "operator")
"""Fields of conditions, in the order in which they are told."""

ILLUMINANTS = (
    ("D50", r"D\s?50(?!\d)"),
    ("D55", r"D\s?55(?!\d)"),
    ("D65", r"D\s?65(?!\d)"),
    ("D75", r"D\s?75(?!\d)"),
    ("F12", r"F\s?12(?!\d)"),
    ("F11", r"F\s?11(?!\d)|TL\s?84(?!\d)"),
    ("F2", r"F\s?0?2(?!\d)|CWF"),
    ("F7", r"F\s?0?7(?!\d)"),
    ("A", r"A|ILLUMINANT[\s,:=_-]+A|INC"),
    ("C", r"C|ILLUMINANT[\s,:=_-]+C"),
    ("E", r"E|ILLUMINANT[\s,:=_-]+E"),
)
"""Illuminants and the words for them; a letter counts only as the whole word. TL84 is the shop's name of F11."""

OBSERVERS = (
    ("10", r"(?<!\d)10(?!\d)|1964"),
    ("2", r"(?<!\d)2(?!\d)|1931"),
)

MODES = tuple((mode, rf"{mode.value}(?!\d)") for mode in MeasurementMode if mode is not MeasurementMode.UNKNOWN)

GEOMETRIES = (
    (Geometry.D8_INCLUDED, r"\bSCI\b|\bRSIN\b|D[I]?\s?[:/]\s?8.*INCL|SPECULAR[\s_]*INCL|^DI\s?[:/]\s?8"),
    (Geometry.D8_EXCLUDED, r"\bSCE\b|\bRSEX\b|D[E]?\s?[:/]\s?8.*EXCL|SPECULAR[\s_]*EXCL|^DE\s?[:/]\s?8"),
    (Geometry.G45_0, r"(?<!\d)45\s?[ACX]?\s?°?\s?[:/]\s?0"),
    (Geometry.G0_45, r"(?<!\d)0\s?°?\s?[:/]\s?45"),
)

BACKINGS = (
    (Backing.WHITE, r"\bWHITE\b|\bWB\b"),
    (Backing.BLACK, r"\bBLACK\b|\bBB\b"),
    (Backing.SELF, r"\bSELF\b|\bOPAQUE\b|\bSTACK"),
    (Backing.CLOTH, r"\bCLOTH\b|\bFABRIC\b|\bTEXTILE\b"),
)

_LETTERS = frozenset({"A", "C", "E"})


def illuminant(text: str) -> str:
    """Illuminant that a text names, empty when it names none."""
    word = text.strip().upper()
    for name, pattern in ILLUMINANTS:
        found = re.fullmatch(pattern, word) if name in _LETTERS else re.search(rf"(?<![A-Z0-9])(?:{pattern})", word)
        if found:
            return name
    return ""


def observer(text: str) -> str:
    """Observer that a text names, empty when it names none."""
    return next((name for name, pattern in OBSERVERS if re.search(pattern, text.upper())), "")


def mode(text: str) -> MeasurementMode:
    """Measurement condition of ISO 13655 that a text names."""
    word = text.upper()
    return next((one for one, pattern in MODES if re.search(rf"(?<![A-Z0-9]){pattern}", word)), MeasurementMode.UNKNOWN)


def geometry(text: str) -> Geometry:
    """Geometry that a text names."""
    word = text.strip().upper()
    return next((one for one, pattern in GEOMETRIES if re.search(pattern, word)), Geometry.UNKNOWN)


def backing(text: str) -> Backing:
    """Backing that a text names."""
    word = text.upper().replace("_", " ")
    return next((one for one, pattern in BACKINGS if re.search(pattern, word)), Backing.UNKNOWN)


def condition_of(field: str, text: str) -> str:
    """Value of one field of conditions, as its record writes it; empty when the text does not name one."""
    if field == "illuminant":
        return illuminant(text)
    if field == "observer":
        return observer(text)
    if field in {"instrument", "operator"}:
        return one_line(text)[:LONGEST_TEXT]
    found = mode(text) if field == "mode" else geometry(text) if field == "geometry" else backing(text)
    return "" if found.value == "unknown" else found.value


def conditions_from(said: Mapping[str, str], assumed: Conditions) -> Conditions:
    """Conditions from what a file said, with what it did not say taken from ``assumed``."""
    return Conditions(
        illuminant=said.get("illuminant") or assumed.illuminant,
        observer=said.get("observer") or assumed.observer,
        mode=MeasurementMode(said["mode"]) if said.get("mode") else assumed.mode,
        geometry=Geometry(said["geometry"]) if said.get("geometry") else assumed.geometry,
        backing=Backing(said["backing"]) if said.get("backing") else assumed.backing,
        instrument=said.get("instrument") or assumed.instrument,
        operator=said.get("operator") or assumed.operator,
    )


def conditions_told(conditions: Conditions) -> str:
    """Conditions in one line for a preview; what nobody said is named as such."""
    parts = [
        f"illuminant {conditions.illuminant or 'not said'}",
        f"observer {conditions.observer + '°' if conditions.observer else 'not said'}",
        f"measurement condition {conditions.mode.value}",
        f"geometry {conditions.geometry.value}",
        f"backing {conditions.backing.value}",
    ]
    if conditions.instrument:
        parts.append(f"instrument {conditions.instrument}")
    if conditions.operator:
        parts.append(f"operator {conditions.operator}")
    return ", ".join(parts)
