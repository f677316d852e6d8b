"""What swatches say of the shop's own screens and inks: weighings, films over black and white, patches of a strip."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from laydown.domain.ink import Ink
from laydown.domain.measurement import ColourMeasurement, Geometry
from laydown.domain.protocol import Reads, Subject
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.reading import Reading, standing
from laydown.errors import InvalidInput
from laydown.lab.evidence import SwatchRecord
from laydown.lab.ink_optics_fit import FilmReading
from laydown.lab.tone_fit import TonePatch, tone_by_murray_davies
from laydown.lab.transfer_fit import Weighing
from laydown.units import from_percent, to_percent

Values = NDArray[np.float64]
One = TypeVar("One")

BALANCE = 3e-5
"""Standard deviation of a mass on scales that show tenths of a gram [kg]: a tenth over the root of twelve."""

WEIGHED_FILM = 0.10
"""Relative error, nine of ten, of a film's thickness by its mass and its area. Assumed: the area is drawn by hand."""

BLACK, WHITE = "over black", "over white"
CLOTH, SOLID = "cloth", "solid"
"""What the areas of a drawdown and of a strip are called beside their tones."""

_TONE = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*%?\Z")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered(Generic[One]):
    """What a fit is given, and what it is not.

    Attributes
    ----------
    found : tuple
        Weighings, films or patches.
    readings : tuple of int
        Numbers of the readings in them.
    swatches : tuple of int
    unused : tuple of str
        What was left out, each with the reason, in words.
    """

    found: tuple[One, ...]
    readings: tuple[int, ...]
    swatches: tuple[int, ...]
    unused: tuple[str, ...]


class _Heap(Generic[One]):
    """Collects what was found and what was left out."""

    def __init__(self) -> None:
        self.found: list[One] = []
        self.readings: list[int] = []
        self.swatches: list[int] = []
        self.unused: list[str] = []

    def take(self, one: One, record: SwatchRecord, used: Iterable[Reading]) -> None:
        """Keep one, with the readings that it is made of."""
        self.found.append(one)
        self.readings += [reading.number for reading in used]
        self.swatches.append(record.swatch.number)

    def leave(self, record: SwatchRecord, why: str) -> None:
        """Say why a swatch, or a part of it, tells nothing."""
        self.unused.append(f"swatch {record.swatch.number}: {why}")

    def gathered(self) -> Gathered[One]:
        """Everything in the order it came."""
        return Gathered(
            found=tuple(self.found),
            readings=tuple(sorted(set(self.readings))),
            swatches=tuple(dict.fromkeys(self.swatches)),
            unused=tuple(self.unused),
        )


def weighings_of(records: Sequence[SwatchRecord]) -> Gathered[Weighing]:
    """Garments that were weighed before and after one pass.

    Masses of one piece belong together; pieces without a name are paired in the order in which they were weighed.
    """
    heap = _Heap[Weighing]()
    for record in records:
        swatch = record.swatch
        masses = [one for one in standing(record.readings) if one.reads is Reads.MASS]
        if record.protocol.subject is not Subject.LAYDOWN or not masses:
            continue
        inked = swatch.stack.inked if swatch.stack is not None else ()
        if len(inked) != 1:
            heap.leave(record, f"{len(inked)} passes were printed; only after a single one it is known what it left")
            continue
        (pass_,) = inked
        if pass_.ink is None or pass_.screen.mesh is None:
            heap.leave(record, "it was not printed through a mesh")
            continue
        if swatch.inked_area is None:
            heap.leave(record, "nobody said how large the inked area is; add it on the swatch's page")
            continue
        for piece, before, after in _pairs(masses, heap, record):
            try:
                one = Weighing(
                    label=f"swatch {swatch.number}, {piece}",
                    before=_mean(before),
                    after=_mean(after),
                    area=swatch.inked_area,
                    screen=pass_.screen.name,
                    ink=pass_.ink.name,
                    volume=pass_.screen.mesh.theoretical_volume,
                    density=pass_.ink.density,
                    hits=pass_.hits,
                    balance=BALANCE,
                )
            except InvalidInput as error:
                heap.leave(record, error.what)
                continue
            heap.take(one, record, (*before, *after))
    return heap.gathered()


