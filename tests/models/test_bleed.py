"""Dye migration into a print."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from heat_runs import ramp_hold_cool
from laydown.data.read import read_table
from laydown.domain.colour import Colour
from laydown.domain.garment import Dye, History
from laydown.domain.order import Care, Requirements, ThermalEvent
from laydown.domain.stack import Role
from laydown.models.appearance import area_reflectance, visible_areas
from laydown.models.bleed import (
    DAYS,
    UNSEEN,
    bleed_inputs,
    capacity_of,
    cloth_ks,
    days_shown,
    dye_shape,
    judge_bleed,
    no_bleed,
    shade_depth,
)
from laydown.models.cloth import describe_cloth
from laydown.models.colour import lab_of
from laydown.models.film import build_film
from laydown.models.life import thermal_life
from laydown.models.sampling import corner_set, median_set, sample_set
from laydown.physics.ciede2000 import ciede2000
from laydown.physics.grey_scale import staining_grade
from laydown.units import HOUR, from_celsius
from small_shop import (
    CLIMATE,
    NO_PRACTICE,
    barrier,
    blend,
    blocking_white,
    flashed_twice,
    garment,
    poly_white,
    polyester,
    printed,
    q,
    stack,
    white,
)

SAMPLES = sample_set(16)
CONDITION = "D65/10"
RED = describe_cloth(polyester())
CLOSE = 1e-6
"""Rounding of a colour difference."""


def bleed(
    stack_=None, on=RED, *, peak_c=165.0, held=20.0, care=None, days=30.0, samples=SAMPLES, flashes=(), passages=1
):
    """Bleed of a stack's only area; the forecast, the samples that miss, and the difference on the day asked for."""
    used = stack_ or flashed_twice()
    film = build_film(used, on, samples, practice=NO_PRACTICE)
    run = ramp_hold_cool(samples, peak_c, held=held)
    life = thermal_life(flashes, run, on, care or Care(), CLIMATE, samples, passages=passages)
    (area,) = visible_areas(used)
    return judge_bleed(area, film, on, life, samples, Requirements(bleed_days=days), condition=CONDITION)


def medians(*args, **more):
    return np.array([day.difference.p50 for day in bleed(*args, **more)[0].days])


def assert_not_less(more, less, *, somewhere=0.01):
    """On every day not less, and on some day plainly more."""
    assert (more >= less - CLOSE).all(), (more, less)
    assert (more > less + somewhere).any(), (more, less)


def test_cloth_without_dye_that_migrates_stains_nothing():
    forecast, missed, difference = bleed(on=describe_cloth(polyester(dye=Dye.UNDYED)))

    assert difference.max() < CLOSE
    assert missed.sum() == 0
    assert forecast.days[-1].grade.p50 == pytest.approx(5.0, abs=0.02)


def test_more_polyester_bleeds_more():
    by_share = [medians(on=describe_cloth(blend(1 - share))) for share in (0.2, 0.5, 0.9)]

    for less, more in itertools.pairwise(by_share):
        assert_not_less(more, less)


def test_a_hotter_dryer_bleeds_more():
    by_peak = [medians(peak_c=t) for t in (140.0, 160.0, 175.0)]

    for less, more in itertools.pairwise(by_peak):
        assert_not_less(more, less)


def test_a_print_that_burns_is_followed_to_the_end_all_the_same():
    forecast, *_ = bleed(peak_c=500.0)

    assert forecast.days[-1].grade.p50 < 3
    assert all(np.isfinite(day.lab).all() for day in forecast.days)


def test_a_slower_belt_bleeds_more():
    assert_not_less(medians(held=36.0), medians(held=8.0))


def test_a_low_cure_bleeds_less_than_a_usual_one():
    assert_not_less(medians(peak_c=162.0), medians(peak_c=140.0))


def test_a_hot_pile_bleeds_more_than_garments_cooled_first():
    assert_not_less(medians(care=Care(stack_hot=True, pile_height=0.6)), medians())


