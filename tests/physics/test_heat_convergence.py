"""Observed orders in space and time, and the total error that the defaults promise."""

from __future__ import annotations

import numpy as np
import pytest
from heat_cases import dryer, flash
from scipy.optimize import brentq

from laydown.physics import heat_grid, slab
from laydown.physics.heat import Stages, simulate_heat


def still(duration, **given):
    rows = dict.fromkeys(Stages.__slots__, 0.0)
    rows |= {f"{side}_{kind}_temperature": 300.0 for side in ("top", "bottom") for kind in ("radiant", "air")}
    return Stages(**(rows | {"duration": [duration]} | given))


def refined(shares, factor):
    return tuple(np.repeat(s / factor, factor) for s in shares)


def test_space_error_against_the_exact_slab_falls_with_the_square_of_the_cell():
    length, k, c, fourier, biot = 1e-3, 0.2, 2e6, 0.4, 1.5
    time = fourier * length**2 * c / k
    errors = []
    for cells in (8, 16, 32, 64):
        history = simulate_heat(
            cell_thickness=np.full(cells, length / cells),
            conductivity=k,
            heat_capacity=c,
            initial_temperature=400.0,
            stages=still(time, top_heat_transfer_coefficient=biot * k / length),
            output_times=[time],
            tolerance=1e-7,
        )
        exact = 300 + 100 * slab.plane_wall_temperature(fourier, biot, (np.arange(cells) + 0.5) / cells)
        surface = 300 + 100 * slab.plane_wall_temperature(fourier, biot, 1.0)
        errors.append(
            [
                np.sqrt(np.mean((history.temperature[0, 0] - exact) ** 2)),
                abs(history.top_surface_temperature[0, 0] - surface),
            ]
        )
    order = np.log2(np.array(errors)[:-1] / np.array(errors)[1:])

    assert order == pytest.approx(2.0, abs=0.1)


def layered_mode(conductivity, heat_capacity, thickness, contact, h):
    """Slowest mode of two layers with contact resistance, bottom insulated, top in air: rate and mean in a span."""
    (k1, k2), (c1, c2), (l1, l2) = conductivity, heat_capacity, thickness

    def shape(rate):
        m1, m2 = np.sqrt(rate * c1 / k1), np.sqrt(rate * c2 / k2)
        value = np.cos(m1 * l1)
        flux = -k1 * m1 * np.sin(m1 * l1)
        # Above: a cos(m2 z) + b sin(m2 z), z from the interface; the jump is the flux times the resistance.
        a, b = value + flux * contact, flux / (k2 * m2)
        return m1, m2, a, b

    def defect(rate):
        _, m2, a, b = shape(rate)
        face = a * np.cos(m2 * l2) + b * np.sin(m2 * l2)
        slope = m2 * (-a * np.sin(m2 * l2) + b * np.cos(m2 * l2))
        return k2 * slope + h * face

    scan = np.linspace(1e-4, 20.0, 20001)
    first = np.argmax(np.array([defect(r) for r in scan]) < 0)
    rate = brentq(defect, scan[first - 1], scan[first], xtol=1e-14, rtol=1e-14)
    m1, m2, a, b = shape(rate)

    def mean(low, high):
        if high <= l1 + 1e-12:
            return (np.sin(m1 * high) - np.sin(m1 * low)) / (m1 * (high - low))
        p, q = low - l1, high - l1
        return (a * (np.sin(m2 * q) - np.sin(m2 * p)) - b * (np.cos(m2 * q) - np.cos(m2 * p))) / (m2 * (q - p))

    return rate, np.vectorize(mean)


@pytest.mark.parametrize("contact", [0.0, 3e-3])
def test_space_error_of_layers_with_contact_resistance_falls_with_the_square_of_the_cell(contact):
    # A cloth below a film: cells of very different size, conductivity and capacity meet.
    k, c, d, h = (0.06, 0.17), (0.45e6, 1.9e6), (0.6e-3, 0.15e-3), 60.0
    rate, mean = layered_mode(k, c, d, contact, h)
    time = 0.7 / rate
    errors = []
    for factor in (1, 2, 4, 8):
        n1, n2 = 5 * factor, 3 * factor
        thickness = np.r_[np.full(n1, d[0] / n1), np.full(n2, d[1] / n2)]
        edges = np.r_[0, np.cumsum(thickness)]
        start = mean(edges[:-1], edges[1:])
        resistance = np.zeros(n1 + n2 - 1)
        resistance[n1 - 1] = contact
        history = simulate_heat(
            cell_thickness=thickness,
            conductivity=np.r_[np.full(n1, k[0]), np.full(n2, k[1])],
            heat_capacity=np.r_[np.full(n1, c[0]), np.full(n2, c[1])],
            contact_resistance=resistance,
            initial_temperature=300 + 100 * start,
            stages=still(time, top_heat_transfer_coefficient=h),
            output_times=[time],
            tolerance=1e-7,
        )
        exact = 300 + 100 * start * np.exp(-rate * time)
        errors.append(np.sqrt(np.average((history.temperature[0, 0] - exact) ** 2, weights=thickness)))
    order = np.log2(np.array(errors)[:-1] / np.array(errors)[1:])

    assert order == pytest.approx(2.0, abs=0.1)


