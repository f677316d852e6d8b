"""Dye migration: how much of the cloth's dye gets into the print, and what colour that makes, day by day."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.forecast import BleedDay, BleedForecast, Spread
from laydown.domain.garment import History
from laydown.domain.ink import Ink, InkKind
from laydown.domain.order import Requirements
from laydown.domain.quantity import Quantity
from laydown.models.appearance import Area, area_reflectance
from laydown.models.cloth import Cloth, narrowed
from laydown.models.colour import lab_of
from laydown.models.film import Film, solids_of
from laydown.models.life import Life
from laydown.models.sampling import SampleSet, percentiles
from laydown.units import from_day

Values = NDArray[np.float64]

DAYS = (0.0, 1.0, 2.0, 7.0, 14.0, 30.0, 60.0)
"""Days after printing that a forecast shows."""

FULL_SHADE = 15.0
"""K/S at its peak of a cloth in a full shade (reflectance 3 %), the full strength of the dye. Assumed."""

DARKEST_CLOTH = 0.01
"""A band in which a cloth reflects less is taken to reflect this: gloss and fibre ends are read there. Assumed."""

THINNEST_LAYER = 1e-7
"""A layer that all but sank into the cloth is computed as this thick [m]."""

SEEN_AFTER = 3600.0
"""Day 0 is read this long after the dryer [s]."""

UNSEEN = 1.0
"""Colour difference (CIEDE2000) below which nobody sees the bleed of a dye that its fibre holds: about the least that
is noticed. Assumed."""

NO_DYE = Spread(p10=0.0, p50=0.0, p90=0.0)
GRADE_5 = Spread(p10=5.0, p50=5.0, p90=5.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class BleedInputs:
    """Inputs of the migration model for one cloth, with the spread that the shop's history of it leaves."""

    release: Quantity
    release_reference: float
    release_energy: Quantity
    reservoir_depth: Quantity
    diffusivity: Quantity
    diffusion_reference: float
    diffusion_energy: Quantity
    peak_absorption: Quantity
    reaction_length: Quantity
    partition: Quantity


def bleed_inputs(cloth: Cloth) -> BleedInputs:
    """Priors of the shipped table, with the dye class's release and narrowed by the shop's history of the cloth."""
    table = read_table("migration")
    dye, film = table["disperse dye in cloth"], table["dye in cured film"]
    spread = cloth.history_spread
    release = _of_class(dye["release_rate"], cloth.release_factor, cloth)
    strength = _of_class(film["peak_absorption"], cloth.absorption_factor, cloth)
    return BleedInputs(
        release=narrowed(release, spread),
        release_reference=dye["reference_temperature"].value,
        release_energy=narrowed(dye["activation_energy"], spread),
        reservoir_depth=narrowed(dye["reservoir_depth"], spread),
        diffusivity=narrowed(film["diffusivity"], spread),
        diffusion_reference=film["reference_temperature"].value,
        diffusion_energy=narrowed(film["activation_energy"], spread),
        peak_absorption=narrowed(strength, spread),
        reaction_length=narrowed(table["blocker"]["reaction_length"], spread),
        partition=narrowed(film["partition"], spread),
    )


def _of_class(quantity: Quantity, factor: Quantity, cloth: Cloth) -> Quantity:
    """Quantity of a medium disperse dye times the factor of the cloth's dye class.

    Two independent factors: their logarithmic half-widths add in squares.
    """
    value = quantity.value * max(factor.value, 1e-6)
    low = np.exp(-np.hypot(np.log(quantity.value / quantity.low), _log_ratio(factor.value, factor.low)))
    high = np.exp(np.hypot(np.log(quantity.high / quantity.value), _log_ratio(factor.high, factor.value)))
    return replace(
        quantity,
        value=value,
        low=value * float(low),
        high=value * float(high),
        source=f"{quantity.source}; dye class {cloth.garment.dye.value} ({factor.source})",
    )


def cloth_ks(cloth: Cloth) -> Values:
    """K/S of a cloth per band, as dyers reckon it: from its reflectance, without the gloss that an ink film has."""
    r = np.maximum(cloth.reflectance(), DARKEST_CLOTH)
    return np.asarray((1 - r) ** 2 / (2 * r))


