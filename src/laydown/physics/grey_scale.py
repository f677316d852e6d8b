"""Grey-scale grades: ISO 105-A02 (change in colour), A03 (staining) and their instrumental formulas A05, A04.

The step tables were read in EN 20105-A02:1994 (ISO 105-A02:1993) and GB/T 251-2008 (identical to ISO 105-A03);
grade: published. The two formulas are **from memory**: they reproduce the step tables on the neutral axis and are
to be checked against the bought standards before a verdict hangs on them. In particular the sign of the hue
difference in A05 is taken as in ISO 105-J03 (positive counter-clockwise), which the checks at hand do not prove.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import InvalidInput


class GreyScaleStep(NamedTuple):
    """One pair of grey chips: its grade, and its CIELAB colour difference with the tolerance on it."""

    grade: float
    difference: float
    tolerance: float


CHANGE_STEPS = (
    GreyScaleStep(5.0, 0.0, 0.2),
    GreyScaleStep(4.5, 0.8, 0.2),
    GreyScaleStep(4.0, 1.7, 0.3),
    GreyScaleStep(3.5, 2.5, 0.35),
    GreyScaleStep(3.0, 3.4, 0.4),
    GreyScaleStep(2.5, 4.8, 0.5),
    GreyScaleStep(2.0, 6.8, 0.6),
    GreyScaleStep(1.5, 9.6, 0.7),
    GreyScaleStep(1.0, 13.6, 1.0),
)
STAINING_STEPS = (
    GreyScaleStep(5.0, 0.0, 0.2),
    GreyScaleStep(4.5, 2.2, 0.3),
    GreyScaleStep(4.0, 4.3, 0.3),
    GreyScaleStep(3.5, 6.0, 0.4),
    GreyScaleStep(3.0, 8.5, 0.5),
    GreyScaleStep(2.5, 12.0, 0.7),
    GreyScaleStep(2.0, 16.9, 1.0),
    GreyScaleStep(1.5, 24.0, 1.5),
    GreyScaleStep(1.0, 34.1, 2.0),
)


def staining_grade(reference_lab: ArrayLike, sample_lab: ArrayLike) -> NDArray[np.float64]:
    """Staining grade of a cloth or film that took up colour (ISO 105-A04).

    Parameters
    ----------
    reference_lab, sample_lab : array_like, shape (..., 3)
        CIELAB before and after (unstained and stained).

    Returns
    -------
    float or ndarray, shape (...)
        Unrounded grade, 5 (no stain) downwards; below 1 for stains beyond the scale. `rounded_grade` gives
        the half grade to report.

    Raises
    ------
    InvalidInput
        Colours of another shape or not finite.

    Notes
    -----
    6.1 - 1.45 ln ΔEGS, or where that exceeds 4, 5 - 0.23 ΔEGS; ΔEGS by `staining_difference`. Grade of the
    formula: from memory.
    """
    return staining_grade_of_difference(staining_difference(reference_lab, sample_lab))


def staining_difference(reference_lab: ArrayLike, sample_lab: ArrayLike) -> NDArray[np.float64]:
    """Colour difference ΔEGS = ΔE* - 0.4 √(ΔE*² - ΔL*²) that ISO 105-A04 grades a stain by.

    Parameters
    ----------
    reference_lab, sample_lab : array_like, shape (..., 3)

    Returns
    -------
    float or ndarray, shape (...)
        Equal to ΔE* when only the lightness changed. Grade of the formula: from memory.
    """
    change = _lab("sample_lab", sample_lab) - _lab("reference_lab", reference_lab)
    total = np.sqrt((change**2).sum(axis=-1))
    difference: NDArray[np.float64] = total - 0.4 * np.hypot(change[..., 1], change[..., 2])
    return difference


def staining_grade_of_difference(difference: ArrayLike) -> NDArray[np.float64]:
    """Unrounded staining grade of a difference ΔEGS >= 0, which is ΔE* when only the lightness changed."""
    d = _difference(difference)
    low = 6.1 - 1.45 * np.log(np.maximum(d, 1e-300))
    return np.where(low > 4, 5 - 0.23 * d, low)[()]


def staining_difference_at_grade(grade: ArrayLike) -> NDArray[np.float64]:
    """Largest difference ΔEGS that still earns a staining grade: what a stain may be.

    Parameters
    ----------
    grade : array_like
        1 to 5, unrounded; for "at least grade 4 when rounded" pass 3.75.

    Returns
    -------
    float or ndarray
        The inverse of `staining_grade_of_difference`. At grade 4 the formula's two branches miss each other by
        0.02; between them the difference where they meet, 4.256, is returned.

    Raises
    ------
    InvalidInput
        A grade outside 1 to 5.
    """
    g = _grade(grade)
    meeting = np.exp((6.1 - 4) / 1.45)
    return np.where(g <= 4, np.exp((6.1 - g) / 1.45), np.minimum((5 - g) / 0.23, meeting))[()]


def change_grade(reference_lab: ArrayLike, sample_lab: ArrayLike) -> NDArray[np.float64]:
    """Grade of a change in colour (ISO 105-A05).

    Parameters
    ----------
    reference_lab, sample_lab : array_like, shape (..., 3)
        CIELAB before and after.

    Returns
    -------
    float or ndarray, shape (...)
        Unrounded grade, 5 (no change) downwards, below 1 beyond the scale.

    Raises
    ------
    InvalidInput
        Colours of another shape or not finite.

    Notes
    -----
    Grade of the formula: from memory; see `change_difference`.
    """
    return change_grade_of_difference(change_difference(reference_lab, sample_lab))


def change_difference(reference_lab: ArrayLike, sample_lab: ArrayLike) -> NDArray[np.float64]:
    """Colour difference ΔEF that ISO 105-A05 grades a change by.

    Parameters
    ----------
    reference_lab, sample_lab : array_like, shape (..., 3)

    Returns
    -------
    float or ndarray, shape (...)
        √(ΔL² + ΔCF² + ΔHF²); equal to ΔE* for greys.

    Notes
    -----
    CM and hM are the mean chroma and mean hue angle (the mean within the smaller arc; a grey has the hue of the
    other colour). D = ΔC CM e^-x/100, x = ((hM - 280)/30)² with the angle taken the short way round;
    ΔHF = (ΔH - D)/[1 + (10 CM/1000)²], ΔCF = (ΔC - D)/[1 + (20 CM/1000)²]. From memory, ΔH signed as in J03.
    """
    before, after = np.broadcast_arrays(_lab("reference_lab", reference_lab), _lab("sample_lab", sample_lab))
    (l1, a1, b1), (l2, a2, b2) = np.moveaxis(before, -1, 0), np.moveaxis(after, -1, 0)
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    h1, h2 = np.where(c1 > 0, h1, h2), np.where(c2 > 0, h2, h1)
    turn = np.where(np.abs(h2 - h1) <= 180, h2 - h1, (h2 - h1 + 180) % 360 - 180)
    mean_chroma, mean_hue = (c1 + c2) / 2, (h1 + turn / 2) % 360
    chroma_change = c2 - c1
    hue_change = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    away = np.abs(mean_hue - 280)
    x = (np.minimum(away, 360 - away) / 30) ** 2
    shared = chroma_change * mean_chroma * np.exp(-x) / 100
    hue = (hue_change - shared) / (1 + (10 * mean_chroma / 1000) ** 2)
    chroma = (chroma_change - shared) / (1 + (20 * mean_chroma / 1000) ** 2)
    difference: NDArray[np.float64] = np.sqrt((l2 - l1) ** 2 + chroma**2 + hue**2)[()]
    return difference


def change_grade_of_difference(difference: ArrayLike) -> NDArray[np.float64]:
    """Unrounded change grade of a difference ΔEF >= 0: 5 - ΔEF/1.7 up to 3.4, then 5 - log2(ΔEF/0.85)."""
    d = _difference(difference)
    return np.where(d <= 3.4, 5 - d / 1.7, 5 - np.log2(np.maximum(d, 3.4) / 0.85))[()]


def change_difference_at_grade(grade: ArrayLike) -> NDArray[np.float64]:
    """Largest difference ΔEF that still earns a change grade (1 to 5, unrounded): the exact inverse.

    Raises
    ------
    InvalidInput
        A grade outside 1 to 5.
    """
    g = _grade(grade)
    return np.where(g >= 3, 1.7 * (5 - g), 0.85 * 2 ** (5 - g))[()]


def rounded_grade(grade: ArrayLike) -> NDArray[np.float64]:
    """Nearest half grade of the nine-step scale, 1 to 5; a tie goes to the better grade."""
    return np.clip(np.floor(2 * np.asarray(grade, dtype=np.float64) + 0.5) / 2, 1.0, 5.0)[()]


def _lab(name: str, value: ArrayLike) -> NDArray[np.float64]:
    array = np.asarray(value, dtype=np.float64)
    if array.shape[-1:] != (3,) or not np.isfinite(array).all():
        raise InvalidInput("needs finite L*, a*, b* on the last axis", where=name)
    return array


def _difference(value: ArrayLike) -> NDArray[np.float64]:
    array = np.asarray(value, dtype=np.float64)
    if not np.all(array >= 0):
        raise InvalidInput("a colour difference is not negative", where="difference")
    return array


def _grade(value: ArrayLike) -> NDArray[np.float64]:
    array = np.asarray(value, dtype=np.float64)
    if not np.all((array >= 1) & (array <= 5)):
        raise InvalidInput("grades run from 1 to 5", where="grade")
    return array
