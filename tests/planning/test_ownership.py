import itertools
import math
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from laydown.domain.ink import InkKind
from laydown.errors import ConvergenceError, InvalidInput
from laydown.planning import ownership_programme
from laydown.planning.ownership import SeasonOrder, StackOption, best_shelf
from laydown.planning.ownership_programme import Option, undominated
from production_records import costs, ink

WHITES = ("cotton white", "general white", "polyester white")
YEAR = 365 * 86400.0
INKS = (
    *(ink(name, price=20.0, pail=5.0, shelf_life=YEAR) for name in WHITES),
    ink("barrier", InkKind.BARRIER, price=30.0, pail=5.0, shelf_life=YEAR / 2),
    ink("stretch additive", InkKind.STRETCH_ADDITIVE, price=50.0, pail=1.0, shelf_life=2 * YEAR),
    ink("red", InkKind.COLOUR),
)
DECIDED = tuple(i for i in INKS if i.kind is not InkKind.COLOUR)


def option(cost, *inks, kg=0.5, risk=0.01, meets=True, wishes=0.0, ghosting=False):
    return StackOption(
        stack=" + ".join(inks),
        cost=cost,
        fail_risk=risk,
        meets=meets,
        uses=tuple((name, kg) for name in inks),
        wishes=wishes,
        ghosting=ghosting,
    )


def season_order(name, *options, times=1.0):
    return SeasonOrder(name=name, times_a_year=times, options=options)


def rates(keeping=0.0, wash_up=0.0):
    return costs(ink_keeping=keeping, wash_up_cost=wash_up)


def cost_of(orders, picks, inks, keeping, wash_up, kept=()):
    """Yearly cost of picked options, and the inks owned, worked out without the code under test."""
    owned, spent, printed = set(kept), {}, {}
    total = 0.0
    for order, pick in zip(orders, picks, strict=True):
        total += order.times_a_year * pick.cost
        for name, kg in pick.uses:
            if name != "red":
                owned.add(name)
                spent[name] = spent.get(name, 0.0) + order.times_a_year * kg
            if name in WHITES:
                printed[name] = printed.get(name, 0.0) + order.times_a_year
    for one in inks:
        if one.name in owned:
            bought = one.pail / (one.shelf_life / YEAR)
            total += keeping + one.price * max(0.0, bought - spent.get(one.name, 0.0))
    return total + wash_up * (sum(printed.values()) - max(printed.values(), default=0.0)), owned


def wishes_of(orders, picks):
    return sum(order.times_a_year * pick.wishes for order, pick in zip(orders, picks, strict=True))


def brute_force(orders, inks, keeping, wash_up, kept=(), dropped=()):
    """Lowest yearly cost with the wishes given up, over every choice of options, or None."""
    ways = [[o for o in order.options if o.meets and not set(dropped) & set(dict(o.uses))] for order in orders]
    found = [
        cost_of(orders, picks, inks, keeping, wash_up, kept)[0] + wishes_of(orders, picks)
        for picks in itertools.product(*ways)
    ]
    return min(found, default=None)


@st.composite
def seasons(draw):
    rng = random.Random(draw(st.integers(0, 2**32)))
    names = [i.name for i in INKS]
    orders = []
    for n in range(rng.randint(1, 4)):
        options = [
            StackOption(
                stack=f"stack {m}",
                cost=rng.choice((rng.uniform(50, 400), 100.0, 200.0)),
                fail_risk=rng.uniform(0, 0.4),
                meets=m == 0 or rng.random() < 0.7,
                uses=tuple((name, rng.choice((0.0, 0.3, 4.0))) for name in rng.sample(names, rng.randint(1, 3))),
                wishes=rng.choice((0.0, rng.uniform(-60, 60))),
            )
            for m in range(rng.randint(1, 4))
        ]
        orders.append(SeasonOrder(name=f"order {n}", times_a_year=rng.choice((0.5, 1.0, 6.0)), options=tuple(options)))
    inks = tuple(
        ink(i.name, i.kind, price=rng.uniform(5, 60), pail=rng.choice((1.0, 5.0, 20.0)),
            shelf_life=rng.choice((0.5, 1.0, 2.0)) * YEAR)
        for i in INKS
    )  # fmt: skip
    return tuple(orders), inks, rng.choice((0.0, 10.0, 150.0)), rng.choice((0.0, 5.0, 60.0))


