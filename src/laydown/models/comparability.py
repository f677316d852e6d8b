"""Whether the colours of two readings may be compared, and what has to be said when they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.measurement import ColourMeasurement, Conditions
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput
from laydown.models.measured_colour import lab_under


class Verdict(StrEnum):
    """What becomes of a comparison."""

    WARNED = "warned"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Two readings whose conditions differ in one thing.

    Attributes
    ----------
    field : str
        Field of `Conditions`.
    one, other : str
        Values, in any order; ``*`` stands for every value that no earlier clash names.
    verdict : Verdict
    reason : str
        Why, as the end of a sentence.
    grade : Grade
        How far that is known.
    source : str
    """

    field: str
    one: str
    other: str
    verdict: Verdict
    reason: str
    grade: Grade
    source: str

    def fits(self, field: str, values: tuple[str, str]) -> bool:
        """Whether this clash is of these two values."""
        return field == self.field and any(
            self.one in {a, "*"} and self.other in {b, "*"} for a, b in (values, values[::-1])
        )


_SHEET = "ISO 13655, as its summaries tell it"
_PRACTICE = "what colour laboratories say"

SAME: tuple[tuple[str, str, str], ...] = (("geometry", "45:0", "0:45"),)
"""Values that differ in name only: light may go the same way back (Helmholtz)."""

CLASHES: tuple[Clash, ...] = (
    Clash(
        field="mode",
        one="M3",
        other="*",
        verdict=Verdict.REFUSED,
        reason="M3 has polarising filters that take the gloss off, so dark colours read darker",
        grade=Grade.PRACTICE,
        source=_SHEET,
    ),
    Clash(
        field="mode",
        one="unknown",
        other="*",
        verdict=Verdict.WARNED,
        reason="nobody said the measurement condition of one of them; whitened cloth reads differently without "
        "ultraviolet light",
        grade=Grade.PRACTICE,
        source=_SHEET,
    ),
    Clash(
        field="mode",
        one="*",
        other="*",
        verdict=Verdict.WARNED,
        reason="their lamps hold different shares of ultraviolet light, which whitened cloth shows as blue",
        grade=Grade.PRACTICE,
        source=_SHEET,
    ),
    Clash(
        field="geometry",
        one="unknown",
        other="*",
        verdict=Verdict.WARNED,
        reason="nobody said the geometry of one of them; with the gloss included, dark colours read several L* lighter",
        grade=Grade.PRACTICE,
        source=_PRACTICE,
    ),
    Clash(
        field="geometry",
        one="d:8 included",
        other="*",
        verdict=Verdict.REFUSED,
        reason="one holds the gloss of the surface, about four hundredths of the light, and the other does not",
        grade=Grade.PRACTICE,
        source="Fresnel reflection of a smooth film of index 1.5",
    ),
    Clash(
        field="geometry",
        one="*",
        other="*",
        verdict=Verdict.WARNED,
        reason="rough cloth and glossy ink read differently in a sphere and at 45 degrees",
        grade=Grade.PRACTICE,
        source=_PRACTICE,
    ),
    Clash(
        field="backing",
        one="white",
        other="black",
        verdict=Verdict.REFUSED,
        reason="cloth and thin ink let light through, so what lies below shows",
        grade=Grade.PRACTICE,
        source=_SHEET,
    ),
    Clash(
        field="backing",
        one="unknown",
        other="*",
        verdict=Verdict.WARNED,
        reason="nobody said what lay below one of them, which shows through cloth and thin ink",
        grade=Grade.PRACTICE,
        source=_SHEET,
    ),
    Clash(
        field="backing",
        one="*",
        other="*",
        verdict=Verdict.WARNED,
        reason="different things lay below them, which show through cloth and thin ink",
        grade=Grade.PRACTICE,
        source=_SHEET,
    ),
    Clash(
        field="instrument",
        one="*",
        other="*",
        verdict=Verdict.WARNED,
        reason="two instruments differ by some tenths of a colour difference even on one tile",
        grade=Grade.MEMORY,
        source=_PRACTICE,
    ),
)
"""What differing conditions mean; the first that fits counts. Illuminant and observer are not among them: `lab_under`
refuses what cannot be moved."""

WORDS = (
    ("mode", "measurement condition"),
    ("geometry", "geometry"),
    ("backing", "backing"),
    ("instrument", "instrument"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing in which the conditions of readings differ."""

    field: str
    values: tuple[str, str]
    clash: Clash

    def __str__(self) -> str:
        one, other = (value or "nobody said which" for value in self.values)
        return f"{dict(WORDS)[self.field]} {one} against {other}: {self.clash.reason}"


def differences(one: Conditions, other: Conditions) -> tuple[Difference, ...]:
    """Things in which two sets of conditions differ, in the order of `WORDS`."""
    found: list[Difference] = []
    for field, _ in WORDS:
        values = (str(getattr(one, field)), str(getattr(other, field)))
        same = any({a, b} == set(values) for name, a, b in SAME if name == field)
        if values[0] == values[1] or same or (field == "instrument" and not all(values)):
            continue
        clash = next(clash for clash in CLASHES if clash.fits(field, values))
        found.append(Difference(field=field, values=values, clash=clash))
    return tuple(found)


def labs_to_compare(
    measurements: Sequence[ColourMeasurement], condition: str
) -> tuple[tuple[tuple[float, float, float], ...], tuple[str, ...]]:
    """CIELAB of readings that are to be compared with each other, and the warnings that go with them.

    Parameters
    ----------
    measurements : sequence of ColourMeasurement
        The first is the one that the others are compared with.
    condition : str
        Illuminant and observer.

    Returns
    -------
    tuple of (lab triples, warnings)

    Raises
    ------
    InvalidInput
        As `lab_under`; or the conditions of two readings differ so that their colours mean different things.
    """
    labs: list[tuple[float, float, float]] = []
    warnings: list[str] = []
    for measurement in measurements:
        reading = lab_under(measurement, condition)
        labs.append(reading.lab)
        warnings += reading.warnings
        first = measurements[0]
        for difference in differences(first.conditions, measurement.conditions):
            sentence = f"{first.name} and {measurement.name}: {difference}"
            if difference.clash.verdict is Verdict.REFUSED:
                raise InvalidInput(f"{sentence}; read both alike")
            warnings.append(sentence)
    return tuple(labs), tuple(dict.fromkeys(warnings))
