"""What a plan's JSON looks like: the published keys, their units and their meaning."""

from __future__ import annotations

import datetime as dt

from pydantic import Field

from laydown.documents.forecast_schema import ForecastDocument
from laydown.documents.order_echo import OrderDocument
from laydown.documents.plan_parts import AmountDocument, Document, QuantityDocument, Share


class PassDocument(Document):
    """One ink through one screen."""

    role: str = Field(description="What the pass is for.")
    ink: str | None = Field(description="Ink by shelf name; null on a smoothing pass, which lays none.")
    additive: str | None = Field(description="Additive or reducer stirred in.")
    additive_percent: float = Field(description="Its share of the mixture's mass [%].")
    screen: str = Field(description="Screen by its name in the rack.")
    mesh: str | None = Field(description="Threads per cm / thread in µm; null for a closed screen.")
    hits: int = Field(description="Strokes without a flash between them.")
    flash: bool = Field(description="Whether a flash follows.")
    coverage: Share = Field(description="Share of the print's rectangle that the plate covers, share of one.")
    shows: Share | None = Field(
        description="Share of the rectangle where this pass is what one sees, share of one; null: not told apart."
    )
    on_cloth: bool = Field(description="Whether a colour lies straight on the cloth, with no white below.")
    edge_m_per_m2: float = Field(description="Edge of the plate per inked area [m/m²]; 0 where no art was measured.")


class StackDocument(Document):
    """A stack: the ordered passes of one print."""

    label: str = Field(description="The stack in a printer's words.")
    passes: tuple[PassDocument, ...] = Field(description="Passes in the order they are printed.")


class PassSettingsDocument(Document):
    """How one pass is set at the press."""

    head: int = Field(description="Head, counted from 1.")
    revolution: int = Field(description="Revolution, counted from 1.")
    squeegee_shore: tuple[float, float] = Field(description="Squeegee hardness, from and to [Shore A].")
    squeegee_note: str = Field(description="What to know of the squeegee.")
    off_contact_mm: float = Field(description="Off-contact [mm].")
    tension_low_n_per_cm: float = Field(description="Lowest tension [N/cm].")
    tension_high_n_per_cm: float = Field(description="Highest tension [N/cm].")
    emulsion_over_mesh_um: float = Field(description="Emulsion over mesh [µm].")
    flash_head: int | None = Field(description="Head of the flash that follows; null: no flash or it takes no head.")
    flash_s: float | None = Field(description="Dwell of the flash that follows [s].")
    sources: tuple[str, ...] = Field(description="Where the settings are from.")


class DryerSettingsDocument(Document):
    """How the dryer is set, and what the probe should then read."""

    dryer: str = Field(description="Dryer by name.")
    panel_temperature_c: float = Field(description="Panel setting [°C].")
    belt_m_per_min: float = Field(description="Belt speed [m/min].")
    dwell_s: float = Field(description="Time in the tunnel [s].")
    probe_low_c: float = Field(description="Lowest peak that the probe should read [°C].")
    probe_high_c: float = Field(description="Highest peak that the probe should read [°C].")


class SettingsDocument(Document):
    """Press and dryer settings of one print."""

    press: str = Field(description="Press by name.")
    revolutions: int = Field(description="Revolutions a garment takes.")
    passes: tuple[PassSettingsDocument, ...] = Field(description="Pass by pass, as in the choice.")
    dryer: DryerSettingsDocument = Field(description="Dryer.")


class InkAmountDocument(Document):
    """Ink to mix for one pass, waste and spoilage included."""

    ink: str = Field(description="Ink by shelf name.")
    role: str = Field(description="What the pass is for.")
    per_piece_g: float = Field(description="Per piece [g].")
    total_g: float = Field(description="For the order [g].")
    cost: float = Field(description="In the shop's currency.")


class CycleTermDocument(Document):
    """One part of the press cycle."""

    name: str = Field(description="What takes the time.")
    seconds: float = Field(description="How long [s].")


class ProductionDocument(Document):
    """How fast and how long."""

    press: str = Field(description="Press by name.")
    cycle_s: float = Field(description="Time per piece at the press [s].")
    cycle_terms: tuple[CycleTermDocument, ...] = Field(description="What the cycle is made of.")
    revolutions: int = Field(description="Revolutions a garment takes.")
    press_per_h: float = Field(description="Pieces an hour at the press.")
    dryer_per_h: float = Field(description="Pieces an hour through the dryer.")
    pieces_per_h: float = Field(description="Pieces an hour: the slower of both.")
    bottleneck: str = Field(description="press or dryer.")
    set_up_min: float = Field(description="Set-up [min].")
    run_min: float = Field(description="Run [min].")
    inks: tuple[InkAmountDocument, ...] = Field(description="Ink to mix.")


class CostDocument(Document):
    """Expected cost; the terms add up to the order's."""

    currency: str = Field(description="The shop's currency.")
    terms: tuple[AmountDocument, ...] = Field(description="What it is made of.")
    order: float = Field(description="For the order.")
    piece: float = Field(description="Per piece.")
    price: float = Field(description="Price per piece that leaves the shop's margin.")


