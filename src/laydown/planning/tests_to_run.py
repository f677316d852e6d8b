"""Which tests to run for an order, when to read them, and what each would be worth."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.finding import Level
from laydown.domain.garment import History
from laydown.domain.plan import TestToRun
from laydown.models.adhesion import surface_of
from laydown.planning.choice import Choice
from laydown.planning.information import TEST_KINDS, value_of_test
from laydown.planning.job import Assessment
from laydown.units import DAY, HOUR, MINUTE

Values = NDArray[np.float64]

MOST_COMPARED = 12
"""So many of the best candidates are weighed against each other when a test is valued; the rest would not be taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Protocol:
    """A test in short: how it is done, when it is read, and where it comes from."""

    name: str
    how: str
    read_after: float
    source: str
    due: Callable[[Choice], str]
    """Why the test is due for a choice; empty when it is not."""


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
    Protocol(
        name="oven bleed test",
        how="print the stack as planned on this lot, cure it, cut it in two; one half 15 h at 52 °C, the other kept "
        "cool; compare, then read both again after two days and after two weeks",
        read_after=15 * HOUR + 2 * DAY,
        source="ink maker's page (published)",
        due=_oven,
    ),
    Protocol(
        name="ghosting test",
        how="press a cured swatch face to face with plain cloth of the lot, damp, folded, at 52 °C for 5 min; look for "
        "a shadow",
        read_after=1 * DAY,
        source="trade press (published)",
        due=_ghost,
    ),
    Protocol(
        name="weighing before and after printing",
        how="weigh five garments before and right after printing, before cure; divide by the inked area",
        read_after=10 * MINUTE,
        source="trade article (published)",
        due=_weighing,
    ),
    Protocol(
        name="stretch test",
        how="let a cured swatch rest a day, then pull it five times as far as the cloth goes in wear; look for cracks",
        read_after=1 * DAY,
        source="after EN 14704-1 (published); pass limit common practice",
        due=_stretch,
    ),
    Protocol(
        name="tape test",
        how="let a cured swatch rest a day, cut a cross, press tape on, pull it off; nothing may come away",
        read_after=1 * DAY,
        source="common practice",
        due=_tape,
    ),
    Protocol(
        name="wash test",
        how="one hot wash and tumble-dry of a cured print, then five more; look for cracks and fading",
        read_after=3 * DAY,
        source="trade press: the wash test is the surest cure test (published)",
        due=_wash,
    ),
    Protocol(
        name="dryer probe",
        how="run a thermocouple under the print of the first pieces through the dryer; compare its peak with the plan",
        read_after=5 * MINUTE,
        source="common practice",
        due=_probe,
    ),
)


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
    for protocol in PROTOCOLS:
        why = protocol.due(choice)
        if not why:
            continue
        kind = kinds.get(protocol.name)
        worth = value_of_test(choice.job.samples, kind, costs) if kind is not None and len(compared) > 1 else 0.0
        found.append(
            TestToRun(
                name=protocol.name,
                why=why,
                how=protocol.how,
                read_after=protocol.read_after,
                read_on=placed + dt.timedelta(days=round(protocol.read_after / DAY)) if placed else None,
                worth=worth,
                cost=choice.job.shop.costs.swatch_cost,
                source=protocol.source,
            )
        )
    return tuple(sorted(found, key=lambda t: -t.worth))


def decisive(choice: Choice) -> str:
    """Say which input or missing test matters most, in one sentence."""
    best = choice.best or (choice.computed[0] if choice.computed else None)
    if best is None or best.forecast is None:
        return "no candidate got far enough for a forecast"
    found = best.forecast.drivers
    if not found:
        return "nothing uncertain moves the result"
    first = found[0]
    what = "the bleed forecast" if best.forecast.bleed.applies else "the cover"
    return (
        f"{first.name} matters most: it explains {100 * first.share:.0f} % of the spread of {what}; "
        f"the {first.test} narrows it"
    )
