"""A kept plan as a page shows it: words, tables and drawings; plain data only, so that another process can make it."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from laydown.domain.plan import Cost, Plan, PrintPlan
from laydown.domain.quantity import Grade
from laydown.domain.shop import Preferences, Shop
from laydown.planning.flash_settings import weakest_flash
from laydown.planning.information import words_for
from laydown.planning.tests_to_run import PROTOCOLS
from laydown.report import display_units as show
from laydown.report.decimal_sign import decimal_sign, sentence
from laydown.report.plain_text import capital, printable
from laydown.report.shop_words import shop_words
from laydown.report.stack_words import stack_words
from laydown.report.swatch_colour import lab_to_srgb, srgb_of
from laydown.report.ticket_fields import ticket_pages
from laydown.services.plan_book_reading import plan_from_json

View = dict[str, Any]


@lru_cache(maxsize=6)
def read_both(plan_text: str, shop_text: str) -> tuple[Plan, Shop]:
    """Plan and the shop it rests on, from the texts that the store keeps."""
    from laydown.store.shop_exchange import shop_from_document

    shop = shop_from_document(shop_text)
    return plan_from_json(plan_text, shop), shop


def names_of(plan: Plan, shop: Shop) -> tuple[str, ...]:
    """Names that stand in a plan's sentences; a figure in them is no number."""
    shelves = (shop.inks, shop.screens, shop.presses, shop.dryers, shop.garments, shop.rules)
    return (
        plan.order.name,
        *(one.place for one in plan.order.prints),
        *(one.name for shelf in shelves for one in shelf),
    )


def plan_view(plan_text: str, shop_text: str, prefs: Preferences, decimal: str = ".") -> View:
    """Everything that the page of a plan shows.

    Parameters
    ----------
    plan_text, shop_text : str
        As the store keeps them.
    prefs : Preferences
        Units of whoever reads.
    decimal : str
        Sign before decimals.

    Returns
    -------
    dict
        ``prints`` with one dictionary a print, and what holds for the order.
    """
    plan, shop = read_both(plan_text, shop_text)
    with decimal_sign(decimal, names_of(plan, shop)):
        return _view(plan, shop, prefs)


def outline_view(plan_text: str, shop_text: str, prefs: Preferences, decimal: str = ".") -> View:
    """As `plan_view`, without the charts and without the stacks that lost, which take nearly all the time."""
    plan, shop = read_both(plan_text, shop_text)
    with decimal_sign(decimal, names_of(plan, shop)):
        return _view(plan, shop, prefs, whole=False)


def _films_tests(shop: Shop) -> tuple[str, ...]:
    """Which test the dot gain of the plan's films comes from, in words; it decides on no stack."""
    source = shop.practice.tone_source
    return (f"dot gain of its films: {source}",) if source else ()


def _view(plan: Plan, shop: Shop, prefs: Preferences, *, whole: bool = True) -> View:
    pages = ticket_pages(plan, prefs, charts=whole)
    prints = [
        _print(plan, shop, chosen, page, prefs, index) | {"losers": _losers(chosen, prefs) if whole else []}
        for index, (chosen, page) in enumerate(zip(plan.prints, pages, strict=True))
    ]
    head = pages[0]["head"]
    return {
        "order": head["order"],
        "identifier": plan.order.identifier,
        "quantity": plan.order.quantity,
        "due": head["due"],
        "complete": plan.complete,
        "prints": prints,
        "cost": cost_view(plan.cost),
        "tests": _tests(plan, prefs),
        "decisive": capital(sentence(printable(plan.decisive))),
        "rests_on": sentence(printable(plan.rests_on.sentence)) if plan.rests_on is not None else "",
        "own_tests": [capital(shop_words(one, prefs)) for one in (*plan.own_tests, *_films_tests(shop))],
        "cautions": [capital(shop_words(c, prefs)) for c in plan.cautions],
        "safety": pages[0]["foot"]["safety"],
        "assumptions": [
            {
                "name": sentence(printable(one.name)),
                "shown": shop_words(one.shown, prefs),
                "grade": str(one.quantity.grade),
                "source": printable(source_words(one.quantity.source)),
            }
            for one in plan.assumptions
        ],
        "inputs": len(plan.inputs),
        "origin": pages[0]["foot"]["origin"],
    }


def source_words(key: str) -> str:
    """Source as a reader can find it."""
    from laydown.data.read import find_source

    found = find_source(key)
    return found.citation if found else key


def cost_view(cost: Cost | None) -> View | None:
    """Cost with its terms."""
    if cost is None:
        return None
    return {
        "order": show.money(cost.order, cost.currency),
        "piece": show.money(cost.piece, cost.currency),
        "price": show.money(cost.price, cost.currency),
        "terms": [{"name": capital(printable(name)), "amount": show.number(amount, 2)} for name, amount in cost.terms],
        "currency": cost.currency,
        "value": round(cost.order, 2),
    }


