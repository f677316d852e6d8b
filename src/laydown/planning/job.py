"""One print to plan, with all that every candidate shares, and what came out for one candidate."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from laydown.domain.dryer import Dryer
from laydown.domain.forecast import Forecast
from laydown.domain.order import Order, Print
from laydown.domain.plan import Cost, Production
from laydown.domain.press import Press
from laydown.domain.shop import Shop
from laydown.domain.stack import Stack
from laydown.models.cloth import Cloth
from laydown.models.film import LAYDOWN_MODELS
from laydown.models.sampling import SampleSet
from laydown.planning.candidates import Wanted
from laydown.planning.dryer_settings import DryerChoice, SettingsFinder
from laydown.planning.flash_settings import FlashFinder
from laydown.planning.heads import NoPlace
from laydown.planning.rules.apply import Verdict
from laydown.production.placement import Placement

Values = NDArray[np.float64]

STAGES = (
    "rule",
    "press",
    "detail",
    "adhesion",
    "wash",
    "stretch",
    "hand",
    "opacity",
    "flash",
    "cure",
    "cloth limit",
    "bleed",
)
"""What a candidate is tried against, in this order: the cheap questions first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One print of an order, and what all its candidates share.

    Attributes
    ----------
    passages : int
        How often this print goes through the dryer: once for itself and once for each later print of the garment.
    first_print : bool
        Whether this print's cost carries the blank garments.
    places : dict
        What was found for stacks with the same plates, screens and flashes; filled on the way.
    laydown_model : str
        One of `laydown.models.film.LAYDOWN_MODELS`.
    holds_detail : bool
        Whether a mesh that is too coarse for the art's detail strikes a stack out.
    at_stake : float
        What is lost beside this print's own making when it fails: the garments and the prints made on them before.
    """

    shop: Shop
    order: Order
    print_: Print
    cloth: Cloth
    wanted: Wanted
    samples: SampleSet
    dryers: SettingsFinder
    flashes: FlashFinder
    passages: int = 1
    first_print: bool = True
    laydown_model: str = LAYDOWN_MODELS[0]
    at_stake: float = 0.0
    holds_detail: bool = True
    places: dict[tuple[object, ...], tuple[Placement | NoPlace, ...]] = field(default_factory=dict)

    @property
    def condition(self) -> str:
        """Illuminant and observer in which colours are judged."""
        return self.shop.preferences.condition


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """Where and how a stack would be printed."""

    press: Press
    placement: Placement
    flash_seconds: tuple[float, ...]
    dryer: Dryer
    dryer_choice: DryerChoice
    production: Production
    base_cost: Cost


def ranked(cost: float, setup: Setup, verdict: Verdict, *, film: float, softness: float) -> float:
    """Cost that a stack is ranked by: less what the followed preferences are worth, plus what the film's weight costs.

    Parameters
    ----------
    cost : float
        Expected cost of the print, with what its failure takes along.
    setup : Setup
    verdict : Verdict
    film : float
        Mass of the film by area [kg/m2].
    softness : float
        Share of the cost for each kg/m2 of film less.
    """
    return cost + (softness * film - verdict.preference) * setup.base_cost.order


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """What came out for one candidate.

    Attributes
    ----------
    stage, reason, rule : str
        Where and why it was struck out first; empty when it meets everything.
    risk : float
        Probability of missing the requirement that struck it out; 1 for a rule or a press.
    failures : dict
        For each requirement, in which samples it is missed, shape (size,).
    sentences : dict
        For each requirement, what would be said against the stack if it were missed too often.
    softness : float
        What a softer print is worth: share of the cost for each kg/m2 of film less.
    stake : float
        What a failure costs beyond the expected reprint in ``cost``: reprint factor times the job's ``at_stake``.
    outcome : ndarray or None
        Colour difference on the day asked for, or to full hiding where nothing bleeds.
    """

    stack: Stack
    verdict: Verdict
    stage: str = ""
    reason: str = ""
    rule: str = ""
    risk: float = 0.0
    setup: Setup | None = None
    forecast: Forecast | None = None
    failures: dict[str, Values] = field(default_factory=dict)
    sentences: dict[str, str] = field(default_factory=dict)
    outcome: Values | None = None
    cost: Cost | None = None
    softness: float = 0.0
    stake: float = 0.0

    @property
    def passes(self) -> bool:
        """Whether it meets every requirement."""
        return not self.stage and self.cost is not None

    @property
    def depth(self) -> int:
        """How many stages it got through."""
        return STAGES.index(self.stage) if self.stage else len(STAGES)

    @property
    def expected_cost(self) -> float:
        """Expected cost of the print, with what its failure takes along; infinite before it is computed."""
        if self.cost is None or self.forecast is None:
            return float("inf")
        return self.cost.order + self.stake * self.forecast.fail_risk

    @property
    def rank_cost(self) -> float:
        """Expected cost, less what the followed preferences are worth, plus what the weight of the film costs."""
        if self.cost is None or self.setup is None or self.forecast is None:
            return float("inf")
        film = self.forecast.hand.film_areal_mass.p50
        return ranked(self.expected_cost, self.setup, self.verdict, film=film, softness=self.softness)
