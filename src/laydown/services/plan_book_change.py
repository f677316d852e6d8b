"""What if: a form's wishes as a change of a plan, what they would do, and a changed plan to keep."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from laydown import units
from laydown.domain.change import Change, PassChange
from laydown.domain.plan import Plan
from laydown.domain.shop import Preferences
from laydown.errors import InvalidInput
from laydown.report import display_units as show
from laydown.report.decimal_sign import decimal_sign, figure
from laydown.report.plain_text import capital
from laydown.report.shop_words import shop_words
from laydown.report.ticket_forecast import expected_cells
from laydown.services.plan_book_view import View, cost_view, drawings, names_of, plan_view, read_both

if TYPE_CHECKING:
    from laydown.services.what_if import WhatIf

Fields = Mapping[str, str]


def view_and_forms(
    plan_text: str, shop_text: str, prefs: Preferences, decimal: str = "."
) -> tuple[View, list[View | None]]:
    """What the page of a plan shows: `laydown.services.plan_book_view.plan_view`, and the form of each print."""
    view = plan_view(plan_text, shop_text, prefs, decimal)
    with decimal_sign(decimal):
        return view, [change_form(plan_text, shop_text, prefs, index) for index in range(len(view["prints"]))]


def change_form(plan_text: str, shop_text: str, prefs: Preferences, index: int) -> View | None:
    """Fields of the form that changes a print: what stands there, what may; None when it has no stack."""
    plan, shop = read_both(plan_text, shop_text)
    chosen = plan.prints[index]
    if chosen.stack is None or chosen.settings is None:
        return None
    dryer = shop.dryer(chosen.settings.dryer.dryer)
    passes = [
        {
            "number": number,
            "role": str(pass_.role),
            "ink": pass_.ink.name if pass_.ink else "",
            "inks": [ink.name for ink in shop.inks if pass_.ink and ink.kind is pass_.ink.kind],
            "screen": pass_.screen.name,
            "screens": [
                {"name": screen.name, "label": f"{screen.name} ({show.mesh(screen.mesh, prefs)})"}
                for screen in shop.screens
                if screen.smooths == pass_.screen.smooths
            ],
            "hits": pass_.hits,
        }
        for number, pass_ in enumerate(chosen.stack.passes, start=1)
    ]
    slowest = show.belt_speed(dryer.speed_low, prefs)
    values = {name: figure(said) for name, said in _plain_values(plan, prefs, index).items()}
    return {
        "values": values,
        "passes": passes,
        "dryer": dryer.name,
        "dryers": [one.name for one in shop.dryers],
        "temperature_unit": show.temperature_unit(prefs),
        "belt_unit": "ft/min" if prefs.length == "inch" else "m/min",
        "pile_unit": "in" if prefs.length == "inch" else "mm",
        "panel_range": show.temperature_range(dryer.setting_low, dryer.setting_high, prefs),
        "belt_range": f"{slowest.split()[0]} to {show.belt_speed(dryer.speed_high, prefs)}",
    }


def forecast_change(
    plan_text: str, shop_text: str, prefs: Preferences, index: int, fields: Fields, decimal: str = "."
) -> View:
    """Forecast of a print with the form's changes beside that of the plan, its figures with this sign.

    Raises
    ------
    InvalidInput
        With the field's name in ``where``, or when such a change cannot be made.
    """
    from laydown.services.what_if import what_if

    plan, shop = read_both(plan_text, shop_text)
    with decimal_sign(decimal, names_of(plan, shop)):
        change, words = _change_of(plan, prefs, index, fields)
        found = what_if(shop, plan, change, print_index=index)
        return _told(plan, prefs, index, found, words)


def _told(plan: Plan, prefs: Preferences, index: int, found: WhatIf, words: list[str]) -> View:
    """What a change does, beside the plan's own forecast."""
    from laydown.report.bleed_chart import bleed_chart
    from laydown.report.cross_section import cross_section
    from laydown.report.temperature_chart import temperature_chart

    before, after = plan.prints[index], found.print_plan
    made: View = {
        "changed": words,
        "passes": found.passes,
        "stage": found.stage,
        "reason": capital(shop_words(found.reason, prefs)),
        "cells": [],
        "cost": cost_view(after.cost),
        "cost_before": cost_view(before.cost),
        "confidence": show.chance(after.confidence),
        "confidence_before": show.chance(before.confidence),
        "computed": after.forecast is not None and after.cost is not None,
    }
    if after.forecast is None or before.forecast is None or after.stack is None:
        return made
    pairs = zip(expected_cells(before.forecast, prefs), expected_cells(after.forecast, prefs), strict=True)
    made["cells"] = [
        {"name": was["name"], "before": was["value"], "after": now["value"], "more": now["more"], "same": was == now}
        for was, now in pairs
    ]
    settings = [one.settings.dryer for one in (before, after) if one.settings is not None]
    if len({one.dryer for one in settings}) > 1:
        was, now = (
            f"{one.dryer}: {show.temperature(one.panel_temperature, prefs)}, {show.belt_speed(one.belt_speed, prefs)}"
            for one in settings
        )
        made["cells"].append({"name": "Dryer", "before": was, "after": now, "more": "", "same": False})
    if after.production and before.production:
        pace = [f"{show.pieces_per_hour(one.rate)} an hour" for one in (before.production, after.production)]
        made["cells"].append(
            {
                "name": "Pace",
                "before": pace[0],
                "after": pace[1],
                "more": f"the {after.production.bottleneck} sets it",
                "same": pace[0] == pace[1],
            }
        )
    forecast = after.forecast
    return made | drawings(
        {
            "section": cross_section(after.stack, forecast, plan.order.garment, height=178.0),
            "heat": temperature_chart(forecast.heat, forecast.cure, prefs, height=118.0),
            "bleed": bleed_chart(forecast.bleed, height=118.0),
        },
        f"c{index}",
    )


