"""Plan an order."""

from __future__ import annotations

from collections.abc import Callable

from laydown import __version__
from laydown.domain.order import Order
from laydown.domain.plan import Cost, Plan
from laydown.domain.shop import Shop
from laydown.models.film import LAYDOWN_MODELS
from laydown.planning.agreement import agree
from laydown.planning.cautions import cautions
from laydown.planning.choice import Choice, choose
from laydown.planning.inputs import assumptions, inputs_of
from laydown.planning.print_plan import art_warnings, plan_print, press_warnings
from laydown.planning.provenance import provenance
from laydown.planning.rests_on import rests_on
from laydown.planning.tests_to_run import decisive, tests_to_run
from laydown.planning.workbench import workbench
from laydown.production.cost import whole_order

SAMPLES = 256
SEED = 20240229


def choices_for(
    shop: Shop,
    order: Order,
    *,
    samples: int = SAMPLES,
    seed: int = SEED,
    laydown_model: str = LAYDOWN_MODELS[0],
    tried: Callable[[float], None] | None = None,
) -> tuple[tuple[Choice, ...], tuple[str, ...]]:
    """Try every candidate for every print of an order; the parameters are those of `plan_order`.

    Returns
    -------
    tuple of Choice, tuple of str
        One choice a print, agreed on a white where that is cheaper; notes on colours that a shelf ink stands in for.
    """
    bench = workbench(shop, order, samples=samples, seed=seed, laydown_model=laydown_model)
    found: list[Choice] = []
    notes: list[str] = []
    at_stake = 0.0
    for i, print_ in enumerate(order.prints):
        job, said = bench.job(print_, passages=len(order.prints) - i, first_print=i == 0, at_stake=at_stake)
        notes += said
        found.append(choose(job, progress=_part(tried, i, len(order.prints))))
        best = found[-1].best
        # A later print that fails takes the garment and what was printed on it before along.
        at_stake += best.setup.base_cost.order if best is not None and best.setup is not None else 0.0
    return agree(tuple(found), wash_up=shop.costs.wash_up_cost), tuple(notes)


def plan_order(
    shop: Shop,
    order: Order,
    *,
    samples: int = SAMPLES,
    seed: int = SEED,
    laydown_model: str = LAYDOWN_MODELS[0],
    progress: Callable[[str], None] | None = None,
    tried: Callable[[float], None] | None = None,
) -> Plan:
    """Plan an order: the stack for each print, settings, forecast, cost, tests and reasons.

    Parameters
    ----------
    shop : Shop
        Its shelves; see `laydown.open_shop`.
    order : Order
        See `laydown.read_order`.
    samples : int
        Samples of the uncertain inputs, at least 200 for a plan to work from.
    seed : int
        The same seed gives the same plan.
    laydown_model : str
        ``transfer`` (a share of the mesh's volume, as weighing narrows it) or its rival ``trade press`` (the trade
        press's formulas, which know no spread).
    progress : callable, optional
        Told what is being done.
    tried : callable, optional
        Told again and again what share of the stacks of all prints was tried; what it raises ends the planning.

    Returns
    -------
    Plan
        ``plan.complete`` is False when some print has no stack that meets every requirement; its ``shortfalls`` then
        say which requirement fails by how much and what would help.

    Raises
    ------
    InvalidInput
        When a rule cannot be applied, the shelves lack what the order needs, or there is no such laydown model.
    NotFound
        When the order names an ink that is not on the shelf.
    """
    if progress is not None:
        progress(f"planning {order.name}")
    choices, notes = choices_for(shop, order, samples=samples, seed=seed, laydown_model=laydown_model, tried=tried)
    return plan_of_choices(shop, order, choices, notes, samples=samples, seed=seed, laydown_model=laydown_model)


def plan_of_choices(
    shop: Shop,
    order: Order,
    choices: tuple[Choice, ...],
    notes: tuple[str, ...],
    *,
    samples: int,
    seed: int,
    laydown_model: str = LAYDOWN_MODELS[0],
) -> Plan:
    """Write the plan of an order down from one choice a print; the parameters are those of `plan_order`."""
    prints = tuple(plan_print(choice) for choice in choices)
    inputs = dict(
        pair
        for choice in choices
        if (shown := choice.best or next(iter(choice.computed), None)) is not None
        for pair in inputs_of(choice.job, shown)
    )
    pairs = tuple(inputs.items())
    tests = {
        test.name: test for choice in reversed(choices) for test in reversed(tests_to_run(choice, placed=order.placed))
    }
    warnings = tuple(w for choice in choices for w in (*press_warnings(choice), *art_warnings(choice)))
    return Plan(
        order=order,
        prints=prints,
        cost=_order_cost(shop, order, choices),
        tests=tuple(sorted(tests.values(), key=lambda t: -t.worth)),
        decisive=decisive(choices),
        cautions=cautions(choices, (*notes, *warnings)),
        assumptions=assumptions(pairs),
        inputs=pairs,
        provenance=provenance(tuple(inputs), laydown_model=laydown_model),
        seed=seed,
        samples=samples,
        version=__version__,
        rests_on=rests_on(choices[0].job.cloth),
    )


def _part(tried: Callable[[float], None] | None, print_index: int, prints: int) -> Callable[[float], None] | None:
    """Share of one print as a share of all."""
    return None if tried is None else lambda share: tried((print_index + share) / prints)


def _order_cost(shop: Shop, order: Order, choices: tuple[Choice, ...]) -> Cost | None:
    """Cost of all prints together; None while some print has no stack."""
    parts, risks = [], []
    for choice in choices:
        if choice.best is None or choice.best.cost is None or choice.best.forecast is None:
            return None
        parts.append(choice.best.cost)
        risks.append(choice.best.forecast.fail_risk)
    return whole_order(tuple(parts), tuple(risks), order.quantity, shop.costs)
