"""A flash unit fitted to logs of one whose coefficients are known."""

import math
from dataclasses import replace

import numpy as np
import pytest
from synthetic_flash import UNITS, as_flash_fit_log, curve_under, draw_flash, flash_log
from synthetic_probe import CLOTH, FILM, SHOP

from laydown.documents.press_file import FlashEntry, flash_from, flash_table
from laydown.domain.probe_log import Lane, ProbeLog, Spot
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput
from laydown.lab.dryer_curves import Guess
from laydown.lab.dryer_parameters import LANE_SD
from laydown.lab.flash_fit import fit_flash, lane_spread
from laydown.models.flash import run_flash
from laydown.models.sampling import DIMENSIONS, SampleSet, sample_set

QUARTZ, PANEL = UNITS["Heron quartz flash A"], UNITS["Sandpiper panel flash"]
PRESS = next(press for press in SHOP.presses if PANEL in press.flashes)


def fitted(flash, seed, *, seconds=12.0, **more):
    rng = np.random.default_rng(seed)
    truth = draw_flash(flash, rng, **({"lanes": more["lanes"]} if "lanes" in more else {}))
    log = flash_log(flash, truth, rng, seconds=seconds, **more)
    return truth, fit_flash(flash, SHOP.climate, [as_flash_fit_log(flash, log, seconds=seconds)])


def true_value(truth, number):
    return next(one.value(z) for one, z in zip(truth.parameters, truth.z[0], strict=True) if one.key == number.key)


def of_machine(guess):
    """The unit's own coefficients of a guess; everything else as it is said."""
    own = np.array([one.of_dryer for one in guess.parameters])
    return replace(guess, z=np.where(own, guess.z, 0.0))


@pytest.fixture(scope="module")
def panel():
    return fitted(PANEL, 7)


def test_the_fitted_unit_follows_the_log_to_its_noise(panel):
    _, fit = panel

    assert 0.35 < fit.curves.rms < 0.65
    assert fit.curves.misfit == 0.0
    for channel in fit.curves.logs[0]:
        assert channel.share_inside >= 0.75
        assert np.all(channel.after_high - channel.after_low < channel.before_high - channel.before_low)


@pytest.mark.parametrize(
    ("flash", "seed"), [(QUARTZ, 3), (PANEL, 7), (QUARTZ, 11)], ids=["quartz", "panel", "quartz 2"]
)
def test_the_film_at_other_flash_times_is_foretold_within_three_kelvin(flash, seed):
    truth, fit = fitted(flash, seed)
    best = Guess(parameters=fit.data.parameters, z=fit.curves.z[None, :])
    # The same piece under both, so that only the unit's coefficients differ.
    true = curve_under(flash, of_machine(truth), 20.0)
    found = curve_under(flash, of_machine(best), 20.0)
    before = curve_under(flash, replace(truth, z=np.zeros_like(truth.z)), 20.0)
    for seconds in (6.0, 9.0, 16.0):
        at = round(seconds / 0.1)
        miss = abs(found.coolest[0, at] - true.coolest[0, at] - (found.coolest[0, 0] - true.coolest[0, 0]))
        assert miss < 3.0
        assert miss < abs(before.coolest[0, at] - true.coolest[0, at]) or miss < 1.0


def test_known_coefficients_lie_in_their_intervals_nine_times_out_of_ten():
    hits = []
    for case in range(24):
        truth, fit = fitted(QUARTZ if case % 2 else PANEL, 200 + case, lanes=(Lane.CENTRE,))
        hits.append([one.low <= true_value(truth, one) <= one.high for one in fit.curves.numbers if one.of_dryer])

    error = math.sqrt(0.9 * 0.1 / len(hits))
    assert 0.9 - 3 * error < np.mean(hits) < 0.9 + 2 * error


