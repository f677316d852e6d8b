"""How forecast risks compare with what happened."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.outcome import Requirement


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskBin:
    """Orders whose forecast risks lie together.

    Attributes
    ----------
    low, high : float
        Lowest and highest forecast risk among them.
    expected : float
        Mean of their forecast risks.
    orders, missed : int
        How many there are, and how many missed the requirement.
    interval : (float, float)
        Where the true share lies with 90 % chance, by the exact interval.
    """

    low: float
    high: float
    expected: float
    orders: int
    missed: int
    interval: tuple[float, float]

    @property
    def observed(self) -> float:
        """Share that missed."""
        return self.missed / self.orders

    @property
    def fits(self) -> bool:
        """Whether what was promised lies within what was seen."""
        return self.interval[0] <= self.expected <= self.interval[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class BrierScore:
    """Mean square of risk less outcome (1: missed, 0: met) and its parts.

    ``score = reliability - resolution + uncertainty + within`` exactly.

    Attributes
    ----------
    reliability : float
        How far the bins' observed shares lie from their mean risks; 0 is best.
    resolution : float
        How far the bins' observed shares lie apart; large is good.
    uncertainty : float
        Score of whoever always forecasts the overall share.
    within : float
        What the spread of the risks within the bins adds.
    """

    score: float
    reliability: float
    resolution: float
    uncertainty: float
    within: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reliability:
    """Forecast risks of one requirement against outcomes.

    Attributes
    ----------
    requirement : Requirement
    bins : tuple of RiskBin
        By rising risk.
    orders, missed : int
        Orders that are known to have met or missed it, and those that missed.
    expected : float
        Sum of their forecast risks: so many were to be expected to miss.
    pending : int
        Orders too young to know.
    without : int
        Orders whose plan gives no risk.
    brier : BrierScore or None
        None without any order.
    words : tuple of str
        What it says, in sentences.
    """

    requirement: Requirement
    bins: tuple[RiskBin, ...]
    orders: int
    missed: int
    expected: float
    pending: int
    without: int
    brier: BrierScore | None
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpoiledGroup:
    """Spoiled and claimed pieces of orders that have something in common.

    Attributes
    ----------
    name : str
        The cause, cloth, ink, lot, or dryer and day.
    orders : int
    pieces, spoiled, claimed : int
        Pieces that went over the press, those of them that were spoiled there, and those claimed later.
    interval : (float, float)
        90 % interval of the share that was spoiled or claimed, by Wilson; as pieces of one order share its luck, each
        counts for less than one.
    against : float
        Share in all orders outside the group; nan where there are none.
    stands_out : bool
        Whether the group's interval lies wholly above what all others show, and more than one piece is behind it.
    """

    name: str
    orders: int
    pieces: int
    spoiled: int
    claimed: int
    interval: tuple[float, float]
    against: float
    stands_out: bool

    @property
    def share(self) -> float:
        """Share of the pieces that was spoiled or claimed."""
        return min(1.0, (self.spoiled + self.claimed) / self.pieces) if self.pieces else 0.0