def test_a_flash_and_a_second_passage_add():
    flash = ramp_hold_cool(SAMPLES, 125.0)

    assert_not_less(medians(flashes=(flash, flash)), medians(), somewhere=1e-4)
    assert_not_less(medians(passages=2), medians())


def test_a_hot_truck_brings_out_more_from_the_day_it_leaves():
    truck = ThermalEvent(name="truck", temperature=from_celsius(55), duration=24 * HOUR)
    cool, hot = medians(), medians(care=Care(transit=truck))

    np.testing.assert_allclose(hot[:2], cool[:2], atol=0.05)
    assert_not_less(hot, cool)


def test_a_looser_dye_bleeds_more():
    by_dye = [
        medians(on=describe_cloth(polyester(dye=dye)))
        for dye in (Dye.SOLUTION, Dye.DISPERSE_HIGH, Dye.DISPERSE_MEDIUM, Dye.SUBLIMATED)
    ]

    for less, more in itertools.pairwise(by_dye):
        assert_not_less(more, less)


def test_a_white_that_binds_more_dye_bleeds_less():
    by_capacity = [medians(flashed_twice(blocking_white(capacity=c))) for c in (0.02, 0.05, 0.125, 0.5)]

    assert_not_less(medians(flashed_twice(white(ratio=0.75))), by_capacity[0])
    for more, less in itertools.pairwise(by_capacity):
        assert (more >= less - CLOSE).all()


def test_a_barrier_first_bleeds_less_than_the_same_white_alone():
    under = stack(printed(barrier(), "61/64", Role.BARRIER, flash=True), *flashed_twice(poly_white()).passes)
    sublimated = describe_cloth(polyester(dye=Dye.SUBLIMATED))

    assert_not_less(medians(flashed_twice(poly_white()), sublimated), medians(under, sublimated))


def test_a_thicker_film_shows_the_dye_later():
    thin, thick = medians(flashed_twice(through="61/64")), medians(flashed_twice(through="24/145"))

    assert thick[DAYS.index(2.0)] < thin[DAYS.index(2.0)]


def test_bleed_grows_for_weeks_after_printing():
    differences = medians(flashed_twice(through="24/145"), peak_c=150.0)

    assert (np.diff(differences) >= -CLOSE).all()
    assert differences[DAYS.index(14.0)] > 1.5 * differences[DAYS.index(1.0)]
    assert differences[DAYS.index(60.0)] > differences[DAYS.index(14.0)] + 0.3


def test_a_pale_cloth_gives_less_dye_than_a_full_shade():
    pale = describe_cloth(polyester("#e8b9bd"))

    assert shade_depth(pale) < 0.1 < shade_depth(RED)
    assert_not_less(medians(), medians(on=pale))


def test_what_was_stirred_in_takes_its_share_of_the_capacity_away():
    ink = blocking_white(capacity=0.1)

    assert capacity_of(ink, 0.0) == ink.capacity
    left = capacity_of(replace(ink, capacity=q(0.1, 0.05, 0.2)), 0.25)
    assert (left.value, left.low, left.high) == pytest.approx((0.075, 0.0375, 0.15))


# --- days, grades, notes -------------------------------------------------------------------------------------------


def test_days_0_to_60_are_told():
    assert DAYS == (0.0, 1.0, 2.0, 7.0, 14.0, 30.0, 60.0)
    assert tuple(day.day for day in bleed()[0].days) == DAYS


@pytest.mark.parametrize("day", [3.0, 21.0, 0.5])
def test_the_day_that_an_order_asks_for_is_told_as_well(day):
    forecast, missed, difference = bleed(days=day)
    told = next(d for d in forecast.days if d.day == day)

    assert [d.day for d in forecast.days] == sorted({*DAYS, day})
    assert days_shown(Requirements(bleed_days=day)) == tuple(sorted({*DAYS, day}))
    assert told.difference.p50 == pytest.approx(np.median(difference))
    assert forecast.risk == told.risk == missed.mean()


