"""How thick a white and a colour usually lie on a cloth, for separating art before a stack is chosen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from laydown.domain.ink import Ink
from laydown.domain.order import InkUse, Print
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Role, Stack
from laydown.models.cloth import Cloth
from laydown.models.film import build_film
from laydown.models.sampling import sample_set
from laydown.planning.candidates import suitable_screens

DRAWN = 64
"""Samples that the median is taken of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualFilm:
    """Cured film [m] of one hit through a mesh that suits the role."""

    film: float
    mesh: str


def usual_film(
    shop: Shop, cloth: Cloth, ink: Ink, role: Role, *, below: Ink | None = None, ruling: float | None = None
) -> UsualFilm:
    """Median film that one hit of an ink leaves, through the coarsest of the screens that suit its role.

    Parameters
    ----------
    shop : Shop
    cloth : Cloth
    ink : Ink
    role : Role
    below : Ink or None
        White that was printed and gelled before; None: it goes straight on the cloth.
    ruling : float or None
        Of the halftone [lines per metre]; finer meshes are taken for it.

    Raises
    ------
    InvalidInput
        When the rack holds no screen for the role.
    """
    probe = Print(place="art", width=0.05, height=0.05, inks=(InkUse(ink="white", coverage=1.0),), ruling=ruling)
    screen = suitable_screens(shop, role, probe)[0]
    passes = [Pass(role=role, ink=ink, screen=screen)]
    if below is not None:
        base = suitable_screens(shop, Role.UNDERBASE, probe)[0]
        passes.insert(0, Pass(role=Role.UNDERBASE, ink=below, screen=base, flash_after=True))
    film = build_film(Stack(passes=tuple(passes)), cloth, sample_set(DRAWN), practice=shop.practice)
    return UsualFilm(film=float(np.median(film.dry[-1])), mesh=screen.mesh.name if screen.mesh else "")
