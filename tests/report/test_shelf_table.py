"""The answer to which inks a shop should own, as a table."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from laydown.domain.ink import InkKind
from laydown.domain.shop import Preferences
from laydown.planning.ownership_records import InkVerdict, Ownership, Served, UniversalWhite
from laydown.report.shelf_table import ShelfTable

METRIC = Preferences()


def served(order, *, risk=0.02, meets=True, ghosting=False):
    return Served(
        order=order,
        times_a_year=12,
        stack=f"{order} White through 43/80",
        cost=400.5,
        fail_risk=risk,
        meets=meets,
        ghosting=ghosting,
    )


def verdict(ink, *, kept, change, unserved=(), moved=()):
    return InkVerdict(ink=ink, kind=InkKind.WHITE, kept=kept, change=change, unserved=unserved, moved=moved)


ANSWER = Ownership(
    inks=("Alpha White", "Beta White"),
    yearly_cost=12345.6,
    terms=(("orders", 12000.0), ("keeping", 300.0), ("write-off", 40.6), ("wash-up", 5.0)),
    wishes=-54.5,
    main_white="Alpha White",
    orders=(served("Tees", ghosting=True), served("Jerseys", risk=0.001)),
    reprints=1.25,
    verdicts=(
        verdict("Alpha White", kept=True, change=None, unserved=("Tees",)),
        verdict("Beta White", kept=True, change=77.5, moved=("a", "b", "c", "d", "e", "f")),
        verdict("Gamma White", kept=False, change=120.0),
    ),
    universals=(
        UniversalWhite(
            white="Alpha White",
            inks=("Alpha White", "Dark Base"),
            yearly_cost=20000.0,
            difference=7654.4,
            missed=(served("Jerseys", risk=0.9, meets=False),),
            unprintable=("Leotards",),
            reprints=11.0,
            reprints_best=1.2,
        ),
    ),
    left_out=(("Flags", "it comes 0 times a year"),),
)


def printed(width=200, prefs=METRIC):
    out = io.StringIO()
    Console(file=out, width=width).print(ShelfTable(ANSWER, "EUR", prefs))
    return out.getvalue()


def line_of(word):
    return next(line for line in printed().splitlines() if line.startswith(word))


def test_it_opens_with_the_inks_and_the_yearly_cost_with_its_terms():
    lines = printed().splitlines()

    assert lines[0].strip() == "Own: Alpha White, Beta White"
    assert "12,345.60 EUR a year: orders 12,000.00 EUR · keeping 300.00 EUR" in lines[1]
    assert "Expected reprints: 1.2 orders a year." in printed()


def test_what_nobody_pays_is_said_apart_from_the_money():
    text = " ".join(printed().split())

    said = "preferences and the weight of the prints count as 54.50 EUR a year for this shelf, which nobody pays."
    assert said in text


def test_orders_that_may_ghost_are_named():
    text = " ".join(printed().split())

    assert "Ghosting is to be watched for on Tees: stack cool and dry, and test." in text


@pytest.mark.parametrize(
    ("ink", "words"),
    [
        ("Alpha White  ", ("own", "cannot", "forced by Tees: without it no stack passes")),
        ("Beta White", ("own", "+77.50 EUR", "without it another stack for a, b, c, d and 2 more")),
        ("Gamma White", ("do without", "+120.00 EUR", "no order would be printed differently")),
    ],
)
def test_each_ink_says_what_the_opposite_would_do(ink, words):
    for word in words:
        assert word in line_of(ink)


def test_each_order_says_how_it_is_printed_and_what_that_costs():
    for word in ("12", "Tees White through 43/80", "400.50 EUR", "2 %"):
        assert word in line_of("Tees")
    assert "under 1 %" in line_of("Jerseys")


def test_one_white_for_everything_says_money_and_risk():
    words = " ".join(printed(width=300).split())

    assert "20,000.00 EUR +7,654.40 EUR cannot print Leotards (not in the cost)" in words
    assert "misses its requirements: Jerseys (fails 90 %)" in words
    assert "beside it Dark Base" in words
    assert "11.0 reprinted orders a year instead of 1.2" in words


def test_orders_that_were_left_out_are_told_with_the_reason():
    assert "Left out: Flags, because it comes 0 times a year." in printed()


def test_it_fits_a_narrow_terminal():
    assert max(map(len, printed(width=80).splitlines())) <= 80


def test_meshes_are_counted_as_the_shop_counts_them():
    assert "Tees White through 43/80" in printed()
    assert "Tees White through 110/80" in printed(prefs=Preferences(mesh="inch"))
