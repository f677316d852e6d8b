"""How fast, how long and with how much ink one print of an order is made: the production record of a plan."""

from __future__ import annotations

from laydown.domain.costs import Costs
from laydown.domain.dryer import Dryer
from laydown.domain.order import Order, Print
from laydown.domain.plan import Production
from laydown.domain.press import Press
from laydown.domain.stack import Stack
from laydown.production.dryer_rate import dryer_rate
from laydown.production.ink_use import ink_amounts
from laydown.production.placement import Placement
from laydown.production.press_cycle import press_cycle
from laydown.production.run_time import run_time, set_up_time


def produce(
    order: Order,
    print_: Print,
    stack: Stack,
    *,
    press: Press,
    dryer: Dryer,
    placement: Placement,
    flash_seconds: tuple[float, ...],
    belt_speed: float,
    wet: tuple[float, ...],
    costs: Costs,
) -> Production:
    """Combine press cycle, dryer rate, hours and ink of one print.

    Parameters
    ----------
    order : Order
    print_ : Print
    stack : Stack
    press : Press
    dryer : Dryer
    placement : Placement
        The stack on this press, as `laydown.planning.heads.place` gives it.
    flash_seconds : tuple of float
        Dwell of each flash [s].
    belt_speed : float
        [m/s].
    wet : tuple of float
        Median wet laydown of each inked pass [m].
    costs : Costs
        Its ``ink_waste`` and ``spoilage`` are used.

    Returns
    -------
    Production
        ``cycle_terms`` add up to ``cycle_time``; an automatic press names the station that sets the pace last.
        ``run_time`` and the inks' ``total`` have the spoiled pieces in them. ``bottleneck`` is ``press`` when both
        are equally fast.

    Raises
    ------
    InvalidInput, OutOfRange
        From the parts: a number of flashes or laydowns that is not the stack's, a garment wider than the belt, a
        belt speed that the dryer cannot run.
    """
    cycle = press_cycle(
        press,
        stack,
        print_height=print_.height,
        flash_seconds=flash_seconds,
        revolutions=placement.revolutions,
    )
    dries = dryer_rate(dryer, order.garment, belt_speed)
    rate = min(cycle.rate, dries)
    return Production(
        press=press.name,
        cycle_time=cycle.seconds,
        cycle_terms=cycle.terms,
        revolutions=cycle.revolutions,
        press_rate=cycle.rate,
        dryer_rate=dries,
        rate=rate,
        bottleneck="press" if cycle.rate <= dries else "dryer",
        set_up_time=set_up_time(placement.screens, press.set_up_per_screen),
        run_time=run_time(order.quantity, rate, costs.spoilage),
        inks=ink_amounts(
            stack,
            print_,
            wet,
            quantity=order.quantity,
            waste=costs.ink_waste,
            spoilage=costs.spoilage,
        ),
    )
