"""What would happen if something in a plan were changed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from laydown.domain.change import Change, PassChange
from laydown.domain.order import Order
from laydown.domain.plan import Plan, PrintPlan
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Stack
from laydown.errors import InvalidInput
from laydown.models.film import LAYDOWN_MODELS
from laydown.planning.assess import assess
from laydown.planning.choice import Choice
from laydown.planning.job import Assessment, Job
from laydown.planning.print_plan import plan_print
from laydown.planning.workbench import workbench
from laydown.units import to_celsius, to_metre_per_minute

UNCHANGED = Change()


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """A print as it would become.

    Attributes
    ----------
    order : Order
        With the changed quantity and pile.
    print_plan : PrintPlan
        The changed stack with its settings, forecast, production and cost; without alternatives, as none were tried.
    stage, reason : str
        The first requirement that it misses, and how; empty when it meets them all.
    """

    order: Order
    print_plan: PrintPlan
    stage: str
    reason: str

    @property
    def passes(self) -> bool:
        """Whether the changed print meets every requirement."""
        return not self.stage


def what_if(
    shop: Shop, plan: Plan, change: Change, *, print_index: int = 0, laydown_model: str = LAYDOWN_MODELS[0]
) -> WhatIf:
    """Forecast one print of a plan with something changed; nothing else is searched anew.

    Parameters
    ----------
    shop : Shop
        With the shelves that the plan was made from.
    plan : Plan
    change : Change
    print_index : int
        Which print, counted from 0.
    laydown_model : str
        As in `laydown.plan_order`.

    Raises
    ------
    InvalidInput
        When the print has no stack to change, or the change cannot be made: a pass that is not there, a setting that
        the dryer does not have.
    NotFound
        When a name is on no shelf.

    Notes
    -----
    Press, heads and flash times follow the changed stack. The dryer keeps the plan's setting unless it is changed; for
    another dryer a setting is searched unless both panel and belt are given.
    """
    job, tried = assess_again(shop, plan, change, print_index=print_index, laydown_model=laydown_model)
    return WhatIf(order=job.order, print_plan=_as_print(job, tried), stage=tried.stage, reason=tried.reason)


def assess_again(
    shop: Shop,
    plan: Plan,
    change: Change = UNCHANGED,
    *,
    print_index: int = 0,
    laydown_model: str = LAYDOWN_MODELS[0],
) -> tuple[Job, Assessment]:
    """Compute the chosen stack of a print again, with or without a change; the parameters are those of `what_if`."""
    before = plan.prints[print_index]
    if before.stack is None or before.settings is None:
        raise InvalidInput("this print has no stack yet, so there is nothing to change", where=before.place)
    order = _changed_order(plan.order, change)
    stack = _changed_stack(shop, before.stack, change.passes)
    bench = workbench(shop, order, samples=plan.samples, seed=plan.seed, laydown_model=laydown_model)
    job, _ = bench.job(
        order.prints[print_index],
        passages=len(order.prints) - print_index,
        first_print=print_index == 0,
        at_stake=sum(p.cost.order for p in plan.prints[:print_index] if p.cost is not None),
    )
    kept = before.settings.dryer
    name = change.dryer or kept.dryer
    dryer = shop.dryer(name)
    if name != kept.dryer and (change.panel_temperature is None) != (change.belt_speed is None):
        raise InvalidInput(f"panel and belt of {name} have to be given both, or neither to be found", where="dryer")
    if name != kept.dryer and change.panel_temperature is None:
        job = replace(job, shop=replace(job.shop, dryers=(dryer,)))
        return job, assess(job, stack, whole=True)
    setting = change.panel_temperature if change.panel_temperature is not None else kept.panel_temperature
    speed = change.belt_speed if change.belt_speed is not None else kept.belt_speed
    if not dryer.setting_low - 1e-6 <= setting <= dryer.setting_high + 1e-6:
        raise InvalidInput(
            f"{name} can be set to {to_celsius(dryer.setting_low):.0f} to {to_celsius(dryer.setting_high):.0f} °C, "
            f"not to {to_celsius(setting):.0f} °C",
            where="panel",
        )
    if not dryer.speed_low * (1 - 1e-9) <= speed <= dryer.speed_high * (1 + 1e-9):
        raise InvalidInput(
            f"the belt of {name} runs at {to_metre_per_minute(dryer.speed_low):.2f} to "
            f"{to_metre_per_minute(dryer.speed_high):.2f} m/min, not at {to_metre_per_minute(speed):.2f}",
            where="belt",
        )
    job = replace(job, dryers=job.dryers.pinned(dryer, setting=setting, speed=speed))
    return job, assess(job, stack, whole=True)


def _as_print(job: Job, tried: Assessment) -> PrintPlan:
    computed = tried.forecast is not None and tried.cost is not None
    choice = Choice(job=job, best=tried if computed else None, passing=(tried,) if computed else (), failing=())
    return replace(plan_print(choice), why=())


def _changed_order(order: Order, change: Change) -> Order:
    care = order.care
    if change.pile_height is not None:
        care = replace(care, pile_height=change.pile_height)
    if change.stack_hot is not None:
        care = replace(care, stack_hot=change.stack_hot)
    return replace(order, care=care, quantity=order.quantity if change.quantity is None else change.quantity)


def _changed_stack(shop: Shop, stack: Stack, changes: tuple[PassChange, ...]) -> Stack:
    passes = list(stack.passes)
    for change in changes:
        if change.number > len(passes):
            raise InvalidInput(
                f"the stack has {len(passes)} passes, so there is no pass {change.number}", where="passes"
            )
        passes[change.number - 1] = _changed_pass(shop, passes[change.number - 1], change)
    return Stack(passes=tuple(passes))


def _changed_pass(shop: Shop, pass_: Pass, change: PassChange) -> Pass:
    if pass_.ink is None and (change.ink is not None or change.hits is not None):
        raise InvalidInput("a smoothing pass lays no ink, so it has neither ink nor hits to change", where="passes")
    changed = pass_
    if change.ink is not None:
        changed = replace(changed, ink=shop.ink(change.ink))
    if change.screen is not None:
        changed = replace(changed, screen=shop.screen(change.screen))
    if change.hits is not None:
        changed = replace(changed, hits=change.hits)
    return changed
