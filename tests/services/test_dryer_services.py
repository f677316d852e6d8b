"""Dryers by the services: a plan uses the fitted one, and orders since the last good check are this machine's."""

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from laydown.domain.probe_check import CheckKind, ProbeCheck
from laydown.domain.probe_log import ProbeConditions, Spot
from laydown.errors import InvalidInput, NotFound
from laydown.lab.dryer_curves import TestPiece, run_guess
from laydown.models.cloth import describe_cloth
from laydown.models.heat import START_TEMPERATURE_RISE
from laydown.services import dryer_book, dryer_watch, press_book, probe_fit, probe_machines
from laydown.services.opening import current_shop, open_database, start_demo
from laydown.services.schemas import plan_json
from laydown.services.what_if import UNCHANGED, what_if
from laydown.store import orders, plans
from planned import COTTON, TWO_PRINTS, invented_shop, planned

sys.path.append(str(Path(__file__).parents[1] / "lab"))
from synthetic_flash import draw_flash, flash_log
from synthetic_probe import FILM, GARMENT, as_csv, draw, written_log

DAY = dt.datetime(2026, 11, 1, 7, tzinfo=dt.UTC)
CALM = (160.0, 161.0, 159.0, 160.0, 160.5, 161.0, 160.0, 159.5)


@pytest.fixture(scope="module")
def used():
    """Dryer that the plan of the cotton order uses, by name."""
    return planned(COTTON).prints[0].settings.dryer.dryer


@pytest.fixture(scope="module")
def truth(used):
    """Coefficients that the dryer really has."""
    return draw(invented_shop().dryer(used), np.random.default_rng(17))


@pytest.fixture(scope="module")
def log_file(used, truth):
    shop = invented_shop()
    dryer = shop.dryer(used)
    log, _ = written_log(dryer, truth, np.random.default_rng(18))
    conditions = ProbeConditions(
        dryer=used, garment=GARMENT.name, date=dt.date(2026, 11, 25), setting=dryer.setting, film=FILM
    )
    return probe_fit.probe_file(shop, as_csv(log, spot=Spot.UNDER_PRINT), "kiln.csv", conditions)


@pytest.fixture
def store(tmp_path):
    with open_database(str(tmp_path / "shop.sqlite")) as opened:
        start_demo(opened, who="tests")
        yield opened


def test_a_plan_is_forecast_with_the_fitted_dryer(used, truth, log_file):
    shop, plan = invented_shop(), planned(COTTON)
    dryer = shop.dryer(used)
    fit = probe_fit.fit(dryer, shop.climate, [log_file])
    again = what_if(probe_machines.with_machine(shop, fit.dryer), plan, UNCHANGED)
    kept, forecast = plan.prints[0].settings.dryer, plan.prints[0].forecast
    of_dryer = np.array([one.of_dryer for one in truth.parameters])
    piece = TestPiece(cloth=describe_cloth(plan.order.garment), film=forecast.film.p50, climate=shop.climate)
    true = run_guess(
        dryer,
        replace(truth, z=np.where(of_dryer, truth.z, 0.0)),
        piece,
        setting=kept.panel_temperature,
        speed=kept.belt_speed,
        start=shop.climate.temperature.value + START_TEMPERATURE_RISE,
        log=-1,
    )
    peak = float(true.interface.max())
    found, before = again.print_plan.forecast.cure.probe_peak, forecast.cure.probe_peak

    assert abs(found.p50 - peak) < 3.0
    assert abs(found.p50 - peak) < abs(before.p50 - peak)


def test_a_plan_waits_as_long_as_the_fitted_flash_needs(store):
    """A unit that brings less than the shelf says is fitted, and the same print then flashes longer."""
    shop, plan = invented_shop(), planned(TWO_PRINTS)
    press = next(one for one in shop.presses if one.name == plan.prints[0].settings.press)
    unit = press.flashes[0]
    rng = np.random.default_rng(2)
    truth = draw_flash(unit, rng)
    weak = replace(truth, z=np.where([[one.key == ("exchange", 0) for one in truth.parameters]], -2.5, truth.z))
    log = flash_log(unit, weak, rng, seconds=14.0)
    conditions = ProbeConditions(
        dryer=unit.name,
        garment=GARMENT.name,
        date=dt.date(2026, 11, 25),
        setting=unit.radiant_temperature.value,
        film=FILM,
        flash_seconds=14.0,
    )
    content = as_csv(log, spot=Spot.UNDER_PRINT)
    dryer_book.keep(store, content, "flash.csv", conditions, key="a-flash-log", who="tests")
    asked = dryer_book.request(store, unit.name)
    found = probe_fit.fitted(probe_fit.fit(asked.machine, asked.climate, asked.files))
    dryer_book.use(store, probe_fit.document(found), revision=asked.revision, who="tests")
    again = what_if(current_shop(store), plan, UNCHANGED)

    before, after = (
        [one.flash_seconds for one in made.settings.passes if one.flash_seconds is not None]
        for made in (plan.prints[0], again.print_plan)
    )
    assert len(before) == len(after) > 0
    assert all(later > earlier for earlier, later in zip(before, after, strict=True))