def test_plans_expect_the_spread_that_the_fit_leaves(panel):
    _, fit = panel
    samples = sample_set(200)
    kept = np.zeros_like(samples.points)
    column = DIMENSIONS.index("flash exchange")
    kept[:, column] = samples.points[:, column]
    run, shelf = (
        run_flash(CLOTH, one, PRESS, SHOP.climate, np.full(200, FILM), SampleSet(kept), seconds=12.0)
        for one in (fit.flash, PANEL)
    )
    rng = np.random.default_rng(1)
    z = rng.multivariate_normal(fit.curves.z, fit.curves.covariance, 200)
    own = np.array([one.of_dryer for one in fit.data.parameters])
    guess = Guess(parameters=fit.data.parameters, z=np.where(own, z, 0.0))
    lane = lane_spread(fit.curves) * rng.standard_normal(200)
    drawn = curve_under(PANEL, guess, 12.0, lane=lane)

    plans, known = (float(np.std(one.coolest[:, -1])) for one in (run, drawn))
    assert 0.6 * known < plans < 1.7 * known
    assert plans < 0.6 * float(np.std(shelf.coolest[:, -1]))


def test_the_record_is_measured_names_its_log_and_goes_to_file_and_back(panel):
    _, fit = panel

    for quantity in (fit.flash.radiant_temperature, fit.flash.exchange, fit.flash.air_coefficient):
        assert quantity.grade is Grade.MEASURED
        assert quantity.source == "fitted to flash.csv of 2026-11-25"
        assert quantity.low < quantity.value < quantity.high
    again = flash_from(FlashEntry.model_validate(flash_table(fit.flash)), where="x", at=())
    assert again.exchange == fit.flash.exchange
    assert again.radiant_temperature.value == pytest.approx(fit.flash.radiant_temperature.value)


def test_the_end_of_the_flash_is_found_where_nobody_gives_it():
    rng = np.random.default_rng(5)
    log = flash_log(PANEL, draw_flash(PANEL, rng), rng, seconds=14.0)
    fit = fit_flash(PANEL, SHOP.climate, [as_flash_fit_log(PANEL, log, seconds=None)])

    assert fit.data.seconds[0] == pytest.approx(14.0, abs=1.0)


def test_what_does_not_agree_is_said():
    rng, one = np.random.default_rng(9), (Lane.CENTRE,)
    truth = draw_flash(PANEL, rng, lanes=one)
    exchange = np.array([number.key == ("exchange", 0) for number in truth.parameters])
    hot, weak = (
        flash_log(PANEL, replace(truth, z=np.where(exchange, z, truth.z)), rng, lanes=one) for z in (4.0, -2.0)
    )
    alone = fit_flash(PANEL, SHOP.climate, [as_flash_fit_log(PANEL, hot)]).curves.conflicts
    assert any(told.startswith("the shelf's radiant exchange and the logs do not agree") for told in alone)

    both = [as_flash_fit_log(PANEL, hot), as_flash_fit_log(PANEL, weak, name="weak.csv")]
    told = fit_flash(PANEL, SHOP.climate, both).curves.conflicts
    assert any(one.startswith("weak.csv reads") and "below what fits all logs together" in one for one in told)


def test_one_place_says_so_and_takes_the_usual_spread():
    _, fit = fitted(PANEL, 61, lanes=(Lane.LEFT,))

    assert lane_spread(fit.curves) == LANE_SD
    assert any("only one place on the pallet was measured" in told for told in fit.cannot_tell)
    assert any("no flash probe tells a hotter emitter" in told for told in fit.cannot_tell)


def test_logs_that_say_nothing_are_refused(panel):
    truth, _ = panel
    log = flash_log(PANEL, truth, np.random.default_rng(1))

    def late(one):
        return replace(one, times=one.times[60:], temperatures=one.temperatures[60:])

    def of(change):
        return [as_flash_fit_log(PANEL, ProbeLog(channels=tuple(change(one) for one in log.channels)))]

    with pytest.raises(InvalidInput, match="no probe log was given"):
        fit_flash(PANEL, SHOP.climate, [])
    with pytest.raises(InvalidInput, match=r"flash\.csv: every thermocouple hung in the air"):
        fit_flash(PANEL, SHOP.climate, of(lambda one: replace(one, spot=Spot.AIR)))
    with pytest.raises(InvalidInput, match="does not show when the flash began"):
        fit_flash(PANEL, SHOP.climate, of(late))
    with pytest.raises(InvalidInput, match="has 4 readings under the flash; at least 5 are needed"):
        fit_flash(PANEL, SHOP.climate, [as_flash_fit_log(PANEL, log, seconds=1.3)])