@settings(deadline=None, max_examples=60)
@given(seasons())
def test_the_best_shelf_and_every_verdict_are_what_trying_everything_gives(season):
    orders, inks, keeping, wash_up = season
    result = best_shelf(orders, inks, rates(keeping, wash_up))
    decided = [i for i in inks if i.kind is not InkKind.COLOUR]
    expected = brute_force(orders, decided, keeping, wash_up)

    assert result.yearly_cost + result.wishes == pytest.approx(expected, rel=1e-6, abs=1e-5)
    for verdict in result.verdicts:
        assert verdict.kept == (verdict.ink in result.inks)
        opposite = {"dropped" if verdict.kept else "kept": (verdict.ink,)}
        other = brute_force(orders, decided, keeping, wash_up, **opposite)
        if other is None:
            assert verdict.change is None
            assert verdict.unserved
        else:
            assert not verdict.unserved
            assert verdict.change == pytest.approx(other - expected, rel=1e-6, abs=2e-5)


@settings(deadline=None, max_examples=40)
@given(seasons())
def test_terms_add_up_and_are_those_of_the_stacks_that_are_named(season):
    orders, inks, keeping, wash_up = season
    result = best_shelf(orders, inks, rates(keeping, wash_up))
    picks = [
        next(o for o in order.options if o.stack == served.stack)
        for order, served in zip(orders, result.orders, strict=True)
    ]
    cost, owned = cost_of(orders, picks, [i for i in inks if i.kind is not InkKind.COLOUR], keeping, wash_up)

    assert math.fsum(value for _, value in result.terms) == pytest.approx(result.yearly_cost, rel=1e-12)
    assert result.yearly_cost == pytest.approx(cost, rel=1e-9)
    assert result.wishes == pytest.approx(wishes_of(orders, picks), rel=1e-9, abs=1e-9)
    assert set(result.inks) == owned
    assert all(pick.meets for pick in picks)
    assert result.reprints == pytest.approx(
        sum(o.times_a_year * p.fail_risk for o, p in zip(orders, picks, strict=True)), rel=1e-12
    )


@settings(deadline=None, max_examples=40)
@given(seasons())
def test_the_universal_white_is_the_cheapest_single_one_and_what_it_loses_is_counted(season):
    orders, inks, keeping, wash_up = season
    # Wishes steer the choice but are in no money; the cheapest is compared without them.
    orders = tuple(replace(o, options=tuple(replace(way, wishes=0.0) for way in o.options)) for o in orders)
    result = best_shelf(orders, inks, rates(keeping, wash_up))
    decided = [i for i in inks if i.kind is not InkKind.COLOUR]
    for universal in result.universals:
        others = set(WHITES) - {universal.white}
        printable, ways = [], []
        for order in orders:
            fits = [o for o in order.options if not others & set(dict(o.uses))]
            if fits:
                printable.append(order)
                ways.append([o for o in fits if o.meets] or fits)
        cheapest = min(cost_of(printable, picks, decided, keeping, wash_up)[0] for picks in itertools.product(*ways))
        best = brute_force(printable, decided, keeping, wash_up)

        assert universal.yearly_cost == pytest.approx(cheapest, rel=1e-6, abs=1e-5)
        assert universal.difference == pytest.approx(cheapest - best, rel=1e-6, abs=2e-5)
        assert set(universal.unprintable) == {o.name for o in orders} - {o.name for o in printable}
        assert {m.order for m in universal.missed} == {
            o.name for o, w in zip(printable, ways, strict=True) if not w[0].meets
        }
    times = {o.name: o.times_a_year for o in orders}
    ranks = [(sum(times[n] for n in u.unprintable), u.yearly_cost) for u in result.universals]
    assert ranks == sorted(ranks)


def test_one_order_takes_its_cheapest_stack_and_keeps_only_what_that_needs():
    order = season_order("tees", option(110.0, "general white"), option(100.0, "cotton white", "red"))
    result = best_shelf((order,), INKS, rates(keeping=30.0))

    assert result.inks == ("cotton white",)
    assert result.orders[0].stack == "cotton white + red"
    # 5 kg must be bought in a year and 0.5 kg is used, at 20 a kilogram.
    assert dict(result.terms) == pytest.approx(
        {"orders": 100.0, "keeping": 30.0, "write-off": 4.5 * 20.0, "wash-up": 0.0}, rel=1e-12
    )
    assert result.main_white == "cotton white"


