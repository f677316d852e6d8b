"""How a print looks: layered optics over the cloth, with or without dye in the film."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown.domain.forecast import OpacityForecast, Spread
from laydown.domain.ink import Ink, InkKind
from laydown.domain.stack import Pass, Role, Stack
from laydown.models.cloth import Cloth
from laydown.models.colour import lab_of
from laydown.models.film import Film
from laydown.models.ink_optics import ink_spectra, internal, surface
from laydown.models.sampling import SampleSet, percentiles

Values = NDArray[np.float64]

ROUGHNESS_POINTS = 3
"""Gauss points over the local film thickness."""

PAPER_WHITE = 0.85
"""Reflectance of the white that a colour is judged over when the stack holds none. Assumed."""

LEVELLING = 1.0
"""Share of the cloth's roughness that is left in the film. Assumed: the whole of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A part of the print that shows one colour, and the passes (rows of the film) that lie there."""

    name: str
    rows: tuple[int, ...]
    top: Ink


def visible_areas(stack: Stack) -> tuple[Area, ...]:
    """Parts of the print with a colour of their own, white first."""
    passes = stack.inked
    below = tuple(i for i, p in enumerate(passes) if p.role in {Role.BARRIER, Role.UNDERBASE, Role.WHITE})
    colours = [i for i, p in enumerate(passes) if p.role is Role.COLOUR]
    highlight = [i for i, p in enumerate(passes) if p.role is Role.HIGHLIGHT]
    areas: list[Area] = []
    white_shows = bool(highlight or not colours or any(_shows(passes, i, colours) for i in below))
    if white_shows:
        rows = below + tuple(highlight)
        inks = [ink for i in rows if (ink := passes[i].ink) is not None]
        if inks:
            name = "white" if inks[-1].kind is InkKind.WHITE else inks[-1].name
            areas.append(Area(name=name, rows=rows, top=inks[-1]))
    for i in colours:
        ink = passes[i].ink
        if ink is not None:
            areas.append(Area(name=ink.name, rows=(i,) if passes[i].on_cloth else (*below, i), top=ink))
    return tuple(areas)


def _judged(stack: Stack) -> tuple[Area, ...]:
    """Areas that have to cover: the art was separated so that the cloth shows through a colour straight on it."""
    areas = visible_areas(stack)
    on_white = tuple(area for area in areas if not stack.inked[area.rows[-1]].on_cloth)
    return on_white or areas


def _shows(passes: tuple[Pass, ...], i: int, colours: list[int]) -> bool:
    """Whether a pass below the colours is what one sees somewhere."""
    shows = passes[i].shows
    return passes[i].coverage > sum(passes[c].coverage for c in colours) + 1e-9 if shows is None else shows > 0


def area_reflectance(
    area: Area,
    film: Film,
    cloth: Cloth,
    samples: SampleSet,
    *,
    cell_thickness: Values | None = None,
    cell_layer: NDArray[np.int64] | None = None,
    dye: Values | None = None,
    dye_absorption: Values | None = None,
    substrate: Values | None = None,
) -> Values:
    """Measured reflectance of an area, shape (size, day, 36).

    Parameters
    ----------
    cell_thickness, cell_layer, dye, dye_absorption
        As `laydown.physics.layer_stack.dyed_film_reflectance` takes them; left out: one cell a layer, no dye, one day.
    substrate : ndarray, shape (36,)
        Internal reflectance below the film; left out: the cloth's.
    """
    inks = tuple(ink for i in area.rows if (ink := film.passes[i].ink) is not None)
    scale = np.column_stack(
        [
            samples.of(
                ink_spectra(ink).scattering_spread,
                "white scattering" if ink.kind is InkKind.WHITE else "colour scattering",
            )
            for ink in inks
        ]
    )
    below = internal(cloth.reflectance()) if substrate is None else substrate
    variation = (LEVELLING * film.variation).tobytes()
    thickness = np.ascontiguousarray(film.dry[list(area.rows)].T)
    if dye is None or dye_absorption is None:
        return _clean(inks, thickness.tobytes(), scale.tobytes(), variation, below.tobytes())
    if cell_thickness is None or cell_layer is None:
        cell_thickness, cell_layer = thickness, np.arange(len(area.rows))
    return _reflectance(
        inks,
        cell_thickness,
        cell_layer,
        dye=dye,
        dye_absorption=dye_absorption,
        scale=scale,
        variation=variation,
        substrate=below,
    )


