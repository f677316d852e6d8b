"""The fit of the bleed model: against an independent sampler, its limits, what it hands on."""

import datetime as dt
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from lab.emcee_cases import CASES, QUANTITIES, problem_of, quantities_of
from lab.swatches import LONG_TEST, MADE, SHORT_TEST, lab_cloth, lab_shop, simulated
from laydown.domain.finding import Level
from laydown.domain.measurement import GreyScaleGrade
from laydown.domain.protocol import Reads
from laydown.errors import InvalidInput
from laydown.lab.bleed_fit import DRAWS, finding_of, fit_bleed, forecast_swatch
from laydown.lab.bleed_fit_report import report_fit
from laydown.lab.evidence import Leg
from laydown.lab.likelihood import usual_noise
from laydown.lab.model_error import with_model_error
from laydown.lab.prior import BleedPrior, plain_prior
from laydown.lab.rounds import Effort, sample_posterior
from laydown.lab.swatch_model import SwatchModel
from laydown.models.bleed_pooling import finding_for
from laydown.models.bleed_prior import BLEED_DIMENSIONS, FINDING_DIMENSIONS
from laydown.models.sampling import DIMENSIONS, conditioned, corner_set, sample_set, spread_over
from laydown.units import DAY
from reference_tables import reference_rows
from small_shop import q

SHOP, CLOTH = lab_shop(), lab_cloth()
QUICK = Effort(first=160, second=120, later=160, rounds=4, wanted=100.0)
CHANCE = 4.5 / np.sqrt(100.0)
"""A mean of a hundred independent draws leaves this many deviations once in a hundred thousand times."""


def record(truth=None, seed=None, protocol=SHORT_TEST, print_=None):
    rng = None if seed is None else np.random.default_rng(seed)
    return simulated(SHOP, CLOTH, truth or {}, rng=rng, protocol=protocol, stack=print_)


@cache
def bleeding_fit():
    one = record({"release": 1.5, "dye strength": 1.0}, seed=4)
    return one, fit_bleed(SHOP, CLOTH, (one,), effort=QUICK, seed=1)


def only(one, reads):
    return replace(one, readings=tuple(r for r in one.readings if r.reads is reads))


def graded(one, value):
    return replace(
        one,
        readings=tuple(
            replace(r, value=GreyScaleGrade(value=value)) for r in one.readings if r.reads is Reads.STAINING
        ),
    )


# --- an independent sampler ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", range(CASES))
def test_means_and_deviations_are_those_of_an_independent_sampler(case):
    rows = {row["quantity"]: row for row in reference_rows("bleed_fit_emcee") if int(row["case"]) == case}
    problem = problem_of(case, first=240, seed=case)

    found = sample_posterior(problem, Effort(), 400, np.random.default_rng(case))

    assert found.effective >= 200
    assert set(rows) == set(QUANTITIES)
    for name, values in quantities_of(found.points).items():
        row = rows[name]
        assert values.mean() == pytest.approx(float(row["mean_expected"]), abs=float(row["mean_tolerance"])), name
        assert values.std() == pytest.approx(float(row["sd_expected"]), abs=float(row["sd_tolerance"])), name


# --- limits --------------------------------------------------------------------------------------------------------


def test_without_readings_the_fit_is_the_prior():
    fit = fit_bleed(SHOP, CLOTH, ())

    assert fit.evidence.readings == 0
    assert fit.effective == DRAWS
    np.testing.assert_allclose(fit.positions().mean(axis=0), 0.0, atol=0.02)
    np.testing.assert_allclose(fit.positions().std(axis=0), 1.0, atol=0.02)
    assert "no reading to fit to" in fit.notes[0]
    assert report_fit(fit).conflicts == ()


def test_readings_that_say_next_to_nothing_leave_the_prior():
    loud = replace(usual_noise(), repeatability=2000.0, grade=500.0)
    fit = fit_bleed(SHOP, CLOTH, (record({"release": 3.0}, seed=1),), noise=loud, effort=QUICK)

    np.testing.assert_allclose(fit.positions().mean(axis=0), 0.0, atol=CHANCE)
    np.testing.assert_allclose(fit.positions().std(axis=0), 1.0, atol=CHANCE)


def test_a_grade_5_alone_rules_strong_bleeding_out_and_weak_bleeding_not():
    fit = fit_bleed(SHOP, CLOTH, (graded(record(), 5.0),), effort=QUICK)
    one = record()
    read, unread = (forecast_swatch(SHOP, f, one, (7.0,))[:, 0] for f in (fit, fit_bleed(SHOP, CLOTH, ())))

    assert np.percentile(read, 95) < 0.5 * np.percentile(unread, 95)
    # The low tenth of the prior is as likely as before beside the next one: nothing is said of how little it bleeds.
    cuts = np.percentile(unread, (0, 10, 20))
    low, next_ = ((read >= cuts[i]) & (read < cuts[i + 1]) for i in (0, 1))
    assert low.mean() == pytest.approx(next_.mean(), abs=0.12)
    assert low.mean() > 0.12


