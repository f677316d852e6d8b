"""The thermal life of a print."""

from dataclasses import replace

import numpy as np
import pytest

from heat_runs import ramp_hold_cool
from laydown.domain.order import Care, ThermalEvent
from laydown.models.life import (
    BETWEEN_PASSAGES,
    COOLED_RISE,
    FIRST_WASH,
    HORIZON,
    RAMP,
    TRANSIT_START,
    WASH_EVERY,
    thermal_life,
)
from laydown.models.sampling import corner_set, sample_set
from laydown.units import DAY, HOUR, MINUTE, from_celsius
from small_shop import CLIMATE, cloth, garment, with_mass

SAMPLES = sample_set(8)
DRYER = ramp_hold_cool(SAMPLES, 168.0, ends_c=110.0)
FLASH = ramp_hold_cool(SAMPLES, 120.0, ends_c=118.0)
ROOM = from_celsius(23)


def life(care=None, *, flashes=(), passages=1, of=None, samples=SAMPLES, dryer=DRYER):
    return thermal_life(flashes, dryer, cloth(of), care or Care(), CLIMATE, samples, passages=passages)


def hot(height=0.3):
    return Care(stack_hot=True, pile_height=height)


def temperature(found, after, sample=0):
    """Kelvin so many seconds after the dryer."""
    return float(np.interp(found.printed_at + after, found.times, found.temperature[sample]))


STORAGE = SAMPLES.of(CLIMATE.storage_temperature, "storage temperature")


def lives():
    care = Care(
        stack_hot=True,
        transit=ThermalEvent(name="truck", temperature=from_celsius(50), duration=24 * HOUR, times=2),
        tumble_dry=ThermalEvent(name="tumbler", temperature=from_celsius(65), duration=45 * MINUTE, times=5),
    )
    return [life(), life(hot()), life(flashes=(FLASH, FLASH), passages=2), life(care, flashes=(FLASH,), passages=3)]


@pytest.mark.parametrize("found", lives(), ids=["plain", "piled", "two passages", "everything"])
def test_times_rise_from_nothing_to_the_horizon(found):
    assert found.times[0] == 0
    assert (np.diff(found.times) > 0).all()
    assert found.times[-1] - found.printed_at == pytest.approx(HORIZON)
    assert found.temperature.shape == (SAMPLES.size, found.times.size)


@pytest.mark.parametrize("found", lives(), ids=["plain", "piled", "two passages", "everything"])
def test_nothing_is_colder_than_the_air_nor_hotter_than_the_dryer(found):
    assert found.temperature.min() >= from_celsius(15)
    assert found.temperature.max() <= DRYER.interface.max()


def test_it_ends_at_the_temperature_of_the_store():
    for found in lives():
        np.testing.assert_allclose(found.temperature[:, -1], STORAGE, atol=1e-3)


def test_day_0_is_the_end_of_the_last_passage():
    assert life().printed_at == pytest.approx(60.0)
    np.testing.assert_allclose(temperature(life(), 0), DRYER.interface[0, -1])


def test_the_dryer_is_in_it_as_it_was():
    found = life()

    for place in (0, 30, 60, 90, 120):
        assert np.interp(DRYER.times[place], found.times, found.temperature[0]) == pytest.approx(
            DRYER.interface[0, place]
        )


def test_flashes_come_first_and_each_cools_on_its_pallet():
    found = life(flashes=(FLASH, FLASH))

    assert found.printed_at > life().printed_at + 2 * 60
    first = found.times <= 60
    np.testing.assert_allclose(found.temperature[0, first].max(), FLASH.interface.max())
    assert np.interp(70.0, found.times, found.temperature[0]) == pytest.approx(FLASH.interface[0, 0])


def test_a_hot_pile_stays_hot_longer_than_garments_laid_out():
    cooled, piled = life(), life(hot())

    for after in (5 * MINUTE, 30 * MINUTE, 2 * HOUR):
        assert temperature(piled, after) > temperature(cooled, after) + 5
    assert temperature(cooled, 30 * MINUTE) < ROOM + 6


@pytest.mark.parametrize("after", [30 * MINUTE, 2 * HOUR, 8 * HOUR])
def test_a_higher_pile_stays_hot_longer(after):
    heights = [temperature(life(hot(h)), after) for h in (0.05, 0.15, 0.3, 0.8)]

    assert heights == sorted(heights)
    assert heights[-1] > heights[0] + 5


def test_a_pile_that_conducts_less_stays_hot_longer():
    both = corner_set(({"pile conductivity": -1.5}, {"pile conductivity": 1.5}))
    run = ramp_hold_cool(both, 168.0, ends_c=110.0)

    found = life(hot(), samples=both, dryer=run)

    assert temperature(found, 4 * HOUR, 0) > temperature(found, 4 * HOUR, 1) + 5


