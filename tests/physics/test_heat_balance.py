"""Energy and water are kept, whatever the stack and its surroundings; and the limits that reason demands."""

from __future__ import annotations

import numpy as np
import pytest
from heat_cases import dryer, flash
from hypothesis import given, settings
from hypothesis import strategies as st

from laydown.physics import heat_kernel, moisture
from laydown.physics.heat import Stages, simulate_heat


def still(duration, **given):
    rows = dict.fromkeys(Stages.__slots__, 0.0)
    rows |= {f"{side}_{kind}_temperature": 300.0 for side in ("top", "bottom") for kind in ("radiant", "air")}
    return Stages(**(rows | {"duration": duration} | given))


def wild(seed, cells, stages, wet):
    """Anything from foil to foam, from frost to furnace."""
    rng = np.random.default_rng(seed)

    def decades(low, high, size):
        return 10 ** rng.uniform(np.log10(low), np.log10(high), size)

    critical = decades(1e-4, 1e-2, cells) * (rng.random(cells) < 0.7) * wet
    rows = {
        f"{side}_{name}": values
        for side in ("top", "bottom")
        for name, values in (
            ("radiant_temperature", rng.uniform(280, 1100, stages)),
            ("exchange_factor", rng.uniform(0, 1, stages)),
            ("air_temperature", rng.uniform(280, 500, stages)),
            ("heat_transfer_coefficient", decades(0.1, 1000, stages) * (rng.random(stages) < 0.8)),
            ("vapour_factor", rng.uniform(0, 1, stages)),
        )
    }
    duration = decades(0.05, 100, stages)
    return {
        "cell_thickness": decades(1e-6, 2e-3, cells),
        "conductivity": decades(0.03, 30, cells),
        "heat_capacity": decades(1e5, 4e6, cells),
        "contact_resistance": decades(1e-6, 1e-1, max(cells - 1, 1))[: cells - 1] if cells > 1 else 0.0,
        "water": critical * rng.uniform(0, 3, cells),
        "critical_water": critical,
        "initial_temperature": rng.uniform(280, 400, cells),
        "stages": Stages(duration=duration, vapour_pressure=rng.uniform(0, 5000, stages), **rows),
        "output_times": np.linspace(0, duration.sum(), 7),
    }


@settings(deadline=None, max_examples=150)
@given(st.integers(0, 2**32), st.integers(1, 14), st.integers(1, 4), st.booleans())
def test_energy_and_water_balance_close_and_water_is_never_negative(seed, cells, stages, wet):
    history = simulate_heat(**wild(seed, cells, stages, wet))

    assert history.energy_residual().max() <= 1e-9
    assert history.water_residual().max() <= 1e-9
    assert history.water.min() >= 0


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 2**32), st.sampled_from([1e-4, 3.0, 30.0]))
def test_balances_close_at_any_tolerance(seed, tolerance):
    history = simulate_heat(**wild(seed, 6, 3, wet=True), tolerance=tolerance)

    assert max(history.energy_residual().max(), history.water_residual().max()) <= 1e-9
    assert history.water.min() >= 0


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 2**32), st.integers(1, 14))
def test_dry_temperatures_stay_between_the_coldest_and_the_hottest_that_there_is(seed, cells):
    case = wild(seed, cells, 2, wet=False)
    history = simulate_heat(**case)
    around = [
        np.asarray(getattr(case["stages"], f"{side}_{kind}_temperature"))
        for side in ("top", "bottom")
        for kind in ("radiant", "air")
    ]
    limits = np.concatenate([*around, case["initial_temperature"]])

    # An implicit step of high order may overshoot by its own error, not by more.
    assert history.temperature.min() >= limits.min() - 0.1
    assert history.temperature.max() <= limits.max() + 0.1


@pytest.mark.interpreted
def test_balances_close_with_the_compiler_off_too():
    # Free water that dries out, a bath of steam that wets again, a flash, contact and a face in vacuum.
    case = {
        "cell_thickness": [1e-3, 2e-4, 2e-4, 5e-5],
        "conductivity": [0.2, 0.06, 0.06, 0.17],
        "heat_capacity": [1.8e6, 5e5, 5e5, 1.9e6],
        "contact_resistance": [1e-3, 0.0, 0.0],
        "water": [0.0, 0.004, 0.002, 0.0],
        "critical_water": [0.0, 0.003, 0.003, 0.0],
        "initial_temperature": 300.0,
        "stages": still(
            [2.0, 1.0, 200.0],
            top_radiant_temperature=[900.0, 300.0, 500.0],
            top_exchange_factor=[0.5, 0.2, 0.3],
            top_air_temperature=[330.0, 350.0, 450.0],
            top_heat_transfer_coefficient=[10.0, 0.0, 60.0],
            bottom_heat_transfer_coefficient=[100.0, 8.0, 40.0],
            bottom_air_temperature=[310.0, 310.0, 450.0],
            top_vapour_factor=[0.5, 0.0, 1.0],
            bottom_vapour_factor=[0.0, 1.0, 1.0],
            vapour_pressure=[1500.0, 90000.0, 0.0],
        ),
        "output_times": [0.0, 1.0, 2.0, 3.0, 203.0],
    }
    history = simulate_heat(**case)

    assert history.energy_residual().max() <= 1e-9
    assert history.water_residual().max() <= 1e-9
    assert history.water[0, 3] > history.water[0, 2]
    assert 0 <= history.water[0, -1] < 1e-6
    assert np.all(history.temperature[0, 0] == 300.0)
    assert history.bottom_surface_temperature[0, -1] > 400


