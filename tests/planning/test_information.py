"""Which uncertain input matters most, and what a test of it is worth."""

import numpy as np
import pytest

from laydown.models.sampling import DIMENSIONS, corner_set, sample_set
from laydown.planning.information import TEST_KINDS, WORDS, TestKind, drivers, test_for, value_of_test

SAMPLES = sample_set(1024)
KIND = {kind.name: kind for kind in TEST_KINDS}
OVEN, WEIGHING = KIND["oven bleed test"], KIND["weighing before and after printing"]
NORMAL_AT_ZERO = 1 / np.sqrt(2 * np.pi)


def z(name):
    return SAMPLES.normal(name)


def test_every_direction_belongs_to_exactly_one_test():
    named = [dimension for kind in TEST_KINDS for dimension in kind.dimensions]

    assert sorted(named) == sorted(DIMENSIONS)
    for kind in TEST_KINDS:
        for dimension in kind.dimensions:
            assert test_for(dimension) == kind.name


# --- drivers -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["transfer", "release", "fusion temperature"])
@pytest.mark.parametrize("shape", [lambda x: x, np.exp, lambda x: -(x**3)])
def test_the_one_input_that_drives_is_found_whatever_the_shape(name, shape):
    first, *rest = drivers(SAMPLES, shape(z(name)))

    assert first.name == name
    assert first.share == pytest.approx(1.0)
    assert first.test == test_for(name)
    assert all(other.share < 0.06 for other in rest)


def test_two_inputs_share_the_spread_by_their_squares():
    found = {d.name: d.share for d in drivers(SAMPLES, 3 * z("release") + 4 * z("diffusion"))}

    assert found["release"] == pytest.approx(9 / 25, abs=0.08)
    assert found["diffusion"] == pytest.approx(16 / 25, abs=0.08)


def test_the_largest_comes_first_and_small_ones_are_left_out():
    found = drivers(SAMPLES, z("release") + 0.05 * z("transfer"), least=0.1)

    assert [d.name for d in found] == ["release"]
    shares = [d.share for d in drivers(SAMPLES, z("release") + z("diffusion") + 0.5 * z("transfer"), least=0.0)]
    assert shares == sorted(shares, reverse=True)
    assert len(shares) == len(DIMENSIONS)


@pytest.mark.parametrize("value", [0.0, 3.0, 1e6])
def test_what_does_not_vary_has_no_driver(value):
    assert drivers(SAMPLES, np.full(SAMPLES.size, value)) == ()
    assert drivers(SAMPLES, value * (1 + 1e-13 * z("release"))) == ()


def test_a_direction_that_was_not_sampled_drives_nothing():
    corners = corner_set(tuple({"release": float(x)} for x in np.linspace(-2, 2, 9)))

    assert [d.name for d in drivers(corners, corners.normal("release"))] == ["release"]


def test_what_two_inputs_do_only_together_is_credited_to_neither():
    found = drivers(SAMPLES, z("release") * z("diffusion"))

    assert sum(d.share for d in found) < 0.5


# --- value of a test -----------------------------------------------------------------------------------------------


def test_a_test_is_worth_nothing_when_one_stack_always_wins():
    costs = np.array([100 + z("release"), 200 + z("release")])

    assert value_of_test(SAMPLES, OVEN, costs) == pytest.approx(0.0, abs=1e-9)


def test_a_test_is_worth_nothing_with_one_stack_to_choose_from():
    assert value_of_test(SAMPLES, OVEN, np.array([100 + z("release")])) == 0.0


def test_a_test_of_what_does_not_matter_is_worth_hardly_anything():
    costs = np.array([100 + 10 * z("release"), np.full(SAMPLES.size, 100.0)])

    assert value_of_test(SAMPLES, KIND["dryer probe"], costs) < 0.6
    assert value_of_test(SAMPLES, OVEN, costs) > 3.5


@pytest.mark.parametrize("spread", [2.0, 10.0, 50.0])
def test_two_stacks_with_a_known_answer(spread):
    """One stack costs 100 for sure, the other 100 and a normal error: knowing it saves spread times phi(0)."""
    costs = np.array([100 + spread * z("release"), np.full(SAMPLES.size, 100.0)])

    assert value_of_test(SAMPLES, OVEN, costs) == pytest.approx(spread * NORMAL_AT_ZERO, rel=0.1)