def own_ids(svg: str, slug: str) -> str:
    """Drawing whose ids begin with a word of its own, so that several fit into one page."""
    import re

    for name in dict.fromkeys(re.findall(r'\bid="([^"]+)"', svg)):
        svg = svg.replace(f'id="{name}"', f'id="{slug}-{name}"').replace(f"url(#{name})", f"url(#{slug}-{name})")
        svg = svg.replace(f'aria-labelledby="{name} ', f'aria-labelledby="{slug}-{name} ')
        svg = svg.replace(f' {name}">', f' {slug}-{name}">')
    return svg


def drawings(page: View, slug: str) -> View:
    """Drawings of a print, ready to stand in a page."""
    return {name: own_ids(page[name], slug) for name in ("section", "heat", "bleed") if name in page}


def _print(plan: Plan, shop: Shop, chosen: PrintPlan, page: View, prefs: Preferences, index: int) -> View:
    print_ = plan.order.prints[index]
    forecast = chosen.forecast
    days: list[View] = []
    if forecast is not None:
        condition = shop.preferences.condition
        days = [
            {
                "day": f"{day.day:g}",
                "srgb": lab_to_srgb(day.lab, condition),
                "difference": show.spread(day.difference),
                "grade": show.grade(day.grade.p50),
                "worse": show.grade(min(day.grade.p10, day.grade.p90)),
                "better": show.grade(max(day.grade.p10, day.grade.p90)),
                "risk": show.chance(day.risk),
            }
            for day in forecast.bleed.days
        ]
    return (
        page
        | drawings(page, f"p{index}")
        | {
            "index": index,
            "place": printable(chosen.place),
            "size": show.size(print_, prefs),
            "stack": stack_words(chosen.stack, prefs) if chosen.stack else "",
            "why": [capital(shop_words(w, prefs)) for w in chosen.why],
            "confidence": show.chance(chosen.confidence),
            "confidence_share": round(chosen.confidence, 4),
            "cost": cost_view(chosen.cost),
            "pace": _pace(chosen),
            "machines": _machines(chosen, shop),
            "drivers": [
                {
                    "name": sentence(words_for(d.name)),
                    "share": show.percent(d.share),
                    "test": sentence(printable(d.test)),
                }
                for d in (forecast.drivers if forecast else ())
            ],
            "out_of_range": [shop_words(w, prefs) for w in (forecast.out_of_range if forecast else ())],
            "bleeds": bool(forecast and forecast.bleed.applies),
            "bleed_note": shop_words(forecast.bleed.note, prefs) if forecast else "",
            "limit_day": f"{forecast.bleed.limit_day:g}" if forecast else "",
            "area": sentence(printable(forecast.bleed.area)) if forecast else "",
            "days": days,
            "cloth": srgb_of(plan.order.garment.colour),
            "has_art": print_.art is not None,
            "art_notes": [shop_words(n, prefs) for n in (print_.art.notes if print_.art else ())],
            "considered": show.number(chosen.considered),
        }
    )


def _machines(chosen: PrintPlan, shop: Shop) -> list[View]:
    """What heats the print, and what its numbers on the shelf rested on when the plan was made."""
    settings = chosen.settings
    if settings is None:
        return []
    dryer = shop.dryer(settings.dryer.dryer)
    known = [(dryer.name, dryer.zones[0].exchange)]
    if any(one.flash_seconds is not None for one in settings.passes):
        unit = weakest_flash(shop.press(settings.press))
        known.append((unit.name, unit.exchange))
    return [
        {
            "name": name,
            "measured": quantity.grade is Grade.MEASURED,
            "grade": str(quantity.grade),
            "source": printable(source_words(quantity.source)),
        }
        for name, quantity in known
    ]


def _pace(chosen: PrintPlan) -> View | None:
    made = chosen.production
    if made is None:
        return None
    return {
        "rate": show.pieces_per_hour(made.rate),
        "bottleneck": made.bottleneck,
        "set_up": show.duration(made.set_up_time),
        "run": show.duration(made.run_time),
        "cycle": show.duration(made.cycle_time),
    }


def _losers(chosen: PrintPlan, prefs: Preferences) -> list[View]:
    """Every stack that was not taken, those that would also do among them."""
    return [
        {
            "stack": shop_words(other.stack, prefs),
            "stage": other.stage,
            "reason": shop_words(other.reason, prefs),
            "rule": printable(other.rule),
            "cost": "" if other.expected_cost is None else show.number(other.expected_cost, 2),
            "cost_value": "" if other.expected_cost is None else f"{other.expected_cost:.2f}",
        }
        for other in chosen.rejected
    ]


def _tests(plan: Plan, prefs: Preferences) -> list[View]:
    currency = next((p.cost.currency for p in plan.prints if p.cost), "")
    protocols = {one.name: one.protocol for one in PROTOCOLS}
    return [
        {
            "name": capital(sentence(printable(test.name))),
            "protocol": protocols.get(test.name, ""),
            "why": capital(shop_words(test.why, prefs)),
            "how": shop_words(test.how, prefs),
            "read": f"read on {show.date(test.read_on)}"
            if test.read_on
            else f"read after {show.duration(test.read_after)}",
            "worth": show.number(test.worth, 2) if currency else "",
            "cost": show.money(test.cost, currency) if currency else "",
            "source": printable(source_words(test.source)),
        }
        for test in plan.tests
    ]