class AlternativeDocument(Document):
    """A stack that would also do."""

    stack: StackDocument = Field(description="The stack.")
    expected_cost: float = Field(description="Expected cost of the order, in the shop's currency.")
    fail_risk: Share = Field(description="Probability of missing any requirement, share of one.")
    reason: str = Field(description="Why it comes after the choice.")


class RejectedDocument(Document):
    """A stack that was not chosen."""

    stack: str = Field(description="The stack in a printer's words.")
    stage: str = Field(description="Where it was struck out.")
    reason: str = Field(description="First reason, in a printer's words.")
    rule: str = Field(description="Trade rule that struck it out; empty when none did.")
    expected_cost: float | None = Field(description="Expected cost of the order, where it was reckoned.")


class ShortfallDocument(Document):
    """A requirement that nothing on the shelves meets."""

    requirement: str = Field(description="Which one.")
    closest: str = Field(description="The stack that comes closest.")
    by: str = Field(description="How far it falls short.")
    remedy: str = Field(description="What to buy or test.")


class PrintPlanDocument(Document):
    """The plan for one print; without a choice the shortfalls say why."""

    place: str = Field(description="Where on the garment.")
    choice: StackDocument | None = Field(description="The chosen stack; null when nothing passes.")
    why: tuple[str, ...] = Field(description="Reasons for the choice.")
    confidence: Share = Field(description="Probability of meeting every requirement, share of one.")
    settings: SettingsDocument | None = Field(description="Press and dryer settings.")
    forecast: ForecastDocument | None = Field(description="What to expect.")
    production: ProductionDocument | None = Field(description="How fast and how long.")
    cost: CostDocument | None = Field(description="Expected cost of this print.")
    alternatives: tuple[AlternativeDocument, ...] = Field(description="Stacks that would also do, best first.")
    rejected: tuple[RejectedDocument, ...] = Field(description="Stacks that were not chosen, with the reason.")
    shortfalls: tuple[ShortfallDocument, ...] = Field(description="What is missing when nothing passes.")
    considered: int = Field(description="Stacks that were weighed.")


class TestDocument(Document):
    """A test to run before or beside the order."""

    name: str = Field(description="Name of the test.")
    why: str = Field(description="What it would decide.")
    how: str = Field(description="How it is done.")
    read_after_h: float = Field(description="When to read it, from starting it [h].")
    read_on: dt.date | None = Field(description="Day to read it.")
    worth: float = Field(description="What it is worth, in the shop's currency.")
    cost: float = Field(description="What it costs, in the shop's currency.")
    source: str = Field(description="Where the test is from.")


class AssumptionDocument(Document):
    """An input nobody measured."""

    name: str = Field(description="Which input.")
    shown: str = Field(description="The number with its unit, as people read it.")
    quantity_si: QuantityDocument = Field(description="The number in SI units.")


class InputDocument(AssumptionDocument):
    """An input of the plan."""

    path: str = Field(description="Place of the input, for provenance.")


class ProvenanceDocument(Document):
    """Where the numbers under a path come from."""

    path: str = Field(description="Keys of this document that it is about.")
    model: str = Field(description="Model that computed them.")
    page: str = Field(description="Page of the manual.")
    range_note: str = Field(description="What the model covers.")
    inputs: tuple[str, ...] = Field(description="Paths of the inputs that it used.")


class MetaDocument(Document):
    """How the plan was computed; the same again gives the same plan."""

    seed: int = Field(description="Seed of the samples.")
    samples: int = Field(description="Samples per forecast.")
    version: str = Field(description="Version of laydown.")


class RestsOnDocument(Document):
    """The shop's own tests that the bleed forecast uses."""

    level: str = Field(description="How near they lie to the garment.")
    about: str = Field(description="Which cloth they are of.")
    swatches: tuple[int, ...] = Field(description="Numbers of the swatches.")
    readings: int = Field(description="How many readings were used.")
    fitted_at: dt.datetime = Field(description="When the nearest test was fitted.")
    notes: tuple[str, ...] = Field(default=(), description="What the fit says against itself.")


class PlanDocument(Document):
    """The answer to one order."""

    order: OrderDocument = Field(description="The order that was planned for.")
    complete: bool = Field(description="Whether every print has a stack that meets all requirements.")
    prints: tuple[PrintPlanDocument, ...] = Field(description="Print by print.")
    cost: CostDocument | None = Field(description="Expected cost of the whole order; null when a print has no stack.")
    tests: tuple[TestDocument, ...] = Field(description="Tests to run.")
    decisive: str = Field(description="The assumption or missing test that matters most.")
    cautions: tuple[str, ...] = Field(description="What to take care of.")
    assumptions: tuple[AssumptionDocument, ...] = Field(description="Inputs nobody measured.")
    inputs: tuple[InputDocument, ...] = Field(description="Inputs by path.")
    provenance: tuple[ProvenanceDocument, ...] = Field(description="Where the numbers come from.")
    meta: MetaDocument = Field(description="How the plan was computed.")
    rests_on: RestsOnDocument | None = Field(
        default=None, description="The shop's own tests that the bleed forecast uses; null without one."
    )
