"""The migration solver on cases so small that they are quick with the compiler off too."""

from __future__ import annotations

import numpy as np
import pytest
from independent_migration import solve_one
from migration_cases import DAY, print_, still
from scipy.integrate import quad

from laydown.physics import sheet
from laydown.physics.arrhenius import arrhenius_factor, equivalent_time_of_history
from laydown.physics.migration import simulate_migration

pytestmark = pytest.mark.interpreted

LENGTH, D = 40e-6, 2e-15


def days(fourier):
    return fourier * LENGTH**2 / D / DAY


@pytest.mark.parametrize("activation", [0.0, 60e3, 140e3])
def test_the_cloth_gives_off_what_its_rate_adds_up_to_over_ramps(activation):
    times, kelvin = [0.0, 30.0, 50.0, 200.0, 5000.0], [300.0, 440.0, 440.0, 320.0, 310.0]
    outputs = [0.0, 20.0, 30.0, 45.0, 120.0, 5000.0]
    case = still(
        1.0,
        times=times,
        temperature=[kelvin],
        output_times=outputs,
        release_ref=8e-3 if activation else 2e-4,
        release_activation=activation,
        release_reference=433.15,
        diffusion_activation=87e3,
        cells=[4],
    )
    history = simulate_migration(**case)

    def rate(t):
        return case["release_ref"] * float(arrhenius_factor(np.interp(t, times, kelvin), activation, 433.15))

    fallen = [quad(rate, 0, t, points=[p for p in times[1:-1] if p < t] or None, limit=200)[0] for t in outputs]
    assert history.reservoir[0] == pytest.approx(np.exp(-np.array(fallen)), rel=1e-5)


def test_a_film_in_a_changing_temperature_is_one_at_rest_for_the_equivalent_time():
    times, kelvin = [0.0, 3600.0, 2 * DAY, 10 * DAY], [300.0, 345.0, 330.0, 298.15]
    passed = equivalent_time_of_history(times, kelvin, 87e3, 298.15)[-1]
    warm = still(10.0, times=times, temperature=[kelvin], surface_concentration=1.0, cells=[10])
    rest = still(passed / DAY, surface_concentration=1.0, cells=[10])

    warm_, rest_ = simulate_migration(**warm, tolerance=1e-5), simulate_migration(**rest, tolerance=1e-5)
    assert warm_.free[0, -1] == pytest.approx(rest_.free[0, -1], abs=2e-5)


def test_a_film_takes_up_dye_as_crank_s_sheet_does():
    # A tight top: half of a sheet of double thickness.
    fourier = np.array([0.05, 0.2, 0.6])
    case = still(days(0.6), surface_concentration=1.0, output_times=days(fourier) * DAY, cells=[32])
    history = simulate_migration(**case, tolerance=1e-6)

    assert history.balance.free[0] / LENGTH == pytest.approx(sheet.sheet_uptake(fourier / 4), abs=1e-4)
    assert history.balance.entered[0] == pytest.approx(history.balance.free[0], rel=1e-12)


def test_a_clean_face_loses_what_crank_s_sheet_lets_through():
    fourier = np.array([0.2, 0.5, 1.5])
    case = still(days(1.5), surface_concentration=1.0, output_times=days(fourier) * DAY, cells=[32])
    history = simulate_migration(**case, loss_ref=np.inf, tolerance=1e-6)

    assert history.balance.lost[0] / LENGTH == pytest.approx(sheet.permeated(fourier), abs=1e-4)


def test_two_layers_and_a_loss_pass_in_the_end_what_their_resistances_in_series_let_through():
    # Activity is continuous: a layer of partition K counts by l/(D K), the loss by 1/(h K).
    l1, l2, d1, d2, k, h, c0 = 20e-6, 10e-6, 2e-15, 5e-16, 3.0, 4e-11, 0.7
    end = 4000.0
    case = still(
        end,
        layer_thickness=[[l1, l2]],
        diffusivity_ref=[[d1, d2]],
        partition=[[k]],
        loss_ref=h,
        surface_concentration=c0,
        output_times=[(end - 100) * DAY, end * DAY],
        cells=[6, 5],
    )
    history = simulate_migration(**case)
    flux = c0 / (l1 / d1 + l2 / (d2 * k) + 1 / (h * k))

    assert np.diff(history.balance.lost[0])[0] / (100 * DAY) == pytest.approx(flux, rel=1e-5)
    below, above = history.free[0, -1, 5], history.free[0, -1, 6]
    activity = c0 - flux * l1 / d1
    assert below == pytest.approx(activity + flux * l1 / 12 / d1, rel=1e-5)
    assert above == pytest.approx(k * (activity - flux * l2 / 10 / (d2 * k)), rel=1e-5)


