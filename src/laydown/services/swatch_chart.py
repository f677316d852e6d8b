"""Colour difference of a swatch over time: what was read, and the band that was forecast."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from laydown import units
from laydown.domain.measurement import ColourMeasurement
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading, standing
from laydown.lab.measured_lab import measured_lab
from laydown.physics.ciede2000 import ciede2000
from laydown.report.swatch_chart import Band, Mark, legend, swatch_chart
from laydown.services.swatch_book import SwatchSheet
from laydown.store import findings
from laydown.store.database import Store

TOGETHER = 0.1
"""Readings whose times differ by less than this share are repeats of one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Mean colour difference of one part at one time.

    Attributes
    ----------
    days : float
        Since the dryer.
    value : float
        CIEDE2000 against ``against``.
    repeats : int
        Readings of the part that went in.
    """

    part: str
    against: str
    days: float
    value: float
    repeats: int


def differences(sheet: SwatchSheet, *, condition: str = "D65/10") -> tuple[Difference, ...]:
    """Colour differences that a swatch's readings show.

    A part that is held warm is compared with the part that is kept cool, read at the same time; any other part with its
    own first reading. Repeats are averaged in L*, a*, b* first.
    """
    made_at = sheet.swatch.made_at
    if made_at is None:
        return ()
    readings = [one for one in standing(tuple(row.reading for row in sheet.readings)) if one.reads is Reads.COLOUR]
    groups: dict[tuple[str, str], list[tuple[float, tuple[float, float, float]]]] = defaultdict(list)
    for one in readings:
        lab = _lab(one, condition)
        if lab is not None:
            groups[one.part, one.area].append(((one.taken_at - made_at).total_seconds(), lab))
    means = {key: _means(rows) for key, rows in groups.items()}
    warm = {step.part for step in sheet.protocol.steps if step.part and step.temperature is not None and step.duration}
    cool = next((step.part for step in sheet.protocol.steps if step.part and step.part not in warm), None)
    found = []
    for (part, area), rows in means.items():
        beside = means.get((cool, area), []) if cool is not None and part in warm else []
        name = part + (f", {area}" if area else "")
        for index, (after, lab, repeats) in enumerate(rows):
            if beside:
                other = min(beside, key=lambda row: abs(row[0] - after))
                if abs(other[0] - after) > max(TOGETHER * after, units.HOUR):
                    continue
                reference, against = other[1], str(cool)
            elif index:
                reference, against = rows[0][1], "its first reading"
            else:
                continue
            value = float(ciede2000(np.array(reference), np.array(lab)))
            found.append(Difference(part=name, against=against, days=units.to_day(after), value=value, repeats=repeats))
    return tuple(sorted(found, key=lambda one: (one.part, one.days)))


def chart(store: Store, sheet: SwatchSheet) -> tuple[str, str, tuple[tuple[str, str], ...]]:
    """SVG of a swatch's colour differences over time, what its bands are, and its marks as shape and words.

    All empty when there is nothing to draw.
    """
    found = differences(sheet)
    if not found:
        return "", "", ()
    bands = list(_fitted(store, sheet, {one.part.partition(",")[0] for one in found}))
    marks = [Mark(series=f"{one.part} against {one.against}", days=one.days, value=one.value) for one in found]
    return swatch_chart(marks, bands), "; ".join(band.name for band in bands), legend(marks)


def _fitted(store: Store, sheet: SwatchSheet, parts: set[str]) -> Iterable[Band]:
    """Bands of the newest fit of this cloth lot, where it tells of this swatch and of parts that were read."""
    swatch = sheet.swatch
    with store.read() as tx:
        heads = findings.of_cloth(tx, swatch.garment, swatch.lot) if swatch.garment else ()
        told = findings.report(tx, heads[0]) if heads else None
    for one in (told or {}).get("forecasts", ()):
        if one.get("swatch") != swatch.number or (one["part"] not in parts and one["part"]):
            continue
        name = f"the {one['part']} beside the cool one" if one["part"] else "what is kept cool since its first reading"
        yield Band(
            name=f"{name}, after the fit",
            days=tuple(one["days"]),
            low=tuple(one["low"]),
            middle=tuple(one["middle"]),
            high=tuple(one["high"]),
        )


def _lab(reading: Reading, condition: str) -> tuple[float, float, float] | None:
    assert isinstance(reading.value, ColourMeasurement)
    lab, read_under, why = measured_lab(reading.value, condition)
    # What was read under another light is no colour of this chart; the fit takes it in its own light.
    return None if why or read_under != condition else lab


def _means(
    rows: list[tuple[float, tuple[float, float, float]]],
) -> list[tuple[float, tuple[float, float, float], int]]:
    groups: list[list[tuple[float, tuple[float, float, float]]]] = []
    for row in sorted(rows):
        if groups and row[0] - groups[-1][0][0] <= max(TOGETHER * row[0], units.HOUR):
            groups[-1].append(row)
        else:
            groups.append([row])
    found = []
    for group in groups:
        mean = np.mean([lab for _, lab in group], axis=0)
        at = float(np.mean([after for after, _ in group]))
        found.append((at, (float(mean[0]), float(mean[1]), float(mean[2])), len(group)))
    return found
