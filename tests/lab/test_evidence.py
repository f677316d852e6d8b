"""What readings say in the model's terms: histories of the halves, colours, grades, and what is left out."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from lab.swatches import LONG_TEST, MADE, OVEN_TEST, SHORT_TEST, lab_cloth, lab_shop, simulated, swatch
from laydown.domain.measurement import ColourMeasurement, Conditions, GreyScaleGrade, Spectrum
from laydown.domain.protocol import Reads, Step, Subject
from laydown.domain.reading import Reading
from laydown.domain.stack import Role
from laydown.lab.evidence import SwatchRecord, gather, holds_of
from laydown.models.colour import lab_of, reflectance
from laydown.units import DAY, HOUR, from_celsius
from small_shop import barrier, blocking_white, colour, flashed_twice, printed, stack

SHOP, CLOTH = lab_shop(), lab_cloth()
RECORD = simulated(SHOP, CLOTH, {})


def evidence(record=RECORD):
    return gather(SHOP, CLOTH, (record,))


def with_reading(**changes):
    first = replace(RECORD.readings[0], **({"number": 900} | changes))
    return replace(RECORD, readings=(*RECORD.readings, first))


def test_the_halves_of_an_oven_test_have_two_histories():
    (found,) = evidence().swatches

    cool, warm = sorted(found.legs, key=lambda leg: len(leg.holds))
    assert cool.holds == ()
    assert cool.times == pytest.approx((0.5 * HOUR, 17 * HOUR))
    (hold,) = warm.holds
    assert (hold.start, hold.duration, hold.temperature) == (1 * HOUR, 15 * HOUR, from_celsius(52))
    assert warm.times == (17 * HOUR,)
    assert [found.legs[seen.leg].holds != () for seen in found.colours] == [False, True, False]
    assert found.readings == evidence().readings == 3


def test_a_test_that_is_read_as_soon_as_it_ends_began_sooner_after_the_dryer():
    (hold,) = holds_of(OVEN_TEST, "warm half", [15.25 * HOUR])
    assert hold.start == pytest.approx(0.25 * HOUR)
    (late,) = holds_of(OVEN_TEST, "warm half", [3 * DAY])
    assert late.start == 1 * HOUR


def test_steps_follow_each_other_and_what_makes_the_print_is_no_step_after_it():
    steps = (
        Step(text="cure", temperature=from_celsius(160), duration=60.0),
        Step(text="wait", part="warm half", duration=2 * HOUR),
        Step(text="oven", part="warm half", temperature=from_celsius(52), duration=5 * HOUR),
        Step(text="car", temperature=from_celsius(70), duration=1 * HOUR),
    )
    oven, car = holds_of(replace(OVEN_TEST, steps=steps, readings=OVEN_TEST.readings[:2]), "warm half", [9 * DAY])

    assert (oven.start, oven.temperature) == (3 * HOUR, from_celsius(52))
    assert (car.start, car.temperature) == (8 * HOUR, from_celsius(70))


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"part": "left half"}, "no part 'left half'"),
        ({"area": "red"}, "shows no area 'red' (it shows white)"),
        ({"taken_at": MADE - dt.timedelta(hours=1)}, "within 400 days after the dryer"),
        ({"reads": Reads.MASS, "value": 0.2}, "a reading of mass says nothing of bleed"),
        (
            {
                "value": ColourMeasurement(
                    name="x", lab=(90, 0, 0), conditions=Conditions(illuminant="F11", observer="10")
                )
            },
            "L*, a*, b* under F11/10 cannot be predicted",
        ),
        ({"value": ColourMeasurement(name="x", spectrum=Spectrum(start_nm=500, step_nm=10, values=(0.5,) * 20))}, "nm"),
    ],
)
def test_a_reading_that_says_nothing_is_left_out_with_its_reason(changes, why):
    found = evidence(with_reading(**changes))

    assert found.readings == 3
    (said,) = found.unused
    assert said.startswith("swatch 1: reading 900 is left out: ")
    assert why in said


@pytest.mark.parametrize(
    ("record", "why"),
    [
        (replace(RECORD, protocol=replace(OVEN_TEST, subject=Subject.WASH)), "tells of wash, not of bleed"),
        (replace(RECORD, swatch=replace(RECORD.swatch, garment="blue tee")), "it is of blue tee, not of red tee"),
        (replace(RECORD, swatch=replace(RECORD.swatch, lot="B")), "it is of lot B, not of lot A"),
        (replace(RECORD, swatch=replace(RECORD.swatch, stack=None)), "are not on record"),
        (replace(RECORD, swatch=replace(RECORD.swatch, run=None)), "are not on record"),
        (
            replace(RECORD, swatch=replace(RECORD.swatch, run=replace(RECORD.swatch.run, dryer="Old"))),
            "its dryer 'Old' is not on the shelf",
        ),
    ],
)
def test_a_swatch_that_says_nothing_is_left_out_with_its_reason(record, why):
    found = evidence(record)

    assert found.swatches == ()
    assert found.readings == 0
    assert why in found.unused[0]


def test_a_correction_takes_the_place_of_what_it_corrects():
    old = RECORD.readings[1]
    found = evidence(with_reading(corrects=old.number, part=old.part, taken_at=old.taken_at))

    (one,) = found.swatches
    assert old.number not in {seen.number for seen in one.colours}
    assert 900 in {seen.number for seen in one.colours}


def test_readings_close_in_time_are_predicted_once():
    first = RECORD.readings[1]
    found = evidence(with_reading(part=first.part, taken_at=first.taken_at + dt.timedelta(minutes=5)))

    (one,) = found.swatches
    assert sum(len(leg.times) for leg in one.legs) == 3
    assert len(one.colours) == 4


def test_a_graded_half_is_compared_with_the_cool_one_at_the_same_time():
    graded = with_reading(
        reads=Reads.STAINING, value=GreyScaleGrade(value=4.5), part="warm half", taken_at=MADE + dt.timedelta(days=2)
    )
    (found,) = evidence(graded).swatches

    (seen,) = found.grades
    assert found.legs[seen.leg].part == "warm half"
    assert found.legs[seen.against].holds == ()
    assert found.legs[seen.against].times[-1] == pytest.approx(2 * DAY)
    assert seen.staining


def test_a_grade_without_another_half_is_compared_with_the_print_as_it_was_new():
    (found,) = gather(SHOP, CLOTH, (simulated(SHOP, CLOTH, {}, protocol=SHORT_TEST),)).swatches

    assert [seen.against for seen in found.grades] == [None]


def test_a_spectrum_is_weighed_for_the_shops_illuminant():
    red = reflectance(CLOTH.colour)
    found = evidence(
        with_reading(value=ColourMeasurement(name="x", spectrum=Spectrum(start_nm=380, step_nm=10, values=tuple(red))))
    )

    seen = next(s for s in found.swatches[0].colours if s.number == 900)
    assert seen.lab == pytest.approx(lab_of(red, "D65/10"), abs=1e-9)
    assert seen.condition == "D65/10"


def test_lab_under_another_illuminant_stays_there():
    value = ColourMeasurement(name="x", lab=(90, 1, 2), conditions=Conditions(illuminant="D50", observer="2"))
    found = evidence(with_reading(value=value))

    seen = next(s for s in found.swatches[0].colours if s.number == 900)
    assert (seen.lab, seen.condition) == ((90, 1, 2), "D50/2")


def test_the_lightest_area_is_meant_where_nobody_said():
    print_ = stack(
        printed(barrier(), "61/64", Role.BARRIER, flash=True),
        printed(blocking_white(), role=Role.UNDERBASE, flash=True, shows=0.2),
        printed(colour(), "61/64", Role.COLOUR, coverage=0.2),
    )
    one = swatch(CLOTH, stack=print_)
    readings = tuple(replace(r, area=area) for r, area in zip(RECORD.readings, ("", "white", "Plain Red"), strict=True))
    (found,) = gather(SHOP, CLOTH, (SwatchRecord(swatch=one, protocol=OVEN_TEST, readings=readings),)).swatches

    assert [found.areas[seen.area].name for seen in found.colours] == ["white", "white", "Plain Red"]


def test_a_long_test_reads_the_cool_half_again():
    (found,) = gather(SHOP, CLOTH, (simulated(SHOP, CLOTH, {}, protocol=LONG_TEST),)).swatches

    assert found.readings == 5
    assert np.ptp([leg.times[-1] for leg in found.legs]) > 20 * DAY


def test_readings_have_their_swatch():
    assert all(isinstance(one, Reading) for one in RECORD.readings)
    assert flashed_twice(blocking_white()) == RECORD.swatch.stack
