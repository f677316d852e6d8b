"""What an order is expected to cost, in terms that add up, and what to charge."""

from __future__ import annotations

import math

from laydown.domain.costs import Costs
from laydown.domain.order import Order
from laydown.domain.plan import Cost, Production
from laydown.domain.press import Press
from laydown.domain.validity import share, within
from laydown.errors import InvalidInput
from laydown.production.placement import Placement
from laydown.units import HOUR

TERMS = ("blanks", "ink", "screens", "set-up", "run", "spoilage", "tests", "expected reprint")
"""Names of the cost terms, in reading order."""

_MAKING = TERMS[:6]
_LARGEST = 1e12


def expected_cost(
    *,
    costs: Costs,
    quantity: int,
    blank_price: float,
    ink: float,
    burned: int,
    set_up_time: float,
    run_time: float,
    crew: int,
    tests: float = 0.0,
    fail_risk: float = 0.0,
    buys_blanks: bool = True,
) -> Cost:
    """Work out the expected cost of one print of an order.

    Parameters
    ----------
    costs : Costs
        The shop's rates; its ``spoilage``, ``reprint_factor`` and ``margin`` are used.
    quantity : int
        Good pieces to deliver, >= 1.
    blank_price : float
        One garment.
    ink : float
        Cost of the ink for all good pieces, waste included, spoiled pieces not.
    burned : int
        Screens to coat and burn.
    set_up_time, run_time : float
        [s]; the run time of the good pieces, spoiled ones not included.
    crew : int
        People at the press.
    tests : float
        Cost of the tests to run for this order.
    fail_risk : float
        Probability that the print misses a requirement and is printed again.
    buys_blanks : bool
        False for the second and later prints on the same garments: the blanks stand in the first print's cost, but a
        spoiled piece still costs a garment.

    Returns
    -------
    Cost
        ``terms`` (see `TERMS`) add up to ``order``; ``piece`` is ``order`` over the quantity; ``price`` is what to
        charge for the whole order: cost over one less the margin.

    Notes
    -----
    A spoiled piece costs its garment, its ink and its time. An expected reprint is ``fail_risk x reprint_factor x``
    the cost of making the order (all terms but the tests).
    """
    within("quantity", quantity, 1, 1_000_000, "pieces")
    within("burned screens", burned, 0, 100, "")
    within("crew", crew, 1, 100, "people")
    share("fail risk", fail_risk)
    for name, value in (
        ("blank price", blank_price),
        ("ink cost", ink),
        ("set-up time", set_up_time),
        ("run time", run_time),
        ("tests", tests),
    ):
        within(name, value, 0.0, _LARGEST, "")
    people = costs.labour_rate * crew / HOUR
    garments = quantity * blank_price
    run = run_time * (people + (costs.press_rate + costs.dryer_rate) / HOUR)
    making = {
        "blanks": garments if buys_blanks else 0.0,
        "ink": ink,
        "screens": burned * (costs.screen_cost + costs.screen_time * costs.labour_rate / HOUR),
        "set-up": set_up_time * (people + costs.press_rate / HOUR),
        "run": run,
        "spoilage": costs.spoilage * (garments + ink + run),
    }
    return _total(making, tests, fail_risk, quantity, costs)


def print_cost(
    order: Order,
    production: Production,
    placement: Placement,
    press: Press,
    costs: Costs,
    *,
    fail_risk: float = 0.0,
    tests: float = 0.0,
    buys_blanks: bool = True,
) -> Cost:
    """Work out the expected cost of one print from its production record; see `expected_cost` for the terms.

    ``production`` counts ink and hours with the spoiled pieces in them; they are taken out again, so that the term
    ``spoilage`` shows all that spoiled pieces cost.
    """
    good = 1 / (1 + costs.spoilage)
    return expected_cost(
        costs=costs,
        quantity=order.quantity,
        blank_price=order.garment.price,
        ink=good * math.fsum(amount.cost for amount in production.inks),
        burned=placement.burned,
        set_up_time=production.set_up_time,
        run_time=good * production.run_time,
        crew=press.crew,
        tests=tests,
        fail_risk=fail_risk,
        buys_blanks=buys_blanks,
    )


def whole_order(parts: tuple[Cost, ...], fail_risks: tuple[float, ...], quantity: int, costs: Costs) -> Cost:
    """Cost of an order with several prints on the same garments.

    The terms of the prints add up, except the expected reprint: when one print fails, the garment with all its
    prints is made again. The prints are taken to fail independently, which is the dearer assumption.

    Raises
    ------
    InvalidInput
        When there is no print, or not one risk for each.
    """
    if not parts or len(parts) != len(fail_risks):
        raise InvalidInput(f"{len(parts)} prints and {len(fail_risks)} risks are given; each print needs one risk")
    making = {name: math.fsum(dict(part.terms).get(name, 0.0) for part in parts) for name in _MAKING}
    tests = math.fsum(dict(part.terms).get("tests", 0.0) for part in parts)
    passes = 1.0
    for risk in fail_risks:
        share("fail risk", risk)
        passes *= 1 - risk
    return _total(making, tests, 1 - passes, quantity, costs)


def _total(making: dict[str, float], tests: float, fail_risk: float, quantity: int, costs: Costs) -> Cost:
    made = math.fsum(making.values())
    terms = making | {"tests": tests, "expected reprint": fail_risk * costs.reprint_factor * made}
    order = math.fsum(terms.values())
    return Cost(
        currency=costs.currency,
        terms=tuple(terms.items()),
        order=order,
        piece=order / quantity,
        price=order / (1 - costs.margin),
    )