def test_readings_narrow_the_forecast_around_what_is_true():
    truth = {"release": 1.0, "transfer": -0.5}
    one = record(truth, protocol=LONG_TEST)
    fit = fit_bleed(SHOP, CLOTH, (one,), effort=QUICK)
    before, after = (forecast_swatch(SHOP, f, one, (30.0,))[:, 0] for f in (fit_bleed(SHOP, CLOTH, ()), fit))
    leg = Leg(part="", holds=(), times=(30 * DAY,))
    area = fit.evidence.swatches[0].areas[0]
    true = SwatchModel(SHOP, CLOTH, one.swatch).differences(leg, area, corner_set((truth,)))[0, 0]

    assert after.std() < 0.5 * before.std()
    assert np.percentile(after, 2) < true < np.percentile(after, 98)


def test_the_same_seed_gives_the_same_draws():
    one, fit = bleeding_fit()

    np.testing.assert_array_equal(fit_bleed(SHOP, CLOTH, (one,), effort=QUICK, seed=1).positions(), fit.positions())


def test_a_prior_of_other_lots_is_where_a_fit_without_readings_ends():
    mean = np.linspace(-1, 1, len(BLEED_DIMENSIONS))
    prior = BleedPrior(mean=mean, covariance=0.25 * np.eye(len(BLEED_DIMENSIONS)), readings=3)
    fit = fit_bleed(SHOP, CLOTH, (), prior=prior)

    np.testing.assert_allclose(fit.positions().mean(axis=0), mean, atol=0.02)
    np.testing.assert_allclose(fit.positions().std(axis=0), 0.5, atol=0.02)
    with pytest.raises(InvalidInput, match="one lot alone"):
        finding_of(fit, fitted_at=MADE)


# --- what it hands on ----------------------------------------------------------------------------------------------


def test_a_finding_holds_the_draws_of_everything_that_lasts():
    _, fit = bleeding_fit()
    found = finding_of(fit, fitted_at=MADE)

    assert (found.level, found.garment, found.lot) == (Level.LOT, "red tee", "A")
    assert found.dimensions == FINDING_DIMENSIONS
    assert set(FINDING_DIMENSIONS) <= set(DIMENSIONS)
    assert (found.swatches, found.readings) == ((1,), 3)
    draws, fitted = np.array(found.draws), fit.positions(FINDING_DIMENSIONS)
    strength = FINDING_DIMENSIONS.index("dye strength")
    np.testing.assert_array_equal(np.delete(draws, strength, axis=1), np.delete(fitted, strength, axis=1))
    # Plans have the model's own error in their bands: it is put on the strength.
    assert draws[:, strength].std() > fitted[:, strength].std()
    assert found.effective == fit.effective


def test_the_models_error_is_a_relative_error_of_the_strength():
    prior = q(0.35, 0.2, 0.55)
    before = np.random.default_rng(0).standard_normal(20_000)
    after = with_model_error(before, prior, np.full(before.size, 0.12), np.random.default_rng(1))

    ratio = spread_over(prior, after) / spread_over(prior, before)
    assert ratio.mean() == pytest.approx(1.0, abs=0.005)
    assert ratio.std() == pytest.approx(0.12, abs=0.005)
    none = with_model_error(before, prior, np.zeros(before.size), np.random.default_rng(1))
    np.testing.assert_allclose(none, before, atol=1e-12)


def test_a_forecast_with_the_models_error_is_wider_and_has_the_same_middle():
    one, fit = bleeding_fit()
    plain, with_error = (forecast_swatch(SHOP, fit, one, (30.0, 60.0), model_error=error) for error in (False, True))

    relative = with_error / plain - 1
    assert np.median(with_error[:, 0]) == pytest.approx(np.median(plain[:, 0]), rel=0.1)
    assert with_error.std() > plain.std()
    # A part of the error stays the same from day to day.
    assert 0.2 < np.corrcoef(relative.T)[0, 1] < 0.95
    assert (with_error >= 0).all()


