"""What became of an order: what was forecast, what was printed and spoiled, and what the customer claimed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.validity import named, share, within
from laydown.errors import InvalidInput

MOST_PIECES = 1_000_000


class Requirement(StrEnum):
    """What a plan gives a risk for."""

    ALL = "all of them"
    BLEED = "bleed"
    OPACITY = "cover"
    CURE = "cure"
    CLOTH = "cloth limit"


CAUSES = (
    "out of register",
    "smeared",
    "pinhole",
    "lint or fibre",
    "too little cover",
    "not cured",
    "scorched",
    "dye came through",
    "wrong garment",
    "damaged garment",
    "other",
)
"""Why a piece is spoiled, in the crew's words."""

CLAIM_CAUSES = (*CAUSES, "washed off", "cracked", "ghost image")
"""What a customer comes back with: what the crew may see, and what shows only in use."""

MISSED = (
    (Requirement.BLEED, frozenset({"dye came through"})),
    (Requirement.OPACITY, frozenset({"too little cover"})),
    (Requirement.CURE, frozenset({"not cured", "washed off", "cracked"})),
    (Requirement.CLOTH, frozenset({"scorched"})),
)
"""Causes that say a requirement was missed. The others are the press's and the hands': no plan forecasts them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """What a customer came back with.

    Attributes
    ----------
    cause : str
        One of `CLAIM_CAUSES`.
    pieces : int
        How many pieces are claimed.
    received_on : date
    number : int
        Given by the shop's book; 0 before it is kept.
    order : int
        Number of the order.
    text : str
    """

    cause: str
    pieces: int
    received_on: dt.date
    number: int = 0
    order: int = 0
    text: str = ""

    def __post_init__(self) -> None:
        if self.cause not in CLAIM_CAUSES:
            raise InvalidInput(f"{self.cause!r} is no cause of a claim; known are {', '.join(CLAIM_CAUSES)}")
        within("claimed pieces", self.pieces, 1, MOST_PIECES, "pieces")


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderOutcome:
    """What became of one order.

    Attributes
    ----------
    order : int
    name : str
    printed_on : date
        Day of the last entry at the press about printed pieces.
    cloth, lot, inks, dryer : str, tuple of str
        As the plan had them; a lot that nobody noted is empty.
    risks : tuple of (Requirement, float)
        As the plan that was printed forecast them; empty without a plan.
    allowed : float
        Risk that the order allowed.
    bleed_days : float
        Days after which its bleed requirement was to be judged.
    pieces : int
        Good pieces printed.
    misprints : tuple of (str, int)
        Spoiled pieces by cause.
    claims : tuple of Claim
    """

    order: int
    name: str
    printed_on: dt.date
    cloth: str
    pieces: int
    lot: str = ""
    inks: tuple[str, ...] = ()
    dryer: str = ""
    risks: tuple[tuple[Requirement, float], ...] = ()
    allowed: float = 0.05
    bleed_days: float = 30.0
    misprints: tuple[tuple[str, int], ...] = ()
    claims: tuple[Claim, ...] = ()

    def __post_init__(self) -> None:
        named("the cloth of an order", self.cloth)
        within("printed pieces", self.pieces, 0, MOST_PIECES, "pieces")
        for requirement, risk in self.risks:
            share(f"risk of {requirement.value}", risk)
        for cause, pieces in self.misprints:
            within(f"misprints ({cause})", pieces, 1, MOST_PIECES, "pieces")

    def risk(self, requirement: Requirement) -> float | None:
        """Forecast risk of missing a requirement; None where the plan gives none."""
        return dict(self.risks).get(requirement)

    @property
    def handled(self) -> int:
        """Pieces that went over the press: good and spoiled ones."""
        return self.pieces + sum(pieces for _, pieces in self.misprints)
