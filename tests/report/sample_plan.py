"""Plans as the planner would hand them over, built by hand for the tests of the report."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from sample_forecast import around, forecast
from sample_shop import (
    BARRIER,
    BLUE,
    COARSE,
    FINE,
    LOW_BLEED,
    MAROON_TEE,
    MIDDLE,
    POLY_WHITE,
    RED,
    SMOOTH,
    STRETCH,
    YELLOW,
    assumed,
)

from laydown.domain.forecast import Forecast
from laydown.domain.garment import Garment
from laydown.domain.order import Care, InkUse, Order, Print
from laydown.domain.plan import (
    Alternative,
    Assumption,
    Cost,
    DryerSettings,
    InkAmount,
    PassSettings,
    Plan,
    PrintPlan,
    Production,
    Provenance,
    Rejected,
    Settings,
    Shortfall,
    TestToRun,
)
from laydown.domain.stack import Pass, Role, Stack

STACK = Stack(
    passes=(
        Pass(role=Role.UNDERBASE, ink=LOW_BLEED, screen=COARSE, hits=2, flash_after=True, coverage=0.62),
        Pass(role=Role.SMOOTHING, ink=None, screen=SMOOTH),
        Pass(role=Role.COLOUR, ink=YELLOW, screen=MIDDLE, coverage=0.22),
        Pass(role=Role.COLOUR, ink=RED, screen=MIDDLE, coverage=0.18, additive=STRETCH, additive_share=0.1),
        Pass(role=Role.COLOUR, ink=BLUE, screen=FINE, coverage=0.12, flash_after=True),
        Pass(role=Role.HIGHLIGHT, ink=LOW_BLEED, screen=FINE, coverage=0.10),
    )
)
FILMS_UM = (46.0, 14.0, 14.5, 11.0, 12.0)

BARRIER_STACK = Stack(
    passes=(
        Pass(role=Role.BARRIER, ink=BARRIER, screen=MIDDLE, flash_after=True, coverage=0.4),
        Pass(role=Role.WHITE, ink=POLY_WHITE, screen=COARSE, hits=2, coverage=0.4),
    )
)


def settings(stack: Stack) -> Settings:
    passes = []
    head = 1
    for p in stack.passes:
        passes.append(
            PassSettings(
                head=(head - 1) % 8 + 1,
                revolution=(head - 1) // 8 + 1,
                squeegee_shore=(60, 65) if p.role is Role.UNDERBASE else (65, 75),
                squeegee_note="square edge, soft angle" if p.role is Role.UNDERBASE else "",
                off_contact=3e-3 if p.role is Role.UNDERBASE else 1.6e-3,
                tension_low=2500.0,
                tension_high=3500.0,
                emulsion_over_mesh=p.screen.emulsion_over_mesh,
                flash_head=head % 8 + 1 if p.flash_after else None,
                flash_seconds=4.5 if p.flash_after else None,
                sources=("printwear-2017",),
            )
        )
        head += 2 if p.flash_after else 1
    return Settings(
        press="Press North, 8 heads",
        revolutions=(head - 2) // 8 + 1,
        passes=tuple(passes),
        dryer=DryerSettings(
            dryer="Gas dryer 3 m",
            panel_temperature=623.15,
            belt_speed=2.9 / 60,
            dwell=62.0,
            probe_low=434.9,
            probe_high=444.0,
        ),
    )


def production(stack: Stack, quantity: int) -> Production:
    inks = []
    for p in stack.inked:
        assert p.ink is not None
        each = 0.012 * p.coverage * p.hits
        inks.append(
            InkAmount(
                ink=p.ink.name, role=p.role.value, per_piece=each, total=each * quantity * 1.1, cost=0.2 * quantity
            )
        )
        if p.additive:
            inks.append(
                InkAmount(
                    ink=p.additive.name, role="additive", per_piece=each / 10, total=each * quantity / 9, cost=2.0
                )
            )
    return Production(
        press="Press North, 8 heads",
        cycle_time=9.4,
        cycle_terms=(("flash", 4.5), ("index", 2.1), ("load", 2.8)),
        revolutions=1,
        press_rate=1 / 9.4,
        dryer_rate=520 / 3600,
        rate=1 / 9.4,
        bottleneck="press",
        set_up_time=54 * 60.0,
        run_time=quantity * 9.4,
        inks=tuple(inks),
    )


def cost(quantity: int) -> Cost:
    terms = (
        ("blank garments", 3.1 * quantity),
        ("ink", 0.41 * quantity),
        ("screens", 72.0),
        ("set-up", 48.6),
        ("run", 39.5),
        ("tests", 12.0),
        ("expected reprint", 21.4),
    )
    total = sum(amount for _, amount in terms)
    return Cost(currency="USD", terms=terms, order=total, piece=total / quantity, price=total / quantity / 0.62)


REJECTED = (
    Rejected(
        stack="Cotton white through 43/80, 2 hits · flash · …",
        stage="bleed",
        reason="bleeds: grade 2-3 on day 30, grade 4 is asked for (91 % risk)",
        expected_cost=702.0,
    ),
    Rejected(
        stack="Cotton white through 77/48 · flash · …",
        stage="bleed",
        reason="bleeds: grade 2 on day 30, grade 4 is asked for (99 % risk)",
        expected_cost=717.0,
    ),
    Rejected(
        stack="Polyester white through 43/80, 2 hits · flash · …",
        stage="cost",
        reason="also does, but costs 31.20 USD more and feels heavier",
        expected_cost=681.0,
    ),
    Rejected(
        stack="General low-bleed white + 20 % reducer through 77/48 · flash · …",
        stage="rule",
        reason="a reducer thins the blocker in a blocking white",
        rule="no-reducer-in-blocking-white",
    ),
    Rejected(
        stack="General low-bleed white through 77/48 · flash · …",
        stage="opacity",
        reason="does not cover: ΔE00 9.1, 5 is asked for",
        expected_cost=655.0,
    ),
)

TESTS = (
    TestToRun(
        name="Oven bleed test",
        why="this cloth was never printed here; 61 % of the spread comes from how fast its dye moves",
        how="print the white, cure, cut in two, keep one half at 52 °C for 15 hours, compare",
        read_after=17 * 3600.0,
        read_on=dt.date(2026, 12, 3),
        worth=38.0,
        cost=6.0,
        source="ink maker's page",
    ),
    TestToRun(
        name="Probe run",
        why="the dryer's air was never measured",
        how="run a thermocouple under the print through the dryer, once cold and once with the belt full",
        read_after=600.0,
        read_on=dt.date(2026, 12, 2),
        worth=11.0,
        cost=3.0,
        source="common practice",
    ),
    TestToRun(
        name="Wash test",
        why="shows a film that is not cured all through",
        how="wash hot five times, tumble dry, look for cracks",
        read_after=6 * 3600.0,
        read_on=dt.date(2026, 12, 4),
        worth=9.0,
        cost=4.0,
        source="trade press",
    ),
)

CAUTIONS = (
    "Judge bleed no sooner than two days after printing.",
    "A pass on one colour or lot of a garment says nothing about another.",
    "Never raise the temperature to shorten the dwell on polyester.",
    "Limits for children's products are proved by the ink lot's laboratory report, not by this plan.",
)

FRONT = Print(
    place="front",
    width=0.300,
    height=0.350,
    inks=(
        InkUse(ink="Buoy yellow", coverage=0.22),
        InkUse(ink="Signal red", coverage=0.18),
        InkUse(ink="Deep harbour blue", coverage=0.12),
        InkUse(ink="white", coverage=0.10),
    ),
)


def order(garment: Garment = MAROON_TEE, prints: tuple[Print, ...] = (FRONT,), **changes: object) -> Order:
    values: dict[str, object] = {
        "name": "Harbour regatta tees",
        "identifier": "HR-0412",
        "quantity": 144,
        "due": dt.date(2026, 12, 10),
        "placed": dt.date(2026, 11, 30),
        "care": Care(stack_hot=False),
    } | changes
    return Order(garment=garment, prints=prints, **values)  # type: ignore[arg-type]


def print_plan(stack: Stack, predicted: Forecast, *, place: str = "front", quantity: int = 144) -> PrintPlan:
    return PrintPlan(
        place=place,
        stack=stack,
        why=(
            "cheapest of 7 stacks that meet every requirement",
            "blocks enough dye for a medium dye on half polyester; a polyester white would only add cost and weight",
        ),
        confidence=1 - predicted.fail_risk,
        settings=settings(stack),
        forecast=predicted,
        production=production(stack, quantity),
        cost=cost(quantity),
        alternatives=(
            Alternative(
                stack=BARRIER_STACK, expected_cost=691.2, fail_risk=0.02, reason="31.20 USD more, less risk of bleed"
            ),
        ),
        rejected=REJECTED,
        shortfalls=(),
        considered=48,
    )


def plan_of(order_: Order, prints: tuple[PrintPlan, ...], **changes: object) -> Plan:
    air = Assumption(name="dryer air", shown="150 °C", quantity=assumed(423.0, 400.0, 440.0))
    values: dict[str, object] = {
        "cost": prints[0].cost,
        "tests": TESTS,
        "decisive": "how fast this cloth's dye moves through the film: 61 % of the spread; an oven bleed test tells",
        "cautions": CAUTIONS,
        "assumptions": (air,),
        "inputs": (("dryer.air", air),),
        "provenance": (
            Provenance(path="forecast.bleed", model="bleed", page="docs/physics/bleed.md", range_note="", inputs=()),
        ),
        "seed": 20261,
        "samples": 256,
        "version": "0.1.0",
    } | changes
    return Plan(order=order_, prints=prints, **values)  # type: ignore[arg-type]


def sample_plan() -> Plan:
    """Six passes on a 50/50 tee, one print."""
    return plan_of(order(), (print_plan(STACK, forecast(STACK, FILMS_UM)),))


def two_prints() -> Plan:
    """Front and back."""
    back = replace(FRONT, place="back, between the shoulders", inks=(InkUse(ink="white", coverage=0.4),), height=0.28)
    return plan_of(
        order(prints=(FRONT, back)),
        (
            print_plan(STACK, forecast(STACK, FILMS_UM)),
            print_plan(BARRIER_STACK, forecast(BARRIER_STACK, (18.0, 62.0)), place=back.place),
        ),
    )


def no_stack() -> Plan:
    """Nothing passes."""
    failed = PrintPlan(
        place="front",
        stack=None,
        why=(),
        confidence=0.0,
        settings=None,
        forecast=None,
        production=None,
        cost=None,
        alternatives=(),
        rejected=REJECTED,
        shortfalls=(
            Shortfall(
                requirement="bleed: grade 4 on day 30",
                closest="Polyester white through 43/80, 2 hits · flash · Polyester white through 77/48",
                by="grade 3 at the median, 71 % risk of less than 4; 5 % is allowed",
                remedy="buy a barrier base, or run the oven bleed test on this cloth to narrow the forecast",
            ),
            Shortfall(
                requirement="hand: firm at most",
                closest="Graphite barrier base through 43/80 · flash · Polyester white through 43/80, 2 hits",
                by="heavy (162 g/m² of film)",
                remedy="ask the customer for a smaller solid area, or for a heavier hand",
            ),
        ),
        considered=48,
    )
    return plan_of(order(), (failed,), cost=None)


def ten_passes() -> Plan:
    """Print ten passes on two revolutions, the largest stack that must fit."""
    inks = (YELLOW, RED, BLUE, YELLOW, RED, BLUE, YELLOW)
    colours = tuple(
        Pass(
            role=Role.COLOUR,
            ink=replace(ink, name=f"{ink.name} no. {n}"),
            screen=MIDDLE if n % 2 else FINE,
            coverage=0.08,
        )
        for n, ink in enumerate(inks, start=1)
    )
    stack = Stack(
        passes=(
            Pass(role=Role.BARRIER, ink=BARRIER, screen=MIDDLE, flash_after=True, coverage=0.6),
            Pass(role=Role.UNDERBASE, ink=POLY_WHITE, screen=COARSE, hits=2, flash_after=True, coverage=0.6),
            *colours[:-1],
            replace(colours[-1], flash_after=True),
            Pass(role=Role.HIGHLIGHT, ink=POLY_WHITE, screen=FINE, coverage=0.1),
        )
    )
    films = (16.0, 44.0, 12.0, 14.0, 11.0, 12.0, 13.0, 11.0, 12.5, 12.0)
    return plan_of(order(), (print_plan(stack, forecast(stack, films)),))


def cotton_plan() -> Plan:
    """Cotton, on which nothing bleeds."""
    stack = Stack(passes=(Pass(role=Role.WHITE, ink=LOW_BLEED, screen=COARSE, hits=2, coverage=0.4),))
    return plan_of(order(), (print_plan(stack, forecast(stack, (58.0,), applies=False)),))


HOSTILE = {
    "order": '#let x = 1 \\ $a_b$ "quoted" *bold* <tag> &amp; [[ ]] // not a comment @label 😀',
    "garment": "חולצה אדומה قميص #import 'a.typ' " + "W" * 24,
    "ink": '#panic(1) \\u{202e} "$" ' + "Mm" * 24,
}


def hostile_plan() -> Plan:
    """Names that look like markup, run from right to left or are as long as a name may be."""
    ink = replace(LOW_BLEED, name=HOSTILE["ink"][:80])
    stack = replace(STACK, passes=(replace(STACK.passes[0], ink=ink), *STACK.passes[1:]))
    garment = replace(MAROON_TEE, name=HOSTILE["garment"][:80])
    return plan_of(
        order(garment=garment, name=HOSTILE["order"][:80], identifier='A&B #7 "x" \\'),
        (print_plan(stack, forecast(stack, FILMS_UM)),),
    )


__all__ = ["around"]
