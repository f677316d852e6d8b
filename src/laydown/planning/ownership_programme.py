"""The mixed-integer programme behind `laydown.planning.ownership`: which inks to keep, and each order's stack.

Nothing here knows requirements or reasons: every option that is given may be chosen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from laydown.domain.ink import Ink, InkKind
from laydown.errors import ConvergenceError
from laydown.units import to_day

DAYS_OF_A_YEAR = 365.0
TIME_LIMIT = 120.0
"""Seconds after which the solver gives up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One way to print an order: its expected cost, the kilograms of each decided ink, and what `wishes` it costs."""

    cost: float
    use: Mapping[str, float]
    wishes: float = 0.0

    @property
    def weight(self) -> float:
        """What the option is ranked by, as a plan ranks its stacks."""
        return self.cost + self.wishes


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """One order: how often it comes in a year, and its options."""

    times: float
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """A solution: inks kept, the option of each order, the main white, yearly cost by term, and wishes given up."""

    inks: frozenset[str]
    picks: tuple[int, ...]
    main_white: str
    terms: tuple[tuple[str, float], ...]
    wishes: float

    @property
    def cost(self) -> float:
        """Yearly cost, all terms."""
        return math.fsum(value for _, value in self.terms)

    @property
    def weight(self) -> float:
        """What the programme makes least: yearly cost and the wishes given up for it."""
        return self.cost + self.wishes


@dataclass(frozen=True, slots=True, kw_only=True)
class Programme:
    """Orders, the inks that are decided on, and what keeping and washing up cost."""

    demands: tuple[Demand, ...]
    inks: tuple[Ink, ...]
    keeping: float
    wash_up: float

    @property
    def whites(self) -> tuple[str, ...]:
        """Names of the whites among the decided inks."""
        return tuple(ink.name for ink in self.inks if ink.kind is InkKind.WHITE)

    def least(self, kept: frozenset[str] = frozenset(), dropped: frozenset[str] = frozenset()) -> Shelf | None:
        """Shelf of least weight that keeps and drops these inks, or None when an order is left without an option.

        Raises
        ------
        ConvergenceError
            When the solver finds no proven optimum within `TIME_LIMIT`.
        """
        allowed = [
            [n for n in undominated(demand.options, self.inks) if not dropped & demand.options[n].use.keys()]
            for demand in self.demands
        ]
        if not all(allowed):
            return None
        return self.shelf(_solve(self, allowed, kept) if allowed else (), kept)

    def nearest(self, found: Shelf, best: Shelf, kept: frozenset[str], dropped: frozenset[str]) -> tuple[int, ...]:
        """Options that weigh no more than ``found`` and differ from ``best`` in as few orders as going back shows.

        Equally good shelves are common; an order should not seem to move only because the solver met another one.
        """
        picks = list(found.picks)
        slack = 1e-9 * max(1.0, found.cost)
        for o, before in enumerate(best.picks):
            if picks[o] != before and not dropped & self.demands[o].options[before].use.keys():
                back = [*picks[:o], before, *picks[o + 1 :]]
                if self.shelf(back, kept).weight <= found.weight + slack:
                    picks = back
        return tuple(picks)

    def shelf(self, picks: Sequence[int], kept: frozenset[str] = frozenset()) -> Shelf:
        """Work out the yearly cost of given options, exactly: only inks that they use, or ``kept``, are kept."""
        chosen = [demand.options[n] for demand, n in zip(self.demands, picks, strict=True)]
        names = kept.union(*(option.use for option in chosen))
        times = [demand.times for demand in self.demands]
        printed = {w: math.fsum(t for t, o in zip(times, chosen, strict=True) if w in o.use) for w in self.whites}
        used = [w for w in self.whites if printed[w] > 0]
        main = max(used, key=lambda w: printed[w], default="")
        written_off = [
            max(
                0.0,
                yearly_pails(ink)
                - math.fsum(t * o.use.get(ink.name, 0.0) * ink.price for t, o in zip(times, chosen, strict=True)),
            )
            for ink in self.inks
            if ink.name in names
        ]
        terms = (
            ("orders", math.fsum(t * o.cost for t, o in zip(times, chosen, strict=True))),
            ("keeping", self.keeping * len(names)),
            ("write-off", math.fsum(written_off)),
            ("wash-up", self.wash_up * math.fsum(printed[w] for w in used if w != main)),
        )
        wishes = math.fsum(t * o.wishes for t, o in zip(times, chosen, strict=True))
        return Shelf(inks=names, picks=tuple(picks), main_white=main, terms=terms, wishes=wishes)


def yearly_pails(ink: Ink) -> float:
    """Price of the pails that must be bought in a year to have the ink at hand: one for each shelf life."""
    return ink.pail * ink.price * DAYS_OF_A_YEAR / to_day(ink.shelf_life)


def undominated(options: Sequence[Option], inks: tuple[Ink, ...]) -> list[int]:
    """List the indices of the options that can be part of a cheapest shelf.

    An option falls when another one needs no further ink and weighs less by at least what its extra ink could save
    in write-off: a kilogram more used saves at most its price.
    """
    price = {ink.name: ink.price for ink in inks}
    left: list[int] = []
    for n in sorted(range(len(options)), key=lambda n: (options[n].weight, n)):
        here = options[n]
        for m in left:
            other = options[m]
            if other.use.keys() <= here.use.keys():
                saved = sum(price[i] * max(0.0, kg - other.use.get(i, 0.0)) for i, kg in here.use.items())
                if here.weight - other.weight >= saved:
                    break
        else:
            left.append(n)
    return left


def _solve(programme: Programme, allowed: list[list[int]], kept: frozenset[str]) -> list[int]:
    """Choose one allowed option for each order with HiGHS.

    Variables, in this order: x (option of an order is used), y (ink is kept), m (white is the main white), q (order
    is printed with the main white, for each order and white), z (yearly write-off of an ink).
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    names = [ink.name for ink in programme.inks]
    whites = programme.whites if programme.wash_up > 0 else ()
    columns = [(o, n) for o, numbers in enumerate(allowed) for n in numbers]
    y, m = len(columns), len(columns) + len(names)
    q = m + len(whites)
    z = q + len(allowed) * len(whites)
    size = z + len(names)

    objective = np.zeros(size)
    rows: list[tuple[dict[int, float], float, float]] = []
    of_order: list[dict[int, float]] = [{} for _ in allowed]
    needs: dict[tuple[int, str], dict[int, float]] = {}
    spent: dict[str, dict[int, float]] = {name: {} for name in names}
    for c, (o, n) in enumerate(columns):
        demand = programme.demands[o]
        option = demand.options[n]
        of_order[o][c] = 1.0
        objective[c] = demand.times * (option.weight + programme.wash_up * sum(w in option.use for w in whites))
        for name, kg in option.use.items():
            needs.setdefault((o, name), {})[c] = 1.0
            spent[name][c] = demand.times * kg * programme.inks[names.index(name)].price

    rows += [(row, 1.0, 1.0) for row in of_order]
    for (o, name), row in needs.items():
        rows.append((row | {y + names.index(name): -1.0}, -np.inf, 0.0))
        if name in whites:
            # The wash-up counted above is given back when the white is the main one and the order is printed with it.
            w = whites.index(name)
            back = q + o * len(whites) + w
            objective[back] = -programme.demands[o].times * programme.wash_up
            rows += [({back: 1.0, m + w: -1.0}, -np.inf, 0.0)]
            rows += [({back: 1.0} | dict.fromkeys(row, -1.0), -np.inf, 0.0)]
    if whites:
        rows.append((dict.fromkeys(range(m, q), 1.0), 0.0, 1.0))
    for i, ink in enumerate(programme.inks):
        rows.append((spent[ink.name] | {z + i: 1.0, y + i: -yearly_pails(ink)}, 0.0, np.inf))
        objective[y + i] = programme.keeping
        objective[z + i] = 1.0

    upper = np.ones(size)
    upper[z:] = np.inf
    lower = np.zeros(size)
    lower[[y + names.index(name) for name in kept]] = 1.0
    integral = np.ones(size, dtype=np.int64)
    integral[q:] = 0
    place = [(r, c, v) for r, (row, _, _) in enumerate(rows) for c, v in row.items()]
    at_row, at_column, value = zip(*place, strict=True)
    matrix = csr_array((value, (at_row, at_column)), shape=(len(rows), size))
    found = milp(
        objective,
        integrality=integral,
        bounds=Bounds(lower, upper),
        constraints=LinearConstraint(matrix, [low for _, low, _ in rows], [high for _, _, high in rows]),
        options={"mip_rel_gap": 0.0, "time_limit": TIME_LIMIT},
    )
    if found.status != 0 or found.x is None:
        raise ConvergenceError(f"the shelf programme was not solved to a proven optimum (HiGHS): {found.message}")
    picks: list[int] = []
    for o in range(len(allowed)):
        at = max(of_order[o], key=lambda c: float(found.x[c]))
        picks.append(columns[at][1])
    return picks