def test_a_log_of_another_dryer_is_refused(used, log_file):
    shop = invented_shop()
    other = next(one for one in shop.dryers if one.name != used)
    with pytest.raises(InvalidInput, match=f"this log is of {used}, not of {other.name}"):
        probe_fit.fit(other, shop.climate, [log_file])


def test_a_match_asks_for_the_plans_own_curve(used):
    shop, plan = invented_shop(), planned(COTTON)
    found = probe_fit.match(shop, plan, used)

    assert found.met
    assert found.target.above == plan.prints[0].forecast.cure.needed_temperature
    with pytest.raises(NotFound):
        probe_fit.match(shop, plan, "none")
    with pytest.raises(InvalidInput, match="no print 9"):
        probe_fit.match(shop, plan, used, print_index=8)


def check_all(store, machine, kind=CheckKind.PEAK):
    for i, value in enumerate((*CALM, *(160.5 + 0.8 * i for i in range(7)))):
        entry = ProbeCheck(machine=machine, kind=kind, value=value + 273.15, happened_at=DAY + dt.timedelta(days=i))
        dryer_watch.enter(store, entry, key=f"{machine[:20]}-{i:04d}-key", who="tests")


def printed(store, *, at):
    """Count pieces of the cotton order, which has a plan; gives its number."""
    with store.write(who="tests") as tx:
        number = next(one.id for one in orders.find(tx, limit=100)[0] if one.name == planned(COTTON).order.name)
        plans.add(tx, number, plan_json(planned(COTTON)), invented_shop(), order_version=1)
    press_book.add(
        store, number, key=f"count-{at:%d}-0001", kind="count", document={"pieces": 24}, happened_at=at, who="tests"
    )
    return number


def test_orders_since_the_last_good_check_are_those_of_this_dryer(store, used):
    other = next(name for name in dryer_book.names(store) if name != used)
    number = printed(store, at=DAY + dt.timedelta(days=12))
    for name in (used, other):
        check_all(store, name)
    (touched,) = dryer_watch.watch(store, used, CheckKind.PEAK).touched

    assert (touched.id, touched.pieces, touched.sure) == (number, 24, True)
    assert dryer_watch.watch(store, other, CheckKind.PEAK).touched == ()
    assert not dryer_watch.watch(store, other, CheckKind.PEAK).well


def test_what_was_printed_before_the_last_good_check_is_left_in_peace(store, used):
    printed(store, at=DAY + dt.timedelta(days=3))
    check_all(store, used)
    seen = dryer_watch.watch(store, used, CheckKind.PEAK)

    assert seen.last_good > DAY + dt.timedelta(days=3)
    assert seen.touched == ()


def test_a_flash_touches_the_orders_of_its_press(store):
    press = planned(COTTON).prints[0].settings.press
    shop = invented_shop()
    own = next(one for one in shop.presses if one.name == press).flashes[0].name
    flashes = [one.name for one in shop.presses if one.name != press for one in one.flashes]
    elsewhere = next(
        name for name in flashes if name not in [f.name for p in shop.presses if p.name == press for f in p.flashes]
    )
    printed(store, at=DAY + dt.timedelta(days=12))
    for name in (own, elsewhere):
        check_all(store, name, CheckKind.FLASH)

    assert [one.sure for one in dryer_watch.watch(store, own, CheckKind.FLASH).touched] == [True]
    assert dryer_watch.watch(store, elsewhere, CheckKind.FLASH).touched == ()


def test_a_fit_needs_a_log_and_a_log_its_dryer_and_garment(store, used, log_file):
    with pytest.raises(InvalidInput, match="no probe log of it is kept yet"):
        dryer_book.request(store, used)
    with pytest.raises(NotFound, match="none"):
        dryer_book.logs(store, "none")
    gone = ProbeConditions(dryer=used, garment="none", date=dt.date(2026, 11, 25), setting=600.0)
    with pytest.raises(NotFound):
        dryer_book.keep(store, log_file.content, "a.csv", gone, key="log-0001", who="tests")
    kept, _ = dryer_book.keep(store, log_file.content, "a.csv", log_file.conditions, key="log-0002", who="tests")
    assert dryer_book.request(store, used).numbers == (kept.id,)
    with pytest.raises(NotFound, match="probe log of"):
        dryer_book.request(store, used, (99,))
    with pytest.raises(InvalidInput, match="larger than 5 MB"):
        dryer_book.preview(store, b"1;2\n" * 2_000_000, "a.csv")


def test_the_demo_shop_has_a_dryer_that_was_watched(tmp_path):
    with open_database(str(tmp_path / "demo.sqlite")) as demo:
        start_demo(demo, who="tests", history=True)
        name = invented_shop().dryers[0].name
        seen = dryer_watch.watch(demo, name, CheckKind.PEAK)

        assert len(seen.checks) == 14
        # The day after it jumped back, which is as unusual; then all is well again.
        assert sorted(seen.chart.bad) == [10, 11]
        assert seen.well
        assert any("below its limit on one check" in told for told in seen.told)
        asked = dryer_book.request(demo, name)
        _, reading = probe_fit.read(asked.machine, asked.files[0])
        assert reading.plausible
        found = probe_fit.fit(asked.machine, asked.climate, asked.files)
        assert found.curves.rms < 0.7
        assert found.curves.conflicts == ()
