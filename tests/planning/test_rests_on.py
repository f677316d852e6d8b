"""Plans use what the shop's own bleed tests found, and say on which tests they rest."""

import datetime as dt
import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from jobs import LENIENT
from laydown.documents.plan_document import plan_to_json
from laydown.domain.costs import Practice
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import History
from laydown.domain.quantity import Grade
from laydown.models.bleed import bleed_inputs
from laydown.models.bleed_prior import FINDING_DIMENSIONS, prior_fingerprint
from laydown.models.cloth import HISTORY_SPREAD, describe_cloth
from laydown.models.sampling import DIMENSIONS, conditioned, sample_set
from laydown.planning.information import drivers
from laydown.planning.rests_on import as_found, rests_on
from laydown.planning.workbench import workbench
from laydown.services.plan_book_reading import plan_from_json
from laydown.services.planning import plan_order
from small_shop import blocking_white, order, poly_white, polyester, q, shop

TEE = polyester(name="red tee", lot="A", history=History.NEVER_PRINTED)
FOUND = {"release": -1.0, "dye strength": -0.8, "diffusion": 0.5, "white capacity": 0.7, "transfer": 0.2}


@cache
def finding(sd=0.25):
    draws = np.random.default_rng(5).standard_normal((400, len(FINDING_DIMENSIONS)))
    for name, mean in FOUND.items():
        draws[:, FINDING_DIMENSIONS.index(name)] = mean + sd * draws[:, FINDING_DIMENSIONS.index(name)]
    return ClothFinding(
        level=Level.LOT,
        garment=TEE.name,
        lot="A",
        dye=TEE.dye,
        dimensions=FINDING_DIMENSIONS,
        draws=tuple(tuple(float(x) for x in row) for row in draws),
        swatches=(12, 14),
        readings=7,
        fitted_at=dt.datetime(2026, 4, 1, tzinfo=dt.UTC),
        priors=prior_fingerprint(TEE.dye, WHITES.practice),
        effective=300.0,
    )


WHITES = shop(inks=(blocking_white(), poly_white()), practice=Practice(transfer=q(0.7, 0.5, 0.9)))


@cache
def planned(garment=TEE, tested=True):
    owner = replace(WHITES, findings=(finding(),)) if tested else WHITES
    return plan_order(owner, order(garment, requirements=LENIENT), samples=64)


def bleed_of(plan):
    return plan.prints[0].forecast.bleed


# --- samples -------------------------------------------------------------------------------------------------------


def test_a_findings_draws_take_the_place_of_the_priors_and_all_else_stays():
    drawn = sample_set(100)
    found = conditioned(drawn, finding(), seed=3)

    draws = set(finding().draws)
    at = [DIMENSIONS.index(name) for name in FINDING_DIMENSIONS]
    assert {tuple(row) for row in found.points[:, at].tolist()} <= draws
    others = [i for i in range(len(DIMENSIONS)) if i not in at]
    np.testing.assert_array_equal(found.points[:, others], drawn.points[:, others])
    assert found.joint == FINDING_DIMENSIONS
    assert drawn.joint == ()
    assert found.size == 100


@pytest.mark.parametrize("size", [40, 400, 1000])
def test_a_set_of_any_size_has_the_spread_of_the_finding(size):
    found = conditioned(sample_set(size), finding())
    all_draws = np.array(finding().draws)

    for i, name in enumerate(FINDING_DIMENSIONS):
        error = 5 * all_draws[:, i].std() / np.sqrt(size)
        assert found.normal(name).mean() == pytest.approx(all_draws[:, i].mean(), abs=error)


def test_the_same_seed_gives_the_same_set_and_another_another():
    drawn = sample_set(50)
    first, again, other = (conditioned(drawn, finding(), seed=s).points for s in (1, 1, 2))

    np.testing.assert_array_equal(first, again)
    assert (first != other).any()


# --- cloth ---------------------------------------------------------------------------------------------------------


def test_history_narrows_nothing_that_a_finding_says_more_of():
    tested = replace(TEE, history=History.TESTED)
    own = describe_cloth(tested, finding=finding())
    kin = describe_cloth(tested, finding=replace(finding(), level=Level.DYE_CLASS, garment="", lot=""))
    unknown, known = describe_cloth(TEE), describe_cloth(tested)

    for cloth in (own, kin):
        assert bleed_inputs(cloth) == bleed_inputs(unknown)
        assert cloth.history_spread == 1.0
    assert own.surface_fill == unknown.surface_fill
    # Tests of other cloths tell nothing of this one's surface: there its history still counts.
    assert kin.surface_fill == known.surface_fill != unknown.surface_fill
    assert known.history_spread == HISTORY_SPREAD[History.TESTED]


def test_a_workbench_draws_from_the_finding_nearest_to_the_garment():
    bench = workbench(replace(WHITES, findings=(finding(),)), order(TEE), samples=64, seed=1, laydown_model="transfer")

    assert bench.cloth.finding.level is Level.LOT
    assert bench.samples.joint == FINDING_DIMENSIONS
    assert bench.samples.normal("release").mean() == pytest.approx(-1.0, abs=0.1)
    plain = workbench(WHITES, order(TEE), samples=64, seed=1, laydown_model="transfer")
    assert plain.cloth.finding is None
    assert plain.samples.joint == ()


# --- plans ---------------------------------------------------------------------------------------------------------


