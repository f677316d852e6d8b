"""Which tests to run for an order, when to read them, and what each would be worth."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.documents.protocol_file import protocol_named
from laydown.domain.finding import Level
from laydown.domain.garment import History
from laydown.domain.plan import TestToRun
from laydown.domain.protocol import Protocol, Step
from laydown.models.adhesion import surface_of
from laydown.planning.choice import Choice
from laydown.planning.information import TEST_KINDS, value_of_test, words_for
from laydown.planning.job import Assessment
from laydown.units import DAY, HOUR, MINUTE, to_celsius

Values = NDArray[np.float64]

MOST_COMPARED = 12
"""So many of the best candidates are weighed against each other when a test is valued; the rest would not be taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueTest:
    """A test that a plan may ask for.

    Attributes
    ----------
    name : str
        What a plan calls it.
    protocol : str
        Name of its protocol (`laydown.documents.protocol_file`), which says how it is done and when it is read.
    due : callable
        Why the test is due for a choice; empty when it is not.
    """

    name: str
    protocol: str
    due: Callable[[Choice], str]

    def described(self, own: Iterable[Protocol] = ()) -> Protocol:
        """Describe it by its protocol, the shop's own where it has one of that name."""
        return protocol_named(self.protocol, own)

    @property
    def how(self) -> str:
        """How it is done, in one sentence."""
        return how_words(self.described())

    @property
    def read_after(self) -> float:
        """When its result is there, since the dryer [s]."""
        return told_after(self.described())

    @property
    def source(self) -> str:
        """Where it comes from."""
        return self.described().source


def how_words(protocol: Protocol) -> str:
    """How a test is done: its steps in one sentence."""
    return "; ".join(_lower(step.text.strip().rstrip(".")) + _held(step) for step in protocol.steps)


def told_after(protocol: Protocol) -> float:
    """When the result of a test is there: with the first reading that its limit is for, or its first reading [s]."""
    limited = [one.after for one in protocol.readings if protocol.limit and one.reads is protocol.limit.reads]
    later = [one.after for one in protocol.readings if one.after > 0]
    return min(limited or later or [protocol.wait])


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _held(step: Step) -> str:
    # Where nothing is heated the sentence says itself how long.
    if step.temperature is None or not step.duration:
        return ""
    long = step.duration
    unit, word = next((u, w) for u, w in ((HOUR, "h"), (MINUTE, "min"), (1.0, "s")) if long >= u or w == "s")
    return f" ({long / unit:.3g} {word} at {to_celsius(step.temperature):.0f} °C)"


def _new_cloth(choice: Choice) -> bool:
    return choice.job.order.garment.history is not History.TESTED


def _oven(choice: Choice) -> str:
    if not choice.job.cloth.dye_moves:
        return ""
    finding = choice.job.cloth.finding
    if finding is not None:
        return (
            "" if finding.level is Level.LOT else f"this cloth lot has no bleed test of its own, only {finding.about}"
        )
    if choice.job.order.garment.history is History.NEVER_PRINTED:
        return "this cloth was never printed here, and its dye can migrate"
    return "this cloth lot has no bleed test of its own" if _new_cloth(choice) else ""


def _weighing(choice: Choice) -> str:
    return "" if choice.job.shop.practice.transfer else "the laydown rests on published rules from a third to all"


def _ghost(choice: Choice) -> str:
    best = choice.best
    return best.forecast.ghosting.reason if best and best.forecast and best.forecast.ghosting.warned else ""


def _stretch(choice: Choice) -> str:
    return "the cloth stretches far in wear" if choice.job.cloth.working_stretch.value >= 0.6 else ""


def _tape(choice: Choice) -> str:
    surface = surface_of(choice.job.cloth)
    return f"the print has to hold on {surface.value}" if surface.value in {"nylon", "coated"} else ""


def _wash(choice: Choice) -> str:
    return (
        "nobody has washed a print on this cloth" if choice.job.order.garment.history is History.NEVER_PRINTED else ""
    )


def _probe(choice: Choice) -> str:
    best = choice.best
    return "proves on the day that the dryer does what the plan expects" if best is not None else ""


PROTOCOLS = (
    DueTest(name="oven bleed test", protocol="oven-bleed", due=_oven),
    DueTest(name="ghosting test", protocol="ghosting", due=_ghost),
    DueTest(name="weighing before and after printing", protocol="weighing", due=_weighing),
    DueTest(name="stretch test", protocol="stretch", due=_stretch),
    DueTest(name="tape test", protocol="tape", due=_tape),
    DueTest(name="wash test", protocol="wash-own", due=_wash),
    DueTest(name="dryer probe", protocol="dryer-probe", due=_probe),
)
"""Tests that a plan may ask for."""


def costs_by_sample(compared: tuple[Assessment, ...], reprint_factor: float) -> Values:
    """Cost of each candidate in each sample, shape (stack, size): a reprint is paid where the sample fails."""
    rows = []
    for a in compared:
        if a.setup is None:
            continue
        base = a.setup.base_cost.order
        failed = np.max(list(a.failures.values()), axis=0)
        rows.append(base * (1 + reprint_factor * failed) + a.stake * failed)
    return np.array(rows)


def tests_to_run(choice: Choice, *, placed: dt.date | None) -> tuple[TestToRun, ...]:
    """Tests that are due for an order, the most valuable first.

    Parameters
    ----------
    choice : Choice
    placed : date or None
        When the order came in; reading dates count from it.
    """
    compared = sorted(
        (a for a in choice.computed if a.setup is not None),
        key=lambda a: float(costs_by_sample((a,), choice.job.shop.costs.reprint_factor).mean()),
    )[:MOST_COMPARED]
    costs = costs_by_sample(tuple(compared), choice.job.shop.costs.reprint_factor)
    kinds = {kind.name: kind for kind in TEST_KINDS}
    found: list[TestToRun] = []
    for asked in PROTOCOLS:
        why = asked.due(choice)
        if not why:
            continue
        kind, protocol = kinds.get(asked.name), asked.described(choice.job.shop.protocols)
        after = told_after(protocol)
        worth = value_of_test(choice.job.samples, kind, costs) if kind is not None and len(compared) > 1 else 0.0
        found.append(
            TestToRun(
                name=asked.name,
                why=why,
                how=how_words(protocol),
                read_after=after,
                read_on=placed + dt.timedelta(days=round(after / DAY)) if placed else None,
                worth=worth,
                cost=choice.job.shop.costs.swatch_cost,
                source=protocol.source,
            )
        )
    return tuple(sorted(found, key=lambda t: -t.worth))


def decisive(choices: tuple[Choice, ...]) -> str:
    """Say which input or missing test matters most for the print that is least sure, in one sentence."""
    tried = [best for one in choices if (best := one.best or next(iter(one.computed), None)) is not None]
    forecasts = [(best, best.forecast) for best in tried if best.forecast is not None]
    if not forecasts:
        return "no candidate got far enough for a forecast"
    best, forecast = max(forecasts, key=lambda pair: (not pair[0].passes, pair[1].fail_risk))
    if not forecast.drivers:
        return "nothing uncertain moves the result"
    first = forecast.drivers[0]
    what = "the bleed forecast" if forecast.bleed.applies else "the cover"
    where = f" of the {_place(choices, best)} print" if len(choices) > 1 else ""
    return (
        f"{words_for(first.name)} matters most: it explains {100 * first.share:.0f} % of the spread of {what}{where}; "
        f"the {first.test} narrows it"
    )


def _place(choices: tuple[Choice, ...], assessment: Assessment) -> str:
    return next(c.job.print_.place for c in choices if assessment is c.best or assessment in c.computed[:1])