def test_grade_and_colour_belong_to_the_difference():
    samples = median_set()
    forecast, _, difference = bleed(samples=samples)
    film = build_film(flashed_twice(), RED, samples, practice=NO_PRACTICE)
    (area,) = visible_areas(flashed_twice())
    clean = lab_of(area_reflectance(area, film, RED, samples)[0, 0], CONDITION)

    for day in forecast.days:
        stained = np.array(day.lab)
        assert float(ciede2000(clean, stained)) == pytest.approx(day.difference.p50, abs=1e-9)
        assert float(staining_grade(clean, stained)) == pytest.approx(day.grade.p50, abs=1e-9)
    assert difference[0] == pytest.approx(next(d for d in forecast.days if d.day == 30).difference.p50)


def test_percentiles_of_grades_rise_like_all_others():
    for day in bleed()[0].days:
        assert day.grade.p10 <= day.grade.p50 <= day.grade.p90
        assert day.difference.p10 <= day.difference.p50 <= day.difference.p90
        assert 1 <= day.grade.p10 <= day.grade.p90 <= 5


def test_a_grade_is_missed_where_it_rounds_to_half_a_grade_less():
    samples = sample_set(64)
    strict, _, _ = bleed(samples=samples)
    film = build_film(flashed_twice(), RED, samples, practice=NO_PRACTICE)
    life = thermal_life((), ramp_hold_cool(samples), RED, Care(), CLIMATE, samples)
    (area,) = visible_areas(flashed_twice())
    risks = [
        judge_bleed(area, film, RED, life, samples, Requirements(bleed_grade=g), condition=CONDITION)[0].risk
        for g in (1.0, 3.0, 4.0, 5.0)
    ]

    assert risks == sorted(risks)
    assert risks[0] == 0
    assert strict.risk == risks[2]


def test_a_tested_cloth_has_a_narrower_forecast_than_one_never_printed():
    spread = {}
    for history in History:
        last = bleed(on=describe_cloth(polyester(history=history)), samples=sample_set(48))[0].days[-1].difference
        spread[history] = last.p90 - last.p10

    assert spread[History.TESTED] < spread[History.PRINTED] < spread[History.NEVER_PRINTED]


@pytest.mark.parametrize("history", [History.NEVER_PRINTED, History.PRINTED])
def test_without_a_test_of_its_own_a_forecast_is_a_screening_estimate_and_says_so(history):
    forecast, *_ = bleed(on=describe_cloth(polyester(history=history)))

    assert forecast.screening
    assert "screening estimate: no published diffusion" in forecast.note


def test_a_tested_cloth_says_what_narrowed_it():
    forecast, *_ = bleed()

    assert not forecast.screening
    assert "narrowed by this cloth's own history" in forecast.note


def test_where_no_dye_migrates_the_print_keeps_its_colour_on_every_day():
    one = stack()
    on = describe_cloth(polyester(dye=Dye.REACTIVE))
    film = build_film(one, on, SAMPLES, practice=NO_PRACTICE)
    (area,) = visible_areas(one)
    wanted = Requirements(bleed_days=10.0)
    lab = np.median(lab_of(area_reflectance(area, film, on, SAMPLES)[:, 0], CONDITION), axis=0)

    forecast = no_bleed(area, film, on, SAMPLES, wanted, "no dye", condition=CONDITION)

    assert not forecast.applies
    assert forecast.risk == 0
    assert 10.0 in {day.day for day in forecast.days}
    for day in forecast.days:
        assert day.lab == pytest.approx(lab)
        assert day.grade.p90 == 5.0
        assert day.difference.p90 == 0.0


# --- inputs --------------------------------------------------------------------------------------------------------


