"""Temperatures of a print under flash and dryer."""

from dataclasses import replace

import numpy as np
import pytest

from laydown.domain.costs import Climate
from laydown.domain.fibre import FIBRES
from laydown.models.flash import (
    FLASH_STEP,
    LONGEST_FLASH,
    cloth_when_gelled,
    flash_seconds,
    gel_temperatures,
    run_flash,
)
from laydown.models.heat import run_dryer
from laydown.models.sampling import corner_set, median_set, sample_set
from laydown.units import from_celsius
from small_shop import CLIMATE, celsius, cloth, dryer, flash_unit, garment, polyester, press, q, with_mass

SAMPLES = sample_set(16)
ONE = median_set()
BY_PLACE = ("surface", "interface", "back", "coolest", "cloth_hottest")


def through(of=None, *, film=60e-6, setting=340.0, speed=0.10, samples=ONE, on=None, climate=CLIMATE, **more):
    return run_dryer(
        cloth(of),
        on or dryer(),
        climate,
        np.full(samples.size, film),
        samples,
        setting=from_celsius(setting),
        speed=speed,
        **more,
    )


def under(of=None, *, film=60e-6, seconds=8.0, unit=None, samples=ONE, at=None):
    return run_flash(
        cloth(of),
        unit or flash_unit(),
        at or press(),
        CLIMATE,
        np.full(samples.size, film),
        samples,
        seconds=seconds,
    )


def peak(run, place="coolest"):
    return float(getattr(run, place).max())


def test_a_hotter_panel_makes_a_hotter_film():
    peaks = [peak(through(setting=s)) for s in (280, 330, 380, 430)]

    assert (np.diff(peaks) > 5).all()


def test_a_slower_belt_makes_a_hotter_film():
    peaks = [peak(through(speed=v)) for v in (0.15, 0.12, 0.09, 0.06)]

    assert (np.diff(peaks) > 2).all()


def test_heavier_cloth_stays_cooler():
    light, heavy = (peak(through(garment(areal_mass=with_mass(gsm)))) for gsm in (140, 280))

    assert heavy < light - 5


def test_moister_cloth_stays_cooler():
    dry, wet = corner_set(({"moisture": -2.0},)), corner_set(({"moisture": 2.0},))

    assert peak(through(samples=wet)) < peak(through(samples=dry)) - 1


def test_polyester_gets_hot_sooner_than_cotton_of_the_same_mass():
    cotton, polyester_ = through(), through(polyester())
    halfway = int(np.searchsorted(cotton.times, cotton.tunnel_end / 2))

    assert polyester_.interface[0, halfway] > cotton.interface[0, halfway] + 10


def test_while_heat_comes_from_above_the_film_is_nowhere_hotter_than_its_surface():
    run = through(samples=SAMPLES, film=120e-6)
    heating = (run.times > 0.5) & (run.times < run.tunnel_end)

    assert (run.coolest[:, heating] <= run.surface[:, heating] + 1e-9).all()
    assert (run.coolest[:, heating] <= run.interface[:, heating] + 1e-9).all()
    assert (run.back[:, heating] < run.interface[:, heating]).all()


def test_the_hottest_cloth_is_nowhere_cooler_than_the_interface():
    run = through(samples=SAMPLES)

    assert (run.cloth_hottest >= run.interface - 1e-9).all()


def test_bare_cloth_gets_hotter_than_the_printed_place():
    bare, printed_ = through(film=0.0), through()

    assert peak(bare, "cloth_hottest") > peak(printed_, "cloth_hottest") + 2


def test_bare_cloth_dries_through_its_face_as_well():
    # Heavy, moist cloth on a fast belt: a thin film keeps the water in, so the place below it lags far behind.
    heavy = garment(areal_mass=with_mass(300))

    bare, filmed = through(heavy, film=0.0, speed=0.12), through(heavy, film=1e-9, speed=0.12)

    assert peak(bare, "cloth_hottest") > peak(filmed, "cloth_hottest") + 5


@pytest.mark.parametrize("fibre", FIBRES)
def test_every_fibre_goes_through_flash_and_dryer(fibre):
    samples = sample_set(64)
    for run in (through(garment({fibre: 1.0}), samples=samples), under(garment({fibre: 1.0}), samples=samples)):
        for place in BY_PLACE:
            assert np.isfinite(getattr(run, place)).all()


