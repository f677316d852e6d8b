"""Everything that stands on a ticket, as words: plan in, one plain dictionary for each page out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from laydown.domain.forecast import Forecast
from laydown.domain.order import Order, Print
from laydown.domain.plan import DryerSettings, Plan, PrintPlan, Production, Settings
from laydown.domain.shop import Preferences
from laydown.domain.stack import Stack
from laydown.report import display_units as show
from laydown.report.bleed_chart import bleed_chart
from laydown.report.confidence import confidence_words, standing_words
from laydown.report.cross_section import cross_section
from laydown.report.decimal_sign import sentence
from laydown.report.plain_text import capital, printable
from laydown.report.shop_words import shop_words
from laydown.report.swatch_colour import srgb_of
from laydown.report.temperature_chart import temperature_chart
from laydown.report.ticket_forecast import expected_cells
from laydown.report.ticket_plates import PrintPictures, plate_fields
from laydown.report.ticket_press import inks_to_mix, press_rows, screens_to_burn

Fields = dict[str, Any]

SAFETY = (
    "Dryers, flashes and fresh prints burn and can set garments and pallets alight: never leave them unattended, "
    "keep the exhaust on. Data sheets and local codes come before this sheet."
)
_SHORT_FROM = {"a4": 7, "letter": 5}


def ticket_pages(
    plan: Plan, prefs: Preferences, pictures: Mapping[str, PrintPictures] | None = None, *, charts: bool = True
) -> list[Fields]:
    """Fields of every page of a ticket: one a print, and one more for its plates where there are pictures of them.

    Parameters
    ----------
    plan : Plan
    prefs : Preferences
        How the shop likes to read numbers.
    pictures : mapping of str to PrintPictures, optional
        By the place of the print.
    charts : bool
        Whether to draw the charts of temperature and bleed, which take longer than all the rest.

    Returns
    -------
    list of dict
        Strings, numbers, lists and dictionaries only, ready for JSON. Names that people typed are printable.
    """
    prints = {p.place: p for p in plan.order.prints}
    pages = []
    for n, chosen in enumerate(plan.prints, start=1):
        printed = prints[chosen.place]
        page: Fields = {
            "head": _head(plan, printed, prefs, n),
            "facts": _facts(plan.order, chosen, prefs),
            "tests": _tests(plan, prefs),
            "cautions": [shop_words(c, prefs) for c in plan.cautions],
            "foot": _foot(plan),
            "failed": _failed(chosen, prefs),
            "considered": show.number(chosen.considered),
            "notice": _notice(plan, chosen),
        }
        if chosen.stack and chosen.settings and chosen.forecast and chosen.production:
            page |= _job(plan, chosen, chosen.stack, chosen.settings, chosen.production, prefs)
            if charts:
                page |= _charts(chosen.stack, chosen.forecast, prefs)
        shown = (pictures or {}).get(chosen.place)
        if shown is not None:
            page["art"] = plate_fields(shown, prefs)
        pages.append(page)
    return pages


def _head(plan: Plan, printed: Print, prefs: Preferences, n: int) -> Fields:
    order = plan.order
    return {
        "order": printable(order.name),
        "identifier": printable(order.identifier or order.name),
        "quantity": show.number(order.quantity),
        "due": show.date(order.due),
        "place": printable(printed.place),
        "size": show.size(printed, prefs),
        "page": f"print {n} of {len(plan.prints)}" if len(plan.prints) > 1 else "",
    }


def _facts(order: Order, chosen: PrintPlan, prefs: Preferences) -> list[Fields]:
    garment = order.garment
    cloth = f"{garment.structure.value}, {show.areal_mass(garment.areal_mass.value, prefs)}"
    lot = f"lot {printable(garment.lot)}, " if garment.lot else ""
    facts = [
        {"name": "Garment", "lead": printable(garment.name), "more": f"{garment.content}; {cloth}"},
        {
            "name": "Dye",
            "lead": garment.dye.value,
            "more": f"{lot}{garment.history.value} here{', coated face' if garment.coated else ''}",
            "swatch": srgb_of(garment.colour),
        },
        {"name": "After the dryer", **_care(order)},
    ]
    if chosen.production:
        facts.append({"name": "Pace", **_pace(chosen.production)})
    return facts


def _care(order: Order) -> Fields:
    care = order.care
    pile = f"piles of {show.number(100 * care.pile_height)} cm"
    later = [event.name for event in (care.transit, care.tumble_dry) if event]
    lead = "piled hot" if care.stack_hot else "cool first, then pile"
    return {"lead": lead, "more": printable("; ".join([pile, *(f"later {name}" for name in later)]))}


def _pace(production: Production) -> Fields:
    return {
        "lead": f"{show.pieces_per_hour(production.rate)} pieces an hour",
        "more": f"the {production.bottleneck} sets the pace; set-up {show.duration(production.set_up_time)}, "
        f"run {show.duration(production.run_time)}",
    }


def _job(
    plan: Plan, chosen: PrintPlan, stack: Stack, settings: Settings, production: Production, prefs: Preferences
) -> Fields:
    forecast = chosen.forecast
    assert forecast is not None
    return {
        "press": {
            "name": printable(settings.press),
            "turns": settings.revolutions,
            "mesh_unit": show.mesh_unit(prefs),
            "rows": press_rows(stack, settings, prefs),
        },
        "dryer": _dryer(settings.dryer, prefs),
        "mix": inks_to_mix(production),
        "burn": screens_to_burn(stack, prefs),
        "expect": expected_cells(forecast, prefs),
        "sure": f"{standing_words(forecast)} {confidence_words(chosen, plan)}",
        "section": cross_section(stack, forecast, plan.order.garment, height=2 * _tall(stack, prefs) - 58),
    }


def _charts(stack: Stack, forecast: Forecast, prefs: Preferences) -> Fields:
    tall = _tall(stack, prefs)
    return {
        "heat": temperature_chart(forecast.heat, forecast.cure, prefs, height=tall),
        "bleed": bleed_chart(forecast.bleed, height=tall),
    }


def _tall(stack: Stack, prefs: Preferences) -> float:
    """Height of a chart: many passes need room on the page, which the drawings give up."""
    return 118.0 if len(stack.passes) < _SHORT_FROM[prefs.paper] else 88.0


def _dryer(dryer: DryerSettings, prefs: Preferences) -> Fields:
    return {
        "name": printable(dryer.dryer),
        "cells": [
            {"name": "Panel", "value": show.temperature(dryer.panel_temperature, prefs)},
            {"name": "Belt", "value": show.belt_speed(dryer.belt_speed, prefs)},
            {"name": "Dwell", "value": show.duration(dryer.dwell)},
            {"name": "Probe should peak at", "value": show.temperature_range(dryer.probe_low, dryer.probe_high, prefs)},
        ],
    }


def _tests(plan: Plan, prefs: Preferences) -> list[Fields]:
    return [
        {
            "name": sentence(printable(test.name)),
            "due": f"read {show.date(test.read_on)}"
            if test.read_on
            else f"read after {show.duration(test.read_after)}",
            "how": shop_words(test.how, prefs),
        }
        for test in plan.tests
    ]


def _failed(chosen: PrintPlan, prefs: Preferences) -> list[Fields]:
    return [
        {
            "requirement": capital(sentence(printable(s.requirement))),
            "by": shop_words(s.by, prefs),
            "closest": shop_words(s.closest, prefs),
            "remedy": shop_words(s.remedy, prefs),
        }
        for s in chosen.shortfalls
    ]


def _notice(plan: Plan, chosen: PrintPlan) -> str:
    others = [printable(p.place) for p in plan.prints if p.stack is None and p.place != chosen.place]
    if not others or chosen.stack is None:
        return ""
    return f"Hold this order: nothing on the shelves passes for its {' and '.join(others)} print."


def _cloth_tests(plan: Plan) -> tuple[str, ...]:
    return (plan.rests_on.sentence,) if plan.rests_on is not None else ()


def _foot(plan: Plan) -> Fields:
    return {
        "safety": SAFETY,
        "origin": f"laydown {plan.version} · seed {plan.seed} · {plan.samples} samples",
        "decisive": sentence(printable(plan.decisive)),
        "rests": "; ".join(sentence(printable(one)) for one in (*_cloth_tests(plan), *plan.own_tests)),
    }