def changed_plan(
    plan_text: str, shop_text: str, prefs: Preferences, index: int, fields: Fields, number: int
) -> tuple[str, list[str]]:
    """Plan with the form's changes, as JSON, and what was changed, in words.

    Quantity and pile hold for every print of the order, so every print is forecast anew.

    Raises
    ------
    InvalidInput
        As `forecast_change`; when nothing was changed; when the changed print cannot be made at all.
    """
    from laydown.planning.choice import Choice
    from laydown.services.planning import plan_of_choices
    from laydown.services.schemas import plan_json
    from laydown.services.what_if import assess_again

    plan, shop = read_both(plan_text, shop_text)
    with decimal_sign("."):
        # It is kept, and read by others too.
        change, words = _change_of(plan, prefs, index, fields)
    if not words:
        raise InvalidInput("nothing was changed, so there is nothing to keep", where="change")
    rest = Change(quantity=change.quantity, pile_height=change.pile_height, stack_hot=change.stack_hot)
    choices: list[Choice] = []
    missed: list[str] = []
    for place, print_ in enumerate(plan.prints):
        if print_.stack is None:
            raise InvalidInput(
                "the order has a print without a stack; plan it before a change is kept", where=print_.place
            )
        job, tried = assess_again(shop, plan, change if place == index else rest, print_index=place)
        if tried.forecast is None or tried.cost is None:
            raise InvalidInput(f"this cannot be printed: {tried.reason}", where=print_.place)
        if tried.stage:
            missed.append(f"changed by hand, the {print_.place} misses what is asked ({tried.stage}): {tried.reason}")
        choices.append(Choice(job=job, best=tried, passing=(tried,), failing=()))
    made = plan_of_choices(shop, choices[0].job.order, tuple(choices), (), samples=plan.samples, seed=plan.seed)
    told = f"changed by hand from plan {number}: {'; '.join(words)}"
    prints = tuple(
        replace(one, why=(told,) if place == index else plan.prints[place].why) for place, one in enumerate(made.prints)
    )
    return plan_json(replace(made, prints=prints, cautions=(*missed, *made.cautions))), words


