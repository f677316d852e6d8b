"""What colour each part of a chosen stack has on the days after printing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.ink import InkKind
from laydown.domain.stack import Role
from laydown.models.appearance import Area, area_reflectance
from laydown.models.bleed import stained_reflectance
from laydown.models.film import Film, build_film
from laydown.models.life import Life, thermal_life
from laydown.planning.job import Assessment, Job
from laydown.planning.set_up import flash_forecasts

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenColour:
    """One way in which a stack's inks lie on each other, and its colour by day.

    Attributes
    ----------
    ink : str
        Ink on top; empty for the white below the colours.
    on_white : bool
        Whether the white lies below it (always so for the white itself).
    highlight : bool
        Whether the highlight white lies on top.
    film : float
        Median film of the top ink [m].
    clean : ndarray, shape (36,)
        Median over the samples without any dye in the print, as measured.
    reflectance : ndarray, shape (day, 36)
        The same with the dye of each day.
    """

    ink: str
    on_white: bool
    highlight: bool
    film: float
    clean: Values
    reflectance: Values


def seen_colours(job: Job, chosen: Assessment, days: tuple[float, ...]) -> tuple[SeenColour, ...]:
    """Colours of the white, of every colour on it and straight on the cloth, and of the highlight white.

    Parameters
    ----------
    job : Job
    chosen : Assessment
        With its set-up: where and how it is printed.
    days : tuple of float
        After printing, 0 to 60; day 0 is read an hour after the dryer.
    """
    film = build_film(chosen.stack, job.cloth, job.samples, practice=job.shop.practice, model=job.laydown_model)
    life = _life(job, chosen, film)
    found: list[SeenColour] = []
    for ink, on_white, highlight, area in _parts(film):
        clean = np.median(area_reflectance(area, film, job.cloth, job.samples)[:, 0], axis=0)
        if life is None:
            by_day = np.broadcast_to(clean, (len(days), clean.size))
        else:
            by_day = np.median(stained_reflectance(area, film, job.cloth, life, job.samples, days), axis=0)
        found.append(
            SeenColour(
                ink=ink,
                on_white=on_white,
                highlight=highlight,
                film=float(np.median(film.dry[area.rows[-1]])),
                clean=np.asarray(clean),
                reflectance=np.asarray(by_day),
            )
        )
    return tuple(found)


def _life(job: Job, chosen: Assessment, film: Film) -> Life | None:
    """Thermal life of the print; None where no dye migrates."""
    if job.cloth.migrating_share <= 0 or chosen.setup is None:
        return None
    run = job.dryers.run(chosen.setup.dryer_choice, film.total())
    flashes, _, _ = flash_forecasts(job, chosen.stack, film, chosen.setup)
    return thermal_life(flashes, run, job.cloth, job.order.care, job.shop.climate, job.samples, passages=job.passages)


def _parts(film: Film) -> list[tuple[str, bool, bool, Area]]:
    """Name, whether on white, whether the highlight lies on top, and the area of every part."""
    below = tuple(i for i, p in enumerate(film.passes) if p.role in {Role.BARRIER, Role.UNDERBASE, Role.WHITE})
    parts: list[tuple[str, bool, bool, Area]] = []
    white = next(
        (p.ink for i, p in enumerate(film.passes) if i in below and p.ink is not None and p.ink.kind is InkKind.WHITE),
        None,
    )
    if below and white is not None:
        parts.append(("", True, False, Area(name="white", rows=below, top=white)))
    for i, p in enumerate(film.passes):
        if p.ink is None:
            continue
        if p.role is Role.COLOUR:
            if below:
                parts.append((p.ink.name, True, False, Area(name=p.ink.name, rows=(*below, i), top=p.ink)))
            parts.append((p.ink.name, False, False, Area(name=p.ink.name, rows=(i,), top=p.ink)))
        elif p.role is Role.HIGHLIGHT:
            parts.append((p.ink.name, True, True, Area(name="highlight white", rows=(*below, i), top=p.ink)))
    return parts
