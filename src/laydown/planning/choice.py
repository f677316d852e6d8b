"""Choose a stack for one print: try all candidates, take the cheapest that meets everything, and say why."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from laydown.domain.plan import Alternative, Rejected, Shortfall
from laydown.domain.stack import Stack
from laydown.planning import reasons
from laydown.planning.assess import Begun, assess, begin, setting_of
from laydown.planning.candidates import candidate_stacks
from laydown.planning.job import Assessment, Job
from laydown.planning.rules.apply import relevant
from laydown.units import to_gsm

KEPT = 3
"""So many of the cheapest stacks that pass are found for certain: the choice and what comes next."""

MANY = 24
"""Up to so many stacks bleed is forecast for all of them; of more the dear ones may be set aside."""

BEFORE_BLEED = 0.4
"""Share of the progress that is told before the first bleed is forecast; a guess that only a bar shows."""

CLOSEST = 3
"""When nothing passes, so many of the closest candidates are computed to the end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """All candidates of one print, tried.

    Attributes
    ----------
    best : Assessment or None
    passing : tuple of Assessment
        Everything that meets all requirements, cheapest first.
    failing : tuple of Assessment
        What misses a requirement, the closest first.
    set_aside : tuple of Assessment
        What is too dear whatever its bleed would be, which was therefore not forecast; the cheapest first.
    agreed : str
        White of the order's other prints, when this print takes it for their sake (see `laydown.planning.agreement`).
    """

    job: Job
    best: Assessment | None
    passing: tuple[Assessment, ...]
    failing: tuple[Assessment, ...]
    set_aside: tuple[Assessment, ...] = ()
    agreed: str = ""

    @property
    def considered(self) -> int:
        """How many stacks were tried."""
        return len(self.passing) + len(self.failing) + len(self.set_aside)

    @property
    def computed(self) -> tuple[Assessment, ...]:
        """Candidates whose forecast was computed to the end."""
        return tuple(a for a in (*self.passing, *self.failing) if a.forecast is not None)


def choose(job: Job, *, progress: Callable[[float], None] | None = None) -> Choice:
    """Try every candidate stack of a print and rank them.

    Detail that was only measured on the art gives way when no stack that holds it meets the rest: art has ends that
    taper to nothing, and the plan then says what will be lost. Detail that the order states never gives way.

    Parameters
    ----------
    job : Job
    progress : callable, optional
        Told before each candidate what share of them was tried; what it raises ends the work.
    """
    stacks = candidate_stacks(job.shop, job.print_, job.wanted)
    tried, aside = _try_all(job, stacks, progress)
    measured = job.print_.art is not None and job.print_.art.request.finest_detail is None
    if measured and not any(a.passes for a in tried):
        job = replace(job, holds_detail=False)
        again, aside = _try_all(job, tuple(a.stack for a in tried if a.stage == "detail"), progress)
        tried = [*(a for a in tried if a.stage != "detail"), *again]
    passing = sorted((a for a in tried if a.passes), key=lambda a: (a.rank_cost, a.stack.label))
    failing = sorted((a for a in tried if not a.passes), key=lambda a: (-a.depth, a.risk, a.stack.label))
    if not passing:
        whole = [assess(job, a.stack, whole=True) for a in failing[:CLOSEST]]
        failing[:CLOSEST] = sorted(whole, key=lambda a: (-a.depth, a.risk, a.stack.label))
    return Choice(
        job=job,
        best=passing[0] if passing else None,
        passing=tuple(passing),
        failing=tuple(failing),
        set_aside=tuple(aside),
    )


def _try_all(
    job: Job, stacks: tuple[Stack, ...], progress: Callable[[float], None] | None
) -> tuple[list[Assessment], list[Assessment]]:
    """Try stacks, the cheapest first where bleed has to be forecast; and those that were set aside.

    After the first `MANY`, a stack is set aside when a stack of the same inks passes, and `KEPT` stacks do, at no more
    than what it would cost if its bleed never failed. So the cheapest stacks, and the cheapest of every set of inks,
    are never among them.
    """
    tried: list[Assessment] = []
    waiting: list[Begun] = []
    rules = relevant(job.shop.rules, setting_of(job, stacks[0])) if stacks else ()
    for number, stack in enumerate(stacks):
        if progress is not None:
            progress(BEFORE_BLEED * number / len(stacks))
        begun = begin(job, stack, rules=rules)
        if isinstance(begun, Begun):
            waiting.append(begun)
        else:
            tried.append(begun)
    aside: list[Assessment] = []
    passed: list[Assessment] = []
    waiting.sort(key=lambda begun: (begun.least_rank, begun.stack.label))
    for number, begun in enumerate(waiting):
        if progress is not None:
            progress(BEFORE_BLEED + (1 - BEFORE_BLEED) * number / len(waiting))
        cheaper = [a for a in passed if a.rank_cost <= begun.least_rank and a.expected_cost <= begun.least_cost]
        alike = next((a for a in cheaper if a.stack.ink_names == begun.stack.ink_names), None)
        if number >= MANY and begun.life is not None and alike is not None and len(cheaper) >= KEPT:
            aside.append(
                begun.set_aside(reasons.too_dear(begun.least_cost, alike.expected_cost, job.shop.costs.currency))
            )
            continue
        found = begun.finish()
        tried.append(found)
        if found.passes:
            passed.append(found)
    return tried, aside


