"""The migration solver against exact solutions, and against every row of the book that it can represent.

Here the cells are fine and the tolerance tight: the question is whether the equations are the right ones.
"""

from __future__ import annotations

import numpy as np
import pytest
from migration_cases import DAY, still

from laydown.physics import sheet
from laydown.physics.migration import simulate_migration
from reference_tables import reference_rows

LENGTH, D = 40e-6, 2e-15
FINE = {"cells": [400], "tolerance": 1e-7}


def fourier(row):
    above, _, below = row["fourier"].partition("/")
    return float(above) / float(below or 1)


def at_fourier(values, *, length=LENGTH, **given):
    """One film whose outputs are at D t/length²."""
    seconds = np.atleast_1d(values) * length**2 / D
    case = still(1.0, layer_thickness=[[LENGTH]], surface_concentration=1.0)
    return simulate_migration(**(case | {"times": [0.0, seconds[-1]], "output_times": seconds} | FINE | given))


def test_uptake_meets_every_row_of_crank():
    # A tight top face: half of a sheet of double thickness.
    rows = reference_rows("sheet_uptake")
    history = at_fourier([fourier(row) for row in rows], length=2 * LENGTH, cells=[800])

    for found, row in zip(history.balance.free[0] / LENGTH, rows, strict=True):
        assert abs(found - float(row["expected"])) <= float(row["tolerance"]), row["fourier"]


def test_permeated_amount_meets_every_row_of_crank():
    rows = [row for row in reference_rows("sheet_permeation") if row["quantity"] == "amount"]
    history = at_fourier([fourier(row) for row in rows], loss_ref=np.inf, cells=[1600])

    for found, row in zip(history.balance.lost[0] / LENGTH, rows, strict=True):
        assert abs(found - float(row["expected"])) <= float(row["tolerance"]), row["fourier"]


def test_permeation_flux_meets_every_row_of_crank():
    rows = [row for row in reference_rows("sheet_permeation") if row["quantity"] == "flux"]
    around, step = np.array([fourier(row) for row in rows]), 3e-4
    history = at_fourier(np.stack([around - step, around + step], axis=1).ravel(), loss_ref=np.inf, tolerance=1e-8)
    flux = np.diff(history.balance.lost[0].reshape(-1, 2), axis=1)[:, 0] / LENGTH / (2 * step)

    for found, row in zip(flux, rows, strict=True):
        assert abs(found - float(row["expected"])) <= float(row["tolerance"]), row["fourier"]


def test_middle_of_a_sheet_meets_every_row_of_crank():
    rows = reference_rows("midplane_step")
    history = at_fourier([fourier(row) for row in rows])
    top, next_ = history.free[0, :, -1], history.free[0, :, -2]

    # Value at the tight face of the parabola that has these two cell means.
    for found, row in zip(top - (next_ - top) / 6, rows, strict=True):
        assert abs(found - float(row["expected"])) <= float(row["tolerance"]), row["fourier"]


@pytest.mark.parametrize("layers", [1, 2])
def test_time_lag_meets_the_example(layers):
    thickness, diffusivity = np.array([20e-6, 30e-6])[:layers], np.array([1e-14, 1e-16])[:layers]
    row = next(
        row
        for row in reference_rows("time_lag")
        if row["unit"] == ("s" if layers == 1 else "d") and row["quantity"] == "lag"
    )
    unit = 1.0 if layers == 1 else DAY
    late = np.array([20.0, 21.0]) * float(row["expected"]) * unit
    history = simulate_migration(
        **still(
            1.0,
            times=[0.0, late[-1]],
            output_times=late,
            layer_thickness=[thickness],
            diffusivity_ref=[diffusivity],
            surface_concentration=1.0,
            loss_ref=np.inf,
            cells=[60] * layers,
            tolerance=1e-7,
            temperature=[[298.15, 298.15]],
        )
    )
    lost = history.balance.lost[0]
    flux = np.diff(lost)[0] / np.diff(late)[0]

    assert abs((late[0] - lost[0] / flux) / unit - float(row["expected"])) <= float(row["tolerance"])
    if layers == 2:
        assert flux == pytest.approx(sheet.two_layer_steady_flux(tuple(thickness), tuple(diffusivity), 1.0), rel=1e-6)