@pytest.mark.parametrize(
    ("make", "shares"),
    [
        (dryer, (np.full(6, 1 / 6), np.full(3, 1 / 3))),
        (flash, (np.full(24, 1 / 24), np.full(8, 1 / 8), np.full(3, 1 / 3))),
    ],
)
def test_everything_together_is_second_order_in_space(make, shares):
    # Radiation, moisture, contact and all: three grids, the finer pair differs by a quarter of the coarser pair.
    film = []
    for factor in (1, 2, 4, 8):
        case = make(6, seed=5, shares=refined(shares, factor))
        case["output_times"] = case["output_times"][11::12]
        history = simulate_heat(**case, tolerance=1e-6)
        film.append(history.temperature[:, :, -3 * factor :].mean(axis=2))
    step = np.linalg.norm(np.diff(np.array(film), axis=0), axis=2)
    order = np.log2(step[:-1] / step[1:])

    assert order[-1] == pytest.approx(2.0, abs=0.1)


def test_time_error_falls_with_the_cube_of_the_step():
    # Few cells, warm surroundings and water; outputs so close, and a tolerance so wide, that they set the step.
    case = {
        "cell_thickness": np.full(3, 2e-4),
        "conductivity": 0.1,
        "heat_capacity": 1e6,
        "water": np.array([0.004, 0.004, 0.0]),
        "critical_water": np.array([0.006, 0.006, 0.0]),
        "initial_temperature": 300.0,
        "stages": still(
            16.0,
            top_radiant_temperature=600.0,
            top_exchange_factor=0.3,
            top_heat_transfer_coefficient=30.0,
            top_air_temperature=400.0,
            top_vapour_factor=1.0,
            vapour_pressure=1000.0,
        ),
    }
    exact = simulate_heat(**case, output_times=[16.0], tolerance=1e-9).temperature[0, -1]
    errors = []
    for steps in (256, 512, 1024):
        history = simulate_heat(**case, output_times=np.linspace(0, 16, steps + 1), tolerance=1e6)
        assert steps <= history.steps[0] <= steps + 4
        errors.append(np.abs(history.temperature[0, -1] - exact).max())
    order = np.log2(np.array(errors)[:-1] / np.array(errors)[1:])

    assert order == pytest.approx(3.0, abs=0.1)


@pytest.mark.parametrize("make", [dryer, flash])
def test_time_error_stays_below_the_tolerance(make):
    case = make(16, seed=9)
    exact = simulate_heat(**case, tolerance=1e-5).temperature
    for tolerance in (0.3, 0.1, 0.01, 1e-3):
        found = simulate_heat(**case, tolerance=tolerance)
        assert np.abs(found.temperature - exact).max() <= tolerance


@pytest.mark.parametrize(
    ("make", "shares"),
    [
        (dryer, (heat_grid.CLOTH_SHARES, heat_grid.FILM_SHARES)),
        (flash, (heat_grid.PALLET_SHARES, heat_grid.CLOTH_SHARES, heat_grid.FILM_SHARES)),
    ],
)
def test_default_grid_and_tolerance_keep_the_film_within_half_a_kelvin(make, shares):
    factor, samples = 8, 48
    coarse = simulate_heat(**make(samples, seed=2, shares=shares))
    fine = simulate_heat(**make(samples, seed=2, shares=refined(shares, factor)), tolerance=1e-3)
    cells, film = coarse.temperature.shape[2], len(shares[-1])
    means = fine.temperature.reshape(samples, -1, cells, factor).mean(axis=3)

    assert np.abs(coarse.temperature - means)[:, :, -film:].max() <= 0.5
    assert np.abs(coarse.top_surface_temperature - fine.top_surface_temperature).max() <= 0.5
    _, interface = coarse.face_temperature(cells - film - 1)
    _, fine_interface = fine.face_temperature((cells - film) * factor - 1)
    assert np.abs(interface - fine_interface).max() <= 0.5