@lru_cache(maxsize=256)
def _clean(inks: tuple[Ink, ...], thickness: bytes, scale: bytes, variation: bytes, substrate: bytes) -> Values:
    """Reflectance without dye, shape (size, 1, 36): stacks that differ elsewhere share it."""
    layers = np.frombuffer(thickness).reshape(-1, len(inks))
    found = _reflectance(
        inks,
        layers,
        np.arange(len(inks)),
        dye=np.zeros((len(layers), 1, len(inks))),
        dye_absorption=np.zeros((len(layers), 36)),
        scale=np.frombuffer(scale).reshape(-1, len(inks)),
        variation=variation,
        substrate=np.frombuffer(substrate),
    )
    found.setflags(write=False)
    return found


def _reflectance(
    inks: tuple[Ink, ...],
    cell_thickness: Values,
    cell_layer: NDArray[np.int64],
    *,
    dye: Values,
    dye_absorption: Values,
    scale: Values,
    variation: bytes,
    substrate: Values,
) -> Values:
    from laydown.physics.layer_stack import dyed_film_reflectance

    factors, weights = _thickness_nodes(variation)
    k1, k2 = surface()
    return dyed_film_reflectance(
        cell_thickness=cell_thickness,
        cell_layer=cell_layer,
        dye=dye,
        absorption=np.array([ink_spectra(ink).absorption for ink in inks]),
        scattering=np.array([ink_spectra(ink).scattering for ink in inks]),
        absorption_scale=scale,
        scattering_scale=scale,
        dye_absorption=dye_absorption,
        substrate=substrate,
        thickness_factor=factors,
        node_weight=weights,
        k1=k1,
        k2=k2,
    )


@lru_cache(maxsize=16)
def _thickness_nodes(variation: bytes) -> tuple[Values, Values]:
    """Factors and weights of `thickness_factors`; stacks on one cloth share their unevenness, and so the nodes."""
    from laydown.physics.film_variation import thickness_factors

    return thickness_factors(np.frombuffer(variation), points=ROUGHNESS_POINTS)


def judge_opacity(
    stack: Stack, film: Film, cloth: Cloth, samples: SampleSet, *, limit: float, condition: str
) -> tuple[OpacityForecast, Values, Values]:
    """Cover on day 0 of the area that covers worst, in which samples any area misses the limit, and that area's ΔE00.

    Colours that the art was separated to have straight on the cloth are not judged when there are others.
    A white is judged against its own full-hiding colour; a colour, which is never printed to full hiding, against the
    same film over a white that hides completely.
    """
    from laydown.physics.ciede2000 import ciede2000

    missed, shown = np.zeros(samples.size), np.zeros(samples.size)
    worst: tuple[Area, Spread, Values, Values, Values] | None = None
    for area in _judged(stack):
        lab = lab_of(area_reflectance(area, film, cloth, samples)[:, 0], condition)
        target = _target(area, film, cloth, samples, condition)
        difference = ciede2000(lab, np.broadcast_to(target, lab.shape))
        over = np.asarray(difference > limit, dtype=float)
        missed = np.maximum(missed, over)
        spread = percentiles(difference)
        if worst is None or spread.p50 > worst[1].p50:
            worst, shown = (area, spread, lab, target, over), np.asarray(difference, dtype=float)
    assert worst is not None  # a stack shows at least one colour
    area, spread, lab, target, over = worst
    forecast = OpacityForecast(
        area=area.name,
        difference=spread,
        lab=_triple(np.median(lab, axis=0)),
        target_lab=_triple(np.median(np.atleast_2d(target), axis=0)),
        limit=limit,
        risk=float(over.mean()),
    )
    return forecast, missed, shown


def _target(area: Area, film: Film, cloth: Cloth, samples: SampleSet, condition: str) -> Values:
    """Lab that an area would have if nothing of the cloth showed: shape (3,) for a white, (size, 3) for a colour."""
    if area.top.kind is not InkKind.COLOUR:
        return lab_of(ink_spectra(area.top).full_hiding, condition)
    white = next(
        (ink_spectra(p.ink).full_hiding for p in film.passes if p.ink is not None and p.ink.kind is InkKind.WHITE),
        np.full(36, PAPER_WHITE),
    )
    top = Area(name=area.name, rows=area.rows[-1:], top=area.top)
    return lab_of(area_reflectance(top, film, cloth, samples, substrate=internal(white))[:, 0], condition)


def _triple(lab: Values) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])