@pytest.mark.parametrize("seed", [1, 2, 4, 5])
def test_a_coarse_print_agrees_with_an_independent_solver_on_the_same_cells_made_fine(seed):
    case = print_(1, seed=seed, layers=2, reaction_length=(6e-6, 12e-6), thickness=(10e-6, 20e-6))
    case["output_times"] = case["output_times"][[1, 3, 6]]
    history = simulate_migration(**case, cells=[10, 8], tolerance=1e-4)
    free, bound, reservoir = solve_one(case, 0, np.array([10, 8]), 3)
    most = (free + bound).max()

    assert np.abs(history.free[0] - free).max() <= 1e-3 * most
    assert np.abs(history.bound[0] - bound).max() <= 1e-3 * most
    assert np.abs(history.reservoir[0] - reservoir).max() <= 1e-4
    assert history.balance.residual().max() <= 1e-12


def test_steps_grow_with_the_cube_root_of_the_tolerance():
    case = still(60.0, release_ref=1e-6, capacity=0.1, reaction_length=8e-6, cells=[12])
    steps = [simulate_migration(**case, tolerance=t).steps[0] for t in (1e-4, 1e-7)]

    assert steps[1] / steps[0] == pytest.approx(10.0, rel=0.35)


def test_a_sharp_front_of_fast_binding_crosses_when_the_book_says():
    # The front stands in the middle; with a fiftieth of the capacity outside hardly any dye is on its way.
    capacity, c0 = 1.0, 0.02
    time = sheet.sharp_front_breakthrough(LENGTH / 2, D, c0, capacity)
    case = still(time / DAY, surface_concentration=c0, capacity=capacity, reaction_length=1e-6, cells=[60])
    history = simulate_migration(**case)

    assert history.balance.bound[0, -1] == pytest.approx(capacity * LENGTH / 2, rel=0.01)
    assert history.bound[0, -1, :20] == pytest.approx(capacity, rel=0.01)
    assert history.bound[0, -1, 40:].max() < 0.01 * capacity


def laid_out(pieces):
    """Knots of a history of two ramps; exponents and references apart, so that none stands for another."""
    from laydown.physics import migration_clock_kernel as clock

    times, kelvin = np.array([10.0, 50.0, 170.0]), np.array([300.0, 430.0, 350.0])
    rates = np.array([1.05e4, 298.15, 2e-3, 1.7e4, 433.15])
    knots = np.full((1, 3, 2 * pieces + 1), np.nan)
    clock.lay_out_all(times, kelvin[None], rates[None], np.full((1, 2), pieces), knots)

    def speed(t):
        return np.exp(1.05e4 * (1 / 298.15 - 1 / np.interp(t, times, kelvin)))

    def rate(t):
        return 2e-3 * np.exp(1.7e4 * (1 / 433.15 - 1 / np.interp(t, times, kelvin)))

    return times, knots[0], speed, rate


def test_the_clock_converges_to_both_integrals_with_fourth_order():
    wrong = []
    for pieces in (8, 16, 32):
        times, knots, speed, rate = laid_out(pieces)
        exact = [[quad(f, times[0], t, points=[50.0], epsabs=0)[0] for t in times[1:]] for f in (speed, rate)]
        wrong.append(np.abs(knots[:2, [pieces, 2 * pieces]] / exact - 1))

    assert knots[:2, 0].tolist() == [0.0, 0.0]
    assert np.log2(wrong[0] / wrong[1]) == pytest.approx(np.full((2, 2), 4.0), abs=0.5)
    assert np.log2(wrong[1] / wrong[2]) == pytest.approx(np.full((2, 2), 4.0), abs=0.3)
    # Euler and Maclaurin's next term: the change of the exponent in a piece, to the fourth, by 720.
    assert wrong[2].max() < (1.7e4 * (1 / 300 - 1 / 430) / 32) ** 4 / 720


def test_the_clock_s_slope_is_release_by_diffusion_at_every_knot():
    times, knots, speed, rate = laid_out(4)
    at = np.concatenate([np.linspace(times[0], times[1], 5), np.linspace(times[1], times[2], 5)[1:]])

    assert knots[2] == pytest.approx(rate(at) / speed(at), rel=1e-12)
