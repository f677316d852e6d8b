"""Facts of the trade that the whole planner must reproduce on the demo shop.

Source of every fact here: common practice (what experienced printers do and see), no publication. Each is tried on
two or three cloths, colours and quantities. ``docs/planning.md`` says which inputs were set so that they hold.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.planning.trade_orders import (
    Cloth,
    best_reason,
    choice_for,
    order_for,
    plan_for,
    shop,
    tried_with,
    white_of,
)

from laydown.domain.ink import Blocker
from laydown.domain.order import Care
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.stack import Role
from laydown.planning.assess import assess
from laydown.units import from_celsius

pytestmark = pytest.mark.slow

COTTON, GENERAL, CLEAN, POLYESTER, LOW_CURE = (
    "Chalk Cotton White",
    "Tideline Low-Bleed White",
    "Clearwater Non-Ghosting White",
    "Bulwark Polyester White",
    "Cold Harbour Polyester White",
)
SOFT, NYLON, STRETCH = "Gossamer Soft White", "Rigging Nylon White", "Bowstring Stretch White"

DARK_COTTON = (
    Cloth(label="100% cotton", colour="#1a1a1c", dye="reactive"),
    Cloth(label="100% cotton", colour="#1b2340", dye="reactive", mass_gsm=150, quantity=48),
    Cloth(label="100% Baumwolle", colour="#4a1420", dye="reactive", mass_gsm=200, quantity=600),
)
HALF_POLYESTER = (
    Cloth(label="50% cotton 50% polyester", colour="#8c1d2f", dye="disperse, medium energy"),
    Cloth(label="52/48 cotton/poly", colour="#1c2541", dye="disperse, medium energy", mass_gsm=190, quantity=72),
    Cloth(label="50 coton 50 polyester", colour="#6e1423", dye="disperse, medium energy", quantity=500),
)
POLYESTER_STRONG = (
    Cloth(label="100% polyester", colour="#c01025", dye="disperse, medium energy", mass_gsm=150),
    Cloth(label="100% polyester", colour="#1c2541", dye="disperse, medium energy", mass_gsm=160, quantity=60),
    Cloth(label="100% poliéster", colour="#6e1423", dye="disperse, medium energy", mass_gsm=180, quantity=400),
)
PRINTED_THROUGH = (
    Cloth(label="100% polyester", colour="#1f4fa0", dye="sublimated", mass_gsm=150),
    Cloth(label="100% polyester", colour="#4b5a2e", dye="camouflage", mass_gsm=160, quantity=300),
)
NYLON_MESH = (
    Cloth(label="100% nylon", colour="#18181a", dye="acid", structure="mesh", mass_gsm=150),
    Cloth(label="100% polyamide", colour="#8c1d2f", dye="acid", structure="mesh", mass_gsm=140, quantity=40),
)
POLYESTER_MESH = (
    Cloth(label="100% polyester", colour="#8c1d2f", dye="disperse, medium energy", structure="mesh", mass_gsm=150),
    Cloth(label="100% polyester", colour="#1c2541", dye="disperse, medium energy", structure="mesh", quantity=60),
)
LEOTARD = (
    Cloth(label="92% nylon 8% elastane", colour="#3b1e5a", dye="acid", structure="tricot", mass_gsm=190),
    Cloth(label="80% nylon 20% spandex", colour="#101012", dye="acid", structure="tricot", mass_gsm=200, quantity=36),
)
TRI_BLEND = (
    Cloth(label="tri-blend 50 poly 25 cotton 25 rayon", colour="#8c1d2f", dye="disperse, medium energy", mass_gsm=145),
    Cloth(label="50% polyester 38% cotton 12% viscose", colour="#3d4f6b", dye="disperse, medium energy", quantity=60),
)
QUIET_TRI_BLEND = Cloth(
    label="tri-blend 50 poly 25 cotton 25 rayon", colour="#777777", dye="disperse, high energy", mass_gsm=145
)


def by_id(cloth: Cloth) -> str:
    return cloth.id


@pytest.mark.parametrize("cloth", DARK_COTTON, ids=by_id)
def test_dark_cotton_gets_the_cotton_white_and_no_blocking_one(cloth):
    choice = choice_for(order_for(cloth))
    best = choice.best

    assert best is not None
    assert white_of(best.stack).name == COTTON
    assert not any(ink.blocks for ink in best.stack.inks)


@pytest.mark.parametrize("cloth", DARK_COTTON, ids=by_id)
def test_on_dark_cotton_the_cotton_white_is_softest_flashes_fastest_and_is_cheapest(cloth):
    choice = choice_for(order_for(cloth))
    best = choice.best

    for other in choice.passing:
        if other.stack.inks == best.stack.inks or [p.screen for p in other.stack.passes] != [
            p.screen for p in best.stack.passes
        ]:
            continue
        assert other.forecast.hand.film_areal_mass.p50 >= best.forecast.hand.film_areal_mass.p50
        assert sum(other.setup.flash_seconds) >= sum(best.setup.flash_seconds)
        assert other.setup.base_cost.order > best.setup.base_cost.order


@pytest.mark.parametrize("cloth", HALF_POLYESTER, ids=by_id)
def test_half_polyester_gets_the_general_purpose_white_and_the_cotton_white_loses_by_bleed(cloth):
    choice = choice_for(order_for(cloth))

    assert white_of(choice.best.stack).name == GENERAL
    stage, reason = best_reason(choice, COTTON)
    assert stage == "bleed"
    assert "bleeds through" in reason


@pytest.mark.parametrize("cloth", HALF_POLYESTER, ids=by_id)
def test_half_polyester_needs_no_polyester_white_on_a_medium_dye(cloth):
    choice = choice_for(order_for(cloth))
    polyester = [a for a in choice.passing if white_of(a.stack).name == POLYESTER]

    assert polyester, "it would do as well"
    assert white_of(choice.best.stack).name != POLYESTER
    assert min(a.setup.base_cost.order for a in polyester) > choice.best.setup.base_cost.order


@pytest.mark.parametrize(
    "cloth",
    [
        Cloth(label="100% cotton", colour="#e8dcc0", dye="reactive"),
        Cloth(label="100% cotton", colour="#b08d57", dye="reactive", quantity=60),
        Cloth(label="100% cotton", colour="#6b6b3a", dye="reactive", mass_gsm=200, quantity=300),
    ],
    ids=by_id,
)
def test_light_or_earth_tone_cotton_in_warm_piles_prefers_a_white_that_cannot_ghost(cloth):
    humid = replace(
        shop().climate, humidity=Quantity(value=0.7, low=0.6, high=0.8, grade=Grade.ASSUMED, source="trade fact")
    )
    choice = choice_for(order_for(cloth, care=Care(stack_hot=True)), replace(shop(), climate=humid))

    assert all(ink.blocker is not Blocker.REACTIVE for ink in choice.best.stack.inks)
    reactive = [
        a for a in choice.computed if any(ink.blocker is Blocker.REACTIVE for ink in a.stack.inks) and a.forecast
    ]
    assert reactive, "whites with a reactive blocker were weighed"
    for a in reactive:
        assert a.forecast.ghosting.warned
        assert any("GHOSTING" in rule.reason for rule in a.verdict.warnings)
        assert len(a.verdict.preferred) < len(choice.best.verdict.preferred)


def test_with_only_a_blocking_white_on_the_shelf_light_cotton_gets_the_ghosting_warning():
    only = replace(
        shop(), inks=tuple(ink for ink in shop().inks if ink.name not in {COTTON, CLEAN, SOFT, STRETCH, NYLON})
    )
    cloth = Cloth(label="100% cotton", colour="#e8dcc0", dye="reactive")
    plan = plan_for(order_for(cloth, care=Care(stack_hot=True)), only)

    assert plan.complete
    assert any("GHOSTING" in caution for caution in plan.cautions)


@pytest.mark.parametrize("cloth", POLYESTER_STRONG, ids=by_id)
def test_strong_polyester_gets_a_polyester_white_and_weaker_blockers_are_rejected(cloth):
    choice = choice_for(order_for(cloth))

    assert white_of(choice.best.stack).name in {POLYESTER, LOW_CURE}
    for weaker in (COTTON, GENERAL, CLEAN):
        assert best_reason(choice, weaker)[0] == "bleed", weaker


@pytest.mark.parametrize("cloth", [*POLYESTER_STRONG[:1], *HALF_POLYESTER[:1]], ids=by_id)
def test_reducer_is_refused_in_every_blocking_white(cloth):
    choice = choice_for(order_for(cloth))
    reduced = [
        a
        for a in (*choice.passing, *choice.failing)
        if any(p.additive is not None and "Reducer" in p.additive.name for p in a.stack.passes)
        and white_of(a.stack).blocks
    ]

    assert reduced, "reduced blocking whites were tried"
    assert {a.stage for a in reduced} == {"rule"}
    assert any("reducer thins out the blocker" in a.reason for a in reduced)


@pytest.mark.parametrize("cloth", PRINTED_THROUGH, ids=by_id)
def test_sublimated_and_camouflage_get_a_flashed_barrier_and_then_a_polyester_white(cloth):
    choice = choice_for(order_for(cloth))
    first, second = choice.best.stack.passes[:2]

    assert first.role is Role.BARRIER
    assert first.flash_after
    assert second.ink.name in {POLYESTER, LOW_CURE}
    for a in (*choice.passing, *choice.failing):
        if a.stack.passes[0].role is not Role.BARRIER:
            assert a.stage == "rule", a.stack.label


@pytest.mark.parametrize("cloth", NYLON_MESH, ids=by_id)
def test_nylon_mesh_gets_the_nylon_white_and_is_told_that_it_blocks_no_dye(cloth):
    order = order_for(cloth)
    choice = choice_for(order)

    assert white_of(choice.best.stack).name == NYLON
    assert "bond" in best_reason(choice, COTTON)[1]
    assert "tough" in best_reason(choice, STRETCH)[1]
    assert any("blocks no dye" in caution for caution in plan_for(order).cautions)


@pytest.mark.parametrize("cloth", POLYESTER_MESH, ids=by_id)
def test_polyester_mesh_gets_a_polyester_white_not_the_nylon_white(cloth):
    choice = choice_for(order_for(cloth))

    assert white_of(choice.best.stack).name in {POLYESTER, LOW_CURE}
    assert "blocks no dye" in best_reason(choice, NYLON)[1]


@pytest.mark.parametrize("cloth", LEOTARD, ids=by_id)
def test_leotard_cloth_gets_a_white_that_stretches_and_stiff_inks_crack(cloth):
    choice = choice_for(order_for(cloth))
    best = choice.best

    stretches = white_of(best.stack).name == STRETCH or any(
        p.additive is not None and "Stretch" in p.additive.name for p in best.stack.passes
    )
    assert stretches
    assert best.forecast.stretch.risk <= 0.05
    stage, reason = best_reason(choice, NYLON)
    assert stage == "stretch"
    assert "too stiff" in reason


@pytest.mark.parametrize("cloth", TRI_BLEND, ids=by_id)
def test_tri_blend_is_flashed_and_smoothed_before_what_follows(cloth):
    choice = choice_for(order_for(cloth))
    stack = choice.best.stack
    roles = [p.role for p in stack.passes]

    assert white_of(stack).name in {GENERAL, CLEAN}
    at = roles.index(Role.SMOOTHING)
    assert stack.passes[at - 1].flash_after
    assert stack.passes[at + 1].ink is not None


def test_the_soft_thin_white_does_on_a_tri_blend_only_where_little_dye_moves_and_its_cover_is_said():
    strong = replace(QUIET_TRI_BLEND, colour="#8c1d2f", dye="disperse, low energy")
    soft = [a for a in tried_with(choice_for(order_for(QUIET_TRI_BLEND)), SOFT) if a.passes]

    assert soft, "on a quiet dye it does"
    assert all(a.forecast.bleed.risk < 0.01 for a in soft)
    assert any("covers less" in rule.reason for rule in soft[0].verdict.warnings)
    assert not any(a.passes for a in tried_with(choice_for(order_for(strong)), SOFT))


@pytest.mark.parametrize("cloth", [POLYESTER_STRONG[0], HALF_POLYESTER[0]], ids=by_id)
def test_bleed_grows_for_days_to_weeks_after_printing(cloth):
    choice = choice_for(order_for(cloth))
    weak = max(tried_with(choice, COTTON), key=lambda a: a.depth)
    p50 = [d.difference.p50 for d in weak.forecast.bleed.days]

    assert p50 == sorted(p50)
    first, week, month = (next(d for d in weak.forecast.bleed.days if d.day == n) for n in (0, 7, 30))
    assert week.difference.p50 > 1.02 * first.difference.p50
    assert month.difference.p50 > week.difference.p50


def _polyester_stack():
    choice = choice_for(order_for(POLYESTER_STRONG[0]))
    return choice.job, max(tried_with(choice, GENERAL), key=lambda a: a.depth)


@pytest.mark.parametrize(("hotter_by", "slower_by"), [(15.0, 1.0), (0.0, 1.4)], ids=["hotter", "slower"])
def test_a_hotter_or_slower_dryer_makes_polyester_bleed_more(hotter_by, slower_by, monkeypatch):
    job, tried = _polyester_stack()
    as_set = assess(job, tried.stack, whole=True)
    usual = as_set.setup.dryer_choice
    changed = replace(usual, setting=usual.setting + hotter_by, speed=usual.speed / slower_by)
    monkeypatch.setattr(job.dryers, "find", lambda *_: changed)
    other = assess(job, tried.stack, whole=True)

    for before, after in zip(as_set.forecast.bleed.days, other.forecast.bleed.days, strict=True):
        assert after.difference.p50 > before.difference.p50
        assert after.risk >= before.risk


def test_a_barrier_or_a_low_cure_white_cuts_the_bleed():
    choice = choice_for(order_for(replace(POLYESTER_STRONG[0], dye="disperse, low energy")))

    def stain(a):
        return next(d for d in assess(choice.job, a.stack, whole=True).forecast.bleed.days if d.day == 30).difference

    plain = max(tried_with(choice, POLYESTER), key=lambda a: a.depth)
    low = next(
        a
        for a in tried_with(choice, LOW_CURE)
        if [(p.screen, p.hits) for p in a.stack.passes] == [(p.screen, p.hits) for p in plain.stack.passes]
    )
    barrier = max(
        (
            a
            for a in (*choice.passing, *choice.failing)
            if white_of(a.stack).name == POLYESTER
            and a.stack.passes[0].role is Role.BARRIER
            and a.stage != "rule"
            and [(p.screen, p.hits) for p in a.stack.passes[1:]] == [(p.screen, p.hits) for p in plain.stack.passes]
        ),
        key=lambda a: a.depth,
    )
    assert stain(barrier).p50 < stain(plain).p50
    assert stain(low).p50 < stain(plain).p50


@pytest.mark.parametrize("cloth", [POLYESTER_STRONG[0], HALF_POLYESTER[1]], ids=by_id)
def test_a_cloth_never_printed_here_lists_its_tests_and_widens_the_spread(cloth):
    known = plan_for(order_for(replace(cloth, history="tested")))
    new = plan_for(order_for(replace(cloth, history="never printed")))

    oven = next(t for t in new.tests if t.name == "oven bleed test")
    assert oven.read_on is not None
    assert oven.read_on > new.order.placed
    assert "oven bleed test" not in {t.name for t in known.tests}
    assert "wash test" in {t.name for t in new.tests}

    def spreads(plan):
        choice = choice_for(plan.order)
        days = {a.stack: next(d for d in a.forecast.bleed.days if d.day == 30) for a in choice.computed if a.forecast}
        return {stack: day.difference.p90 - day.difference.p10 for stack, day in days.items()}

    # Stack by stack: which one gets furthest differs between a known cloth and a new one.
    wide, narrow = spreads(new), spreads(known)
    both = [stack for stack in wide if stack in narrow and white_of(stack).name == GENERAL]
    assert both
    assert all(wide[stack] > 1.3 * narrow[stack] for stack in both)


@pytest.mark.parametrize("cloth", [POLYESTER_STRONG[0], HALF_POLYESTER[0]], ids=by_id)
def test_garments_piled_hot_and_boxed_bleed_more_than_the_same_cooled_first(cloth):
    def stains(care):
        choice = choice_for(order_for(cloth, care=care))
        tried = max(tried_with(choice, COTTON), key=lambda a: a.depth)
        return [d.difference.p50 for d in assess(choice.job, tried.stack, whole=True).forecast.bleed.days]

    cooled, hot, higher = stains(Care()), stains(Care(stack_hot=True)), stains(Care(stack_hot=True, pile_height=0.6))
    assert all(b > a for a, b in zip(cooled, hot, strict=True))
    assert sum(higher) > sum(hot)


def test_the_probe_reads_hotter_when_the_panel_is_hotter():
    job, tried = _polyester_stack()
    setup = assess(job, tried.stack, whole=True).setup
    cool = assess(job, tried.stack, whole=True).forecast.cure.probe_peak.p50
    hot = replace(setup.dryer_choice, setting=setup.dryer_choice.setting + 20)
    peak = float(job.dryers.run(hot, job.samples.normal("transfer") * 0 + 60e-6).interface.max(axis=1).mean())

    assert peak > cool > from_celsius(100.0)