def test_a_first_lots_test_narrows_the_forecast_of_the_next_lot():
    one, fit = bleeding_fit()
    tested = replace(SHOP, findings=(finding_of(fit, fitted_at=MADE),))
    other = replace(CLOTH, lot="B")
    leg, area = Leg(part="", holds=(), times=(30 * DAY,)), fit.evidence.swatches[0].areas[0]
    drawn = sample_set(200)
    model = SwatchModel(SHOP, other, replace(one.swatch, lot="B"))

    def band(samples):
        """How many times its low end the high end of the forecast is, as a logarithm."""
        return np.ptp(np.log(np.percentile(model.differences(leg, area, samples)[:, 0], (5, 95))))

    before, next_lot, own = (
        band(samples)
        for samples in (
            drawn,
            conditioned(drawn, finding_for(tested, other)),
            conditioned(drawn, finding_for(tested, CLOTH)),
        )
    )

    assert own <= 1.1 * next_lot
    assert next_lot < 0.8 * before


def test_a_lot_without_a_name_is_a_finding_of_its_cloth():
    nameless = replace(CLOTH, lot="")
    fit = fit_bleed(SHOP, nameless, ())

    found = finding_of(fit, fitted_at=dt.datetime(2026, 1, 1, tzinfo=dt.UTC))

    assert (found.level, found.lot) == (Level.CLOTH, "")
    with pytest.raises(InvalidInput, match="time zone"):
        finding_of(fit, fitted_at=dt.datetime(2026, 1, 1))  # noqa: DTZ001 - that is what is refused


def test_plain_prior_is_standard_normal():
    np.testing.assert_array_equal(plain_prior().factor(), np.eye(len(BLEED_DIMENSIONS)))


# --- the report ----------------------------------------------------------------------------------------------------


def test_a_report_shows_inputs_readings_and_what_pulls():
    one, fit = bleeding_fit()
    told = report_fit(fit, forecast=forecast_swatch(SHOP, fit, one, (30.0,))[:, 0])

    assert [i.name for i in told.inputs] == list(BLEED_DIMENSIONS)
    release = told.inputs[0]
    assert release.prior[0] < release.prior[1] < release.prior[2]
    assert release.posterior[1] > release.prior[1]
    assert release.kept < 1
    assert {r.about for r in told.readings} == {
        "colour of the print after 1 h",
        "colour of the print on day 7",
        "staining grade of the print on day 7",
    }
    pulls = [np.inf if r.pull is None else r.pull for r in told.readings]
    assert pulls == sorted(pulls, reverse=True)
    for reading in told.readings:
        assert reading.predicted.p10 <= reading.predicted.p50 <= reading.predicted.p90
        assert abs(reading.residual) < 3
    assert told.conflicts == ()
    assert told.forecast is not None


def changed(one, index, lab):
    old = one.readings[index]
    readings = list(one.readings)
    readings[index] = replace(old, value=replace(old.value, lab=lab))
    return replace(one, readings=tuple(readings))


@cache
def long_record():
    return record({"release": 1.0, "transfer": -0.5}, seed=1, protocol=LONG_TEST)


def conflicts(one):
    return report_fit(fit_bleed(SHOP, CLOTH, (one,), effort=QUICK)).conflicts


def test_readings_that_agree_have_no_conflict():
    assert conflicts(long_record()) == ()


def test_readings_that_contradict_each_other_are_named_with_how_many_times_the_dye():
    new, warm = (np.array(long_record().readings[i].value.lab) for i in (0, 1))
    off = changed(long_record(), 1, tuple(float(x) for x in new + 3 * (warm - new) + (-6.0, 10.0, 3.0)))

    said = conflicts(off)

    assert any(
        "the colour of the warm half after 17 h (reading 101) says 2." in text
        and "times as much dye as the colour of the cool half" in text
        for text in said
    ), said
    assert any("the model meets the readings only to within" in text for text in said), said


def test_a_stain_of_another_hue_is_told():
    last = long_record().readings[4].value.lab
    turned = changed(long_record(), 4, (last[0], last[1], last[2] + 25.0))

    assert any("off the hue that this cloth's dye should give" in text for text in conflicts(turned))


def test_a_print_of_another_colour_than_the_ink_gives_is_told():
    clean = record({"release": -2.5, "transfer": 2.0})
    moved = replace(
        clean,
        readings=tuple(
            replace(r, value=replace(r.value, lab=(r.value.lab[0], r.value.lab[1] - 20.0, r.value.lab[2])))
            for r in clean.readings
            if r.reads is Reads.COLOUR
        ),
    )

    said = conflicts(moved)

    assert any("the model meets the readings only to within" in text for text in said), said


def test_a_grade_that_the_colours_do_not_agree_with_is_told():
    seen = long_record()
    late = next(r for r in seen.readings if r.part == "warm half")
    grade = replace(late, number=900, reads=Reads.STAINING, value=GreyScaleGrade(value=1.0))

    said = conflicts(replace(seen, readings=(*seen.readings, grade)))

    assert any("staining grade of the warm half after 17 h (reading 900) is 1, where" in text for text in said), said