def test_a_dye_class_multiplies_the_release_and_its_spread_adds_in_squares():
    cloth = describe_cloth(polyester(dye=Dye.SUBLIMATED, history=History.NEVER_PRINTED))
    own = read_table("migration")["disperse dye in cloth"]["release_rate"]
    factor = read_table("dyes")["sublimated"]["release_factor"]

    found = bleed_inputs(cloth).release

    assert found.value == pytest.approx(own.value * factor.value)
    assert np.log(found.high / found.value) == pytest.approx(
        np.hypot(np.log(own.high / own.value), np.log(factor.high / factor.value))
    )
    assert "sublimated" in found.source


def test_history_narrows_what_belongs_to_the_cloth():
    never, tested = (
        bleed_inputs(describe_cloth(polyester(history=h))) for h in (History.NEVER_PRINTED, History.TESTED)
    )

    for name in (
        "release",
        "release_energy",
        "reservoir_depth",
        "diffusivity",
        "diffusion_energy",
        "peak_absorption",
        "reaction_length",
    ):
        wide, narrow = getattr(never, name), getattr(tested, name)
        assert narrow.value == pytest.approx(wide.value)
        assert narrow.spread < wide.spread


def test_a_dye_that_releases_nothing_has_a_release_all_the_same():
    assert bleed_inputs(describe_cloth(polyester(dye=Dye.UNDYED))).release.value > 0


def test_a_dye_class_scales_the_strength_of_the_dye():
    cloth = describe_cloth(polyester(history=History.NEVER_PRINTED))
    own = read_table("migration")["dye in cured film"]["peak_absorption"]
    factor = cloth.absorption_factor
    double = replace(cloth, absorption_factor=q(2.0, 2 * factor.low, 2 * factor.high))
    usual, found = bleed_inputs(cloth).peak_absorption, bleed_inputs(double).peak_absorption

    assert found.value == pytest.approx(2 * usual.value) == pytest.approx(2 * own.value)
    assert np.log(usual.high / usual.value) == pytest.approx(
        np.hypot(np.log(own.high / own.value), np.log(factor.high / factor.value))
    )
    assert_not_less(medians(on=double), medians(on=cloth))


def test_redyed_cotton_bleeds_and_cotton_as_it_is_usually_dyed_changes_nothing_that_is_seen():
    red = Colour(srgb="#a01525")
    usual, redyed = (describe_cloth(garment(dye=dye, colour=red)) for dye in (Dye.REACTIVE, Dye.REACTIVE_REDYED))
    held, _, difference = bleed(on=usual)
    loose, *_ = bleed(on=redyed)

    assert not held.applies
    assert held.risk == 0
    assert not held.screening
    assert "no dye in 100 % cotton that migrates at the dryer (dye: reactive)" in held.note
    assert 0 < np.quantile(difference, 0.9) < UNSEEN
    assert loose.applies
    assert_not_less(medians(on=redyed), medians(on=usual), somewhere=0.5)


def test_a_held_dye_that_would_be_seen_is_forecast_as_bleeding():
    forecast, *_ = bleed(on=describe_cloth(garment({"nylon": 1.0}, dye=Dye.ACID)), peak_c=195.0, held=36.0)

    assert max(day.difference.p90 for day in forecast.days) >= UNSEEN
    assert forecast.applies


def test_a_longer_reaction_length_lets_more_dye_through_and_its_spread_is_sampled():
    table = bleed_inputs(RED).reaction_length
    short, long = (corner_set(({"reaction length": z},)) for z in (-1.5, 1.5))
    weak = stack(printed(poly_white(capacity=0.1)))

    assert table.low < table.value < table.high
    assert_not_less(medians(weak, samples=long), medians(weak, samples=short))


def test_dye_absorbs_where_its_cloth_does():
    shape = dye_shape(RED)

    assert shape.shape == (36,)
    assert shape.max() == 1
    assert (shape >= 0).all()
    assert shape[:18].min() > 10 * shape[24:].max()  # a red takes blue and green out, not red


