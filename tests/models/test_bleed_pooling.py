"""What tests of other lots, cloths and dye classes say of a garment: much when near, less and less farther away."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from laydown.domain.costs import Practice
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import Dye
from laydown.models.bleed_pooling import conditional, finding_for, message_of
from laydown.models.bleed_prior import (
    BLEED_DIMENSIONS,
    CLOTH_DIMENSIONS,
    FILM_DIMENSIONS,
    FINDING_DIMENSIONS,
    PRINT_DIMENSIONS,
    SURFACE_DIMENSIONS,
    prior_fingerprint,
    shares_of,
)
from small_shop import polyester, q, shop

D = len(FINDING_DIMENSIONS)
N = 4000
TIME = dt.datetime(2026, 3, 1, tzinfo=dt.UTC)
TEE = polyester(name="red tee", lot="A")
DRAWN = np.random.default_rng(11).standard_normal((N, D))
DRAWN = (DRAWN - DRAWN.mean(axis=0)) @ np.linalg.inv(np.linalg.cholesky(np.cov(DRAWN.T))).T


def at(name):
    return FINDING_DIMENSIONS.index(name)


def finding(garment=TEE, means=None, sd=0.3, day=0, swatch=1, practice=None):
    """Finding of a lot that knows the named directions to ``sd`` around ``means``."""
    draws = DRAWN.copy()
    for name, mean in (means or {}).items():
        draws[:, at(name)] = mean + sd * draws[:, at(name)]
    return ClothFinding(
        level=Level.LOT if garment.lot else Level.CLOTH,
        garment=garment.name,
        lot=garment.lot,
        dye=garment.dye,
        dimensions=FINDING_DIMENSIONS,
        draws=tuple(tuple(float(x) for x in row) for row in draws),
        swatches=(swatch,),
        readings=3,
        fitted_at=TIME + dt.timedelta(days=day),
        priors=prior_fingerprint(garment.dye, practice or Practice()),
        effective=float(N),
    )


def told(findings, garment, practice=None):
    return finding_for(shop(findings=tuple(findings), practice=practice or Practice()), garment)


def moments(found, name):
    column = np.array(found.draws)[:, at(name)]
    return column.mean(), column.std()


def test_shares_add_up_and_every_direction_of_a_finding_has_them():
    for name in FINDING_DIMENSIONS:
        shares = shares_of(name)
        total = shares.shop + shares.dye_class + shares.cloth + shares.lot + shares.day
        assert total == pytest.approx(1.0)
    assert set(FINDING_DIMENSIONS) == {*CLOTH_DIMENSIONS, *FILM_DIMENSIONS, *PRINT_DIMENSIONS, *SURFACE_DIMENSIONS}
    assert FINDING_DIMENSIONS[: len(BLEED_DIMENSIONS)] == BLEED_DIMENSIONS


def test_without_tests_nothing_is_told():
    assert told([], TEE) is None


@pytest.mark.parametrize(
    ("garment", "level", "about"),
    [
        (TEE, Level.LOT, "lot A of red tee"),
        (replace(TEE, lot="B"), Level.CLOTH, "other lots of red tee"),
        (replace(TEE, lot=""), Level.CLOTH, "other lots of red tee"),
        (replace(TEE, name="blue tee"), Level.DYE_CLASS, "other cloths dyed disperse, medium energy"),
        (replace(TEE, name="blue tee", dye=Dye.SUBLIMATED), Level.FILM, "prints on other cloths"),
        (replace(TEE, dye=Dye.SUBLIMATED), Level.FILM, "prints on other cloths"),
    ],
)
def test_the_level_says_how_near_the_test_lies(garment, level, about):
    found = told([finding()], garment)

    assert found.level is level
    assert found.about == about
    assert (found.swatches, found.readings) == ((1,), 3)


def test_a_lot_that_was_tested_keeps_its_own_draws_in_what_belongs_to_it():
    one = finding(means={"release": 1.5})
    found = told([one], TEE)

    for name in (*BLEED_DIMENSIONS, *SURFACE_DIMENSIONS):
        np.testing.assert_allclose(np.array(found.draws)[:, at(name)], np.array(one.draws)[:, at(name)], atol=1e-6)


@pytest.mark.parametrize("name", CLOTH_DIMENSIONS)
def test_a_first_lot_helps_the_second_a_first_cloth_the_next_less_and_less(name):
    known = [finding(means={name: 2.0})]
    garments = (TEE, replace(TEE, lot="B"), replace(TEE, name="blue tee"), replace(TEE, name="x", dye=Dye.SUBLIMATED))
    found = [moments(told(known, garment), name) for garment in garments]
    shares = shares_of(name)
    common = (1.0, 1 - shares.lot, shares.dye_class, 0.0)

    for (mean, sd), share in zip(found, common, strict=True):
        # A part that is shared moves by its share; what is not shared comes from the prior again.
        assert mean == pytest.approx(2.0 * share, abs=0.05)
        assert sd == pytest.approx(np.sqrt(share**2 * 0.3**2 + 1 - share**2), abs=0.03)


@pytest.mark.parametrize("name", FILM_DIMENSIONS)
def test_what_belongs_to_the_film_is_told_of_every_cloth(name):
    for garment in (replace(TEE, lot="B"), replace(TEE, name="blue tee", dye=Dye.SUBLIMATED)):
        assert moments(told([finding(means={name: -1.0})], garment), name) == pytest.approx((-1.0, 0.3), abs=0.02)


def test_how_the_shop_prints_lasts_in_part_and_a_surface_is_its_cloths():
    one = finding(means={"transfer": 1.0, "surface fill": 1.0})
    lasting = shares_of("transfer").shop

    for garment in (TEE, replace(TEE, name="blue tee")):
        assert moments(told([one], garment), "transfer")[0] == pytest.approx(lasting, abs=0.05)
    assert moments(told([one], replace(TEE, lot="B")), "surface fill")[0] == pytest.approx(1.0, abs=0.02)
    assert moments(told([one], replace(TEE, name="blue tee")), "surface fill")[0] == pytest.approx(0.0, abs=0.05)


def test_more_lots_of_a_cloth_tell_more_of_the_next():
    lots = [
        finding(replace(TEE, lot=lot), {"release": 1.0}, day=i, swatch=i + 1)
        for i, lot in enumerate(("A", "B", "C", "D"))
    ]
    new = replace(TEE, lot="Z")
    spreads = [moments(told(lots[:n], new), "release")[1] for n in (1, 2, 4)]

    assert spreads == sorted(spreads, reverse=True)
    assert spreads[2] < 0.9 * spreads[0]
    # By the normal distribution written out: lots share class and cloth, each seen to 0.3 of its own.
    shares = shares_of("release")
    common = 1 - shares.lot
    precision = 1 / 0.3**2 - 1
    across = common * np.ones(4)
    whole = common * np.ones((4, 4)) + (shares.lot + 1 / precision) * np.eye(4)
    expected = np.sqrt(1 - across @ np.linalg.solve(whole, across))
    assert spreads[2] == pytest.approx(expected, abs=0.03)
    found = told(lots, new)
    assert (found.swatches, found.readings) == ((1, 2, 3, 4), 12)


def test_a_tested_lot_is_narrowed_by_its_kin_and_says_so():
    own = finding(means={"release": 1.0}, sd=0.8)
    kin = [finding(replace(TEE, lot=lot), {"release": 0.0}, sd=0.1, swatch=5 + i) for i, lot in enumerate("BCD")]
    alone, helped = told([own], TEE), told([own, *kin], TEE)

    assert moments(helped, "release")[1] < moments(alone, "release")[1]
    assert moments(helped, "release")[0] < moments(alone, "release")[0]
    assert helped.level is Level.LOT
    assert helped.swatches == (1,)
    assert "3 other tested lots narrowed it as well" in helped.notes


def test_of_a_lot_the_latest_finding_counts():
    old, new = finding(means={"release": -2.0}, day=0), finding(means={"release": 2.0}, day=5)

    assert moments(told([new, old], TEE), "release")[0] == pytest.approx(2.0, abs=0.02)


def test_findings_made_under_other_priors_are_not_understood():
    assert told([replace(finding(), priors="0123456789abcdef-0123456789abcdef")], TEE) is None
    assert told([replace(finding(), dimensions=FINDING_DIMENSIONS[::-1])], TEE) is None


def test_when_the_shop_has_weighed_since_its_way_of_printing_is_drawn_anew():
    one = finding(means={"transfer": 2.0, "release": 2.0})
    weighed = Practice(transfer=q(0.6, 0.55, 0.65))

    found = told([one], TEE, practice=weighed)

    assert moments(found, "transfer") == pytest.approx((0.0, 1.0), abs=0.06)
    assert moments(found, "release")[0] == pytest.approx(2.0, abs=0.05)


# --- messages ------------------------------------------------------------------------------------------------------


def test_draws_of_the_prior_say_nothing():
    for seed in range(5):
        draws = np.random.default_rng(seed).standard_normal((400, D))

        assert message_of(draws, 400.0).seen.size == 0


def test_a_message_gives_mean_and_covariance_of_a_normal_posterior_back():
    rng = np.random.default_rng(3)
    along = np.zeros((D, 2))
    along[:4, 0], along[5:8, 1] = 2.0, (3.0, -3.0, 1.0)
    covariance = np.linalg.inv(np.eye(D) + along @ along.T)
    mean = covariance @ along @ np.array([3.0, -2.0])
    draws = mean + rng.standard_normal((20_000, D)) @ np.linalg.cholesky(covariance).T

    one = replace(finding(), draws=tuple(map(tuple, draws.tolist())))
    found = conditional(TEE, [(one, message_of(draws, 20_000.0))])

    lasting = [i for i, name in enumerate(FINDING_DIMENSIONS) if name not in PRINT_DIMENSIONS]
    np.testing.assert_allclose(found.mean[lasting], mean[lasting], atol=0.05)
    np.testing.assert_allclose(
        found.covariance[np.ix_(lasting, lasting)], covariance[np.ix_(lasting, lasting)], atol=0.03
    )


def test_without_anything_told_a_garment_is_as_the_prior_says():
    found = conditional(TEE, [])

    np.testing.assert_array_equal(found.mean, 0.0)
    np.testing.assert_array_equal(found.covariance, np.eye(D))


# --- records -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"fitted_at": dt.datetime(2026, 1, 1)}, "time zone"),  # noqa: DTZ001 - that is what is refused
        ({"dimensions": ("release", "release"), "draws": ((0.0, 0.0),) * 2}, "each of its directions once"),
        ({"draws": ((0.0,) * D,)}, "at least 2 draws"),
        ({"draws": ((0.0,),) * 2}, f"needs {D} numbers"),
        ({"draws": ((float("nan"),) * D,) * 2}, "not finite"),
        ({"garment": ""}, "names its garment"),
        ({"lot": ""}, "names the lot"),
        ({"level": Level.CLOTH}, "no other finding does"),
    ],
)
def test_a_finding_that_makes_no_sense_is_refused(changes, said):
    from laydown.errors import InvalidInput

    with pytest.raises(InvalidInput, match=said):
        replace(finding(), **changes)