def dye_shape(cloth: Cloth) -> Values:
    """Absorption of the cloth's dye per band, 1 at its peak; 0 throughout for a perfect white."""
    ks = cloth_ks(cloth)
    return np.asarray(ks / max(float(ks.max()), 1e-12))


def shade_depth(cloth: Cloth) -> float:
    """How deep the cloth is dyed beside a full shade, 0 to 1: a pale cloth has little dye to give."""
    return min(1.0, float(cloth_ks(cloth).max()) / FULL_SHADE)


def days_shown(requirements: Requirements) -> tuple[float, ...]:
    """Days of a forecast: `DAYS`, and the one that the order asks for."""
    return tuple(sorted({*DAYS, requirements.bleed_days}))


def no_bleed(
    area: Area, film: Film, cloth: Cloth, samples: SampleSet, requirements: Requirements, note: str, *, condition: str
) -> BleedForecast:
    """Forecast for a cloth without migrating dye: the print keeps the colour of day 0."""
    lab = _triple(np.median(lab_of(area_reflectance(area, film, cloth, samples)[:, 0], condition), axis=0))
    days = tuple(
        BleedDay(day=day, difference=NO_DYE, grade=GRADE_5, lab=lab, risk=0.0) for day in days_shown(requirements)
    )
    return BleedForecast(
        applies=False,
        area=area.name,
        days=days,
        limit_grade=requirements.bleed_grade,
        limit_day=requirements.bleed_days,
        risk=0.0,
        screening=False,
        note=note,
    )


def capacity_of(ink: Ink, additive_share: float) -> Quantity:
    """Blocking capacity of an ink with something stirred in: what is stirred in takes its share away."""
    kept = 1 - additive_share
    c = ink.capacity
    return replace(c, value=c.value * kept, low=c.low * kept, high=c.high * kept)


def stained_reflectance(
    area: Area, film: Film, cloth: Cloth, life: Life, samples: SampleSet, days: tuple[float, ...]
) -> Values:
    """Measured reflectance of an area with the dye that has come into it, shape (size, day, 36).

    Parameters
    ----------
    days : tuple of float
        Days after printing, 0 to what ``life`` covers; day 0 is read an hour after the dryer.
    """
    from laydown.physics.migration import COLDEST, HOTTEST, simulate_migration

    inputs = bleed_inputs(cloth)
    rows = list(area.rows)
    outputs = life.printed_at + np.maximum(np.array([from_day(d) for d in days]), SEEN_AFTER)
    outputs = np.minimum(outputs, life.times[-1])
    capacity = np.column_stack([_capacity(film, row, samples) for row in rows])
    layers = len(rows)
    history = simulate_migration(
        times=life.times,
        # A print that burns is judged by the cloth's limit; the solver only has to get through it.
        temperature=np.clip(life.temperature, COLDEST, HOTTEST),
        layer_thickness=np.maximum(film.dry[rows].T, THINNEST_LAYER),
        diffusivity_ref=np.repeat(samples.of(inputs.diffusivity, "diffusion")[:, None], layers, axis=1),
        diffusion_activation=samples.of(inputs.diffusion_energy, "diffusion energy"),
        diffusion_reference=inputs.diffusion_reference,
        capacity=capacity,
        reaction_length=samples.of(inputs.reaction_length, "reaction length")[:, None],
        partition=_partition(film, rows, inputs, samples),
        reservoir_depth=samples.of(inputs.reservoir_depth, "reservoir depth"),
        reservoir_start=cloth.migrating_share,
        release_ref=samples.of(inputs.release, "release"),
        release_activation=samples.of(inputs.release_energy, "release energy"),
        release_reference=inputs.release_reference,
        output_times=outputs,
    )
    dye = history.free + history.bound
    strength = samples.of(inputs.peak_absorption, "dye strength") * shade_depth(cloth)
    absorption = strength[:, None] * dye_shape(cloth)[None, :]
    return area_reflectance(
        area,
        film,
        cloth,
        samples,
        cell_thickness=history.cell_thickness,
        cell_layer=history.cell_layer,
        dye=dye,
        dye_absorption=absorption,
    )


