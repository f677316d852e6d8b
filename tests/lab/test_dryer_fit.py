"""A dryer fitted to logs of one whose coefficients are known."""

import math
import time
from dataclasses import replace

import numpy as np
import pytest
from synthetic_probe import CLOTH, FILM, SHOP, THREE, as_fit_log, draw, written_log

from laydown.documents.dryer_file import DryerEntry, dryer_from, dryer_table
from laydown.domain.probe_log import Lane, ProbeLog, Spot
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput
from laydown.lab.dryer_curves import TestPiece, run_guess
from laydown.lab.dryer_fit import fit_dryer
from laydown.lab.dryer_fit_record import lane_spread
from laydown.lab.dryer_parameters import LANE_SD, dryer_parameters
from laydown.models.heat import run_dryer
from laydown.models.sampling import DIMENSIONS, Z95, SampleSet, sample_set

GAS, ELECTRIC = SHOP.dryers
PIECE = TestPiece(cloth=CLOTH, film=FILM, climate=SHOP.climate)


def fitted(dryer, seed, *, lanes=THREE, **more):
    rng = np.random.default_rng(seed)
    truth = draw(dryer, rng, lanes=lanes)
    log, _ = written_log(dryer, truth, rng, lanes=lanes, **more)
    return truth, fit_dryer(dryer, SHOP.climate, [as_fit_log(dryer, log, speed=dryer.length / 60)])


def true_value(truth, number):
    return next(one.value(z) for one, z in zip(truth.parameters, truth.z[0], strict=True) if one.key == number.key)


def inside(truth, fit):
    return [number.low <= true_value(truth, number) <= number.high for number in fit.curves.numbers if number.of_dryer]


@pytest.fixture(scope="module")
def gas():
    return fitted(GAS, 31)


def test_the_fitted_dryer_follows_the_log_to_its_noise(gas):
    _, fit = gas

    assert 0.4 < fit.curves.rms < 0.6
    assert fit.curves.misfit == 0.0
    for channel in fit.curves.logs[0]:
        assert 0.75 <= channel.share_inside <= 1.0
        assert np.all(channel.after_high - channel.after_low < channel.before_high - channel.before_low)


@pytest.mark.parametrize(("dryer", "seed"), [(GAS, 31), (ELECTRIC, 32)], ids=["gas", "electric"])
def test_peaks_at_other_belt_speeds_are_foretold_within_three_kelvin(dryer, seed):
    truth, fit = fitted(dryer, seed)
    for ratio in (0.8, 1.25):
        speed = ratio * dryer.length / 60
        true, found = (
            float(run_guess(dryer, guess, PIECE, setting=dryer.setting, speed=speed, start=305.0).interface.max())
            for guess in (truth, fit.guess)
        )
        assert abs(found - true) < 3.0


@pytest.mark.slow
def test_known_coefficients_lie_in_their_intervals_nine_times_out_of_ten():
    cases = [inside(*fitted(ELECTRIC, 100 + case, lanes=(Lane.CENTRE,))) for case in range(24)]
    hits = np.array(cases, dtype=float)

    # Coefficients of one case depend on each other: the spread over cases, not a binomial of all, bounds the mean.
    error = math.sqrt(0.9 * 0.1 / len(cases))
    assert 0.9 - 3 * error < hits.mean() < 0.9 + 2 * error
    # Each coefficient alone is a binomial of 24: fewer than 16 come once in a thousand.
    assert hits.sum(axis=0).min() >= 16


def test_two_logs_tell_more_than_one():
    rng = np.random.default_rng(41)
    truth = draw(GAS, rng)
    first, _ = written_log(GAS, truth, rng)
    hotter = GAS.setting + 60.0
    second, _ = written_log(GAS, truth, rng, setting=hotter, speed_factor=1.4)
    speed = GAS.length / 60
    logs = [
        as_fit_log(GAS, first, speed=speed),
        as_fit_log(GAS, second, speed=speed * 1.4, setting=hotter, name="hotter.csv"),
    ]
    one, two = (fit_dryer(GAS, SHOP.climate, logs[:count]) for count in (1, 2))
    spread = [
        {number.key: number.high - number.low for number in fit.curves.numbers if number.of_dryer} for fit in (one, two)
    ]

    assert sum(spread[1][key] < spread[0][key] for key in spread[0]) >= len(spread[0]) - 1
    assert "hotter.csv of 2026-11-25" in two.dryer.zones[0].exchange.source
    assert any("one panel setting" in told for told in one.cannot_tell)
    assert not any("one panel setting" in told for told in two.cannot_tell)


def test_the_record_is_measured_names_its_log_and_goes_to_file_and_back(gas):
    _, fit = gas
    dryer = fit.dryer

    for zone in dryer.zones:
        for quantity in (zone.panel_temperature, zone.exchange, zone.air_coefficient, zone.belt_coefficient):
            assert quantity.grade is Grade.MEASURED
            assert quantity.source == "fitted to kiln.csv of 2026-11-25"
    assert (dryer.name, dryer.setting, dryer.length) == (GAS.name, GAS.setting, GAS.length)
    again = dryer_from(DryerEntry.model_validate(dryer_table(dryer)), where="x", at=())
    assert again.zones[0].exchange == dryer.zones[0].exchange
    assert again.zones[0].panel_temperature.value == pytest.approx(dryer.zones[0].panel_temperature.value)
    assert fit_of_fit_note(dryer) == 1


def fit_of_fit_note(dryer):
    return dryer.note.count("fitted to")