def test_a_plan_on_a_tested_lot_has_a_narrower_forecast_and_is_no_screening_estimate():
    before, after = bleed_of(planned(tested=False)), bleed_of(planned())

    assert before.screening
    assert not after.screening
    wide, narrow = (bleed.days[-1].difference for bleed in (before, after))
    assert narrow.p90 - narrow.p10 < 0.7 * (wide.p90 - wide.p10)
    assert after.note == "rests on 7 readings of swatches 12, 14, of this cloth lot"


def test_a_plan_on_another_lot_rests_on_the_test_and_stays_a_screening_estimate():
    plan = planned(replace(TEE, lot="B"))

    assert bleed_of(plan).screening
    assert bleed_of(plan).note == (
        "screening estimate: rests on 7 readings of swatches 12, 14, of other lots of red tee; "
        "this cloth lot has no test"
    )
    assert plan.rests_on.level is Level.CLOTH
    oven = next(test for test in plan.tests if test.name == "oven bleed test")
    assert oven.why == "this cloth lot has no bleed test of its own, only other lots of red tee"


def test_a_tested_lot_asks_for_no_further_bleed_test():
    assert "oven bleed test" not in {test.name for test in planned().tests}
    assert "oven bleed test" in {test.name for test in planned(tested=False).tests}


def test_a_plan_says_which_tests_it_rests_on():
    plan = planned()

    assert plan.rests_on.swatches == (12, 14)
    assert plan.rests_on.sentence == "7 readings of swatches 12, 14, of lot A of red tee"
    assert planned(tested=False).rests_on is None
    document = json.loads(plan_to_json(plan))["rests_on"]
    assert (document["level"], document["swatches"], document["readings"]) == ("lot", [12, 14], 7)


def test_ticket_and_table_tell_the_tests_a_plan_rests_on():
    from io import StringIO

    from rich.console import Console

    from laydown.report.plan_sections import closing
    from laydown.report.ticket_fields import ticket_pages

    for plan, said in ((planned(), "7 readings of swatches 12, 14, of lot A of red tee"), (planned(tested=False), "")):
        assert ticket_pages(plan, WHITES.preferences)[0]["foot"]["rests"] == said
        shown = StringIO()
        Console(file=shown, width=200).print(*closing(plan, WHITES.preferences))
        assert ("Rests on" in shown.getvalue()) == bool(said)
        assert said in shown.getvalue()


def test_a_kept_plan_still_says_which_tests_it_rests_on():
    owner = replace(WHITES, findings=(finding(),))

    for plan in (planned(), planned(tested=False)):
        assert plan_from_json(plan_to_json(plan), owner).rests_on == plan.rests_on


def test_inputs_that_the_tests_narrowed_are_shown_as_measured_here():
    inputs = dict(planned().inputs)

    release, partition = inputs["bleed.release"], inputs["bleed.partition"]
    assert release.quantity.grade is Grade.MEASURED
    assert "readings of swatches 12, 14" in release.quantity.source
    assert release.quantity.value < bleed_inputs(describe_cloth(TEE)).release.value
    assert partition.quantity.grade is Grade.ASSUMED
    assert release.name not in {a.name for a in planned().assumptions}


def test_an_input_that_no_reading_speaks_of_stays_the_prior():
    prior = bleed_inputs(describe_cloth(TEE)).partition

    assert as_found(prior, "partition", finding()) is prior
    assert as_found(prior, "partition", None) is prior
    assert as_found(prior, "panel temperature", finding()) is prior
    assert rests_on(describe_cloth(TEE)) is None


# --- what drives ---------------------------------------------------------------------------------------------------


def correlated(rho, size=600):
    """Finding whose release and dye strength say the same thing to ``rho``."""
    draws = np.random.default_rng(8).standard_normal((2000, len(FINDING_DIMENSIONS)))
    release, strength = (FINDING_DIMENSIONS.index(name) for name in ("release", "dye strength"))
    draws[:, strength] = rho * draws[:, release] + np.sqrt(1 - rho**2) * draws[:, strength]
    found = replace(finding(), draws=tuple(map(tuple, draws.tolist())))
    return conditioned(sample_set(size), found)


def test_correlated_inputs_share_what_they_explain_together():
    samples = correlated(0.8)
    outcome = samples.normal("release") + samples.normal("dye strength") + samples.normal("storage temperature")

    found = {d.name: d.share for d in drivers(samples, outcome)}

    # Variances: the two together 2 + 2 * 0.8 = 3.6 of 4.6; alike, so half each.
    assert found["release"] == pytest.approx(1.8 / 4.6, abs=0.06)
    assert found["dye strength"] == pytest.approx(1.8 / 4.6, abs=0.06)
    assert found["storage temperature"] == pytest.approx(1 / 4.6, abs=0.06)
    assert sum(d.share for d in drivers(samples, outcome, least=0.0)) == pytest.approx(1.0, abs=0.12)


def test_uncorrelated_draws_of_a_finding_have_the_shares_of_independent_inputs():
    samples = correlated(0.0)

    found = {d.name: d.share for d in drivers(samples, 3 * samples.normal("release") + 4 * samples.normal("diffusion"))}

    assert found["release"] == pytest.approx(9 / 25, abs=0.08)
    assert found["diffusion"] == pytest.approx(16 / 25, abs=0.08)
