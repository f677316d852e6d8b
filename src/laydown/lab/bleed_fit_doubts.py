"""What contradicts what among the readings of a fit, in sentences a printer can act on."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from laydown.lab.bleed_fit import BleedFit
from laydown.lab.evidence import SwatchEvidence
from laydown.lab.likelihood import Observed, Outputs, left_out
from laydown.lab.offsets import stain_as_read
from laydown.lab.posterior import normalised
from laydown.lab.reading_words import colour_words, grade_words
from laydown.models.bleed_prior import BLEED_DIMENSIONS

Values = NDArray[np.float64]

APART = 3.0
"""Two readings that lie so many standard deviations of their errors apart contradict each other."""

TIMES = 1.5
"""... if one also says so many times the dye of the other."""

OUT = 2.2
"""An input that the readings push so many standard deviations off what was thought possible is told."""

STRAINED = 1.6
"""A model error so many times what was expected is told."""

TURNED = 25.0
"""A stain whose hue is so far [degrees] off the cloth's dye is told."""


def doubts(fit: BleedFit) -> tuple[str, ...]:
    """Contradictions of readings, inputs at the edge of the possible, a model that does not fit; the worst first."""
    found: list[tuple[float, str]] = []
    for index, swatch in enumerate(fit.evidence.swatches):
        observed = fit.observed[index]
        outputs = observed.outputs(fit.predictions[index])
        found += _pairs(fit, swatch, observed, outputs)
        found += _grades(fit, swatch, observed, outputs)
        found += [(1.0, _turned(swatch, angle)) for angle in observed.turned if angle > TURNED]
    if fit.evidence.swatches:
        found += _edges(fit)
        usual, fitted = fit.noise.discrepancy.value, float(np.median(fit.discrepancy))
        if fitted > STRAINED * usual:
            found.append((fitted / usual, _strained(usual, fitted)))
    return tuple(text for _, text in sorted(found, key=lambda pair: -pair[0]))


def _turned(swatch: SwatchEvidence, angle: float) -> str:
    return (
        f"swatch {swatch.swatch.number}: the stain is {angle:.0f}° off the hue that this cloth's dye should give: "
        "look for another cause, such as yellowing, scorching or another dye"
    )


def _strained(usual: float, fitted: float) -> str:
    return (
        f"the model meets the readings only to within {100 * fitted:.0f} % of the stain, where {100 * usual:.0f} % is "
        "usual; the bands are wider for it"
    )


def _edges(fit: BleedFit) -> list[tuple[float, str]]:
    """Inputs that the readings push to the edge of what was thought possible."""
    found = []
    for name in BLEED_DIMENSIONS:
        mean = float(fit.samples.normal(name).mean())
        if abs(mean) > OUT:
            side = "above" if mean > 0 else "below"
            text = (
                f"the readings ask for a {name} that was thought hardly possible ({side} what 98 of 100 cloths have): "
                "check the dryer settings and the times that were noted"
            )
            found.append((abs(mean), text))
    return found


def _pairs(fit: BleedFit, swatch: SwatchEvidence, observed: Observed, outputs: Outputs) -> list[tuple[float, str]]:
    """The two readings of each area that contradict each other most."""
    usual = np.full(fit.discrepancy.size, fit.noise.discrepancy.value)
    stain = np.median(stain_as_read(observed, outputs, fit.noise, usual), axis=0)
    expected = np.maximum(np.median(outputs.change, axis=0), 1e-3)
    error = np.sqrt(
        fit.noise.reading**2 / observed.repeats + (1 - fit.noise.shared) * (fit.noise.discrepancy.value * expected) ** 2
    )
    off = (stain - expected) / error
    worst = (0.0, "")
    for pair in itertools.combinations(range(stain.size), 2):
        more, less = sorted(pair, key=lambda i: -off[i])
        apart = float(off[more] - off[less]) / np.sqrt(2)
        # A stain below the noise says "less than that": then the factor is a lower bound.
        factor = max(stain[more], error[more]) / expected[more] * expected[less] / max(stain[less], error[less])
        alike = observed.group[more] == observed.group[less]
        if alike and apart > max(APART, worst[0]) and factor > TIMES:
            worst = apart, _contradiction(swatch, observed, more, less, float(factor))
    return [worst] if worst[1] else []


def _contradiction(swatch: SwatchEvidence, observed: Observed, more: int, less: int, factor: float) -> str:
    words = []
    for point in (more, less):
        seen = [swatch.colours[i] for i in observed.members[point]]
        words.append(f"{colour_words(swatch, seen[0])} (reading {', '.join(str(one.number) for one in seen)})")
    return (
        f"swatch {swatch.swatch.number}: the {words[0]} says {factor:.1f} times as much dye as the {words[1]}; one of "
        "them is off, the swatch was not kept as the test says, or the cloth is not the same"
    )


def _grades(fit: BleedFit, swatch: SwatchEvidence, observed: Observed, outputs: Outputs) -> list[tuple[float, str]]:
    """Grades by eye that the rest of the readings does not agree with."""
    found = []
    for i, seen in enumerate(swatch.grades):
        # By what the other readings say alone.
        weight = normalised(-left_out(observed, outputs, fit.noise, fit.discrepancy, grade=i))
        expected = float(np.clip(weight @ outputs.grade[:, i], 1.0, 5.0))
        spread = float(np.hypot(fit.noise.grade, fit.noise.discrepancy.value * min(5 - expected, 1.45)))
        off = (seen.grade - expected) / spread
        if abs(off) > APART:
            text = (
                f"swatch {swatch.swatch.number}: the {grade_words(swatch, seen)} (reading {seen.number}) is "
                f"{seen.grade:g}, where the other readings ask for {expected:.1f}; look at it again under the lamp"
            )
            found.append((abs(off), text))
    return found
