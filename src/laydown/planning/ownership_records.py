"""What `laydown.planning.ownership` is asked and what it answers."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.ink import InkKind
from laydown.domain.validity import named, share, within
from laydown.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class StackOption:
    """One candidate stack of an order.

    Attributes
    ----------
    stack : str
        Its label.
    cost : float
        Expected cost of the whole order, expected reprint included.
    fail_risk : float
        Probability of missing any requirement.
    meets : bool
        Whether it meets the requirements at the allowed risk.
    uses : tuple of (str, float)
        Every ink and additive in it and the kilograms for the whole order.
    wishes : float
        What a plan adds when it ranks the stack, in money: its film's weight, less what the shop's own preferences
        that it follows are worth. Negative when it is liked better than its cost says.
    ghosting : bool
        Whether a plan with it carries the warning of ghosting.
    """

    stack: str
    cost: float
    fail_risk: float
    meets: bool
    uses: tuple[tuple[str, float], ...]
    wishes: float = 0.0
    ghosting: bool = False

    def __post_init__(self) -> None:
        within(f"expected cost of {self.stack!r}", self.cost, 0.0, 1e12, "")
        within(f"wishes of {self.stack!r}", self.wishes, -1e12, 1e12, "")
        share(f"fail risk of {self.stack!r}", self.fail_risk)
        if len(dict(self.uses)) < len(self.uses):
            raise InvalidInput(f"the stack {self.stack!r} names an ink twice; add its kilograms up")
        for ink, kg in self.uses:
            within(f"ink {ink!r} of {self.stack!r}", kg, 0.0, 1e6, "kg")


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonOrder:
    """An order of the season: how often it comes in a year, and its candidate stacks."""

    name: str
    times_a_year: float
    options: tuple[StackOption, ...]

    def __post_init__(self) -> None:
        named("an order", self.name)
        within(f"times_a_year of {self.name!r}", self.times_a_year, 0.0, 10_000.0, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """An order and the stack it is printed with; ``cost`` is that of one such order."""

    order: str
    times_a_year: float
    stack: str
    cost: float
    fail_risk: float
    meets: bool
    ghosting: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class InkVerdict:
    """Whether an ink is kept, and what doing the opposite would change.

    Attributes
    ----------
    change : float or None
        What dropping a kept ink, or keeping one that is not, adds in a year; never negative: cost and the wishes given
        up, as plans weigh them. None when dropping leaves orders without a passing stack.
    unserved : tuple of str
        Those orders. They force the ink: each of their passing stacks needs it.
    moved : tuple of str
        Orders that would be printed with another stack.
    """

    ink: str
    kind: InkKind
    kept: bool
    change: float | None
    unserved: tuple[str, ...]
    moved: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UniversalWhite:
    """One white for everything, against the best shelf.

    Attributes
    ----------
    inks : tuple of str
        The white, and the bases and additives kept beside it.
    difference : float
        Yearly cost above the best shelf's for the same orders; wishes are not in it.
    missed : tuple of Served
        Orders that would miss their requirements: no passing stack with this white, so the cheapest other one.
    unprintable : tuple of str
        Orders that have no stack at all with this white; they are in no cost here.
    reprints, reprints_best : float
        Expected reprinted orders a year with this white, and with the best shelf for the same orders.
    """

    white: str
    inks: tuple[str, ...]
    yearly_cost: float
    difference: float
    missed: tuple[Served, ...]
    unprintable: tuple[str, ...]
    reprints: float
    reprints_best: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ownership:
    """The shelf to own.

    Attributes
    ----------
    inks : tuple of str
        In the order they were given.
    terms : tuple of (str, float)
        Yearly cost of orders, keeping, write-off and wash-up; they add up to ``yearly_cost``.
    wishes : float
        What the shop's preferences and the weight of its prints add to the yearly cost where stacks are weighed against
        each other; no money.
    main_white : str
        The white that most orders are printed with; changing from it to another costs a wash-up. Empty without one.
    verdicts : tuple of InkVerdict
        One for each ink that was decided on.
    universals : tuple of UniversalWhite
        Every white on its own, best first: fewest orders that cannot be printed, then lowest yearly cost.
    left_out : tuple of (str, str)
        Orders that were not counted, and why.
    """

    inks: tuple[str, ...]
    yearly_cost: float
    terms: tuple[tuple[str, float], ...]
    wishes: float
    main_white: str
    orders: tuple[Served, ...]
    reprints: float
    verdicts: tuple[InkVerdict, ...]
    universals: tuple[UniversalWhite, ...]
    left_out: tuple[tuple[str, str], ...]
