"""Readings that the model itself would give: for proofs of the fit, and for what a test would be worth."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.garment import Garment
from laydown.domain.measurement import ColourMeasurement, Conditions, GreyScaleGrade
from laydown.domain.protocol import Protocol, Reads
from laydown.domain.reading import Reading
from laydown.domain.shop import Shop
from laydown.domain.swatch import Swatch
from laydown.errors import InvalidInput
from laydown.lab.evidence import SwatchRecord, gather
from laydown.lab.likelihood import GRADES, Noise, usual_noise
from laydown.lab.problem import DISCREPANCY, OVEN
from laydown.lab.swatch_model import SwatchModel
from laydown.models.sampling import corner_set, spread_over

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What is true of an invented cloth: positions by direction of the fit, zero where none is named."""

    positions: dict[str, float]

    def of(self, name: str) -> Values:
        """One position, shape (1,)."""
        return np.array([self.positions.get(name, 0.0)])


def simulated_record(
    shop: Shop,
    garment: Garment,
    swatch: Swatch,
    protocol: Protocol,
    truth: Truth,
    *,
    rng: np.random.Generator | None = None,
    noise: Noise | None = None,
    first_number: int = 1,
) -> SwatchRecord:
    """Run a protocol on an invented cloth.

    Parameters
    ----------
    shop : Shop
    garment : Garment
    swatch : Swatch
        Made, with its print and its dryer settings.
    protocol : Protocol
        Its colours and grades are read when they are due.
    truth : Truth
    rng : Generator, optional
        Draws the errors of readings and model as the likelihood takes them; left out: readings without any.
    noise : Noise, optional
    first_number : int
        Of the first reading.

    Returns
    -------
    SwatchRecord

    Raises
    ------
    InvalidInput
        When the swatch says nothing of bleed.
    """
    noise = noise or usual_noise()
    blank = _blank(shop, swatch, protocol, first_number)
    found = gather(shop, garment, (SwatchRecord(swatch=swatch, protocol=protocol, readings=blank),))
    if not found.swatches:
        raise InvalidInput(f"nothing can be simulated: {'; '.join(found.unused) or 'the test reads no colour'}")
    (evidence,) = found.swatches
    of_models = {k: v for k, v in truth.positions.items() if k not in {OVEN, DISCREPANCY}}
    oven = spread_over(read_table("calibration")["oven"]["temperature_error"], truth.of(OVEN))
    predicted = SwatchModel(shop, garment, swatch).predict(evidence, corner_set((of_models,)), oven)
    lab, grade = predicted.colour[0], predicted.grade[0]
    if rng is not None:
        size = float(spread_over(noise.discrepancy, truth.of(DISCREPANCY))[0])
        lab = _with_errors(
            lab, predicted.clean[0], [(s.leg, s.time, s.area) for s in evidence.colours], size, noise, rng
        )
        spread = np.hypot(noise.grade, size * np.clip(5 - grade, 0.0, 1.45))
        grade = grade + spread * rng.standard_normal(grade.shape)
        grade = np.where(rng.random(grade.shape) < noise.blunder, 1 + rng.integers(0, GRADES, grade.shape) / 2, grade)
    values: dict[int, ColourMeasurement | GreyScaleGrade] = {
        seen.number: _colour(lab[i], seen.condition) for i, seen in enumerate(evidence.colours)
    }
    for i, graded in enumerate(evidence.grades):
        rounded = float(np.clip(np.floor(2 * grade[i] + 0.5) / 2, 1.0, 5.0))
        values[graded.number] = GreyScaleGrade(value=rounded)
    readings = tuple(
        Reading(
            swatch=one.swatch,
            number=one.number,
            reads=one.reads,
            value=values[one.number],
            taken_at=one.taken_at,
            operator=one.operator,
            part=one.part,
        )
        for one in blank
    )
    return SwatchRecord(swatch=swatch, protocol=protocol, readings=readings)


def _blank(shop: Shop, swatch: Swatch, protocol: Protocol, first: int) -> tuple[Reading, ...]:
    """Readings that are due, with a value that stands for what comes."""
    if swatch.made_at is None:
        raise InvalidInput("a simulated swatch needs the moment it was made")
    found: list[Reading] = []
    for due in protocol.readings:
        if due.reads not in {Reads.COLOUR, Reads.STAINING, Reads.CHANGE}:
            continue
        for _ in range(due.times):
            colour = due.reads is Reads.COLOUR
            found.append(
                Reading(
                    swatch=swatch.number,
                    number=first + len(found),
                    reads=due.reads,
                    value=_colour(np.array([90.0, 0.0, 0.0]), shop.preferences.condition)
                    if colour
                    else GreyScaleGrade(value=5.0),
                    taken_at=swatch.made_at + dt.timedelta(seconds=due.after),
                    operator="simulated",
                    part=due.part,
                )
            )
    return tuple(found)


def _colour(lab: Values, condition: str) -> ColourMeasurement:
    illuminant, _, observer = condition.partition("/")
    return ColourMeasurement(
        name="simulated",
        lab=(float(lab[0]), float(lab[1]), float(lab[2])),
        conditions=Conditions(illuminant=illuminant, observer=observer),
    )


def _with_errors(
    lab: Values,
    clean: Values,
    spots: list[tuple[int, int, int]],
    discrepancy: float,
    noise: Noise,
    rng: np.random.Generator,
) -> Values:
    """Colours with what the likelihood expects to be wrong with them."""
    areas = sorted({area for *_, area in spots})
    own = {spot: rng.standard_normal() for spot in sorted(set(spots))}
    shared = {area: rng.standard_normal() for area in areas}
    offset = {area: noise.offset * rng.standard_normal(3) for area in areas}
    found = np.empty_like(lab)
    for i, spot in enumerate(spots):
        area = spot[-1]
        relative = np.sqrt(noise.shared) * shared[area] + np.sqrt(1 - noise.shared) * own[spot]
        found[i] = lab[i] + discrepancy * relative * (lab[i] - clean[i]) + offset[area]
    return np.asarray(found + noise.reading * rng.standard_normal(lab.shape))
