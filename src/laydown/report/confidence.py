"""How sure a plan is, in one or two sentences that mean the same on paper and on the screen."""

from __future__ import annotations

from laydown.domain.forecast import Forecast
from laydown.domain.plan import Plan, PrintPlan
from laydown.report.display_units import chance, number
from laydown.report.plain_text import capital

SCREENING = "Screening estimate until the cloth lot passes its own test."
TESTED = "Narrowed by tests of this cloth; a new lot needs its own test."


def confidence_words(chosen: PrintPlan, plan: Plan) -> str:
    """Share of the simulated prints that meet every requirement, and how much risk the order allows."""
    allowed = chance(plan.order.requirements.risk)
    return (
        f"{capital(chance(chosen.confidence))} of {number(plan.samples)} simulated prints meet every requirement; "
        f"the order allows a risk of {allowed} for each."
    )


def standing_words(forecast: Forecast) -> str:
    """Whether the forecast rests on tests of this cloth or is a screening estimate."""
    return SCREENING if forecast.bleed.screening else TESTED
