"""Beats: slow waves that come about where the threads of a mesh, or another plate, meet the dots of a halftone."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown import units
from laydown.artwork.halftone import DotShape, Halftone
from laydown.domain.screen import Mesh
from laydown.physics import mesh as mesh_geometry

FloatArray = NDArray[np.float64]

SHORTEST_SEEN = 1.5e-3
"""Period from which on a wave is seen as a pattern rather than as the halftone's own texture [m]. Assumed."""

SLIGHTEST_SEEN = 0.025
"""Swing of the inked share (up and down from its mean) below which a wave is not noticed. Assumed."""

COUNT_SLACK = 0.01
"""By how much a mesh on a frame may differ from its nominal count. Assumed: tension draws it out by about this much."""

ANGLE_SLACK = np.pi / 360
"""By how much a film may lie askew on the screen [rad]: half a degree. Assumed."""

DOT_WAVES = 8
"""Highest wave number of the dots that is looked at: a mesh has about four threads for each row of dots."""

THREAD_WAVES = 2

ANGLES = units.from_degree(np.arange(0.0, 90.0, 0.5))
"""Angles that are tried for a proposal [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beat:
    """The strongest wave that is long enough to be seen.

    Attributes
    ----------
    period : float
        Crest to crest [m]; infinite where both patterns run in step.
    swing : float
        Largest change of the inked share, over all tones, if no ink flowed under the threads: an upper bound.
    """

    period: float
    swing: float

    @property
    def seen(self) -> bool:
        """Whether it is strong enough to be noticed; what is too short is not a beat at all."""
        return self.swing > SLIGHTEST_SEEN


@dataclass(frozen=True, slots=True, eq=False)
class _Waves:
    """Lattice of wave vectors [1/m] as complex numbers, with their amplitudes."""

    vectors: NDArray[np.complex128]
    amplitudes: FloatArray


def mesh_beat(mesh: Mesh, halftone: Halftone) -> Beat:
    """Strongest beat of a halftone against warp and weft.

    Parameters
    ----------
    mesh : Mesh
        Its threads run along and across the print.
    halftone : Halftone

    Returns
    -------
    Beat
        Worst case over 1 % of mesh count and half a degree of angle, since neither is known better on the press.

    Notes
    -----
    Ink passes where the mesh is open *and* the stencil is: the product of two periodic functions. It has a wave at
    each difference of a wave vector of the mesh and one of the dots, with twice the product of their Fourier
    coefficients for its swing. Coefficients of the mesh: sin(π i a)/(π i) along each direction with a = w n; those of
    the dots come from a Fourier transform of the dot at 19 tones, the largest of which counts. Waves shorter than
    1.5 mm are left out; there is no upper end, as a beat longer than the print is a shorter one at slightly more
    tension.
    """
    swings, periods = _against_mesh(mesh, halftone.shape, np.asarray([halftone.ruling]), np.asarray([halftone.angle]))
    return Beat(period=float(periods[0]), swing=float(swings[0]))


def quiet_angle(mesh: Mesh, halftone: Halftone) -> tuple[Halftone, Beat]:
    """The angle nearest to the given one with no visible beat, else the quietest; in steps of half a degree."""
    swings, periods = _against_mesh(mesh, halftone.shape, np.full(ANGLES.size, halftone.ruling), ANGLES)
    turned = np.abs((ANGLES - halftone.angle + np.pi / 4) % (np.pi / 2) - np.pi / 4)
    quiet = swings <= SLIGHTEST_SEEN
    best = int(np.argmin(np.where(quiet, turned, np.inf))) if quiet.any() else int(np.argmin(swings))
    found = replace(halftone, angle=float(ANGLES[best]))
    return found, Beat(period=float(periods[best]), swing=float(swings[best]))


def quiet_ruling(mesh: Mesh, halftone: Halftone) -> tuple[Halftone, Beat]:
    """Ruling and angle with the least change of ruling that show no visible beat, else the quietest of all tried.

    Whole lines per inch within 20 % of the given ruling are tried, the nearest first.
    """
    given = units.to_per_inch(halftone.ruling)
    tried = sorted(range(math.ceil(0.8 * given), math.floor(1.2 * given) + 1), key=lambda lines: abs(lines - given))
    best: tuple[Halftone, Beat] = quiet_angle(mesh, halftone)
    for lines in tried:
        if not best[1].seen:
            break
        found = quiet_angle(mesh, replace(halftone, ruling=units.from_per_inch(float(lines))))
        if found[1].swing < best[1].swing:
            best = found
    return best


def plates_beat(first: Halftone, second: Halftone) -> Beat:
    """Strongest beat of two halftones printed over each other, up to their second waves.

    Notes
    -----
    Equal rulings and angles run in step: the period is infinite and the swing 0, as nothing moves; what such plates do
    is to change their overlap, and so the colour, when one is printed a fraction of a dot off.
    """
    if first.ruling == second.ruling and _apart(first.angle, second.angle) < 1e-9:
        return Beat(period=math.inf, swing=0.0)
    one, two = _dots(first, 2), _dots(second, 2)
    difference = one.vectors[:, None] - two.vectors[None, :]
    swing = 2 * one.amplitudes[:, None] * two.amplitudes[None, :]
    periods, swings = 1 / np.maximum(np.abs(difference), 1e-9), swing
    seen = np.where(periods >= SHORTEST_SEEN, swings, 0.0)
    best = np.unravel_index(int(np.argmax(seen)), seen.shape)
    return Beat(period=float(periods[best]), swing=float(seen[best]))


def dot_waves(shape: DotShape, most: int = DOT_WAVES) -> FloatArray:
    """Largest Fourier coefficient of a dot over all tones, shape (2 most + 1, 2 most + 1), the mean in the middle.

    First axis: wave number across the rows of dots; second: along them.
    """
    full = _dot_waves(shape)
    middle = full.shape[0] // 2
    return full[middle - most : middle + most + 1, middle - most : middle + most + 1]


@lru_cache(maxsize=8)
def _dot_waves(shape: DotShape) -> FloatArray:
    from laydown.artwork.halftone_thresholds import spot_growth

    edge = 64
    middle = (np.arange(edge) + 0.5) / edge - 0.5
    spot = middle[None, :] + 1j * middle[:, None]
    order = np.argsort(-spot_growth(spot, shape).ravel(), kind="stable")
    largest = np.zeros((edge, edge))
    for tone in np.arange(0.05, 0.96, 0.05):
        dot = np.zeros(edge * edge)
        dot[order[: round(tone * edge * edge)]] = 1.0
        largest = np.maximum(largest, np.abs(np.fft.fft2(dot.reshape(edge, edge))) / edge**2)
    kept = np.fft.fftshift(largest)[edge // 2 - DOT_WAVES : edge // 2 + DOT_WAVES + 1]
    return np.asarray(kept[:, edge // 2 - DOT_WAVES : edge // 2 + DOT_WAVES + 1])


def _dots(halftone: Halftone, most: int) -> _Waves:
    """Waves of a halftone without the mean."""
    number = np.arange(-most, most + 1)
    lattice = (number[None, :] + 1j * number[:, None]).ravel()
    kept = lattice != 0
    vectors = lattice * halftone.ruling * np.exp(1j * halftone.angle)
    return _Waves(vectors[kept], dot_waves(halftone.shape, most).ravel()[kept])


def _threads(mesh: Mesh) -> _Waves:
    """Waves of an open mesh beside its mean, of which each is the opposite of another: half of them."""
    share = math.sqrt(float(mesh_geometry.open_area(mesh.opening.value, mesh.count)))
    number = np.arange(-THREAD_WAVES, THREAD_WAVES + 1)
    along = np.sinc(number * share)
    lattice = (number[None, :] + 1j * number[:, None]).ravel()
    kept = (lattice.imag > 0) | ((lattice.imag == 0) & (lattice.real > 0))
    return _Waves(lattice[kept] * mesh.count, np.abs(along[None, :] * along[:, None]).ravel()[kept])


def mesh_waves(mesh: Mesh, halftone: Halftone) -> tuple[NDArray[np.complex128], FloatArray]:
    """All waves of a halftone seen through a mesh, nothing being off: what `mesh_beat` judges.

    Returns
    -------
    vectors : ndarray of complex, shape (waves of the mesh, waves of the dots)
        Wave vectors [1/m], across in the real part and up in the imaginary one.
    swings : ndarray
        Largest swing of the inked share over all tones.
    """
    threads, dots = _threads(mesh), _dots(halftone, DOT_WAVES)
    swings = 2 * threads.amplitudes[:, None] * dots.amplitudes[None, :]
    return threads.vectors[:, None] - dots.vectors[None, :], swings


def _against_mesh(
    mesh: Mesh, shape: DotShape, rulings: FloatArray, angles: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Swing and period of the strongest wave in the visible span, for each pair of ruling and angle."""
    threads = _threads(mesh)
    dots = _dots(Halftone(ruling=float(rulings[0]), angle=0.0, shape=shape), DOT_WAVES)
    strong = dots.amplitudes > SLIGHTEST_SEEN / 4
    lattice, strength = dots.vectors[strong] / rulings[0], 2 * threads.amplitudes[:, None] * dots.amplitudes[strong]
    swings, periods = np.zeros(rulings.size), np.full(rulings.size, math.inf)
    for index, (ruling, angle) in enumerate(zip(rulings, angles, strict=True)):
        for count in (1 - COUNT_SLACK, 1.0, 1 + COUNT_SLACK):
            for askew in (-ANGLE_SLACK, 0.0, ANGLE_SLACK):
                vectors = lattice * ruling * np.exp(1j * (angle + askew))
                beat = np.abs(threads.vectors[:, None] * count - vectors[None, :])
                seen = np.where(beat * SHORTEST_SEEN <= 1, strength, 0.0)
                best = int(np.argmax(seen))
                if seen.flat[best] > swings[index]:
                    swings[index], periods[index] = seen.flat[best], 1 / max(float(beat.flat[best]), 1e-9)
    return swings, periods


def _apart(one: float, other: float) -> float:
    """Angle between two screens, which look the same after a quarter turn [rad]."""
    return abs((one - other + math.pi / 4) % (math.pi / 2) - math.pi / 4)


__all__ = ["Beat", "dot_waves", "mesh_beat", "mesh_waves", "plates_beat", "quiet_angle", "quiet_ruling"]