def test_a_garment_laid_out_cools_as_one_body():
    found = life(dryer=ramp_hold_cool(SAMPLES, 168.0, ends_c=110.0))
    capacity = cloth().areal_mass.value * cloth().specific_heat.value
    rate = 2 * (6.0 + 5.5) / capacity
    after = found.times[(found.times > found.printed_at + 15) & (found.times < found.printed_at + 120)] - 60.0

    expected = STORAGE[0] + (from_celsius(110) - ROOM) * np.exp(-rate * after) + COOLED_RISE * np.exp(-after / HOUR)

    np.testing.assert_allclose([temperature(found, t) for t in after], expected, rtol=1e-9)


def test_a_heavier_garment_laid_out_cools_later():
    light, heavy = (life(of=garment(areal_mass=with_mass(gsm))) for gsm in (140, 300))

    assert temperature(heavy, 20.0) > temperature(light, 20.0) + 5


def test_two_passages_heat_it_twice_and_it_cools_between():
    found = life(passages=2)
    hot_spells = np.diff((found.temperature[0] > from_celsius(150)).astype(int))

    assert (hot_spells == 1).sum() == 2
    assert found.printed_at == pytest.approx(60 + BETWEEN_PASSAGES + 1 + 60)
    assert np.interp(60 + 10 * MINUTE, found.times, found.temperature[0]) < from_celsius(40)


def test_between_two_prints_a_hot_pile_stays_warm():
    laid_out, piled = life(passages=2), life(hot(), passages=2)
    at = 60 + np.array([0.1, 0.5, 1.0]) * BETWEEN_PASSAGES

    for sample in range(SAMPLES.size):
        assert (np.interp(at, piled.times, piled.temperature[sample]) > from_celsius(45)).all()
        assert (np.interp(at[1:], laid_out.times, laid_out.temperature[sample]) < from_celsius(30)).all()


@pytest.mark.parametrize("times", [1, 3])
def test_transit_holds_its_temperature_once_a_day(times):
    truck = ThermalEvent(name="truck", temperature=from_celsius(50), duration=12 * HOUR, times=times)
    found = life(Care(transit=truck))

    for i in range(times):
        begin = TRANSIT_START + i * DAY
        assert temperature(found, begin + RAMP + 6 * HOUR) == pytest.approx(from_celsius(50))
        assert temperature(found, begin + 2 * RAMP + 12 * HOUR + 60) < from_celsius(35)
    assert temperature(found, TRANSIT_START + times * DAY + 6 * HOUR) < from_celsius(35)


def test_a_transit_longer_than_a_day_is_not_laid_over_the_next():
    truck = ThermalEvent(name="truck", temperature=from_celsius(50), duration=30 * HOUR, times=2)
    found = life(Care(transit=truck))

    second = TRANSIT_START + 30 * HOUR + 2 * RAMP
    assert temperature(found, second) == pytest.approx(STORAGE[0], abs=0.05)
    assert temperature(found, second + RAMP + HOUR) == pytest.approx(from_celsius(50))


def test_tumble_drying_shows_once_a_week():
    tumbler = ThermalEvent(name="tumbler", temperature=from_celsius(65), duration=45 * MINUTE, times=3)
    found = life(Care(tumble_dry=tumbler))

    for i in range(3):
        begin = FIRST_WASH + i * WASH_EVERY
        assert temperature(found, begin + RAMP + 20 * MINUTE) == pytest.approx(from_celsius(65))
    assert temperature(found, FIRST_WASH + 3 * WASH_EVERY + RAMP + 20 * MINUTE) < from_celsius(35)


def test_washes_beyond_the_horizon_are_left_out():
    often = ThermalEvent(name="tumbler", temperature=from_celsius(65), duration=45 * MINUTE, times=100)
    found = life(Care(tumble_dry=often))

    assert found.times[-1] - found.printed_at == pytest.approx(HORIZON)
    assert np.isfinite(found.temperature).all()
    spells = np.diff((found.temperature[0] > from_celsius(60)).astype(int))
    # The dryer, and a wash on days 3, 10, ... 59.
    assert (spells == 1).sum() == 1 + 9


def test_an_event_of_no_duration_is_none():
    nothing = ThermalEvent(name="truck", temperature=from_celsius(50), duration=0.0)

    np.testing.assert_array_equal(life(Care(transit=nothing)).temperature, life().temperature)


def test_a_cold_transit_cools():
    freezer = ThermalEvent(name="freezer", temperature=from_celsius(-18), duration=12 * HOUR)

    assert temperature(life(replace(Care(), transit=freezer)), TRANSIT_START + 6 * HOUR) == pytest.approx(
        from_celsius(-18)
    )