def alternatives(choice: Choice) -> tuple[Alternative, ...]:
    """Stacks that would also do, next best first."""
    best = choice.best
    if best is None or best.cost is None:
        return ()
    found: list[Alternative] = []
    for other in choice.passing[1:]:
        if other.cost is None or other.forecast is None:
            continue
        reason = _why_not(choice, best, other)
        found.append(
            Alternative(
                stack=other.stack,
                expected_cost=other.expected_cost,
                fail_risk=other.forecast.fail_risk,
                reason=reason,
            )
        )
    return tuple(found)


def _why_not(choice: Choice, best: Assessment, other: Assessment) -> str:
    assert best.cost is not None  # both passed, so both have a cost
    if other.expected_cost > best.expected_cost:
        return reasons.dearer(other.expected_cost, best.expected_cost, best.cost.currency)
    followed = [r.reason for r in best.verdict.preferred if r not in other.verdict.preferred]
    if choice.agreed and other.rank_cost < best.rank_cost:
        why = f"the order's other prints take {choice.agreed}, and a second white costs a wash-up"
    else:
        why = followed[0] if followed else f"it is {_heavier(best, other):.0f} g/m² heavier in the hand"
    less = best.expected_cost - other.expected_cost
    return f"would do and costs {less:.2f} {best.cost.currency} less, but: {why}"


def _heavier(best: Assessment, other: Assessment) -> float:
    """How many grams per square metre of felt film another stack has more."""
    both = [a.forecast.hand.film_areal_mass.p50 for a in (best, other) if a.forecast is not None]
    return float(to_gsm(both[1] - both[0]))


def rejected(choice: Choice) -> tuple[Rejected, ...]:
    """Every stack that was not chosen, with the first reason against it; those that would do come first."""
    would_do = [
        Rejected(stack=a.stack.label, stage="cost", reason=a.reason, expected_cost=a.expected_cost)
        for a in alternatives(choice)
    ]
    lost = [
        Rejected(
            stack=a.stack.label,
            stage=a.stage,
            reason=a.reason,
            rule=a.rule,
            expected_cost=a.expected_cost if a.cost is not None else None,
        )
        for a in choice.failing
    ]
    aside = [Rejected(stack=a.stack.label, stage=a.stage, reason=a.reason) for a in choice.set_aside]
    return (*would_do, *aside, *lost)


REMEDIES = {
    "opacity": "weigh a garment before and after printing where the laydown is only assumed, use a coarser mesh or a "
    "second hit, or agree to a lower cover with the customer",
    "hand": "agree to a heavier hand, cut the covered area, or buy a softer white of the same cover",
    "stretch": "buy a stretch white or stretch additive, or pull a swatch to see what the ink really does",
    "adhesion": "buy an ink that is made for this surface, and test it with tape on this cloth",
    "cure": "use a longer or hotter dryer, a low-cure ink, or run the probe: the dryer's numbers may be too careful",
    "cloth limit": "buy a low-cure ink, or run the probe beside the print",
    "flash": "use a stronger flash or fewer, thinner layers",
    "bleed": "run the oven bleed test on this cloth lot, buy a stronger white or a barrier, or use a low-cure white",
    "press": "use another press, or fewer colours",
    "rule": "buy an ink the rules allow, or change the rule in rules.toml if it does not fit your shop",
    "wash": "buy a tougher ink, or agree to a lower wash class",
    "detail": "burn a finer mesh, or ask for art with heavier lines",
}
"""What to buy or test when a requirement stops everything."""


def shortfalls(choice: Choice) -> tuple[Shortfall, ...]:
    """When nothing passes: for the closest stack, which requirement fails by how much, and what would help."""
    if choice.best is not None or not choice.failing:
        return ()
    allowed = choice.job.order.requirements.risk
    closest = choice.failing[0]
    found = [
        Shortfall(
            requirement=closest.stage,
            closest=closest.stack.label,
            by=closest.reason,
            remedy=REMEDIES[closest.stage],
        )
    ]
    for stage, missed in closest.failures.items():
        if stage != closest.stage and float(np.mean(missed)) > allowed:
            by = closest.sentences[stage]
            found.append(Shortfall(requirement=stage, closest=closest.stack.label, by=by, remedy=REMEDIES[stage]))
    return tuple(found)