def _change_of(plan: Plan, prefs: Preferences, index: int, fields: Fields) -> tuple[Change, list[str]]:
    """Change that the form asks for, and each difference in words."""
    chosen = plan.prints[index]
    if chosen.stack is None or chosen.settings is None:
        raise InvalidInput("this print has no stack yet, so there is nothing to change", where=chosen.place)
    plain = _plain_values(plan, prefs, index)
    wanted: dict[str, Any] = {}
    words: list[str] = []

    def differs(name: str, label: str, unit: str) -> float | None:
        said = "".join(fields.get(name, "").split()).replace(",", ".")
        if not said or said == plain[name]:
            return None
        try:
            value = float(said)
        except ValueError:
            raise InvalidInput(f"{said!r} is no number", where=name) from None
        if not abs(value) < 1e7:
            raise InvalidInput(f"{said!r} is no number that can be meant", where=name)
        words.append(f"{label} {figure(plain[name])} → {figure(said)}{unit}")
        return value

    dryer = fields.get("dryer", "").strip()
    if dryer and dryer != chosen.settings.dryer.dryer:
        wanted["dryer"] = dryer
        words.append(f"dryer {dryer} instead of {chosen.settings.dryer.dryer}")
    panel = differs("panel", "panel", f" {show.temperature_unit(prefs)}")
    if panel is not None:
        wanted["panel_temperature"] = (
            units.from_fahrenheit(panel) if prefs.temperature == "F" else units.from_celsius(panel)
        )
    belt = differs("belt", "belt", " ft/min" if prefs.length == "inch" else " m/min")
    if belt is not None:
        wanted["belt_speed"] = (
            units.from_foot_per_minute(belt) if prefs.length == "inch" else units.from_metre_per_minute(belt)
        )
    pile = differs("pile", "pile", " in" if prefs.length == "inch" else " mm")
    if pile is not None:
        wanted["pile_height"] = units.from_inch(pile) if prefs.length == "inch" else units.from_mm(pile)
        if not 0.005 <= wanted["pile_height"] <= 3.0:
            raise InvalidInput(f"a pile of {pile:g} is not allowed; allowed is 5 mm to 3 m", where="pile")
    quantity = differs("quantity", "quantity", "")
    if quantity is not None:
        # A sign between thousands would be read as one before decimals.
        whole = "".join(fields.get("quantity", "").split()).isdecimal()
        if not whole or not 1 <= quantity <= 1_000_000:
            raise InvalidInput("a whole number from 1 to 1000000 is needed, without a sign in it", where="quantity")
        wanted["quantity"] = int(quantity)
    hot = fields.get("stack_hot", "").strip()
    if hot and (hot == "yes") != plan.order.care.stack_hot:
        wanted["stack_hot"] = hot == "yes"
        words.append("piled hot" if hot == "yes" else "cooled before piling")
    passes: list[PassChange] = []
    for number, pass_ in enumerate(chosen.stack.passes, start=1):
        one = _pass_change(number, pass_.ink.name if pass_.ink else "", pass_.screen.name, pass_.hits, fields, words)
        if one is not None:
            passes.append(one)
    return Change(passes=tuple(passes), **wanted), words


def _pass_change(number: int, ink: str, screen: str, hits: int, fields: Fields, words: list[str]) -> PassChange | None:
    said = {name: fields.get(f"{name}{number}", "").strip() for name in ("ink", "screen", "hits")}
    made: dict[str, Any] = {}
    if said["ink"] and said["ink"] != ink:
        made["ink"] = said["ink"]
        words.append(f"ink of pass {number}: {said['ink']} instead of {ink}")
    if said["screen"] and said["screen"] != screen:
        made["screen"] = said["screen"]
        words.append(f"screen of pass {number}: {said['screen']} instead of {screen}")
    if said["hits"] and said["hits"] != str(hits) and ink:
        if said["hits"] not in {"1", "2", "3", "4", "5", "6"}:
            raise InvalidInput("1 to 6 hits are allowed", where=f"hits{number}")
        made["hits"] = int(said["hits"])
        words.append(f"hits of pass {number}: {said['hits']} instead of {hits}")
    return PassChange(number=number, **made) if made else None


def _plain_values(plan: Plan, prefs: Preferences, index: int) -> dict[str, str]:
    """Values of the form's fields as the plan has them, in the units of whoever reads."""
    settings = plan.prints[index].settings
    assert settings is not None
    dryer, inch = settings.dryer, prefs.length == "inch"
    belt = units.to_foot_per_minute(dryer.belt_speed) if inch else units.to_metre_per_minute(dryer.belt_speed)
    pile = plan.order.care.pile_height
    return {
        "panel": f"{show.temperature_number(dryer.panel_temperature, prefs):.0f}",
        "belt": f"{belt:.2f}",
        "pile": f"{units.to_inch(pile):.1f}" if inch else f"{units.to_mm(pile):.0f}",
        "quantity": str(plan.order.quantity),
        "stack_hot": "yes" if plan.order.care.stack_hot else "no",
    }
