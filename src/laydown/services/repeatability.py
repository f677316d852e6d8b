"""The shop's own repeatability: how far repeats of one reading lie apart."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from laydown import units
from laydown.domain.measurement import ColourMeasurement, GreyScaleGrade
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading, standing
from laydown.lab.measured_lab import measured_lab
from laydown.store import readings, swatches
from laydown.store.database import Store

TOGETHER = units.HOUR
"""Readings of one swatch, part and area within this time are repeats [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeatability:
    """How far repeats lie apart.

    Attributes
    ----------
    reads : Reads
    instrument, operator : str
        Empty: of all.
    groups : int
        Sets of repeats.
    readings : int
        Readings in them.
    freedom : int
        Degrees of freedom: readings less groups.
    deviation : float
        Pooled standard deviation of a single reading: of a colour the colour difference ΔE* from its group's mean, of
        a mass in kg, a temperature in K, a tone as a share of one, a grade in grades.
    limit : float
        Repeatability limit: two single readings differ by no more in 95 of 100 cases.
    """

    reads: Reads
    instrument: str
    operator: str
    groups: int
    readings: int
    freedom: int
    deviation: float
    limit: float


def repeatability(store: Store, *, garment: str | None = None) -> tuple[Repeatability, ...]:
    """Repeatability of every kind of reading: of all, of each instrument, of each operator with each instrument."""
    with store.read() as tx:
        numbers = [one.number for one in swatches.find(tx, garment=garment, limit=5000)]
        found = readings.of_swatches(tx, numbers)
    kept = [one for rows in found.values() for one in standing(tuple(row.reading for row in rows))]
    return repeatability_of(kept)


def repeatability_of(found: Iterable[Reading]) -> tuple[Repeatability, ...]:
    """Repeatability of some readings that no later one corrects."""
    groups = repeats(found)
    keys: dict[tuple[Reads, str, str], list[list[Reading]]] = defaultdict(list)
    for group in groups:
        reads, instrument, operator = group[0].reads, _instrument(group[0]), group[0].operator
        for key in dict.fromkeys([("", ""), (instrument, ""), (instrument, operator)]):
            keys[reads, key[0], key[1]].append(group)
    made = []
    for (reads, instrument, operator), rows in keys.items():
        deviation, freedom = pooled([_numbers(group) for group in rows])
        made.append(
            Repeatability(
                reads=reads,
                instrument=instrument,
                operator=operator,
                groups=len(rows),
                readings=sum(len(group) for group in rows),
                freedom=freedom,
                deviation=deviation,
                limit=limit_of(deviation),
            )
        )
    order = list(Reads)
    return tuple(sorted(made, key=lambda one: (order.index(one.reads), one.instrument, one.operator)))


def pooled(groups: Sequence[Sequence[Sequence[float]]]) -> tuple[float, int]:
    """Pooled standard deviation of repeats, and its degrees of freedom.

    Parameters
    ----------
    groups : sequence of sequence of sequence of float
        Sets of repeats; each reading is a row of one number, or of several (L*, a*, b*), whose squares add up.

    Returns
    -------
    float
        ``sqrt(sum (n_i - 1) s_i^2 / sum (n_i - 1))``: the repeatability standard deviation of ISO 5725-2 for groups of
        unequal size; 0 without a degree of freedom.
    int
        ``sum (n_i - 1)``.

    Notes
    -----
    Of a colour it is the root of the summed variances of L*, a* and b*: how far, in ΔE*, a single reading lies from the
    mean of its group. Tested on a published example in ``tests/reference/repeatability.csv``.
    """
    total, freedom = 0.0, 0
    for group in groups:
        if len(group) < 2:
            continue
        rows = np.asarray(group, dtype=float)
        total += float(((rows - rows.mean(axis=0)) ** 2).sum())
        freedom += len(group) - 1
    return (math.sqrt(total / freedom) if freedom else 0.0), freedom


def limit_of(deviation: float) -> float:
    """Repeatability limit of ISO 5725-6: 2.8 times the repeatability standard deviation."""
    return 2.8 * deviation


def repeats(found: Iterable[Reading]) -> tuple[list[Reading], ...]:
    """Readings in sets of repeats: of one swatch, part, area, instrument and operator, within an hour."""
    alike: dict[tuple[object, ...], list[Reading]] = defaultdict(list)
    for one in found:
        if one.reads in {Reads.VERDICT, Reads.PHOTO}:
            continue
        # Pieces that are weighed one by one are no repeats of each other.
        alike[one.swatch, one.reads, one.part, one.area, _instrument(one), one.operator].append(one)
    groups: list[list[Reading]] = []
    for rows in alike.values():
        rows.sort(key=lambda one: (one.taken_at, one.number))
        for one in rows:
            if groups and _one_set(groups[-1], one):
                groups[-1].append(one)
            else:
                groups.append([one])
    return tuple(group for group in groups if len(group) > 1)


def _one_set(group: list[Reading], one: Reading) -> bool:
    first = group[0]
    if (first.swatch, first.reads, first.part, first.area) != (one.swatch, one.reads, one.part, one.area):
        return False
    if (_instrument(first), first.operator) != (_instrument(one), one.operator):
        return False
    return (one.taken_at - first.taken_at).total_seconds() <= TOGETHER


def _instrument(one: Reading) -> str:
    return one.value.conditions.instrument if isinstance(one.value, ColourMeasurement) else ""


def _numbers(group: list[Reading]) -> list[tuple[float, ...]]:
    rows: list[tuple[float, ...]] = []
    for one in group:
        value = one.value
        if isinstance(value, ColourMeasurement):
            lab, _, why = measured_lab(value, "D65/10")
            rows += [] if why else [lab]
        elif isinstance(value, GreyScaleGrade):
            rows.append((value.value,))
        elif isinstance(value, float):
            rows.append((value,))
    return rows
