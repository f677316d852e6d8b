"""Softness, and whether the print stretches with the cloth."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.forecast import HandForecast, StretchForecast
from laydown.domain.ink import InkKind
from laydown.domain.order import HAND_CLASSES, Requirements
from laydown.domain.stack import Role
from laydown.models.cloth import Cloth
from laydown.models.film import Film, mixed_hand_factor
from laydown.models.sampling import SampleSet, percentiles

Values = NDArray[np.float64]


def judge_hand(film: Film, *, limit: str) -> tuple[HandForecast, Values]:
    """Class of hand, and in which samples it is heavier than allowed (shape (size,), bool as float)."""
    from laydown.physics.hand import hand_class, hand_mass

    shape = (len(film.passes), 1)
    density = np.array([p.ink.density.value if p.ink else 1.0 for p in film.passes]).reshape(shape)
    covered = np.array([p.coverage for p in film.passes]).reshape(shape)
    factor = np.array([mixed_hand_factor(p) for p in film.passes]).reshape(shape)
    # What is felt is the printed area, so the share is that of the print's own inked area; colours lie side by side.
    beside = sum(p.coverage for p in film.passes if p.role is Role.COLOUR)
    mass = hand_mass(film.dry, density, covered / min(1.0, max(covered.max(), beside)), factor)
    limits = [row["film_mass"].value for row in read_table("hand").values()]
    classes = hand_class(mass, limits)
    median = int(np.median(classes))
    too_heavy = classes > HAND_CLASSES.index(limit)
    forecast = HandForecast(film_areal_mass=percentiles(mass), hand_class=HAND_CLASSES[median], limit=limit)
    return forecast, np.asarray(too_heavy, dtype=float)


def judge_stretch(film: Film, cloth: Cloth, samples: SampleSet) -> tuple[StretchForecast, Values]:
    """Elongation of the stiffest film against the cloth's working stretch, and where any film cracks."""
    from laydown.physics.stretch import mixed_elongation

    stretch = np.maximum(samples.of(cloth.working_stretch, "cloth stretch"), 0.0)
    stiffest: Values | None = None
    least: Values | None = None
    name = ""
    for pass_ in film.passes:
        ink = pass_.ink
        if ink is None:
            continue
        own = np.maximum(samples.of(ink.elongation, "elongation"), 0.0)
        if pass_.additive is not None and pass_.additive.kind is InkKind.STRETCH_ADDITIVE:
            other = np.maximum(samples.of(pass_.additive.elongation, "elongation"), 0.0)
            own = np.asarray(mixed_elongation(own, other, pass_.additive_share))
        least = own if least is None else np.minimum(least, own)
        if stiffest is None or np.median(own) < np.median(stiffest):
            stiffest, name = own, ink.name
    assert stiffest is not None  # a stack holds at least one ink
    assert least is not None
    cracks = np.asarray(least < stretch, dtype=float)
    forecast = StretchForecast(
        ink=name,
        elongation=percentiles(stiffest),
        cloth=percentiles(stretch),
        risk=float(cracks.mean()),
    )
    return forecast, cracks


def lowest_toughness(film: Film, requirements: Requirements) -> tuple[int, bool]:
    """Toughness class of the weakest ink, and whether it is below what is asked."""
    lowest = min(p.ink.toughness for p in film.passes if p.ink is not None)
    return lowest, lowest < requirements.wash
