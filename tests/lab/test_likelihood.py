"""The likelihood of readings: against the normal distribution written out, and its limits."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from laydown.lab.likelihood import Noise, Observed, Outputs, left_out, log_likelihoods, usual_noise
from small_shop import q

NOISE = Noise(
    repeatability=0.3, unevenness=0.2, offset=2.0, grade=0.3, blunder=0.0, discrepancy=q(0.12, 0.05, 0.3), shared=0.4
)


def observed(place=(), repeats=None, group=None, grade=()):
    n = len(place)
    groups = 1 + max(group or [0]) if n else 0
    return Observed(
        place=np.array(place, dtype=float),
        repeats=np.array(repeats or [1.0] * n, dtype=float),
        group=np.array(group or [0] * n, dtype=np.int64),
        members=tuple((i,) for i in range(n)),
        grade=np.array(grade, dtype=float),
        directions=np.tile([-1.0, 0.0, 0.0], (groups, 1)),
        origins=np.zeros((groups, 3)),
        turned=(0.0,) * groups,
    )


def outputs(change=(), clean=(), grade=()):
    return Outputs(change=np.atleast_2d(change), clean=np.atleast_2d(clean), grade=np.atleast_2d(grade))


def written_out(seen, out, row, discrepancy, noise, at):
    """Log density with the whole covariance matrix."""
    v = out.change[row, at]
    covariance = np.diag(noise.reading**2 / seen.repeats[at] + (1 - noise.shared) * (discrepancy * v) ** 2)
    covariance += noise.offset**2 * np.ones((v.size, v.size))
    covariance += noise.shared * discrepancy**2 * np.outer(v, v)
    return multivariate_normal(v + out.clean[row, seen.group[at[0]]], covariance).logpdf(seen.place[at])


def test_colours_of_an_area_have_a_normal_density_with_shared_offset_and_model_error():
    rng = np.random.default_rng(1)
    seen = observed(place=rng.normal(5, 3, 5), repeats=[1, 3, 1, 2, 1], group=[0, 0, 1, 1, 1])
    out = outputs(change=rng.uniform(0, 9, (7, 5)), clean=rng.normal(0, 1, (7, 2)), grade=np.empty((7, 0)))
    discrepancy = rng.uniform(0.02, 0.5, 7)

    found = log_likelihoods(seen, out, NOISE, discrepancy)

    assert found.shape == (7, 2)
    for row in range(7):
        for group, at in enumerate((np.array([0, 1]), np.array([2, 3, 4]))):
            assert found[row, group] == pytest.approx(
                written_out(seen, out, row, discrepancy[row], NOISE, at), abs=1e-9
            )


def test_a_surrogates_own_error_counts_as_noise_of_each_point():
    seen, out = observed(place=[3.0]), outputs(change=[[2.0]], clean=[[0.5]], grade=np.empty((1, 0)))

    found = log_likelihoods(seen, out, NOISE, np.array([0.1]), extra=np.array([[0.7]]))

    variance = NOISE.reading**2 + 0.1**2 * 2.0**2 + NOISE.offset**2 + 0.7
    assert found[0, 0] == pytest.approx(norm(2.5, np.sqrt(variance)).logpdf(3.0))


def test_one_colour_less_is_what_the_others_leave_of_it():
    rng = np.random.default_rng(2)
    seen = observed(place=rng.normal(4, 2, 4), group=[0, 0, 0, 1])
    out = outputs(change=rng.uniform(0, 6, (3, 4)), clean=rng.normal(0, 1, (3, 2)), grade=np.empty((3, 0)))
    discrepancy = np.array([0.1, 0.2, 0.3])

    alone = left_out(seen, out, NOISE, discrepancy, point=1)

    for row in range(3):
        whole = written_out(seen, out, row, discrepancy[row], NOISE, np.array([0, 1, 2]))
        rest = written_out(seen, out, row, discrepancy[row], NOISE, np.array([0, 2]))
        assert alone[row] == pytest.approx(whole - rest)
    np.testing.assert_allclose(
        left_out(seen, out, NOISE, discrepancy, point=3), log_likelihoods(seen, out, NOISE, discrepancy)[:, 1]
    )


GRADES = np.arange(1.0, 5.01, 0.5)


@pytest.mark.parametrize("true", [-1.0, 1.0, 2.6, 4.3, 4.9, 5.0])
def test_the_nine_grades_share_out_all_chance(true):
    out = outputs(change=np.empty((1, 0)), clean=np.empty((1, 0)), grade=[[true] * len(GRADES)])

    found = np.exp(log_likelihoods(observed(grade=GRADES), out, NOISE, np.array([0.1])))

    assert found.sum() == pytest.approx(1.0)
    assert GRADES[found.argmax()] == pytest.approx(np.clip(true, 1, 5), abs=0.5)


def test_a_grade_5_only_says_that_the_stain_is_not_larger():
    predicted = np.array([3.0, 4.0, 4.75, 5.0, 5.0])
    out = outputs(change=np.empty((5, 0)), clean=np.empty((5, 0)), grade=predicted[:, None])

    found = log_likelihoods(observed(grade=[5.0]), out, NOISE, np.zeros(5))[:, 0]

    assert (np.diff(found[:4]) > 0).all()
    assert found[2] == pytest.approx(np.log(0.5))
    assert found[3] == found[4] > np.log(0.75)


def test_a_grade_that_may_be_a_blunder_rules_nothing_out():
    careless = replace(NOISE, blunder=0.09)
    out = outputs(change=np.empty((1, 0)), clean=np.empty((1, 0)), grade=[[1.0, 4.0]])

    found = np.exp(log_likelihoods(observed(grade=[5.0, 4.0]), out, careless, np.zeros(1)))[0]

    assert found[0] == pytest.approx(0.09 / 9)
    assert found[1] == pytest.approx(0.91 * (norm.cdf(0.25 / 0.3) - norm.cdf(-0.25 / 0.3)) + 0.09 / 9)


def test_the_error_of_a_colour_is_a_third_of_its_square_along_one_direction():
    assert NOISE.reading == pytest.approx(np.sqrt((0.3**2 + 0.2**2) / 3))


def test_a_shop_that_repeats_its_readings_has_its_own_repeatability():
    assert usual_noise(repeatability=0.05).repeatability == 0.05
    assert usual_noise().repeatability == 0.3
