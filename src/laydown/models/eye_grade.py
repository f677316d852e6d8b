"""What a grade read by eye says about the colour difference: an interval, for a fit to use as a censored reading."""

from __future__ import annotations

import math
from collections.abc import Callable

from laydown.domain.measurement import GreyScaleGrade

HALF_STEP = 0.25
"""A grade by eye is the nearest of the half steps, so the difference lies up to a quarter of a grade to either side."""


def staining_interval(grade: GreyScaleGrade) -> tuple[float, float]:
    """Colour differences that a staining grade by eye (ISO 105-A03) stands for.

    Parameters
    ----------
    grade : GreyScaleGrade

    Returns
    -------
    (float, float)
        Lowest and highest ΔEGS (`laydown.physics.grey_scale.staining_difference`, which is ΔE*ab where only the
        lightness changed). Grade 5 begins at 0, grade 1 has no upper end (infinity).

    Notes
    -----
    The interval holds what rounds to the grade by the formula of ISO 105-A04 (from memory, checked against the
    steps of A03): no scatter of the eye is in it. Trained graders differ by half a grade now and then; a fit adds
    that as its own scatter.
    """
    from laydown.physics.grey_scale import staining_difference_at_grade

    return _interval(grade, lambda g: float(staining_difference_at_grade(g)))


def change_interval(grade: GreyScaleGrade) -> tuple[float, float]:
    """Colour differences ΔEF that a grade of change by eye (ISO 105-A02, formula A05) stands for.

    As `staining_interval`, with `laydown.physics.grey_scale.change_difference`.
    """
    from laydown.physics.grey_scale import change_difference_at_grade

    return _interval(grade, lambda g: float(change_difference_at_grade(g)))


def _interval(grade: GreyScaleGrade, difference_at: Callable[[float], float]) -> tuple[float, float]:
    low = 0.0 if grade.value >= 5 else difference_at(grade.value + HALF_STEP)
    high = math.inf if grade.value <= 1 else difference_at(grade.value - HALF_STEP)
    return low, high