def judge_bleed(
    area: Area, film: Film, cloth: Cloth, life: Life, samples: SampleSet, requirements: Requirements, *, condition: str
) -> tuple[BleedForecast, Values, Values]:
    """Forecast the bleed of one area.

    Returns
    -------
    BleedForecast, ndarray, ndarray
        And in which samples the grade is missed on the day asked for, and the colour difference on that day,
        shape (size,).
    """
    from laydown.physics.ciede2000 import ciede2000
    from laydown.physics.grey_scale import staining_grade

    days = days_shown(requirements)
    stained = stained_reflectance(area, film, cloth, life, samples, days)
    clean = area_reflectance(area, film, cloth, samples)
    lab, clean_lab = lab_of(stained, condition), lab_of(clean, condition)
    reference = np.broadcast_to(clean_lab, lab.shape)
    difference = ciede2000(reference, lab)
    grade = staining_grade(reference, lab)
    missed = np.asarray(grade < requirements.bleed_grade - 0.25, dtype=float)
    shown = tuple(
        BleedDay(
            day=day,
            difference=percentiles(difference[:, i]),
            grade=percentiles(grade[:, i]),
            lab=_triple(np.median(lab[:, i], axis=0)),
            risk=float(missed[:, i].mean()),
        )
        for i, day in enumerate(days)
    )
    at = days.index(requirements.bleed_days)
    most = max(day.difference.p90 for day in shown)
    applies = cloth.dye_moves or most >= UNSEEN
    finding = cloth.finding
    tested = finding.level is Level.LOT if finding is not None else cloth.garment.history is History.TESTED
    screening = applies and not tested
    if not applies:
        note = (
            f"no dye in {cloth.garment.content} that migrates at the dryer (dye: {cloth.garment.dye.value}): "
            f"what it lets go changes the print by less than {UNSEEN:g} ΔE00"
        )
    elif finding is not None:
        note = _found(finding)
    elif screening:
        note = "screening estimate: no published diffusion of dye in cured plastisol; this cloth lot has no test"
    else:
        note = "narrowed by this cloth's own history in the shop"
    forecast = BleedForecast(
        applies=applies,
        area=area.name,
        days=shown,
        limit_grade=requirements.bleed_grade,
        limit_day=requirements.bleed_days,
        risk=float(missed[:, at].mean()),
        screening=screening,
        note=note,
    )
    return forecast, missed[:, at], difference[:, at]


def _found(finding: ClothFinding) -> str:
    """Say what a forecast rests on that uses the shop's own tests."""
    swatches = ", ".join(str(number) for number in finding.swatches)
    rests = f"rests on {finding.readings} readings of swatch{'es' if len(finding.swatches) > 1 else ''} {swatches}"
    if finding.level is Level.LOT:
        return f"{rests}, of this cloth lot"
    return f"screening estimate: {rests}, of {finding.about}; this cloth lot has no test"


def _capacity(film: Film, row: int, samples: SampleSet) -> Values:
    pass_ = film.passes[row]
    if pass_.ink is None:
        return np.zeros(samples.size)
    dimension = "barrier capacity" if pass_.ink.kind is InkKind.BARRIER else "white capacity"
    own = samples.of(capacity_of(pass_.ink, pass_.additive_share), dimension)
    # What sank into the cloth holds dye as well: its blocker is counted into the film right above it.
    solids = solids_of(pass_.ink, samples) * film.wet[row]
    return np.asarray(own * np.maximum(solids, film.dry[row]) / np.maximum(film.dry[row], THINNEST_LAYER))


def _partition(film: Film, rows: list[int], inputs: BleedInputs, samples: SampleSet) -> Values:
    """Partition of dye at each interface, shape (size, layer - 1): 1 within one ink, uncertain between two inks."""
    inks = [film.passes[row].ink for row in rows]
    between = samples.of(inputs.partition, "partition")
    same = np.ones(samples.size)
    columns = [same if below == above else between for below, above in itertools.pairwise(inks)]
    return np.column_stack(columns) if columns else np.empty((samples.size, 0))


def _log_ratio(high: float, low: float) -> float:
    return float(np.log(high / low)) if low > 0 else 0.0


def _triple(lab: Values) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])
