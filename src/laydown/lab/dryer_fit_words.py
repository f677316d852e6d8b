"""How well each fitted number is known, and what probe logs cannot tell apart, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.lab.dryer_fit_data import FitData
from laydown.lab.dryer_parameters import LANE_SD, Parameter
from laydown.models.sampling import Z95

Values = NDArray[np.float64]

WELL, PARTLY = 0.5, 0.9
"""Share of the prior's spread that is left: below the first the logs tell a number, above the second they do not."""

TOGETHER = 0.7
"""Correlation from which two numbers are told together only."""

MOST_PAIRS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedNumber:
    """A fitted number with its 90 % interval, before and after.

    Attributes
    ----------
    key : tuple
        As in `laydown.lab.dryer_parameters.Parameter`.
    told : str
        ``well``, ``partly`` or ``hardly``: what the logs say beyond what was assumed.
    """

    key: tuple[str | int, ...]
    words: str
    unit: str
    before: float
    before_low: float
    before_high: float
    value: float
    low: float
    high: float
    told: str
    of_dryer: bool


def numbers_of(parameters: Sequence[Parameter], z: Values, covariance: Values) -> tuple[FittedNumber, ...]:
    """Every fitted number."""
    found = []
    for i, parameter in enumerate(parameters):
        sd = math.sqrt(covariance[i, i])
        found.append(
            FittedNumber(
                key=parameter.key,
                words=parameter.words,
                unit=parameter.unit,
                before=parameter.value(0.0),
                before_low=parameter.value(-Z95),
                before_high=parameter.value(Z95),
                value=parameter.value(float(z[i])),
                low=parameter.value(float(z[i]) - Z95 * sd),
                high=parameter.value(float(z[i]) + Z95 * sd),
                told="well" if sd < WELL else "partly" if sd < PARTLY else "hardly",
                of_dryer=parameter.of_dryer,
            )
        )
    return tuple(found)


def cannot_tell(data: FitData, covariance: Values) -> tuple[str, ...]:
    """Sentences on what the logs cannot tell apart, and on what would."""
    sd = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(sd, sd)
    dryer = [i for i, parameter in enumerate(data.parameters) if parameter.of_dryer]
    pairs = sorted(
        ((abs(correlation[i, j]), i, j) for i in dryer for j in dryer if i < j and abs(correlation[i, j]) > TOGETHER),
        reverse=True,
    )
    told = []
    for _, i, j in pairs[:MOST_PAIRS]:
        one, other = data.parameters[i].words, data.parameters[j].words
        how = "a higher one with a lower other" if correlation[i, j] < 0 else "both higher or both lower"
        told.append(f"the {one} and the {other} are told together only: {how} give nearly the same curve")
    hardly = [data.parameters[i].words for i in dryer if sd[i] >= PARTLY]
    if hardly:
        told.append(f"the logs say hardly anything of {_listed(hardly)}: the shelf's numbers stay")
    settings = {round(log.conditions.setting) for log in data.logs}
    if len(settings) == 1 and (pairs or hardly):
        told.append(
            "all logs are at one panel setting; one more, 40 °C higher or lower, tells radiation and moving air apart "
            "better"
        )
    if len(data.lanes) == 1:
        told.append(
            f"only one lane was measured; that lanes differ by some {100 * LANE_SD:.0f} % in heat is assumed, and two "
            "more wires would say it"
        )
    return tuple(told)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