def test_bone_dry_air_takes_the_last_water_and_not_more():
    # Without vapour in the air the water falls to zero itself: the place where a step may take too much.
    case = dryer(32, seed=4)
    rows = {name: getattr(case["stages"], name) for name in Stages.__slots__}
    rows |= {
        "vapour_pressure": 0.0,
        "top_vapour_factor": 1.0,
        "bottom_vapour_factor": 1.0,
        "duration": np.array([5.0, 100, 100, 500, 100]),
    }
    case |= {"stages": Stages(**rows), "output_times": np.linspace(0, 805, 30)}
    history = simulate_heat(**case, tolerance=1.0)

    assert history.water.min() >= 0
    assert history.water[:, -1].max() < 1e-6 * history.initial_water.max()
    assert history.water_residual().max() <= 1e-9
    assert history.energy_residual().max() <= 1e-9


@pytest.mark.interpreted
def test_without_exchange_nothing_changes():
    case = flash(8, seed=1)
    case |= {"stages": still([50.0]), "output_times": [1.0, 50.0], "initial_temperature": 333.0}
    history = simulate_heat(**case)

    assert np.abs(history.temperature - 333.0).max() < 1e-10
    assert np.abs(history.evaporated_water).max() == 0
    assert np.abs(history.top_heat).max() == np.abs(history.bottom_heat).max() == 0


@pytest.mark.interpreted
def test_without_exchange_unequal_temperatures_settle_at_the_mean_of_the_heat():
    case = flash(8, seed=1, wet=False)
    rng = np.random.default_rng(0)
    start = rng.uniform(290, 400, case["cell_thickness"].shape)
    case |= {"stages": still([1e5]), "output_times": [1e5], "initial_temperature": start}
    history = simulate_heat(**case)
    capacity = case["cell_thickness"] * case["heat_capacity"]
    mean = (capacity * start).sum(axis=1) / capacity.sum(axis=1)

    assert np.abs(history.temperature[:, 0] - mean[:, None]).max() < 1e-6


@pytest.mark.interpreted
def test_after_endless_time_stack_and_water_are_in_balance_with_the_air():
    case = flash(8, seed=1)
    air, humidity = 295.0, 0.4
    around = {
        f"{side}_{what}": value
        for side in ("top", "bottom")
        for what, value in (
            ("radiant_temperature", air),
            ("air_temperature", air),
            ("exchange_factor", 0.3),
            ("heat_transfer_coefficient", 10.0),
            ("vapour_factor", 0.5),
        )
    }
    pressure = moisture.vapour_pressure(air, humidity)
    case |= {"stages": still([1e6], **around, vapour_pressure=pressure), "output_times": [1e6]}
    history = simulate_heat(**case)

    assert np.abs(history.temperature - air).max() < 1e-3
    assert np.abs(history.top_surface_temperature - air).max() < 1e-3
    held = humidity * case["critical_water"].sum(axis=1)
    assert history.water[:, 0] == pytest.approx(held, rel=1e-4)


@pytest.mark.interpreted
def test_steady_flux_falls_on_the_resistances_in_series():
    thickness, k = np.array([2e-3, 5e-4, 1e-4]), np.array([0.2, 0.06, 0.17])
    contact, h_top, h_bottom, hot, cold = np.array([1e-3, 2e-4]), 40.0, 15.0, 450.0, 300.0
    history = simulate_heat(
        cell_thickness=thickness,
        conductivity=k,
        heat_capacity=1e6,
        contact_resistance=contact,
        initial_temperature=300.0,
        stages=still(
            [1e5],
            top_air_temperature=hot,
            top_heat_transfer_coefficient=h_top,
            bottom_air_temperature=cold,
            bottom_heat_transfer_coefficient=h_bottom,
        ),
        output_times=[1e5],
    )
    flux = (hot - cold) / (1 / h_top + 1 / h_bottom + (thickness / k).sum() + contact.sum())

    assert history.top_surface_temperature[0, 0] == pytest.approx(hot - flux / h_top, abs=1e-6)
    assert history.bottom_surface_temperature[0, 0] == pytest.approx(cold + flux / h_bottom, abs=1e-6)
    below, above = history.face_temperature(1)
    assert above[0, 0] - below[0, 0] == pytest.approx(flux * contact[1], abs=1e-6)
    assert history.top_surface_temperature[0, 0] - above[0, 0] == pytest.approx(flux * thickness[2] / k[2], abs=1e-6)


