"""What the readings of bleed swatches say, in the terms of the model: which colour, of which half, when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from laydown.domain.garment import Garment
from laydown.domain.measurement import ColourMeasurement, GreyScaleGrade
from laydown.domain.protocol import Protocol, Reads, Step, Subject
from laydown.domain.reading import Reading, standing
from laydown.domain.shop import Shop
from laydown.domain.swatch import Swatch
from laydown.lab.measured_lab import measured_lab
from laydown.models.appearance import Area, visible_areas
from laydown.models.colour import lab_of
from laydown.models.ink_optics import ink_spectra
from laydown.units import HOUR, MINUTE

REST = 1 * HOUR
"""From the dryer to the first step of a test, where its readings leave the time for that. Assumed."""

MAKING = 373.15
"""Steps for the whole swatch that are hotter than this [K], and come before it is parted, are its making: the dryer's
settings say them better."""

ALIKE = 0.02
"""Readings whose times differ by less than this share are predicted for one time."""

LONGEST = 400 * 24 * HOUR


@dataclass(frozen=True, slots=True, kw_only=True)
class SwatchRecord:
    """A swatch with its protocol and everything that was read off it."""

    swatch: Swatch
    protocol: Protocol
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """Time at a temperature after the dryer: from ``start`` [s after the dryer] for ``duration`` [s] at [K]."""

    start: float
    duration: float
    temperature: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One part of a swatch: what it went through, and when it was looked at.

    Attributes
    ----------
    part : str
    holds : tuple of Hold
    times : tuple of float
        When the model is asked for its colour [s after the dryer], rising.
    """

    part: str
    holds: tuple[Hold, ...]
    times: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourSeen:
    """One colour that was read.

    Attributes
    ----------
    number : int
        Of the reading.
    part : str
        Of the swatch; empty: all of it.
    leg, time : int
        Which leg, and which of its times.
    area : int
        Which of the evidence's areas.
    condition : str
        Illuminant and observer of ``lab``.
    """

    number: int
    part: str
    leg: int
    time: int
    area: int
    condition: str
    lab: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeSeen:
    """One grade that was read by eye; ``against`` is the leg it was compared with, None for the print as it was new."""

    number: int
    part: str
    leg: int
    time: int
    area: int
    staining: bool
    grade: float
    against: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwatchEvidence:
    """What one swatch says.

    Attributes
    ----------
    areas : tuple of Area
    unused : tuple of str
        Readings that say nothing to the model, each with the reason, in words.
    """

    swatch: Swatch
    areas: tuple[Area, ...]
    legs: tuple[Leg, ...]
    colours: tuple[ColourSeen, ...]
    grades: tuple[GradeSeen, ...]
    unused: tuple[str, ...]

    @property
    def readings(self) -> int:
        """How many readings are used."""
        return len(self.colours) + len(self.grades)


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What all swatches of one cloth lot say.

    Attributes
    ----------
    garment : Garment
        With the lot that was tested.
    unused : tuple of str
        Swatches and readings that are left out, each with the reason, in words.
    """

    garment: Garment
    swatches: tuple[SwatchEvidence, ...]
    unused: tuple[str, ...]

    @property
    def readings(self) -> int:
        """How many readings are used."""
        return sum(one.readings for one in self.swatches)


def gather(shop: Shop, garment: Garment, records: tuple[SwatchRecord, ...]) -> Evidence:
    """Sort out what the swatches of one cloth lot say of its bleed.

    Parameters
    ----------
    shop : Shop
    garment : Garment
        With the lot that was tested.
    records : tuple of SwatchRecord
        What cannot be used is left out with its reason, never an error: a swatch of another test or cloth, without
        print or dryer settings, a reading of another kind, of an unknown area or from before the dryer.
    """
    used: list[SwatchEvidence] = []
    unused: list[str] = []
    for record in records:
        why = _no_use(shop, garment, record)
        if why:
            unused.append(f"swatch {record.swatch.number}: {why}")
            continue
        found = _of_swatch(record, shop.preferences.condition)
        unused += [f"swatch {record.swatch.number}: {text}" for text in found.unused]
        if found.readings:
            used.append(found)
    return Evidence(garment=garment, swatches=tuple(used), unused=tuple(unused))


def _no_use(shop: Shop, garment: Garment, record: SwatchRecord) -> str:
    swatch = record.swatch
    if record.protocol.subject is not Subject.BLEED:
        return f"the test {record.protocol.name} tells of {record.protocol.subject.value}, not of bleed"
    if swatch.garment != garment.name:
        return f"it is of {swatch.garment or 'a drawdown'}, not of {garment.name}"
    if swatch.lot.strip() != garment.lot.strip():
        return f"it is of lot {swatch.lot or 'unknown'}, not of lot {garment.lot or 'unknown'}"
    if swatch.stack is None or swatch.run is None or swatch.made_at is None:
        return "its print, its dryer settings or the moment it was made are not on record"
    if swatch.run.dryer not in {dryer.name for dryer in shop.dryers}:
        return f"its dryer {swatch.run.dryer!r} is not on the shelf"
    return ""


def _of_swatch(record: SwatchRecord, condition: str) -> SwatchEvidence:
    swatch, protocol = record.swatch, record.protocol
    assert swatch.stack is not None  # both were looked at before
    assert swatch.made_at is not None
    areas = visible_areas(swatch.stack)
    lightest = lightest_area(areas, condition)
    unused: list[str] = []
    kept: list[tuple[Reading, float, int]] = []
    for reading in standing(record.readings):
        after = (reading.taken_at - swatch.made_at).total_seconds()
        area, why = _area(areas, reading, lightest)
        if reading.reads not in {Reads.COLOUR, Reads.STAINING, Reads.CHANGE}:
            why = f"a reading of {reading.reads.value} says nothing of bleed"
        elif not 0 <= after <= LONGEST:
            why = "it was not taken within 400 days after the dryer"
        elif reading.part and reading.part not in {step.part for step in protocol.steps}:
            why = f"the test {protocol.name} has no part {reading.part!r}"
        if why:
            unused.append(f"reading {reading.number} is left out: {why}")
        else:
            kept.append((reading, after, area))
    compared = _compared_with(protocol)
    legs, places = _legs(protocol, [(reading.part, after) for reading, after, _ in kept], compared)
    colours: list[ColourSeen] = []
    grades: list[GradeSeen] = []
    for reading, after, area in kept:
        leg, time = places[reading.part, after]
        value = reading.value
        if isinstance(value, ColourMeasurement):
            lab, read_under, why = measured_lab(value, condition)
            if why:
                unused.append(f"reading {reading.number} is left out: {why}")
                continue
            colours.append(
                ColourSeen(
                    number=reading.number,
                    part=reading.part,
                    leg=leg,
                    time=time,
                    area=area,
                    condition=read_under,
                    lab=lab,
                )
            )
        elif isinstance(value, GreyScaleGrade):
            other = compared.get(reading.part)
            grades.append(
                GradeSeen(
                    number=reading.number,
                    part=reading.part,
                    leg=leg,
                    time=time,
                    area=area,
                    staining=reading.reads is Reads.STAINING,
                    grade=value.value,
                    against=None if other is None else places[other, after][0],
                )
            )
    return SwatchEvidence(
        swatch=swatch,
        areas=areas,
        legs=tuple(legs),
        colours=tuple(colours),
        grades=tuple(grades),
        unused=tuple(unused),
    )


def lightest_area(areas: tuple[Area, ...], condition: str) -> int:
    """Which area has the lightest ink: dye shows on it first."""
    return max(range(len(areas)), key=lambda i: float(lab_of(ink_spectra(areas[i].top).full_hiding, condition)[0]))


def _legs(
    protocol: Protocol, looked: list[tuple[str, float]], compared: dict[str, str]
) -> tuple[list[Leg], dict[tuple[str, float], tuple[int, int]]]:
    """Histories that were looked at, and for each part and time its leg and the place among the leg's times.

    Parts that were treated alike share a leg: the whole swatch before it is cut, and the half that stays cool.
    """
    # A graded half is looked at beside the other one: that one's colour is needed at the same times.
    looked = [*looked, *((compared[part], after) for part, after in looked if part in compared)]
    of: dict[tuple[Hold, ...], list[tuple[str, float]]] = {}
    for part in dict.fromkeys(part for part, _ in looked):
        mine = [(p, after) for p, after in looked if p == part]
        of.setdefault(holds_of(protocol, part, [after for _, after in mine]), []).extend(mine)
    legs: list[Leg] = []
    places: dict[tuple[str, float], tuple[int, int]] = {}
    for holds, mine in of.items():
        times = _alike([after for _, after in mine])
        for key in mine:
            places[key] = len(legs), int(np.argmin(np.abs(np.array(times) - key[1])))
        legs.append(Leg(part=mine[0][0], holds=holds, times=times))
    return legs, places


def _area(areas: tuple[Area, ...], reading: Reading, lightest: int) -> tuple[int, str]:
    """Which area was under the instrument; the lightest where nobody said, as dye shows there first."""
    if not reading.area.strip():
        return lightest, ""
    for i, area in enumerate(areas):
        if reading.area.strip().lower() in {area.name.lower(), area.top.name.lower()}:
            return i, ""
    return lightest, f"the print shows no area {reading.area!r} (it shows {', '.join(area.name for area in areas)})"


def _alike(times: list[float]) -> tuple[float, ...]:
    """Rising times, those within `ALIKE` of each other taken as one."""
    found: list[list[float]] = []
    for time in sorted(times):
        if found and time <= found[-1][0] * (1 + ALIKE) + MINUTE:
            found[-1].append(time)
        else:
            found.append([time])
    return tuple(float(np.mean(group)) for group in found)


def _compared_with(protocol: Protocol) -> dict[str, str]:
    """For each part that is held warm, the part that is kept cool and that it is compared with."""
    warm = {step.part for step in protocol.steps if step.part and step.temperature is not None and step.duration}
    cool = [step.part for step in protocol.steps if step.part and step.part not in warm]
    return dict.fromkeys(warm, cool[0]) if cool else {}


def holds_of(protocol: Protocol, part: str, times: Sequence[float]) -> tuple[Hold, ...]:
    """Steps that a part goes through after the dryer, one behind the other; ``times``: when it is looked at [s]."""
    steps = [step for step in _after_making(protocol) if step.part in {"", part} and step.duration]
    total = sum(step.duration or 0.0 for step in steps)
    # People read when the test is over: where the first reading after it leaves less rest, the test began sooner.
    over = [time for time in times if time >= total]
    rest = min(REST, min(over) - total) if over else REST
    start = max(rest, 5 * MINUTE)
    found = []
    for step in steps:
        duration = step.duration or 0.0
        if step.temperature is not None:
            found.append(Hold(start=start, duration=duration, temperature=step.temperature))
        start += duration
    return tuple(found)


def _after_making(protocol: Protocol) -> tuple[Step, ...]:
    """Steps that follow the dryer."""
    first_parted = next((i for i, step in enumerate(protocol.steps) if step.part), len(protocol.steps))
    made = [
        i for i, s in enumerate(protocol.steps[:first_parted]) if s.temperature is not None and s.temperature > MAKING
    ]
    return protocol.steps[made[-1] + 1 :] if made else protocol.steps