def films_of(records: Sequence[SwatchRecord], ink: Ink) -> Gathered[FilmReading]:
    """Drawdowns of an ink with spectra of film and bare card, over black and over white."""
    heap = _Heap[FilmReading]()
    for record in records:
        if record.protocol.subject is not Subject.INK_OPTICS or record.swatch.ink != ink.name:
            continue
        kept = standing(record.readings)
        colours = [one for one in kept if isinstance(one.value, ColourMeasurement)]
        if not colours:
            continue
        spectra: dict[tuple[str, str], Values] = {}
        used: list[Reading] = []
        for part in ("bare card", "film"):
            for area in (BLACK, WHITE):
                there = [one for one in colours if one.part == part and one.area == area and _has_spectrum(one)]
                if not there:
                    heap.leave(record, f"there is no spectrum of the {part} {area}")
                    continue
                spectra[part, area] = np.mean([_factors(one) for one in there], axis=0)
                used += there
        if len(spectra) < 4:
            continue
        try:
            thickness, weighed = _thickness(record, kept, ink)
            film = FilmReading(
                label=f"swatch {record.swatch.number}",
                thickness=thickness,
                over_black=_tuple(spectra["film", BLACK]),
                over_white=_tuple(spectra["film", WHITE]),
                black=_tuple(spectra["bare card", BLACK]),
                white=_tuple(spectra["bare card", WHITE]),
            )
        except InvalidInput as error:
            heap.leave(record, error.what)
            continue
        heap.take(film, record, (*used, *weighed))
    return heap.gathered()


def gloss_included(records: Sequence[SwatchRecord], ink: Ink) -> bool:
    """Whether the instrument took the gloss with it, by the geometry that its readings name; told by nobody: yes.

    Raises
    ------
    InvalidInput
        When readings with and without the gloss are mixed.
    """
    kinds = {
        one.value.conditions.geometry in {Geometry.UNKNOWN, Geometry.D8_INCLUDED}
        for record in records
        if record.protocol.subject is Subject.INK_OPTICS and record.swatch.ink == ink.name
        for one in standing(record.readings)
        if isinstance(one.value, ColourMeasurement)
    }
    if len(kinds) > 1:
        raise InvalidInput("some films were read with the gloss and some without; one fit takes one kind")
    return kinds != {False}


def patches_of(records: Sequence[SwatchRecord], condition: str) -> Gathered[TonePatch]:
    """Patches of tone strips: tones that were read, or colours between those of the bare cloth and of the solid."""
    heap = _Heap[TonePatch]()
    for record in records:
        if record.protocol.subject is not Subject.TONE:
            continue
        kept = standing(record.readings)
        for one in kept:
            if one.reads is not Reads.TONE or not isinstance(one.value, float):
                continue
            tone = _tone(one.area)
            if tone is None:
                heap.leave(record, f"reading {one.number} does not say which tone of the film it is of")
                continue
            heap.take(_patch(record, one, tone, one.value), record, (one,))
        _take_colours(heap, record, kept, condition)
    return heap.gathered()


def _take_colours(heap: _Heap[TonePatch], record: SwatchRecord, kept: Sequence[Reading], condition: str) -> None:
    colours = [one for one in kept if isinstance(one.value, ColourMeasurement)]
    ends = [[one for one in colours if one.area == area] for area in (CLOTH, SOLID)]
    toned = [(one, tone) for one in colours if (tone := _tone(one.area)) is not None]
    if not toned:
        return
    if not all(ends):
        heap.leave(record, "to tell tones by colour, the bare cloth and the solid have to be read as well")
        return
    try:
        paper, solid = (np.mean([_lights(one, condition) for one in end], axis=0) for end in ends)
        for one, tone in toned:
            printed = tone_by_murray_davies(_lights(one, condition), paper, solid)
            heap.take(_patch(record, one, tone, printed), record, (one, *ends[0], *ends[1]))
    except InvalidInput as error:
        heap.leave(record, error.what)