def test_behind_the_tunnel_the_print_cools():
    run = through(samples=SAMPLES)
    catch = run.times > run.tunnel_end

    assert catch.sum() == 8
    assert run.times[-1] == pytest.approx(run.tunnel_end + dryer().catch_time)
    assert (np.diff(run.surface[:, catch], axis=1) < 0).all()


def test_the_dwell_is_the_tunnel_by_the_belt_speed():
    assert through(speed=0.05).tunnel_end == pytest.approx(4.0 / 0.05)


def test_nothing_is_hotter_than_the_panel_nor_colder_than_the_shop():
    run = through(samples=SAMPLES, setting=450, speed=0.02)
    for place in BY_PLACE:
        values = getattr(run, place)
        assert values.max() < from_celsius(450 + 15)
        assert values.min() > from_celsius(22)


def test_finer_output_times_do_not_move_the_peak():
    # The peak lies at the end of the tunnel, which is an output time however many there are.
    for place in ("coolest", "cloth_hottest"):
        assert peak(through(outputs=40), place) == pytest.approx(peak(through(outputs=320), place), abs=0.1)


def test_a_setting_of_its_own_for_every_sample():
    both = corner_set(({}, {}))
    settings = from_celsius(np.array([300.0, 400.0]))

    run = run_dryer(cloth(), dryer(), CLIMATE, np.full(2, 60e-6), both, setting=settings, speed=0.10)

    for i, setting in enumerate((300.0, 400.0)):
        np.testing.assert_allclose(run.surface[i], through(setting=setting).surface[0], rtol=1e-12)


@pytest.mark.parametrize("direction", ["panel temperature", "radiant exchange", "air coefficient"])
def test_each_thing_the_dryer_can_be_off_by_moves_the_film(direction):
    low, high = (peak(through(samples=corner_set(({direction: z},)))) for z in (-2.0, 2.0))

    assert high > low + 0.5


def test_an_unchecked_setting_is_off_by_what_its_panels_are_off():
    checked = dryer(setting_error=q(0.0, -8.0, 8.0))
    unchecked = dryer(setting_error=None)

    for z in (-1.5, 0.0, 1.5):
        samples = corner_set(({"panel temperature": z},))
        np.testing.assert_allclose(
            through(samples=samples, on=unchecked).surface, through(samples=samples, on=checked).surface, rtol=1e-12
        )


def test_the_air_of_a_zone_follows_the_setting_by_its_share():
    still = dryer(zones=tuple(replace(z, exchange=q(0.0), air_follow=0.0) for z in dryer().zones))

    assert peak(through(setting=300, on=still)) == peak(through(setting=400, on=still))


def test_humid_air_dries_the_cloth_later():
    dry_air, humid_air = (
        Climate(temperature=celsius(23), humidity=q(h), storage_temperature=celsius(25)) for h in (0.1, 0.9)
    )

    dry, humid = (through(climate=c, on=dryer(zones=(dryer().zones[0],))) for c in (dry_air, humid_air))

    assert not np.array_equal(dry.interface, humid.interface)


def test_the_samples_of_a_batch_do_not_know_of_each_other():
    corners = ({"radiant exchange": 1.0}, {"moisture": -1.0}, {})
    together = through(samples=corner_set(corners))

    for i, corner in enumerate(corners):
        alone = through(samples=corner_set((corner,)))
        np.testing.assert_array_equal(together.interface[i], alone.interface[0])


# --- flash ---------------------------------------------------------------------------------------------------------


GEL = celsius(112)


def gels(run):
    """Gel temperature in every sample of a run."""
    return np.full(len(run.coolest), GEL.value)


def seconds_of(run):
    return flash_seconds(run, gels(run), risk=0.05)


def test_a_flash_heats_the_film_from_its_surface_down():
    run = under(film=120e-6, samples=SAMPLES)

    assert (np.diff(run.surface, axis=1) > 0).all()
    assert (run.coolest[:, 1:] < run.surface[:, 1:]).all()