def test_a_sample_has_the_same_answer_alone_and_in_company_to_the_last_bit():
    together = simulate_heat(**dryer(9, seed=8))
    for sample in (0, 5, 8):
        case = dryer(9, seed=8)
        rows = {name: getattr(case["stages"], name) for name in Stages.__slots__}
        rows = {name: v if name == "duration" else np.asarray(v)[sample][None] for name, v in rows.items()}
        alone = simulate_heat(
            **{
                key: value[sample][None] if np.ndim(value) == 2 else value
                for key, value in case.items()
                if key != "stages"
            },
            stages=Stages(**rows),
        )

        assert np.array_equal(alone.temperature[0], together.temperature[sample])
        assert np.array_equal(alone.water[0], together.water[sample])


def test_more_outputs_do_not_change_the_answer_beyond_the_tolerance():
    case = dryer(8, seed=3)
    many = simulate_heat(**case)
    few = simulate_heat(**(case | {"output_times": [45.0, 90.0]}))

    assert np.abs(few.temperature[:, 1] - many.temperature[:, -1]).max() < 0.1
    assert few.steps.max() < many.steps.min()


def test_wet_cloth_stays_cooler_until_it_is_dry():
    wet, dry = simulate_heat(**dryer(16, seed=6)), simulate_heat(**dryer(16, seed=6, wet=False))
    middle = np.searchsorted(wet.times, 20.0)

    assert np.all(wet.temperature[:, middle].mean(axis=1) < dry.temperature[:, middle].mean(axis=1))
    assert np.all(wet.evaporated_water[:, middle] > 0)
    assert np.all(dry.evaporated_water == 0)


@pytest.mark.interpreted
def test_the_solver_and_the_moisture_module_write_the_same_water():
    for temperature in (275.0, 300.0, 360.0, 430.0):
        pressure, slope = heat_kernel.saturation_pressure(temperature)
        near = moisture.saturation_vapour_pressure(np.array([temperature - 1e-3, temperature + 1e-3]))
        assert pressure == pytest.approx(moisture.saturation_vapour_pressure(temperature), rel=1e-13)
        assert slope == pytest.approx(np.diff(near)[0] / 2e-3, rel=1e-6)
    assert heat_kernel.LATENT_HEAT_0C == moisture.LATENT_HEAT_0C
    assert heat_kernel.LATENT_HEAT_SLOPE == moisture.LATENT_HEAT_SLOPE
    assert heat_kernel.WATER_HEAT_CAPACITY == moisture.WATER_HEAT_CAPACITY


@pytest.mark.interpreted
@pytest.mark.parametrize("n", [1, 2, 3, 6, 7])
def test_the_two_ended_factors_solve_what_a_dense_matrix_solves(n):
    rng = np.random.default_rng(n)
    g, diagonal, right = rng.uniform(1, 9, n + 1), rng.uniform(20, 30, n), rng.uniform(-5, 5, n)
    matrix = np.diag(diagonal) - np.diag(g[1:n], 1) - np.diag(g[1:n], -1)
    inverse, multiplier, out = np.empty(n), np.zeros(n), np.empty(n)
    heat_kernel.factorise(g, diagonal, inverse, multiplier)
    heat_kernel.solve(inverse, multiplier, right, out)

    assert out == pytest.approx(np.linalg.solve(matrix, right), rel=1e-12)


@pytest.mark.interpreted
@given(
    st.floats(0, 1),
    st.floats(280, 1400),
    st.floats(0, 500),
    st.floats(250, 600),
    st.floats(1, 1e7),
    st.floats(250, 700),
)
@settings(deadline=None)
def test_face_temperature_balances_its_fluxes(factor, panel, h, air, conductance, cell):
    radiative = 5.670374419e-8 * factor
    stage = np.array([radiative * panel**4 + h * air, radiative, h, 0, 0, 0, 0, 0])
    temperature, flux, slope = heat_kernel.face(stage, 0, conductance, cell)
    _, warmer, _ = heat_kernel.face(stage, 0, conductance, cell + 0.01)

    arriving = radiative * (panel**4 - temperature**4) + h * (air - temperature)
    assert flux == pytest.approx(arriving, rel=1e-9, abs=1e-6)
    assert conductance * (temperature - cell) == pytest.approx(flux, rel=1e-6, abs=1e-8 * conductance)
    assert slope == pytest.approx((warmer - flux) / 0.01, rel=1e-3, abs=1e-4)