def _patch(record: SwatchRecord, reading: Reading, tone: float, printed: float) -> TonePatch:
    label = f"swatch {record.swatch.number}, {to_percent(tone):g} %, reading {reading.number}"
    return TonePatch(label=label, film=tone, printed=printed)


def _pairs(
    masses: Sequence[Reading], heap: _Heap[Weighing], record: SwatchRecord
) -> list[tuple[str, list[Reading], list[Reading]]]:
    """Masses before and after of each piece; several of one named piece are repeats."""
    pieces: dict[str, tuple[list[Reading], list[Reading]]] = {}
    for one in sorted(masses, key=lambda one: (one.taken_at, one.number)):
        if one.part in {"before", "after"}:
            pieces.setdefault(one.area, ([], []))[one.part == "after"].append(one)
    found = []
    for piece, (before, after) in pieces.items():
        if piece:
            if before and after:
                found.append((f"piece {piece}", before, after))
            else:
                heap.leave(record, f"piece {piece} was weighed only {'before' if before else 'after'} printing")
            continue
        found += [(f"pair {n}", [b], [a]) for n, (b, a) in enumerate(zip(before, after, strict=False), start=1)]
        if len(before) != len(after):
            heap.leave(
                record, f"{len(before)} masses before and {len(after)} after printing; what is over has no partner"
            )
    return found


def _thickness(record: SwatchRecord, kept: Sequence[Reading], ink: Ink) -> tuple[Quantity, list[Reading]]:
    """Thickness of the cured film by its gauge, or else by mass, area, density and solids."""
    if record.swatch.film_thickness is not None:
        return record.swatch.film_thickness, []
    masses = [
        [one for one in kept if one.reads is Reads.MASS and one.part == part] for part in ("bare card", "wet card")
    ]
    if record.swatch.inked_area is None or not all(masses):
        raise InvalidInput(
            "how thick the film is, is not known: give its gauge's reading, or weigh the card before and after and "
            "say how large the inked area is"
        )
    gain = _mean(masses[1]) - _mean(masses[0])
    if gain <= 0:
        raise InvalidInput("the card weighs no more with the film than without; were the two masses mixed up?")
    value = gain / (ink.density.value * record.swatch.inked_area) * ink.solids.value
    rest = [q.high / q.value - 1 for q in (ink.density, ink.solids)]
    error = float(np.linalg.norm([WEIGHED_FILM, 2 * BALANCE / gain, *rest]))
    thickness = Quantity(
        value=value,
        low=value / (1 + error),
        high=value * (1 + error),
        grade=Grade.MEASURED,
        source="weighed card, drawn area",
    )
    return thickness, [*masses[0], *masses[1]]


def _tone(area: str) -> float | None:
    told = _TONE.match(area.strip())
    tone = from_percent(float(told[1].replace(",", "."))) if told else 2.0
    return tone if tone <= 1 else None


def _mean(readings: Sequence[Reading]) -> float:
    return float(np.mean([one.value for one in readings if isinstance(one.value, float)]))


def _has_spectrum(reading: Reading) -> bool:
    return isinstance(reading.value, ColourMeasurement) and reading.value.spectrum is not None


def _factors(reading: Reading) -> Values:
    from laydown.models.measured_colour import band_factors

    assert isinstance(reading.value, ColourMeasurement)
    return band_factors(reading.value)


def _lights(reading: Reading, condition: str) -> Values:
    """X, Y, Z of a reading: they add up over an area as the light does."""
    from laydown.models.measured_colour import tristimulus_of

    assert isinstance(reading.value, ColourMeasurement)
    return tristimulus_of(reading.value, condition)


def _tuple(values: Values) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