COTTON = season_order(
    "cotton tees", option(100.0, "cotton white"), option(104.0, "general white"), option(130.0, "polyester white"),
    times=10.0,
)  # fmt: skip
BLEND = season_order("blend tees", option(120.0, "general white"), option(140.0, "polyester white"), times=6.0)
POLYESTER = season_order(
    "jerseys", option(200.0, "polyester white"), option(260.0, "general white", risk=0.4, meets=False), times=4.0
)
MIXED = (COTTON, BLEND, POLYESTER)
FRESH = tuple(ink(i.name, i.kind, price=20.0, pail=0.001) if i.kind is not InkKind.COLOUR else i for i in INKS)
"""The same inks in pails so small that nothing is ever written off."""


def test_when_keeping_is_free_every_order_gets_its_cheapest_stack():
    result = best_shelf(MIXED, FRESH, rates())

    assert [s.stack for s in result.orders] == ["cotton white", "general white", "polyester white"]
    assert result.yearly_cost == pytest.approx(10 * 100.0 + 6 * 120.0 + 4 * 200.0, rel=1e-12)


def test_a_stack_that_the_shop_likes_better_wins_over_a_slightly_cheaper_one():
    tees = season_order(
        "tees", option(100.0, "cotton white", ghosting=True), option(104.0, "general white", wishes=-6.0), times=5.0
    )
    result = best_shelf((tees,), FRESH, rates())

    assert result.inks == ("general white",)
    assert not result.orders[0].ghosting
    assert (result.yearly_cost, result.wishes) == pytest.approx((520.0, -30.0), rel=1e-12)
    # Without it the other one is printed: 20 less to pay, 30 worth of wishes given up.
    assert {v.ink: v.change for v in result.verdicts}["general white"] == pytest.approx(10.0, rel=1e-9)


def test_an_order_that_may_ghost_says_so():
    tees = season_order("tees", option(100.0, "cotton white", ghosting=True))

    assert best_shelf((tees,), FRESH, rates()).orders[0].ghosting


def test_when_keeping_is_dear_the_fewest_inks_that_serve_all_are_kept():
    result = best_shelf(MIXED, FRESH, rates(keeping=1e6))

    assert result.inks == ("polyester white",)


def test_in_between_a_white_goes_when_keeping_costs_more_than_it_saves():
    dear, cheap = best_shelf(MIXED, FRESH, rates(keeping=41.0)), best_shelf(MIXED, FRESH, rates(keeping=39.0))

    # The cotton white saves 10 orders 4 each.
    assert dear.inks == ("general white", "polyester white")
    assert cheap.inks == WHITES
    assert next(v for v in dear.verdicts if v.ink == "cotton white").change == pytest.approx(1.0, abs=1e-6)
    assert next(v for v in cheap.verdicts if v.ink == "cotton white").change == pytest.approx(1.0, abs=1e-6)
    assert next(v for v in cheap.verdicts if v.ink == "cotton white").moved == ("cotton tees",)


def test_wash_ups_count_orders_with_another_white_than_the_main_one():
    result = best_shelf(MIXED, FRESH, rates(wash_up=1.0))

    assert result.main_white == "cotton white"
    assert dict(result.terms)["wash-up"] == pytest.approx(10.0, rel=1e-12)


def test_a_dear_wash_up_gathers_orders_on_one_white():
    assert best_shelf(MIXED, FRESH, rates(wash_up=1000.0)).inks == ("polyester white",)


def test_an_ink_that_spoils_in_its_pail_is_not_kept_for_a_small_saving():
    order = season_order("tees", option(100.0, "cotton white"), option(95.0, "cotton white", "barrier", kg=0.1))
    big = best_shelf((order,), INKS, rates())

    assert big.inks == ("cotton white",)
    assert best_shelf((order,), FRESH, rates()).inks == ("cotton white", "barrier")


def test_an_order_that_only_one_ink_can_serve_forces_it():
    verdicts = {v.ink: v for v in best_shelf(MIXED, FRESH, rates()).verdicts}

    assert verdicts["polyester white"].unserved == ("jerseys",)
    assert verdicts["polyester white"].change is None
    assert verdicts["general white"].unserved == ()
    assert verdicts["barrier"].kept is False


def test_an_order_that_nothing_serves_is_reported_and_left_out():
    hopeless = season_order("raincoats", option(90.0, "cotton white", meets=False))
    never = season_order("one day", option(90.0, "barrier"), times=0.0)
    result = best_shelf((*MIXED, hopeless, never), FRESH, rates())

    assert result.left_out == (
        ("raincoats", "no stack meets its requirements"),
        ("one day", "it comes 0 times a year"),
    )
    assert [s.order for s in result.orders] == ["cotton tees", "blend tees", "jerseys"]
    assert all("raincoats" not in u.unprintable for u in result.universals)


