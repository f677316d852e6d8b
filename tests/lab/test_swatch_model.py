"""Swatches as the models predict them."""

from dataclasses import replace

import numpy as np
import pytest

from lab.swatches import OVEN_TEST, SHORT_TEST, lab_cloth, lab_shop, simulated, swatch
from laydown.domain.garment import History
from laydown.domain.swatch import PressRun
from laydown.lab.evidence import Hold, Leg, gather
from laydown.lab.swatch_model import SwatchModel, held
from laydown.models.appearance import visible_areas
from laydown.models.life import Life
from laydown.models.sampling import median_set, sample_set
from laydown.units import DAY, HOUR, from_celsius
from small_shop import printed, stack, white

SHOP, CLOTH = lab_shop(), lab_cloth()
RECORD = simulated(SHOP, CLOTH, {"release": 1.0})
(EVIDENCE,) = gather(SHOP, CLOTH, (RECORD,)).swatches
MODEL = SwatchModel(SHOP, CLOTH, RECORD.swatch)


def stain(predicted):
    return np.linalg.norm(predicted.colour - predicted.clean, axis=2)


def test_the_warm_half_bleeds_more_than_the_cool_one():
    new, warm, cool = np.median(stain(MODEL.predict(EVIDENCE, sample_set(32))), axis=0)

    assert warm > cool >= new > 0


def test_a_warmer_oven_drives_more_dye_and_leaves_the_cool_half_alone():
    samples = median_set()
    usual, warmer = (stain(MODEL.predict(EVIDENCE, samples, np.array([e])))[0] for e in (0.0, 4.0))

    assert warmer[1] > usual[1]
    np.testing.assert_allclose(warmer[[0, 2]], usual[[0, 2]], rtol=1e-3)


def test_what_the_garments_history_lets_one_expect_is_not_used():
    tested = SwatchModel(SHOP, replace(CLOTH, history=History.TESTED), RECORD.swatch)
    samples = sample_set(16)

    np.testing.assert_array_equal(tested.predict(EVIDENCE, samples).colour, MODEL.predict(EVIDENCE, samples).colour)


def test_a_grade_falls_as_the_stain_grows():
    record = simulated(SHOP, CLOTH, {}, protocol=SHORT_TEST)
    (evidence,) = gather(SHOP, CLOTH, (record,)).swatches
    predicted = SwatchModel(SHOP, CLOTH, record.swatch).predict(evidence, sample_set(64))

    order = np.argsort(stain(predicted)[:, 1])
    assert (np.diff(predicted.grade[order, 0]) < 0.3).all()
    assert predicted.grade.max() <= 5.0


def test_a_flash_that_nobody_noted_is_set_as_a_plan_would():
    run = replace(RECORD.swatch.run, flash_seconds=None)
    found = SwatchModel(SHOP, CLOTH, replace(RECORD.swatch, run=run))

    assert 3.0 <= found._flash_seconds[0] <= 20.0


def test_a_shop_without_a_flash_prints_wet_on_wet():
    run = PressRun(dryer="Tunnel", panel_setting=from_celsius(310), belt_speed=0.1)
    without = lab_shop(presses=())
    model = SwatchModel(without, CLOTH, swatch(CLOTH, run=run))

    assert model.predict(EVIDENCE, median_set()).colour.shape == (1, 3, 3)


def test_differences_are_those_of_the_predicted_colours():
    from laydown.physics.ciede2000 import ciede2000

    samples = sample_set(8)
    predicted = MODEL.predict(EVIDENCE, samples)
    leg = next(leg for leg in EVIDENCE.legs if leg.holds)

    found = MODEL.differences(leg, EVIDENCE.areas[0], samples)

    np.testing.assert_allclose(found[:, 0], ciede2000(predicted.clean[:, 1], predicted.colour[:, 1]), rtol=1e-12)


def test_one_pass_of_white_needs_no_flash():
    one = swatch(CLOTH, stack=stack(printed(white())))
    leg = Leg(part="", holds=(), times=(1 * DAY, 30 * DAY))
    found = SwatchModel(SHOP, CLOTH, one).differences(leg, visible_areas(one.stack)[0], median_set())

    assert found[0, 1] >= found[0, 0] > 0


# --- holds ---------------------------------------------------------------------------------------------------------

LIFE = Life(times=np.array([0.0, 100.0, 10 * DAY]), temperature=np.full((2, 3), 300.0), printed_at=100.0)


def at(life, time):
    return np.array([np.interp(time, life.times, row) for row in life.temperature])


def test_a_hold_warms_a_part_for_its_time_and_no_longer():
    life = held(LIFE, (Hold(start=1 * HOUR, duration=15 * HOUR, temperature=325.0),), until=2 * DAY)

    begin = 100.0 + 1 * HOUR
    assert at(life, begin) == pytest.approx(300.0)
    assert at(life, begin + 0.5 * HOUR) == pytest.approx(325.0)
    assert at(life, begin + 15 * HOUR) == pytest.approx(325.0)
    assert at(life, begin + 16 * HOUR) == pytest.approx(300.0)
    assert life.printed_at == 100.0


def test_an_oven_that_is_off_is_off_in_each_sample_on_its_own():
    life = held(
        LIFE, (Hold(start=0.0, duration=10 * HOUR, temperature=325.0),), until=1 * DAY, error=np.array([-2.0, 3.0])
    )

    assert at(life, 5 * HOUR) == pytest.approx([323.0, 328.0])


def test_without_a_hold_nothing_changes_and_a_late_reading_lengthens_the_life():
    life = held(LIFE, (), until=90 * DAY)

    assert life.times[-1] > 90 * DAY
    assert (np.diff(life.times) > 0).all()
    np.testing.assert_allclose(life.temperature, 300.0)


def test_a_short_press_warms_and_cools_fast():
    life = held(LIFE, (Hold(start=600.0, duration=30.0, temperature=433.0),), until=1 * HOUR)

    assert at(life, 100 + 600 + 2) == pytest.approx(433.0)
    assert at(life, 100 + 600 + 40) == pytest.approx(300.0)


def test_the_oven_test_of_the_small_shop_is_the_one_meant():
    assert {step.part for step in OVEN_TEST.steps} == {"", "warm half", "cool half"}