@pytest.mark.parametrize("ratio", [0.001, 0.01, 0.1, 1.0])
def test_sharp_front_advances_as_the_moving_boundary_does(ratio):
    # Blocker that binds within a cell's width: all dye behind the front, none before it.
    capacity, days = 0.8, np.array([5.0, 10.0, 20.0])
    d = 2e-15 / (1000 * ratio) * 300
    history = simulate_migration(
        **still(
            1.0,
            times=[0.0, days[-1] * DAY],
            output_times=days * DAY,
            layer_thickness=[[60e-6]],
            diffusivity_ref=d,
            capacity=capacity,
            reaction_length=0.3e-6,
            surface_concentration=ratio * capacity,
            cells=[300],
            tolerance=1e-4,
        )
    )
    exact = sheet.moving_front_depth(days * DAY, d, ratio * capacity, capacity)
    faces = np.cumsum(history.cell_thickness[0])
    half = [np.interp(-capacity / 2, -bound, faces - faces[0] / 2) for bound in history.bound[0]]

    assert 5e-6 < exact[0] < exact[-1] < 50e-6
    assert history.balance.bound[0] / capacity == pytest.approx(exact, rel=4e-3)
    assert np.array(half) == pytest.approx(exact, abs=0.3e-6)
    if ratio <= 0.01:
        quick = sheet.sharp_front_depth(days * DAY, d, ratio * capacity, capacity)
        assert history.balance.bound[0] / capacity == pytest.approx(quick, rel=6e-3)


def test_thick_film_is_a_thick_body_at_first():
    history = at_fourier([1e-3, 4e-3])
    edges = np.concatenate([[0.0], np.cumsum(history.cell_thickness[0])])
    middle = (edges[:-1] + edges[1:]) / 2
    for found, seconds in zip(history.free[0], history.output_times, strict=True):
        exact = sheet.semi_infinite_step(middle, seconds, D)
        # The mean of a cell differs from its middle by a 24th of its curvature.
        assert np.abs(found - exact)[middle < 20e-6].max() < 2e-4


def test_dye_given_off_at_once_spreads_like_a_deposit_on_the_face():
    values = np.array([0.02, 0.1, 0.5])
    history = at_fourier(values, surface_concentration=None, release_ref=1e3, reservoir_depth=10e-6)
    n = np.arange(1, 60)[:, None, None]
    edges = np.linspace(0, 1, 401)
    # Mean of each cell of 1 + 2 sum cos(n pi x) exp(-n² pi² Fo).
    waves = np.diff(np.sin(np.pi * n * edges), axis=2) / (np.pi * n * np.diff(edges))
    exact = 10 / 40 * (1 + 2 * (waves * np.exp(-((n * np.pi) ** 2) * values[None, :, None])).sum(axis=0))

    assert history.reservoir[0] == pytest.approx(0, abs=1e-12)
    assert history.free[0] == pytest.approx(exact, abs=2e-5)


def test_reservoir_empties_by_its_own_law_whatever_the_film_does():
    hot = np.array([290.0, 430.0, 430.0, 300.0])
    times = np.array([0.0, 30.0, 90.0, 1000.0])
    history = simulate_migration(
        **still(
            1.0,
            times=times,
            temperature=[hot],
            output_times=[30.0, 60.0, 90.0, 1000.0],
            capacity=0.3,
            release_ref=4e-3,
            release_activation=140e3,
            release_reference=433.15,
            reservoir_start=0.7,
        )
    )
    from scipy.integrate import quad

    def rate(t):
        return 4e-3 * np.exp(-140e3 / 8.31446261815324 * (1 / np.interp(t, times, hot) - 1 / 433.15))

    spent = [quad(rate, 0, end, points=times[1:3], limit=200)[0] for end in history.output_times]
    assert history.reservoir[0] == pytest.approx(0.7 * np.exp(-np.array(spent)), rel=1e-5)


def test_film_cares_for_temperature_only_through_equivalent_time():
    from laydown.physics.arrhenius import equivalent_time

    # 15 h at 52 °C against its equivalent at 25 °C; the reservoir gives everything off at once.
    common = {"release_ref": 1e3, "capacity": 0.05, "partition": 1.0, "tolerance": 1e-6}
    oven = simulate_migration(
        **still(1.0, times=[0.0, 54000.0], temperature=[[325.15, 325.15]], output_times=[54000.0], **common)
    )
    days = float(equivalent_time(54000.0, 325.15, 87e3, 298.15)) / DAY
    shelf = simulate_migration(**still(days, **common))

    assert oven.free == pytest.approx(shelf.free, abs=1e-6)
    assert oven.bound == pytest.approx(shelf.bound, abs=1e-6)


def test_blocker_in_plenty_lets_dye_fall_off_exponentially():
    # Fixed concentration on blocker that is never spent: c = cosh((L-x)/ell)/cosh(L/ell).
    history = at_fourier([40.0], capacity=1e9, reaction_length=10e-6)
    edges = np.linspace(0, 4, 401)
    exact = np.diff(-np.sinh(4 - edges)) / np.diff(edges) / np.cosh(4)

    assert history.free[0, 0] == pytest.approx(exact, rel=1e-4)