def test_a_single_white_shows_its_price_and_its_risk():
    universals = {u.white: u for u in best_shelf(MIXED, FRESH, rates()).universals}
    general, polyester = universals["general white"], universals["polyester white"]

    assert [m.order for m in general.missed] == ["jerseys"]
    assert general.reprints == pytest.approx(10 * 0.01 + 6 * 0.01 + 4 * 0.4, rel=1e-12)
    assert general.reprints_best == pytest.approx(20 * 0.01, rel=1e-12)
    assert general.difference == pytest.approx(10 * 4.0 + 4 * 60.0, rel=1e-9)
    assert polyester.missed == ()
    assert polyester.difference == pytest.approx(10 * 30.0 + 6 * 20.0, rel=1e-9)
    assert universals["cotton white"].unprintable == ("blend tees", "jerseys")


def test_the_white_that_prints_all_orders_ranks_before_one_that_cannot():
    assert [u.white for u in best_shelf(MIXED, FRESH, rates()).universals] == [
        "general white",
        "polyester white",
        "cotton white",
    ]


def test_a_season_without_orders_keeps_nothing():
    result = best_shelf((), INKS, rates(keeping=30.0))

    assert (result.inks, result.yearly_cost, result.orders) == ((), 0.0, ())
    # Keeping a white that nothing uses costs its keeping and its pail.
    assert result.verdicts[0].change == pytest.approx(30.0 + 5.0 * 20.0, rel=1e-12)


def test_equally_cheap_stacks_do_not_seem_to_move():
    tied = season_order("tees", option(100.0, "cotton white"), option(100.0, "cotton white", "red"), times=3.0)
    other = season_order("bags", option(50.0, "general white"), option(60.0, "cotton white"))
    verdict = best_shelf((tied, other), FRESH, rates()).verdicts[1]

    assert (verdict.ink, verdict.kept, verdict.moved) == ("general white", True, ("bags",))


def test_only_options_that_can_never_win_are_struck_out():
    price = (ink("a", price=10.0), ink("b", price=10.0))
    ways = (
        Option(cost=100.0, use={"a": 1.0}),
        Option(cost=105.0, use={"a": 2.0}),  # could save up to 10 of write-off: stays
        Option(cost=111.0, use={"a": 2.0}),  # cannot win
        Option(cost=120.0, use={"b": 1.0}),  # needs another ink: stays
        Option(cost=120.0, use={"a": 1.0, "b": 1.0}),  # costs 20 more and saves at most 10
    )

    assert undominated(ways, price) == [0, 1, 3]


def test_ink_that_an_option_saves_is_not_set_off_against_ink_that_it_takes():
    price = (ink("a", price=10.0), ink("b", price=10.0))
    ways = (Option(cost=100.0, use={"a": 1.0, "b": 1.0}), Option(cost=105.0, use={"a": 2.0, "b": 0.0}))

    # If b is used up anyway and a is not, the second one is cheaper by 5.
    assert undominated(ways, price) == [0, 1]


def test_a_solver_that_runs_out_of_time_is_reported(monkeypatch):
    monkeypatch.setattr(ownership_programme, "TIME_LIMIT", 0.0)

    with pytest.raises(ConvergenceError, match="not solved to a proven optimum"):
        best_shelf(MIXED, INKS, rates(keeping=30.0, wash_up=5.0))


@pytest.mark.parametrize(
    ("orders", "inks", "message"),
    [
        ((COTTON, COTTON), INKS, "two orders share the name 'cotton tees'"),
        ((COTTON,), (INKS[0], INKS[0]), "two inks share a name"),
        ((COTTON,), INKS[:1], "uses 'general white', which is no ink"),
    ],
)
def test_bad_seasons_are_refused_in_a_sentence(orders, inks, message):
    with pytest.raises(InvalidInput, match=message):
        best_shelf(orders, inks, rates())


@pytest.mark.parametrize(
    "build",
    [
        lambda: option(-1.0, "red"),
        lambda: option(math.nan, "red"),
        lambda: option(1.0, "red", risk=1.5),
        lambda: option(1.0, "red", "red"),
        lambda: option(1.0, "red", kg=-0.1),
        lambda: season_order("x", times=-1.0),
        lambda: season_order(" "),
    ],
)
def test_impossible_records_are_refused(build):
    with pytest.raises(InvalidInput):
        build()
