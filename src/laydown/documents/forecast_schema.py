"""What a forecast looks like in a plan's JSON: the published keys, their units and their meaning."""

from __future__ import annotations

from pydantic import Field

from laydown.documents.plan_parts import Document, Lab, Share, SpreadDocument


class LaydownDocument(Document):
    """What one pass leaves on the cloth."""

    label: str = Field(description="The pass in a printer's words.")
    wet_um: SpreadDocument = Field(description="Wet laydown of all its hits [µm].")
    film_um: SpreadDocument = Field(description="Cured film it adds above the cloth [µm].")
    rival_wet_um: float | None = Field(
        description="Wet laydown by the trade-press formula [µm]; null where it does not cover the mesh."
    )


class OpacityDocument(Document):
    """Cover on day 0."""

    area: str = Field(description="Part of the print that is judged.")
    difference_de: SpreadDocument = Field(description="CIEDE2000 to the ink's own full-hiding colour.")
    lab: Lab = Field(description="Median colour on day 0, CIELAB.")
    target_lab: Lab = Field(description="The ink's own full-hiding colour, CIELAB.")
    limit_de: float = Field(description="Largest difference that is accepted, CIEDE2000.")
    risk: Share = Field(description="Probability of missing the limit, share of one.")


class HeatDocument(Document):
    """Temperatures on the press and through the dryer, median sample; lists of equal length."""

    times_s: tuple[float, ...] = Field(description="Time [s].")
    film_surface_c: tuple[float, ...] = Field(description="Surface of the film [°C].")
    interface_c: tuple[float, ...] = Field(description="Between film and cloth [°C].")
    cloth_back_c: tuple[float, ...] = Field(description="Back of the cloth [°C].")


class FlashDocument(Document):
    """One flash: the dwell that gels the coolest point of the film."""

    after: str = Field(description="Pass it follows.")
    dwell_s: float = Field(description="Time under the flash [s].")
    gel_temperature_c: float = Field(description="Temperature that gels the ink [°C].")
    film_temperature_c: SpreadDocument = Field(description="Coolest point of the film at the end [°C].")
    risk: Share = Field(description="Probability that the film is not gelled, share of one.")


class CureDocument(Document):
    """Whether the whole film cures, and what the cloth bears."""

    ink: str = Field(description="The hardest ink to cure.")
    needed_temperature_c: float = Field(description="Temperature that its coolest point needs [°C].")
    needed_hold_s: float = Field(description="Time it needs there [s].")
    margin_k: SpreadDocument = Field(description="Coolest point's peak above that temperature [K].")
    hold_margin_s: SpreadDocument = Field(description="Time at or above it beyond the hold that is needed [s].")
    probe_peak_c: SpreadDocument = Field(description="What a probe under the print should read at its peak [°C].")
    cloth_peak_c: SpreadDocument = Field(description="Hottest point of the cloth [°C].")
    cloth_limit_c: float = Field(description="Hottest that the cloth may become [°C].")
    cloth_limit_reason: str = Field(description="Why: scorch, shrink, glaze, or the dye.")
    risk: Share = Field(description="Probability of an undercured film, share of one.")
    cloth_risk: Share = Field(description="Probability of a cloth hotter than its limit, share of one.")


class BleedDayDocument(Document):
    """Colour on one day after printing, against the same print without dye in it."""

    day: float = Field(description="Days after printing.")
    difference_de: SpreadDocument = Field(description="CIEDE2000 to the print without dye.")
    grade: SpreadDocument = Field(description="Staining grade, ISO 105-A03 scale, 5 is no stain.")
    lab: Lab = Field(description="Median colour, CIELAB.")
    risk: Share = Field(description="Probability of a grade below the limit on this day, share of one.")


class BleedDocument(Document):
    """Dye migration into the print."""

    applies: bool = Field(description="Whether the cloth has migrating dye at all.")
    area: str = Field(description="Part of the print that is judged.")
    days: tuple[BleedDayDocument, ...] = Field(description="The forecast day by day.")
    limit_grade: float = Field(description="Lowest staining grade that is accepted.")
    limit_day: float = Field(description="Day on which it must still hold.")
    risk: Share = Field(description="Probability of missing it, share of one.")
    screening: bool = Field(description="True: an estimate without a test of this cloth.")
    note: str = Field(description="What to know of the forecast.")


class StretchDocument(Document):
    """Ink elongation against the cloth's working stretch."""

    ink: str = Field(description="The stiffest ink.")
    elongation_percent: SpreadDocument = Field(description="Stretch that it bears [%].")
    cloth_percent: SpreadDocument = Field(description="Stretch of the cloth in wear [%].")
    risk: Share = Field(description="Probability of a crack, share of one.")


class AdhesionDocument(Document):
    """Whether the first ink down holds on this surface."""

    ink: str = Field(description="First ink down.")
    surface: str = Field(description="What it must hold on.")
    holds: bool = Field(description="Whether it does.")
    reason: str = Field(description="Why.")


class HandDocument(Document):
    """Softness."""

    film_areal_mass_gsm: SpreadDocument = Field(description="Film mass per area times covered share [g/m²].")
    hand_class: str = Field(description="Class of hand.")
    limit: str = Field(description="Heaviest class that is accepted.")


class GhostingDocument(Document):
    """Whether a blocker may discolour this cloth."""

    warned: bool = Field(description="Whether there is a warning.")
    reason: str = Field(description="Why.")


class DriverDocument(Document):
    """One uncertain input and what it does to the spread."""

    name: str = Field(description="Input.")
    share: float = Field(description="Part of the forecast's spread that it explains, share of one.")
    test: str = Field(description="Test that would narrow it.")


class ForecastDocument(Document):
    """All forecasts for the chosen stack."""

    laydown: tuple[LaydownDocument, ...] = Field(description="Pass by pass.")
    film_um: SpreadDocument = Field(description="Whole film above the cloth [µm].")
    film_variation: float = Field(description="Coefficient of variation of the local film thickness, share of one.")
    opacity: OpacityDocument = Field(description="Cover on day 0.")
    flashes: tuple[FlashDocument, ...] = Field(description="Flash by flash.")
    heat: HeatDocument = Field(description="Temperature history.")
    cure: CureDocument = Field(description="Cure and the cloth's limit.")
    bleed: BleedDocument = Field(description="Dye migration.")
    stretch: StretchDocument = Field(description="Stretch.")
    adhesion: AdhesionDocument = Field(description="Adhesion.")
    hand: HandDocument = Field(description="Softness.")
    ghosting: GhostingDocument = Field(description="Ghosting.")
    drivers: tuple[DriverDocument, ...] = Field(description="Inputs that matter most, largest first.")
    fail_risk: Share = Field(description="Probability of missing any requirement, share of one.")
    out_of_range: tuple[str, ...] = Field(description="Models asked outside the range that their sources cover.")
