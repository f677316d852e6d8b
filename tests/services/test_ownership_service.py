"""Which whites a small shop should own, from a season of orders to the answer."""

from dataclasses import replace
from functools import cache

import pytest

from laydown.domain.garment import Dye
from laydown.domain.order import Requirements
from laydown.errors import InvalidInput
from laydown.services.ownership import own_inks, read_season
from laydown.services.planning import choices_for
from laydown.services.shelves import open_shop
from small_shop import (
    a_print,
    barrier,
    blend,
    blocking_white,
    colour,
    order,
    poly_white,
    polyester,
    screen,
    shop,
    white,
)

FEW = 24
OWNER = shop(
    inks=(white(), blocking_white(capacity=0.06), poly_white(), barrier(), colour("Red")),
    screens=(screen("43/80"), screen("120/34")),
)
EASY = Requirements(opacity=15.0, bleed_grade=4.0, risk=0.1)


def season(**changes):
    """Cotton often, a blend now and then, strong polyester seldom."""
    often = {"cotton": 60.0, "blend": 20.0, "polyester": 8.0} | changes
    garments = {"cotton": None, "blend": blend(), "polyester": polyester(dye=Dye.DISPERSE_MEDIUM)}
    return tuple(
        replace(order(garments[name], requirements=EASY), name=name, times_a_year=times)
        for name, times in often.items()
    )


@cache
def owned():
    return own_inks(OWNER, season(), samples=FEW)


def test_every_order_of_the_season_has_an_answer():
    assert {one.order for one in owned().orders} == {"cotton", "blend", "polyester"}
    assert owned().left_out == ()
    assert all(one.meets for one in owned().orders)


def test_only_inks_of_the_shelf_are_owned_and_those_that_are_printed_are():
    names = {ink.name for ink in OWNER.inks}

    assert set(owned().inks) <= names
    for served in owned().orders:
        asked = next(o for o in season() if o.name == served.order)
        (choice,), _ = choices_for(OWNER, asked, samples=FEW)
        printed = next(a for a in choice.computed if a.stack.label == served.stack)
        assert {ink.name for ink in printed.stack.inks} <= set(owned().inks)
        assert served.cost == pytest.approx(printed.cost.order)
        assert served.fail_risk == pytest.approx(printed.forecast.fail_risk)


def test_the_yearly_cost_is_that_of_its_terms_and_its_orders():
    terms = dict(owned().terms)

    assert owned().yearly_cost == pytest.approx(sum(terms.values()))
    assert terms["orders"] == pytest.approx(sum(one.cost * one.times_a_year for one in owned().orders))


def test_every_ink_that_was_decided_on_says_what_the_opposite_would_do():
    decided = {v.ink: v for v in owned().verdicts}

    assert set(decided) == {"Plain White", "Blocking White", "Polyester White", "Dark Barrier"}
    for ink, verdict in decided.items():
        assert verdict.kept == (ink in owned().inks)
        assert (verdict.change is None) == bool(verdict.unserved)
        assert verdict.change is None or verdict.change >= -1e-9


def test_a_universal_white_costs_money_or_misses_orders():
    names = [u.white for u in owned().universals]

    assert set(names) == {"Plain White", "Blocking White", "Polyester White"}
    for universal in owned().universals:
        assert universal.difference >= -1e-9 or universal.missed or universal.unprintable


def test_polyester_forces_a_white_that_blocks():
    blocking = {"Blocking White", "Polyester White"}
    (polyester_,) = (one for one in owned().orders if one.order == "polyester")

    assert blocking & set(owned().inks)
    assert any(name in polyester_.stack for name in blocking)


def test_a_season_of_cotton_needs_one_white():
    found = own_inks(OWNER, season()[:1], samples=FEW)

    assert found.inks == ("Plain White",)
    assert found.main_white == "Plain White"


def test_a_season_that_costs_more_comes_oftener():
    once, twice = (
        own_inks(OWNER, season(cotton=60.0 * f, blend=20.0 * f, polyester=8.0 * f), samples=FEW) for f in (1, 2)
    )

    assert twice.yearly_cost > 1.5 * once.yearly_cost


def test_the_answer_is_the_same_twice():
    assert own_inks(OWNER, season(), samples=FEW) == owned()


def test_progress_is_told_order_by_order():
    told = []

    own_inks(OWNER, season()[:2], samples=FEW, progress=told.append)

    assert told == ["planning cotton", "planning blend"]


def test_prints_of_one_order_go_through_one_white_where_they_can():
    two = replace(season()[0], prints=(a_print(), a_print(("white", 0.1), place="back")))

    found = own_inks(OWNER, (two,), samples=FEW)

    (served,) = found.orders
    front, back = served.stack.split("; ")
    assert front.startswith("Plain White")
    assert back.startswith("Plain White")


def test_colours_are_owned_anyway_and_not_decided_on():
    mixed = replace(season()[0], prints=(a_print(), a_print(("Red", 0.1), place="back")))

    found = own_inks(OWNER, (mixed,), samples=FEW)

    assert "Red" in found.orders[0].stack
    assert "Red" not in {v.ink for v in found.verdicts}


def test_an_order_that_nothing_meets_is_named_and_the_rest_is_answered():
    hopeless = replace(season()[0], name="hopeless", requirements=Requirements(opacity=0.2))

    found = own_inks(OWNER, (season()[0], hopeless), samples=FEW)

    named = {name for name, _ in found.left_out} | {one.order for one in found.orders if not one.meets}
    assert named == {"hopeless"}
    assert "Plain White" in found.inks


# --- reading a season ----------------------------------------------------------------------------------------------


ORDER = """
[order]
name = "{name}"
quantity = 50
due = 2026-12-10
times_a_year = 12
[garment]
reference = "Quayside tee black"
[[print]]
place = "front"
width_mm = 200
height_mm = 200
coverage = 0.3
inks = ["white"]
"""


def test_a_season_is_every_order_file_of_a_folder_by_name(tmp_path):
    for name in ("b", "a"):
        (tmp_path / f"{name}.toml").write_text(ORDER.format(name=name), encoding="utf-8")
    (tmp_path / "notes.txt").write_text("not an order", encoding="utf-8")

    found = read_season(tmp_path, open_shop())

    assert [o.name for o in found] == ["a", "b"]
    assert {o.times_a_year for o in found} == {12.0}


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(InvalidInput, match="there is no such folder"):
        read_season(tmp_path / "nowhere", open_shop())


def test_a_folder_without_orders_is_told(tmp_path):
    with pytest.raises(InvalidInput, match="holds no order file"):
        read_season(tmp_path, open_shop())


def test_a_mistake_in_one_order_names_its_file(tmp_path):
    (tmp_path / "a.toml").write_text(ORDER.format(name="a").replace("quantity = 50", "quantity = -1"), encoding="utf-8")

    with pytest.raises(InvalidInput, match=r"a\.toml"):
        read_season(tmp_path, open_shop())
