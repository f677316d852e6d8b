"""Gel and cure verdicts on curves whose answer is known by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.physics import cure, cure_kernel

pytestmark = pytest.mark.interpreted

TIMES = np.array([0.0, 10.0, 20.0, 30.0, 40.0])
# Up by 10 K/s to 400 K, on to 440 K, back to 400 K, down to 300 K; a second cell 5 K cooler, one 20 K hotter.
CURVE = np.array([300.0, 400.0, 440.0, 400.0, 300.0])
FILM = np.stack([CURVE, CURVE - 5, CURVE + 20], axis=1)[None]
SOFT = st.lists(st.floats(300, 480), min_size=5, max_size=5).map(np.array)


def test_gel_comes_when_the_coldest_cell_is_there():
    # The coldest cell starts at 295 K and rises by 10 K/s.
    assert cure.gel_time(TIMES, FILM, 375.0) == pytest.approx([8.0])
    assert cure.gel_time(TIMES, FILM, 290.0) == pytest.approx([0.0])
    assert np.isnan(cure.gel_time(TIMES, FILM, 436.0))


def test_each_sample_has_its_own_gel_temperature():
    both = np.concatenate([FILM, FILM + 10])

    assert cure.gel_time(TIMES, both, [375.0, 375.0]) == pytest.approx([8.0, 7.0])
    assert cure.gel_time(TIMES, both, [375.0, 385.0]) == pytest.approx([8.0, 8.0])


def test_a_cure_held_is_reached_with_its_margins():
    # The coldest point is at or above 415 K from 15 s to 25 s and peaks at 435 K.
    found = cure.fusion_cure(TIMES, FILM, fusion_temperature=415.0, hold=4.0)

    assert found.reached.tolist() == [True]
    assert found.peak_temperature == pytest.approx([435.0])
    assert found.seconds_above == pytest.approx([10.0])
    assert found.margin_seconds == pytest.approx([6.0])
    # Slopes of 4 K/s on both sides: 4 s wide at 2 s x 4 K/s below the peak.
    assert found.held_temperature == pytest.approx([427.0])
    assert found.margin_kelvin == pytest.approx([12.0])


def test_a_cure_not_held_long_enough_fails_by_a_stated_margin():
    found = cure.fusion_cure(TIMES, FILM, fusion_temperature=431.0, hold=6.0)

    assert found.reached.tolist() == [False]
    assert found.seconds_above == pytest.approx([2.0])
    assert found.margin_seconds == pytest.approx([-4.0])
    assert found.margin_kelvin == pytest.approx([423.0 - 431.0])


def test_without_a_hold_touching_the_temperature_is_enough_and_missing_it_is_not():
    touched = cure.fusion_cure(TIMES, FILM, fusion_temperature=435.0)
    missed = cure.fusion_cure(TIMES, FILM, fusion_temperature=435.1)

    assert touched.reached.tolist() == [True]
    assert touched.margin_kelvin == pytest.approx([0.0])
    assert missed.reached.tolist() == [False]
    assert missed.margin_kelvin == pytest.approx([-0.1])
    assert missed.seconds_above == pytest.approx([0.0])


def test_a_hold_must_be_in_one_piece():
    curve = np.array([300.0, 420.0, 390.0, 420.0, 420.0, 300.0])
    film = curve[None, :, None]
    times = np.arange(6.0) * 10

    # Above 405 K from 8.75 s to 15 s and from 25 s to 41.25 s.
    found = cure.fusion_cure(times, film, fusion_temperature=405.0, hold=20.0)
    assert found.seconds_above == pytest.approx([16.25])
    assert found.reached.tolist() == [False]


def test_a_film_still_hot_at_the_end_counts_to_the_end():
    film = np.array([300.0, 400.0, 420.0, 420.0, 420.0])[None, :, None]

    found = cure.fusion_cure(TIMES, film, fusion_temperature=410.0, hold=20.0)
    assert found.seconds_above == pytest.approx([25.0])
    assert found.held_temperature == pytest.approx([420.0])


def test_a_film_hot_from_the_start_counts_from_the_start():
    film = np.array([420.0, 420.0, 400.0, 300.0, 300.0])[None, :, None]

    found = cure.fusion_cure(TIMES, film, fusion_temperature=410.0, hold=12.0)
    assert found.seconds_above == pytest.approx([15.0])
    assert found.held_temperature == pytest.approx([416.0])


@given(SOFT, st.floats(310, 470), st.floats(0, 40))
def test_verdict_and_both_margins_agree(curve, fusion, hold):
    found = cure.fusion_cure(TIMES, curve[None, :, None], fusion_temperature=fusion, hold=hold)

    if abs(found.margin_kelvin[0]) > 1e-6 and abs(found.margin_seconds[0]) > 1e-6:
        assert (found.margin_kelvin[0] > 0) == (found.margin_seconds[0] > 0) == bool(found.reached[0])


@given(SOFT, st.floats(0, 40), st.floats(-30, 30))
def test_a_warmer_film_gains_its_warmth_as_margin(curve, hold, shift):
    before = cure.fusion_cure(TIMES, curve[None, :, None], fusion_temperature=400.0, hold=hold)
    after = cure.fusion_cure(TIMES, curve[None, :, None] + shift, fusion_temperature=400.0, hold=hold)

    assert after.margin_kelvin - before.margin_kelvin == pytest.approx([shift], abs=1e-6)


@given(SOFT, st.floats(0, 40))
def test_the_held_level_is_held_and_nothing_higher_is(curve, hold):
    level = cure_kernel.held_level(TIMES, curve, hold)

    assert cure_kernel.longest_run(TIMES, curve, level) >= hold - 1e-6
    if hold > 0.01 and np.ptp(curve) > 1:
        assert cure_kernel.longest_run(TIMES, curve, level + 0.01) < hold


def test_a_second_at_the_reference_temperature_counts_as_one():
    steady = np.full((1, 5, 2), 433.15)

    seconds = cure.equivalent_seconds(TIMES, steady, reference_temperature=433.15, activation_energy=1e5)
    assert seconds == pytest.approx(np.full((1, 2), 40.0))


def test_a_hotter_second_counts_by_arrhenius():
    steady = np.full((1, 5, 1), 443.15)
    factor = np.exp(1e5 / 8.314462618 * (1 / 433.15 - 1 / 443.15))

    seconds = cure.equivalent_seconds(TIMES, steady, reference_temperature=433.15, activation_energy=1e5)
    assert seconds[0] == pytest.approx([40.0 * factor])


def test_a_ramp_counts_by_the_integral():
    from scipy.integrate import quad

    film = np.linspace(400, 440, 5)[None, :, None]
    energy, reference = 1.2e5, 433.15
    exact, _ = quad(lambda t: np.exp(energy / 8.314462618 * (1 / reference - 1 / (400 + t))), 0, 40)

    seconds = cure.equivalent_seconds(TIMES, film, reference_temperature=reference, activation_energy=energy)
    assert seconds[0] == pytest.approx([exact], rel=1e-4)


def test_time_cure_is_decided_by_the_slowest_cell():
    film = np.stack([np.full(5, 433.15), np.full(5, 423.15)], axis=1)[None]
    rule = {"reference_temperature": 433.15, "activation_energy": 1e5}
    slow = 40.0 * np.exp(1e5 / 8.31446261815324 * (1 / 433.15 - 1 / 423.15))

    found = cure.time_cure(TIMES, film, required_seconds=30.0, **rule)
    assert found.equivalent_seconds == pytest.approx([slow])
    assert found.reached.tolist() == [False]
    assert found.margin_seconds == pytest.approx([slow - 30.0])
    assert found.margin_kelvin[0] < 0
    # A film colder by the margin does just enough.
    again = cure.time_cure(TIMES, film - found.margin_kelvin[0], required_seconds=30.0, **rule)
    assert again.equivalent_seconds == pytest.approx([30.0], rel=1e-6)
    assert again.margin_kelvin == pytest.approx([0.0], abs=1e-6)


def test_the_hottest_point_and_its_time_beyond_the_limit():
    # The hottest cell: 320, 420, 460, 420, 320 K: above 440 K from 15 s to 25 s; above 400 K from 8 s to 32 s.
    peak, seconds = cure.hottest(TIMES, FILM, 440.0)
    assert peak == pytest.approx([460.0])
    assert seconds == pytest.approx([10.0])
    assert cure.hottest(TIMES, FILM, 400.0)[1] == pytest.approx([24.0])
    assert cure.hottest(TIMES, FILM, 300.0)[1] == pytest.approx([40.0])
    assert cure.hottest(TIMES, FILM, 460.0)[1] == pytest.approx([0.0])


def test_a_flat_curve_at_the_limit_is_not_beyond_it():
    flat = np.full((1, 5, 1), 400.0)

    assert cure.hottest(TIMES, flat, 400.0)[1] == pytest.approx([0.0])
    assert cure.hottest(TIMES, flat, 399.0)[1] == pytest.approx([40.0])


RULE = {"reference_temperature": 433.0, "activation_energy": 1e5}


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: cure.gel_time([0.0], FILM, 400.0), "times"),
        (lambda: cure.gel_time(TIMES[::-1], FILM, 400.0), "times"),
        (lambda: cure.gel_time(TIMES, FILM[0], 400.0), "temperature"),
        (lambda: cure.gel_time(TIMES, FILM * np.nan, 400.0), "temperature"),
        (lambda: cure.gel_time(TIMES, FILM, [400.0, 400.0]), "gel_temperature"),
        (lambda: cure.gel_time(TIMES, FILM, np.nan), "gel_temperature"),
        (lambda: cure.fusion_cure(TIMES, FILM, fusion_temperature=400.0, hold=41.0), "hold"),
        (lambda: cure.fusion_cure(TIMES, FILM, fusion_temperature=400.0, hold=-1.0), "hold"),
        (
            lambda: cure.equivalent_seconds(TIMES, FILM, reference_temperature=0.0, activation_energy=1e5),
            "reference_temperature",
        ),
        (
            lambda: cure.equivalent_seconds(TIMES, FILM, reference_temperature=400.0, activation_energy=-1.0),
            "activation_energy",
        ),
        (lambda: cure.time_cure(TIMES, FILM, required_seconds=0.0, **RULE), "time_cure"),
    ],
)
def test_impossible_arguments_are_refused_by_name(call, where):
    with pytest.raises(InvalidInput) as refusal:
        call()

    assert refusal.value.where == where


def test_a_run_that_ends_before_the_second_time_is_a_run():
    # From 420 K at 0 s down to 380 K at 10 s: 410 K is passed after 2.5 s.
    curve = np.array([420.0, 380.0, 300.0, 300.0, 300.0])

    assert cure_kernel.longest_run(TIMES, curve, 410.0) == pytest.approx(2.5)


def test_a_plateau_exactly_at_the_level_counts():
    assert cure_kernel.longest_run(TIMES, np.array([300.0, 400.0, 400.0, 300.0, 300.0]), 400.0) == pytest.approx(10.0)


def test_what_is_held_from_the_first_time_to_the_last_is_the_lowest_there_is():
    rising = np.array([300.0, 400.0, 420.0, 440.0, 450.0])

    assert cure_kernel.held_level(TIMES, rising, 40.0) == pytest.approx(300.0)


def test_a_film_that_just_touches_the_gel_temperature_gels_then_each_sample_at_its_own_time():
    # The coldest cell peaks at 435 K after 20 s; the second sample is 40 K hotter and there after 10.
    both = np.concatenate([FILM, FILM + 40])

    assert cure.gel_time(TIMES, both, 435.0) == pytest.approx([20.0, 10.0])
    assert cure.gel_time(TIMES, both, 415.0) == pytest.approx([15.0, 8.0])


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: cure.fusion_cure(TIMES, FILM, fusion_temperature=np.nan), "fusion_temperature"),
        (lambda: cure.fusion_cure(TIMES, FILM, fusion_temperature=400.0, hold=[1.0, 2.0]), "hold"),
        (lambda: cure.time_cure(TIMES, FILM, required_seconds=np.inf, **RULE), "required_seconds"),
        (lambda: cure.time_cure(TIMES, FILM, required_seconds=1.0, **(RULE | {"activation_energy": 0.0})), "time_cure"),
        (lambda: cure.hottest(TIMES, FILM, np.nan), "limit"),
    ],
)
def test_a_level_that_is_no_number_is_refused_by_its_name(call, where):
    with pytest.raises(InvalidInput) as refusal:
        call()

    assert refusal.value.where == where


def test_without_activation_every_second_counts_alike_and_half_a_kelvin_is_a_reference():
    seconds = cure.equivalent_seconds(TIMES, FILM, reference_temperature=0.5, activation_energy=0.0)

    assert seconds == pytest.approx(np.full((1, 3), 40.0))


def test_a_time_just_long_enough_is_enough():
    steady = np.full((1, 5, 1), 433.0)

    assert cure.time_cure(TIMES, steady, required_seconds=40.0, **RULE).reached.tolist() == [True]
    assert cure.time_cure(TIMES, steady, required_seconds=0.5, **RULE).reached.tolist() == [True]


def test_samples_are_cured_side_by_side_as_they_are_alone():
    # In each another cell is the slowest; the second one is so cold that its margin is looked for less far.
    both = np.concatenate([FILM, FILM[:, :, ::-1] - 130.0])
    together = cure.time_cure(TIMES, both, required_seconds=[1.0, 1e-3], **RULE)

    for sample, required in enumerate((1.0, 1e-3)):
        alone = cure.time_cure(TIMES, both[sample : sample + 1], required_seconds=required, **RULE)
        assert together.equivalent_seconds[sample] == alone.equivalent_seconds[0]
        assert together.margin_kelvin[sample] == alone.margin_kelvin[0]


def test_the_margin_in_kelvin_is_looked_for_up_to_two_hundred_on_either_side():
    steady = np.full((1, 5, 1), 433.0)

    for required, margin in ((1e-12, 200.0), (1e30, -200.0)):
        found = cure.time_cure(TIMES, steady, required_seconds=required, **RULE)
        assert found.margin_kelvin == pytest.approx([margin], abs=1e-6)


def test_a_small_excess_counts_by_its_share_of_the_interval():
    # 400 K to 400.5 K in 10 s: above 400.2 K for six of them.
    curve = np.array([400.0, 400.5, 400.0, 300.0, 300.0])

    assert cure.hottest(TIMES, curve[None, :, None], 400.2)[1] == pytest.approx([12.0])
