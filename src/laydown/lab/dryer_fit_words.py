"""How well each fitted number is known, and what probe logs cannot tell apart, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from laydown.lab.dryer_parameters import LANE_SD, Parameter
from laydown.models.sampling import Z95

if TYPE_CHECKING:
    from laydown.lab.dryer_fit_data import FitData

Values = NDArray[np.float64]

WELL, PARTLY = 0.5, 0.9
"""Share of the prior's spread that is left: below the first the logs tell a number, above the second they do not."""

TOGETHER = 0.7
"""Correlation from which two numbers are told together only."""

MOST_PAIRS = 4

LOG_APART = 3.0
"""Kelvin that one of several logs may lie off the common fit on average: twice what a wire's own error is. Assumed."""


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


def conflicts(numbers: Sequence[FittedNumber], logs: Sequence[tuple[str, float]]) -> tuple[str, ...]:
    """Sentences on what does not agree.

    Parameters
    ----------
    numbers : sequence of FittedNumber
    logs : sequence of (str, float)
        Each log, and its mean of read less foretold [K].
    """
    told = [
        f"the shelf's {one.words} and the logs do not agree: nine of ten were expected within "
        f"{_shown(one.before_low, one)} to {_shown(one.before_high, one)}, and the logs say {_shown(one.value, one)}; "
        "look whether the machine changed, or a wire came loose"
        for one in numbers
        if one.of_dryer and not one.before_low <= one.value <= one.before_high
    ]
    if len(logs) > 1:
        told += [
            f"{name} reads {abs(mean):.0f} K {'above' if mean > 0 else 'below'} what fits all logs together; was it "
            "taken at the same setting, before the same change?"
            for name, mean in logs
            if abs(mean) > LOG_APART
        ]
    return tuple(told)


def _shown(value: float, one: FittedNumber) -> str:
    return f"{value:.0f} {one.unit}" if one.unit else f"{value:.2f} times"


def told_together(parameters: Sequence[Parameter], covariance: Values) -> tuple[str, ...]:
    """Sentences on pairs of coefficients that are told together only, and on those that are not told."""
    sd = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(sd, sd)
    dryer = [i for i, parameter in enumerate(parameters) if parameter.of_dryer]
    pairs = sorted(
        ((abs(correlation[i, j]), i, j) for i in dryer for j in dryer if i < j and abs(correlation[i, j]) > TOGETHER),
        reverse=True,
    )
    told = []
    for _, i, j in pairs[:MOST_PAIRS]:
        one, other = parameters[i].words, parameters[j].words
        how = "a higher one with a lower other" if correlation[i, j] < 0 else "both higher or both lower"
        told.append(f"the {one} and the {other} are told together only: {how} give nearly the same curve")
    hardly = [parameters[i].words for i in dryer if sd[i] >= PARTLY]
    if hardly:
        told.append(f"the logs say hardly anything of {_listed(hardly)}: the shelf's numbers stay")
    return tuple(told)


def cannot_tell(data: FitData, covariance: Values) -> tuple[str, ...]:
    """Sentences on what the logs cannot tell apart, and on what would."""
    told = list(told_together(data.parameters, covariance))
    settings = {round(log.conditions.setting) for log in data.logs}
    if len(settings) == 1 and told:
        told.append(
            "all logs are at one panel setting; one more, 40 °C higher or lower, tells radiation and moving air apart "
            "better"
        )
    if len(data.lanes) == 1:
        told.append(one_lane_only("lane"))
    return tuple(told)


def one_lane_only(word: str) -> str:
    """Sentence on what nobody knows where all wires lay in one lane, or place."""
    return (
        f"only one {word} was measured; that others differ by some {100 * LANE_SD:.0f} % in heat is assumed, and two "
        "more wires would say it"
    )


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