def test_a_thicker_film_needs_a_longer_flash():
    times = [seconds_of(under(film=f, seconds=LONGEST_FLASH)) for f in (20e-6, 80e-6, 200e-6)]

    assert None not in times
    assert times == sorted(times)
    assert times[0] < times[-1]


def test_a_stronger_flash_needs_less_time():
    weak, strong = (seconds_of(under(unit=flash_unit(exchange=x), seconds=LONGEST_FLASH)) for x in (0.4, 0.6))

    assert strong < weak


def test_a_warm_pallet_saves_time():
    cold, warm = (seconds_of(under(at=press(pallet_temperature=celsius(t)), seconds=LONGEST_FLASH)) for t in (35, 65))

    assert warm < cold


def test_a_press_that_names_no_pallet_takes_the_usual_one():
    usual = under(at=press(pallet_temperature=None))

    np.testing.assert_array_equal(usual.surface, under(at=press(pallet_temperature=celsius(50))).surface)


def test_a_flash_that_cannot_gel_gives_no_time():
    assert seconds_of(under(unit=flash_unit(exchange=0.02), seconds=LONGEST_FLASH)) is None


def test_a_smaller_allowed_risk_needs_a_longer_flash():
    unsure = flash_unit(exchange=0.4)
    run = under(samples=sample_set(64), unit=replace(unsure, exchange=q(0.45, 0.40, 0.51)), seconds=LONGEST_FLASH)
    times = [flash_seconds(run, gels(run), risk=r) for r in (0.5, 0.2, 0.05)]

    assert times == sorted(times)


def test_at_the_found_time_no_more_than_the_allowed_share_is_raw_and_a_step_earlier_more_is():
    run = under(samples=sample_set(64), seconds=LONGEST_FLASH)

    seconds = flash_seconds(run, gels(run), risk=0.1)
    at = round(seconds / FLASH_STEP)
    raw = (run.coolest < GEL.value).mean(axis=0)

    assert raw[at] <= 0.1 < raw[at - 1]


def test_a_shorter_flash_is_the_beginning_of_a_longer_one():
    short, long = under(seconds=4.0), under(seconds=8.0)

    np.testing.assert_allclose(short.coolest[0], long.coolest[0, : short.times.size], atol=0.2)


def test_the_cloth_counts_as_hot_as_it_is_when_the_film_has_gelled():
    run = under(film=60e-6, seconds=12.0, samples=sample_set(32))
    gelled = cloth_when_gelled(run, run, gels(run))
    first = (run.coolest >= GEL.value).argmax(axis=1)

    assert (gelled < run.cloth_hottest[:, -1]).all()
    assert gelled == pytest.approx(run.cloth_hottest[np.arange(32), first])
    assert (gelled >= GEL.value).all()


def test_under_a_flash_the_bare_cloth_beside_the_print_counts_as_well():
    samples = sample_set(32)
    run, bare = (under(polyester(), film=f, seconds=12.0, samples=samples) for f in (60e-6, 0.0))
    together = cloth_when_gelled(run, bare, gels(run))

    assert (together > cloth_when_gelled(run, run, gels(run)) + 5).all()
    first = (run.coolest >= GEL.value).argmax(axis=1)
    assert together == pytest.approx(bare.cloth_hottest[np.arange(32), first])


def test_each_sample_gels_at_its_own_temperature():
    run = under(film=60e-6, seconds=LONGEST_FLASH, samples=sample_set(64))
    spread = gel_temperatures(celsius(112, 4), sample_set(64))

    assert spread.std() > 1
    raw = [
        (run.coolest[:, round(flash_seconds(run, spread, risk=r) / FLASH_STEP)] < spread).mean() for r in (0.2, 0.05)
    ]
    assert raw[0] <= 0.2
    assert raw[1] <= 0.05
    assert flash_seconds(run, spread, risk=0.05) >= seconds_of(run)


def test_where_a_film_never_gels_the_cloth_counts_as_hot_as_it_gets():
    run = under(unit=flash_unit(exchange=0.05), seconds=12.0, samples=SAMPLES)

    assert cloth_when_gelled(run, run, gels(run)) == pytest.approx(run.cloth_hottest[:, -1])
