"""A plan: the answer to an order, with everything that was weighed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from laydown.domain.finding import Level
from laydown.domain.forecast import Forecast
from laydown.domain.order import Order
from laydown.domain.quantity import Quantity
from laydown.domain.stack import Stack


@dataclass(frozen=True, slots=True, kw_only=True)
class DryerSettings:
    """How the dryer is set, and what the probe should then read."""

    dryer: str
    panel_temperature: float
    belt_speed: float
    dwell: float
    probe_low: float
    probe_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PassSettings:
    """How one pass is set at the press; SI units.

    ``head`` and ``revolution`` count from 1. ``shore`` is a span of Shore A hardness.
    """

    head: int
    revolution: int
    squeegee_shore: tuple[float, float]
    squeegee_note: str
    off_contact: float
    tension_low: float
    tension_high: float
    emulsion_over_mesh: float
    flash_head: int | None
    flash_seconds: float | None
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Press and dryer settings of one print."""

    press: str
    revolutions: int
    passes: tuple[PassSettings, ...]
    dryer: DryerSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class InkAmount:
    """Ink to mix for one pass, for the whole order, waste and spoilage included [kg]."""

    ink: str
    role: str
    per_piece: float
    total: float
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Production:
    """How fast and how long.

    Attributes
    ----------
    press_rate, dryer_rate, rate : float
        Pieces per second; ``rate`` is the slower of both.
    bottleneck : str
        ``press`` or ``dryer``.
    cycle_time : float
        Seconds per piece at the press.
    run_time, set_up_time : float
        [s].
    """

    press: str
    cycle_time: float
    cycle_terms: tuple[tuple[str, float], ...]
    revolutions: int
    press_rate: float
    dryer_rate: float
    rate: float
    bottleneck: str
    set_up_time: float
    run_time: float
    inks: tuple[InkAmount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """Expected cost, in the shop's currency: ``terms`` add up to ``order``."""

    currency: str
    terms: tuple[tuple[str, float], ...]
    order: float
    piece: float
    price: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rejected:
    """A stack that was not chosen, and the first reason in a printer's words."""

    stack: str
    stage: str
    reason: str
    rule: str = ""
    expected_cost: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """A stack that would also do."""

    stack: Stack
    expected_cost: float
    fail_risk: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestToRun:
    """A test to run before or beside the order; ``read_after`` in seconds from starting it."""

    __test__ = False

    name: str
    why: str
    how: str
    read_after: float
    read_on: dt.date | None
    worth: float
    cost: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """An input nobody measured: what was taken, and its grade."""

    name: str
    shown: str
    quantity: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Provenance:
    """Where the numbers under ``path`` come from: a model, and the inputs it used."""

    path: str
    model: str
    page: str
    range_note: str
    inputs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RestsOn:
    """The shop's own tests that a plan's bleed forecast uses.

    Attributes
    ----------
    level : Level
        How near they lie to the garment.
    about : str
        Which cloth they are of, in words.
    swatches : tuple of int
    readings : int
    fitted_at : datetime
        When the nearest of them was fitted.
    notes : tuple of str
    """

    level: Level
    about: str
    swatches: tuple[int, ...]
    readings: int
    fitted_at: dt.datetime
    notes: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """The tests in one line, for a ticket."""
        many = len(self.swatches) > 1
        numbers = ", ".join(str(number) for number in self.swatches)
        return f"{self.readings} readings of swatch{'es' if many else ''} {numbers}, of {self.about}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """When nothing passes: which requirement fails by how much for the closest stack, and what would help."""

    requirement: str
    closest: str
    by: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintPlan:
    """The plan for one print. ``stack`` is None when nothing passes; ``shortfalls`` then says why."""

    place: str
    stack: Stack | None
    why: tuple[str, ...]
    confidence: float
    settings: Settings | None
    forecast: Forecast | None
    production: Production | None
    cost: Cost | None
    alternatives: tuple[Alternative, ...]
    rejected: tuple[Rejected, ...]
    shortfalls: tuple[Shortfall, ...]
    considered: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The answer to one order."""

    order: Order
    prints: tuple[PrintPlan, ...]
    cost: Cost | None
    tests: tuple[TestToRun, ...]
    decisive: str
    cautions: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    inputs: tuple[tuple[str, Assumption], ...]
    provenance: tuple[Provenance, ...]
    seed: int
    samples: int
    version: str
    rests_on: RestsOn | None = None

    @property
    def complete(self) -> bool:
        """Whether every print has a stack that meets all requirements."""
        return all(p.stack is not None for p in self.prints)

    @property
    def own_tests(self) -> tuple[str, ...]:
        """Numbers that the shop measured on its own swatches, each with the tests that it rests on, in words."""
        measured = [
            f"{one.name} {one.shown}: {one.quantity.source}"
            for key, one in self.inputs
            if not key.startswith("bleed.") and "swatch" in one.quantity.source
        ]
        inks = {ink.name: ink for p in self.prints if p.stack is not None for ink in p.stack.inks}
        tested = [(name, ink.source.partition("K and S: ")[2]) for name, ink in inks.items()]
        return (*measured, *(f"K and S of {name}: {source}" for name, source in tested if "swatch" in source))