@pytest.mark.parametrize("lanes", [THREE, (Lane.CENTRE,)], ids=["three lanes", "one lane"])
def test_plans_expect_the_spread_that_the_fit_leaves(lanes):
    _, fit = fitted(GAS, 51, lanes=lanes)
    samples = sample_set(200)
    kept = np.zeros_like(samples.points)
    for name in ("panel temperature", "radiant exchange", "air coefficient"):
        column = DIMENSIONS.index(name)
        kept[:, column] = samples.points[:, column]
    speed = GAS.length / 60
    run = run_dryer(
        CLOTH, fit.dryer, SHOP.climate, np.full(200, FILM), SampleSet(kept), setting=GAS.setting, speed=speed
    )
    shelf = run_dryer(
        CLOTH, widest(GAS), SHOP.climate, np.full(200, FILM), SampleSet(kept), setting=GAS.setting, speed=speed
    )
    # Draws of the fit itself, in a lane drawn at random.
    rng = np.random.default_rng(1)
    z = rng.multivariate_normal(fit.curves.z, fit.curves.covariance, 200)
    guess = replace(fit.guess, z=z)
    lane = lane_spread(fit.data, fit.curves.z) * rng.standard_normal(200)
    drawn = run_guess(GAS, guess, PIECE, setting=GAS.setting, speed=speed, start=run.interface[0, 0], log=-1, lane=lane)

    plans, known = (np.std(one.interface.max(axis=1)) for one in (run, drawn))
    assert 0.6 * known < plans < 1.7 * known
    assert plans < 0.6 * np.std(shelf.interface.max(axis=1))


def widest(dryer):
    """Dryer with the least spread that a prior has, as the fit starts from."""
    sds = {one.key: one.sd for one in dryer_parameters(dryer)}

    def by(quantity, key):
        factor = math.exp(Z95 * sds[key])
        return replace(quantity, low=quantity.value / factor, high=quantity.value * factor)

    zones = tuple(
        replace(
            zone,
            exchange=by(zone.exchange, ("exchange", i)),
            air_coefficient=by(zone.air_coefficient, ("convection", i)),
            belt_coefficient=by(zone.belt_coefficient, ("belt",)),
        )
        for i, zone in enumerate(dryer.zones)
    )
    half = Z95 * sds[("panel",)]
    return replace(dryer, zones=zones, setting_error=replace(dryer.setting_error, low=-half, high=half))


def test_lanes_are_told_apart(gas):
    truth, fit = gas
    heat = fit.curves.lane_heat

    assert math.prod(heat.values()) == pytest.approx(1.0)
    first = next(number for number in fit.curves.numbers if number.key == ("lane", 0))
    assert first.low <= true_value(truth, first) <= first.high
    assert lane_spread(fit.data, fit.curves.z) == pytest.approx(np.std([math.log(one) for one in heat.values()]))


def test_one_lane_says_so_and_takes_the_usual_spread():
    _, fit = fitted(ELECTRIC, 61, lanes=(Lane.LEFT,))

    assert lane_spread(fit.data, fit.curves.z) == LANE_SD
    assert any("only one lane was measured" in told for told in fit.cannot_tell)


def test_a_curve_that_the_model_cannot_follow_widens_every_interval(gas):
    _, straight = gas
    rng = np.random.default_rng(31)
    truth = draw(GAS, rng)
    log, _ = written_log(GAS, truth, rng)
    bent = ProbeLog(
        channels=tuple(
            replace(
                one,
                temperatures=tuple(
                    k + (6 * math.sin(t / 2.5) if t > 16 else 0.0)
                    for t, k in zip(one.times, one.temperatures, strict=True)
                ),
            )
            for one in log.channels
        )
    )
    fit = fit_dryer(GAS, SHOP.climate, [as_fit_log(GAS, bent, speed=GAS.length / 60)])
    pairs = [
        (one.high / one.low, other.high / other.low)
        for one, other in zip(fit.curves.numbers, straight.curves.numbers, strict=True)
        if one.of_dryer and one.key[0] in {"exchange", "convection", "belt"}
    ]

    assert fit.curves.misfit > 3.0
    assert all(wide > narrow for wide, narrow in pairs)


@pytest.mark.usefixtures("gas")
def test_a_fit_to_one_log_takes_less_than_two_seconds():
    rng = np.random.default_rng(71)
    log, _ = written_log(GAS, draw(GAS, rng), rng)
    start = time.process_time()
    fit_dryer(GAS, SHOP.climate, [as_fit_log(GAS, log, speed=GAS.length / 60)])

    # Time of both processors together, whatever else the machine does.
    assert time.process_time() - start < 4.0


def test_logs_that_say_nothing_are_refused():
    rng = np.random.default_rng(81)
    log, speed = written_log(GAS, draw(GAS, rng), rng)
    hung = ProbeLog(channels=tuple(replace(one, spot=Spot.AIR) for one in log.channels))
    late = ProbeLog(
        channels=tuple(replace(one, times=one.times[25:], temperatures=one.temperatures[25:]) for one in log.channels)
    )
    short = ProbeLog(
        channels=tuple(replace(one, times=one.times[:40], temperatures=one.temperatures[:40]) for one in log.channels)
    )
    with pytest.raises(InvalidInput, match="no probe log was given"):
        fit_dryer(GAS, SHOP.climate, [])
    with pytest.raises(InvalidInput, match=r"kiln\.csv: every thermocouple hung in the air"):
        fit_dryer(GAS, SHOP.climate, [as_fit_log(GAS, hung, speed=speed)])
    with pytest.raises(InvalidInput, match="does not show when the garment entered"):
        fit_dryer(GAS, SHOP.climate, [as_fit_log(GAS, late, speed=speed)])
    with pytest.raises(InvalidInput, match="no belt speed is given"):
        fit_dryer(GAS, SHOP.climate, [as_fit_log(GAS, short, speed=None)])
