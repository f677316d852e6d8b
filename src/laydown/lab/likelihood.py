"""How likely the readings of a swatch are, given what the models say of it.

Of a colour only its move towards the dye counts: its projection on the direction in which the model's print changes.
Its absolute place is known too badly (ink optics from few numbers, lamp, backing), so an offset that all readings of
one area share is left open.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.quantity import Quantity
from laydown.lab.evidence import SwatchEvidence
from laydown.lab.swatch_model import SwatchPrediction

Values = NDArray[np.float64]

CHANNELS = 3
"""A colour difference is spread over three directions; along one of them lies a third of its square."""

GRADES = 9
"""Half grades from 1 to 5."""

PLAIN = 20.0
"""A stain of so many noises (about 5 ΔE) has a hue of its own; it is then measured along that hue."""

NEAR = 0.5
"""A stain whose direction has less than this cosine with the dye's is no stain of that dye: only what it has of the
dye's direction counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """Errors of readings and model.

    Attributes
    ----------
    repeatability, unevenness : float
        Root mean square colour differences of one reading.
    offset : float
        Standard deviation of the clean print's colour, in each direction, beside the model's.
    grade : float
        Standard deviation of a grade read by eye.
    blunder : float
        Share of grades that may be any, whatever the swatch looks like.
    discrepancy : Quantity
        Relative error of the dye's colour with the best inputs; uncertain itself, and fitted.
    shared : float
        Share of its variance that all readings of a swatch have in common.
    """

    repeatability: float
    unevenness: float
    offset: float
    grade: float
    blunder: float
    discrepancy: Quantity
    shared: float

    @property
    def reading(self) -> float:
        """Standard deviation of one colour reading along one direction."""
        return float(np.hypot(self.repeatability, self.unevenness) / np.sqrt(CHANNELS))


def usual_noise(*, repeatability: float | None = None) -> Noise:
    """Errors as the shipped table has them; the shop's own repeats give the repeatability where there are any."""
    table = read_table("calibration")
    colour, model = table["colour reading"], table["bleed model"]
    return Noise(
        repeatability=colour["repeatability"].value if repeatability is None else repeatability,
        unevenness=colour["unevenness"].value,
        offset=colour["colour_offset"].value,
        grade=table["grade by eye"]["grade_error"].value,
        blunder=table["grade by eye"]["blunder"].value,
        discrepancy=model["discrepancy"],
        shared=model["discrepancy_shared"].value,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Outputs:
    """What decides the likelihood, one row a sample.

    Attributes
    ----------
    change : ndarray, shape (size, points)
        How far the dye has moved the colour.
    clean : ndarray, shape (size, groups)
        Place of the clean print.
    grade : ndarray, shape (size, grades)
    """

    change: Values
    clean: Values
    grade: Values


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed:
    """A swatch's readings, reduced: repeats are means, colours are places along the dye's direction.

    Attributes
    ----------
    place : ndarray, shape (points,)
    repeats : ndarray, shape (points,)
    group : ndarray of int, shape (points,)
        Points of one area under one condition share an offset.
    members : tuple of tuple of int
        Colours (in the evidence's order) of each point.
    grade : ndarray, shape (grades,)
    directions, origins : ndarray, shape (groups, 3)
        Of the model's dye, and what places are counted from.
    turned : tuple of float
        Angle between the stain as read and the dye of the model [degrees], for each group; 0 where it is too faint.
    """

    place: Values
    repeats: Values
    group: NDArray[np.int64]
    members: tuple[tuple[int, ...], ...]
    grade: Values
    directions: Values
    origins: Values
    turned: tuple[float, ...]

    def outputs(self, predicted: SwatchPrediction) -> Outputs:
        """Reduce a prediction in the same way."""
        size = predicted.colour.shape[0]
        change, clean = np.empty((size, self.place.size)), np.empty((size, len(self.directions)))
        for point, members in enumerate(self.members):
            g, first = self.group[point], members[0]
            moved = predicted.colour[:, first] - predicted.clean[:, first]
            change[:, point] = moved @ self.directions[g]
            clean[:, g] = (predicted.clean[:, first] - self.origins[g]) @ self.directions[g]
        return Outputs(change=change, clean=clean, grade=predicted.grade)


def observe(evidence: SwatchEvidence, predicted: SwatchPrediction, noise: Noise) -> Observed:
    """Reduce the readings of a swatch.

    Parameters
    ----------
    evidence : SwatchEvidence
    predicted : SwatchPrediction
        Of prior samples: they say in which direction the dye moves the colour.
    noise : Noise
    """
    keys = [(seen.area, seen.condition) for seen in evidence.colours]
    groups = list(dict.fromkeys(keys))
    directions, origins, own, turned = [], [], [], []
    for key in groups:
        of = [i for i, k in enumerate(keys) if k == key]
        moved = predicted.colour[:, of].mean(axis=1) - predicted.clean[:, of].mean(axis=1)
        direction = _unit(moved.mean(axis=0))
        lab = np.array([evidence.colours[i].lab for i in of])
        angle, seen_along = _stain(lab, direction, noise)
        directions.append(direction)
        own.append(seen_along)
        turned.append(angle)
        origins.append(predicted.clean[:, of[0]].mean(axis=0))
    spots = [(seen.leg, seen.time, seen.area, seen.condition) for seen in evidence.colours]
    members = tuple(tuple(i for i, s in enumerate(spots) if s == spot) for spot in dict.fromkeys(spots))
    group = np.array([groups.index(keys[m[0]]) for m in members], dtype=np.int64)
    place = [
        float((np.mean([evidence.colours[i].lab for i in m], axis=0) - origins[g]) @ own[g])
        for m, g in zip(members, group, strict=True)
    ]
    return Observed(
        place=np.array(place),
        repeats=np.array([float(len(m)) for m in members]),
        group=group,
        members=members,
        grade=np.array([seen.grade for seen in evidence.grades]),
        directions=np.array(directions).reshape(-1, 3),
        origins=np.array(origins).reshape(-1, 3),
        turned=tuple(turned),
    )


def _stain(lab: Values, direction: Values, noise: Noise) -> tuple[float, Values]:
    """Angle of the stain as read to the dye's direction [degrees], and the direction to measure it along."""
    along = lab @ direction
    stain = lab[int(along.argmax())] - lab[int(along.argmin())]
    length = float(np.linalg.norm(stain))
    cosine = float(stain @ direction) / length if length > 0 else 1.0
    if length < PLAIN * noise.reading:
        return 0.0, direction
    angle = float(np.degrees(np.arccos(min(1.0, cosine))))
    return angle, stain / length if cosine >= NEAR else direction


def _unit(vector: Values) -> Values:
    length = float(np.linalg.norm(vector))
    return vector / length if length > 1e-9 else np.array([-1.0, 0.0, 0.0])


def log_likelihoods(
    observed: Observed, outputs: Outputs, noise: Noise, discrepancy: Values, *, extra: Values | float = 0.0
) -> Values:
    """Log-likelihood of each group of colours and each grade, shape (size, groups + grades).

    Parameters
    ----------
    observed : Observed
    outputs : Outputs
    noise : Noise
    discrepancy : ndarray, shape (size,)
        Relative error of the dye's colour.
    extra : ndarray, shape (size, points)
        Variance of the prediction itself, where it comes from a surrogate.
    """
    found = [
        _colours(observed, outputs, noise, discrepancy, np.flatnonzero(observed.group == g), extra)
        for g in range(len(observed.directions))
    ]
    found += [_grade(observed.grade[i], outputs.grade[:, i], noise, discrepancy) for i in range(observed.grade.size)]
    return np.column_stack(found) if found else np.zeros((discrepancy.size, 0))


def left_out(
    observed: Observed,
    outputs: Outputs,
    noise: Noise,
    discrepancy: Values,
    *,
    point: int | None = None,
    grade: int | None = None,
) -> Values:
    """Log-likelihood of one colour, given all others of its area, or of one grade, shape (size,)."""
    if grade is not None:
        return _grade(observed.grade[grade], outputs.grade[:, grade], noise, discrepancy)
    at = np.flatnonzero(observed.group == observed.group[point])
    rest = at[at != point]
    whole = _colours(observed, outputs, noise, discrepancy, at, 0.0)
    return whole - _colours(observed, outputs, noise, discrepancy, rest, 0.0) if rest.size else whole


def _colours(
    observed: Observed, outputs: Outputs, noise: Noise, discrepancy: Values, at: NDArray[np.intp], extra: Values | float
) -> Values:
    """Normal density with covariance ``diag(d) + offset² 1 1' + shared² v v'``, by two rank-one updates."""
    change = outputs.change[:, at]
    residual = observed.place[at] - change - outputs.clean[:, observed.group[at[0]]][:, None]
    own = (discrepancy[:, None] * change) ** 2
    variance = noise.reading**2 / observed.repeats[at] + (1 - noise.shared) * own
    variance = variance + (np.broadcast_to(extra, outputs.change.shape)[:, at] if np.ndim(extra) else extra)
    factors = (
        np.full_like(change, noise.offset),
        np.sqrt(noise.shared) * discrepancy[:, None] * change,
    )
    inverse = 1 / variance
    solved, log_determinant = residual * inverse, np.log(variance).sum(axis=1)
    basis: list[tuple[Values, Values]] = []
    for factor in factors:
        # Sherman and Morrison, one factor after the other.
        image = factor * inverse
        for earlier, scale in basis:
            image = image - earlier * (scale * (earlier * factor).sum(axis=1))[:, None]
        one_plus = 1 + (factor * image).sum(axis=1)
        solved = solved - image * ((factor * solved).sum(axis=1) / one_plus)[:, None]
        basis.append((image, 1 / one_plus))
        log_determinant = log_determinant + np.log(one_plus)
    square = (residual * solved).sum(axis=1)
    return np.asarray(-0.5 * (square + log_determinant + at.size * np.log(2 * np.pi)))


def _grade(seen: float, predicted: Values, noise: Noise, discrepancy: Values) -> Values:
    """Chance that the eye gives this grade: an interval of half a grade, open beyond 5 and below 1; or a blunder."""
    from scipy.special import ndtr

    # A relative error of the difference moves a grade by 1.45 times that, and less where the grade is near 5.
    spread = np.hypot(noise.grade, discrepancy * np.clip(5 - predicted, 0.0, 1.45))
    above = ndtr((seen + 0.25 - predicted) / spread) if seen < 5 else 1.0
    below = ndtr((seen - 0.25 - predicted) / spread) if seen > 1 else 0.0
    chance = (1 - noise.blunder) * np.maximum(above - below, 0.0) + noise.blunder / GRADES
    return np.asarray(np.log(np.maximum(chance, 1e-300)))