@pytest.mark.parametrize("gap", [0.5, 1.0, 2.0])
def test_the_further_apart_two_stacks_are_the_less_a_test_is_worth(gap):
    """Cost 100 + s z against 100 + gap s: exact value s (phi(gap) - gap (1 - Phi(gap)))."""
    from scipy.stats import norm

    costs = np.array([100 + 10 * z("release"), np.full(SAMPLES.size, 100.0 + 10 * gap)])

    exact = 10 * (norm.pdf(gap) - gap * norm.sf(gap))
    assert value_of_test(SAMPLES, OVEN, costs) == pytest.approx(exact, abs=0.1 * 10 * NORMAL_AT_ZERO)


def test_a_test_of_two_inputs_is_worth_what_both_together_decide():
    both = 6 * z("release") + 8 * z("diffusion")

    assert value_of_test(SAMPLES, OVEN, np.array([100 + both, np.full(SAMPLES.size, 100.0)])) == pytest.approx(
        10 * NORMAL_AT_ZERO, rel=0.12
    )


def test_a_test_of_one_of_two_inputs_is_worth_its_part():
    costs = np.array([100 + 6 * z("release") + 8 * z("transfer"), np.full(SAMPLES.size, 100.0)])

    assert value_of_test(SAMPLES, OVEN, costs) == pytest.approx(6 * NORMAL_AT_ZERO, rel=0.25)
    assert value_of_test(SAMPLES, WEIGHING, costs) == pytest.approx(8 * NORMAL_AT_ZERO, rel=0.25)


def test_a_reprint_that_an_input_decides_makes_its_test_worth_money():
    """The cheap stack fails above the median of one input: knowing it saves about half a reprint each way."""
    cheap = 100 * (1 + 2.0 * (z("release") > 0))
    safe = np.full(SAMPLES.size, 200.0)

    worth = value_of_test(SAMPLES, OVEN, np.array([cheap, safe]))

    # Knowing z exactly: min(100, 200) half the time and 200 the other half against 200: 50. A smooth fit sees less.
    assert 25 < worth <= 50


def test_a_worth_is_never_negative():
    rng = np.random.default_rng(1)
    for _ in range(20):
        costs = 100 + rng.normal(size=(5, SAMPLES.size))
        for kind in TEST_KINDS:
            assert value_of_test(SAMPLES, kind, costs) >= 0


def test_noise_alone_is_worth_little():
    rng = np.random.default_rng(2)
    worths = [value_of_test(SAMPLES, OVEN, 100 + 10 * rng.normal(size=(4, SAMPLES.size))) for _ in range(20)]

    # Without the correction a regression of 18 terms on 256 points would find about a fifth of the spread.
    assert np.mean(worths) < 0.6


def test_stacks_of_the_same_cost_make_no_difference():
    costs = np.array([100 + 10 * z("release")] * 3)

    assert value_of_test(SAMPLES, OVEN, costs) == pytest.approx(0.0, abs=1e-9)


def test_a_new_kind_of_test_needs_only_its_directions():
    kind = TestKind(name="everything", dimensions=DIMENSIONS)

    costs = np.array([100 + 10 * z("release"), np.full(SAMPLES.size, 100.0)])
    assert value_of_test(SAMPLES, kind, costs) == pytest.approx(10 * NORMAL_AT_ZERO, rel=0.3)


def test_with_fewer_than_two_samples_a_term_squares_are_left_out_and_then_nothing_is_said():
    costs_of = lambda s: np.array([100 + 10 * s.normal("release"), np.full(s.size, 100.0)])  # noqa: E731
    middling, few = sample_set(24), sample_set(12)

    assert value_of_test(middling, OVEN, costs_of(middling)) == pytest.approx(10 * NORMAL_AT_ZERO, rel=0.35)
    assert value_of_test(few, OVEN, costs_of(few)) == 0.0


def test_every_direction_has_words_of_its_own():
    assert [name for name, _ in WORDS] == list(DIMENSIONS)
    assert len({words for _, words in WORDS}) == len(DIMENSIONS)
    assert all(words != name for name, words in WORDS)
