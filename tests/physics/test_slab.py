"""Exact solutions against textbook values, and each against another in the limit that they share."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.physics import slab
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted

WALL = reference_rows("plane_wall")
SOLID = reference_rows("thick_solid")
LUMPED = reference_rows("lumped_heat")


def number(row, name):
    return float(row[name])


@pytest.mark.parametrize("row", WALL, ids=lambda r: f"{r['quantity']} {r['biot']} {r['fourier']}")
def test_plane_wall_meets_the_table(row):
    biot = number(row, "biot")
    root = slab.plane_wall_roots(biot, 1)
    value = {
        "root": lambda: root[0],
        "coefficient": lambda: slab.plane_wall_coefficients(root)[0],
        "centre": lambda: slab.plane_wall_temperature(number(row, "fourier"), biot, 0.0),
        "surface": lambda: slab.plane_wall_temperature(number(row, "fourier"), biot, 1.0),
    }[row["quantity"]]()

    assert abs(value - number(row, "expected")) <= number(row, "tolerance")


@pytest.mark.parametrize("row", SOLID, ids=lambda r: r["quantity"])
def test_thick_solid_meets_the_book(row):
    time, alpha = number(row, "time_s"), number(row, "diffusivity")
    if row["quantity"] == "flux_rise":
        k = number(row, "conductivity")
        value = slab.semi_infinite_flux_rise(
            0.0, time, flux=number(row, "flux"), conductivity=k, heat_capacity=k / alpha
        )
    else:
        start, air = number(row, "start_celsius") + 273.15, number(row, "surroundings_celsius") + 273.15
        if row["quantity"] == "freezing_depth":
            value = slab.semi_infinite_step_depth((start - 273.15) / (start - air), time, alpha)
        else:
            share = slab.semi_infinite_convection(
                0.0,
                time,
                heat_transfer_coefficient=number(row, "heat_transfer_coefficient"),
                conductivity=number(row, "conductivity"),
                diffusivity=alpha,
            )
            value = start + share * (air - start)

    assert abs(value - number(row, "expected")) <= number(row, "tolerance")


@pytest.mark.parametrize("row", LUMPED, ids=lambda r: r["quantity"])
def test_thin_body_meets_the_hand_calculation(row):
    capacity = number(row, "areal_heat_capacity")
    if row["quantity"] == "rate":
        value = number(row, "flux") / capacity
    elif row["quantity"] == "time_constant":
        # After one time constant 1/e of the difference is left.
        value = slab.lumped_time(1.0 + np.e, 2.0, 1.0, areal_heat_capacity=capacity, heat_transfer_coefficient=80.0)
    else:
        start, end, air = (number(row, f"{w}_celsius") + 273.15 for w in ("start", "end", "surroundings"))
        value = slab.lumped_time(start, end, air, areal_heat_capacity=capacity, heat_transfer_coefficient=80.0)
        back = slab.lumped_temperature(value, start, air, areal_heat_capacity=capacity, heat_transfer_coefficient=80.0)
        assert back == pytest.approx(end, abs=1e-9)

    assert abs(value - number(row, "expected")) <= number(row, "tolerance")


@given(st.floats(1e-4, 1e4), st.floats(0.0, 1.0))
def test_series_and_short_time_form_meet_where_one_takes_over(biot, position):
    below, above = slab.plane_wall_temperature([slab.SHORT_TIME * (1 - 1e-12), slab.SHORT_TIME], biot, position)

    assert below == pytest.approx(above, abs=1e-9)


@given(st.floats(1e-3, 1e3), st.floats(0.0, 5.0), st.floats(0.0, 1.0))
def test_wall_cools_from_one_to_zero_and_its_face_leads(biot, fourier, position):
    now = slab.plane_wall_temperature(fourier, biot, position)
    later = slab.plane_wall_temperature(fourier + 0.1, biot, position)
    inside = slab.plane_wall_temperature(fourier, biot, 0.0)

    assert -1e-12 <= later <= now + 1e-12
    assert now <= inside + 1e-12 <= 1 + 2e-12


def test_roots_satisfy_their_equation_one_in_each_branch():
    biot = np.array([1e-4, 0.3, 1.0, 40.0, 1e5])
    roots = slab.plane_wall_roots(biot)

    assert np.abs(roots * np.sin(roots) - biot[:, None] * np.cos(roots)).max() <= 1e-9 * biot.max()
    assert np.all(np.floor(roots / (np.pi / 2)) == 2 * np.arange(slab.SERIES_TERMS))


def test_a_wall_of_tiny_biot_number_is_a_lumped_body():
    biot, fourier = 1e-5, 5e4

    assert slab.plane_wall_temperature(fourier, biot) == pytest.approx(np.exp(-biot * fourier), rel=1e-4)


def test_strong_convection_is_a_step_of_the_surface():
    depth, time, alpha = np.array([0.0, 1e-4, 5e-4]), 3.0, 1e-7
    step = slab.semi_infinite_step(depth, time, alpha)
    strong = slab.semi_infinite_convection(
        depth, time, heat_transfer_coefficient=1e9, conductivity=0.2, diffusivity=alpha
    )

    assert np.abs(strong - step).max() < 1e-5
    assert slab.semi_infinite_step_depth(step[1:], time, alpha) == pytest.approx(depth[1:], rel=1e-9)


def test_weak_convection_is_a_constant_flux():
    depth, time = np.array([0.0, 2e-4]), 4.0
    weak = slab.semi_infinite_convection(
        depth, time, heat_transfer_coefficient=1e-3, conductivity=0.2, diffusivity=1e-7
    )
    flux = slab.semi_infinite_flux_rise(depth, time, flux=1e-3, conductivity=0.2, heat_capacity=2e6)

    assert weak == pytest.approx(flux, rel=1e-4)


PILE = {
    "height": 0.30,
    "conductivity": 0.05,
    "heat_capacity": 1.5e5,
    "heat_transfer_coefficient": 8.0,
    "start": 343.15,
    "surroundings": 295.15,
}


def test_a_pile_of_thirty_centimetres_stays_hot_for_hours():
    hours = slab.pile_centre_temperature(np.array([0.0, 1, 4, 24, 240]) * 3600, **PILE)

    assert hours[0] == pytest.approx(343.15)
    assert np.all(np.diff(hours) <= 0)
    assert hours[2] > 343.15 - 1
    assert hours[-1] < 300


def test_a_pile_is_a_plane_wall_with_its_own_numbers():
    # Bi = 8 x 0.3/0.05 = 48 on the height; Fo = 0.05 x 43200/(1.5e5 x 0.09) = 0.16.
    share = slab.plane_wall_temperature(0.16, 48.0, 0.0)

    assert slab.pile_centre_temperature(43200.0, **PILE) == pytest.approx(295.15 + 48.0 * share)
    assert slab.plane_wall_temperature(0.16, 48.0) == share


def test_a_pile_open_on_both_sides_is_half_a_pile_on_a_table():
    time = np.array([3600.0, 7200.0])
    both = slab.pile_centre_temperature(time, **PILE, open_faces=2)
    half = slab.pile_centre_temperature(time, **(PILE | {"height": 0.15}), open_faces=1)

    assert both == pytest.approx(half, abs=1e-12)
    assert np.all(both < slab.pile_centre_temperature(time, **PILE))


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: slab.plane_wall_roots(0.0), "biot"),
        (lambda: slab.plane_wall_temperature(-1.0, 1.0), "plane_wall"),
        (lambda: slab.plane_wall_temperature(1.0, 1.0, 1.5), "plane_wall"),
        (lambda: slab.semi_infinite_step(0.0, 0.0, 1e-7), "time"),
        (lambda: slab.semi_infinite_step_depth(1.0, 1.0, 1e-7), "share"),
        (lambda: slab.semi_infinite_step(0.0, np.nan, 1e-7), "time"),
        (
            lambda: slab.lumped_time(300, 400, 350, areal_heat_capacity=1, heat_transfer_coefficient=1),
            "end",
        ),
        (lambda: slab.pile_centre_temperature(1.0, **PILE, open_faces=3), "open_faces"),
    ],
)
def test_impossible_arguments_are_refused_by_name(call, where):
    with pytest.raises(InvalidInput, match=where):
        call()


def test_series_and_short_time_form_differ_by_less_than_the_far_face_gives():
    # At the change-over the far half is felt in the middle by 1.5e-12: enough to tell whether it is counted.
    fourier = np.array([slab.SHORT_TIME * (1 - 1e-12), slab.SHORT_TIME])
    below, above = 1 - slab.plane_wall_temperature(fourier, 1e4, 0.0)

    assert above == pytest.approx(3e-12, rel=0.1)
    assert below == pytest.approx(above, abs=3e-13)


def test_a_wall_is_a_thick_solid_long_before_the_middle_feels_anything():
    thin = slab.semi_infinite_convection(0.0, 1e-6, heat_transfer_coefficient=5.0, conductivity=1.0, diffusivity=1.0)

    assert 1 - slab.plane_wall_temperature(1e-6, 5.0, 1.0) == pytest.approx(thin, rel=1e-9)