def test_a_perfect_white_has_no_dye():
    perfect = describe_cloth(polyester(colour=Colour(spectrum=(1.0,) * 36)))

    assert not dye_shape(perfect).any()
    assert shade_depth(perfect) == 0.0


def test_the_deeper_the_shade_the_more_dye_up_to_a_full_one():
    shades = ("#ffffff", "#dddddd", "#888888", "#444444", "#000000")
    depths = [shade_depth(describe_cloth(polyester(c))) for c in shades]

    assert depths == sorted(depths)
    assert depths[0] < 0.01
    assert depths[-1] == shade_depth(describe_cloth(polyester("#0a0a0c"))) == 1.0


def test_k_by_s_of_a_cloth_is_the_dyers_own_from_its_reflectance():
    grey = describe_cloth(polyester(colour=Colour(spectrum=(0.25,) * 36)))

    assert cloth_ks(grey) == pytest.approx(np.full(36, 0.75**2 / 0.5))


def test_bands_too_dark_to_be_told_apart_count_alike():
    black = describe_cloth(polyester(colour=Colour(spectrum=(0.0,) * 18 + (0.005,) * 18)))

    assert np.ptp(cloth_ks(black)) == 0
    assert np.isfinite(cloth_ks(black)).all()


# --- balance -------------------------------------------------------------------------------------------------------


def test_dye_is_neither_made_nor_lost(monkeypatch):
    from laydown.physics import migration

    seen = []
    solve = migration.simulate_migration

    def watched(**given):
        seen.append((given, solve(**given)))
        return seen[-1][1]

    monkeypatch.setattr(migration, "simulate_migration", watched)

    bleed(stack(printed(barrier(), "61/64", Role.BARRIER, flash=True), *flashed_twice(poly_white()).passes))

    ((given, history),) = seen
    balance = history.balance
    held = balance.reservoir + balance.free + balance.bound + balance.lost
    np.testing.assert_allclose(held, balance.start + balance.entered * 0, rtol=1e-9)
    np.testing.assert_allclose(balance.start[:, 0], given["reservoir_depth"] * given["reservoir_start"], rtol=1e-12)


def test_blocker_that_sank_into_the_cloth_is_counted_into_the_film_above_it(monkeypatch):
    from laydown.physics import migration

    seen = []
    solve = migration.simulate_migration
    monkeypatch.setattr(migration, "simulate_migration", lambda **given: seen.append(given) or solve(**given))
    ink = blocking_white(capacity=0.1, solids=q(1.0))

    bleed(stack(printed(ink)))

    (given,) = seen
    film = build_film(stack(printed(ink)), RED, SAMPLES, practice=NO_PRACTICE)
    np.testing.assert_allclose(given["capacity"] * given["layer_thickness"], 0.1 * film.wet.T, rtol=1e-12)


STAINING = {
    "red": "#c01725",
    "maroon": "#5c1224",
    "orange": "#f2721c",
    "green": "#0f5132",
    "royal": "#1c3f94",
    "navy": "#1f2740",
}


@pytest.mark.parametrize("srgb", STAINING.values(), ids=STAINING)
def test_a_stain_goes_from_the_white_towards_the_colour_of_the_cloth(srgb):
    on = describe_cloth(polyester(srgb))
    film = build_film(flashed_twice(), on, SAMPLES, practice=NO_PRACTICE)
    (area,) = visible_areas(flashed_twice())
    clean = np.median(lab_of(area_reflectance(area, film, on, SAMPLES)[:, 0], CONDITION), axis=0)

    stain = np.array(bleed(on=on)[0].days[-1].lab) - clean
    towards = np.array(on.lab) - clean

    straight_on = stain @ towards / np.linalg.norm(stain) / np.linalg.norm(towards)
    assert stain[0] < 0
    # Within 50 degrees of straight on in Lab: a thin stain differs in hue from a full shade of its dye.
    assert straight_on > np.cos(np.radians(50))
