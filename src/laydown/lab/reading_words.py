"""Which reading is meant, in words."""

from __future__ import annotations

from laydown.lab.evidence import ColourSeen, GradeSeen, SwatchEvidence
from laydown.units import DAY, HOUR, to_day, to_hour


def colour_words(swatch: SwatchEvidence, seen: ColourSeen) -> str:
    """Part and time of a colour: ``colour of the warm half after 17 h``."""
    return f"colour of the {_part(swatch, seen)} {_when(swatch, seen)}"


def grade_words(swatch: SwatchEvidence, seen: GradeSeen) -> str:
    """Part and time of a grade: ``staining grade of the warm half on day 2``."""
    kind = "staining" if seen.staining else "change"
    return f"{kind} grade of the {_part(swatch, seen)} {_when(swatch, seen)}"


def _part(swatch: SwatchEvidence, seen: ColourSeen | GradeSeen) -> str:
    part = seen.part or "print"
    return part if len(swatch.areas) < 2 else f"{part}'s {swatch.areas[seen.area].name}"


def _when(swatch: SwatchEvidence, seen: ColourSeen | GradeSeen) -> str:
    time = swatch.legs[seen.leg].times[seen.time]
    if time < HOUR:
        return "as it came from the dryer"
    return f"after {to_hour(time):.0f} h" if time < 2 * DAY else f"on day {to_day(time):.0f}"
