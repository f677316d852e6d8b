"""View and exchange factors against published values, integrals, and each other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.physics import radiation as rad
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted

SIDES = st.floats(0.05, 5.0)


@pytest.mark.parametrize("row", reference_rows("emissive_power"), ids=lambda r: r["celsius"])
def test_black_surfaces_send_out_the_stated_power(row):
    power = rad.blackbody_emissive_power(float(row["celsius"]) + 273.15) / 1e3

    assert abs(power - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.parametrize("row", reference_rows("view_factor"), ids=lambda r: r["place"])
def test_aligned_rectangles_meet_the_published_view_factors(row):
    factor = rad.view_factor_aligned_rectangles(float(row["width"]), float(row["length"]), float(row["distance"]))

    assert abs(factor - float(row["expected"])) <= float(row["tolerance"])


@given(SIDES, SIDES, SIDES)
def test_the_general_rectangle_formula_contains_the_aligned_one(width, length, distance):
    aligned = rad.view_factor_aligned_rectangles(width, length, distance)
    general = rad.view_factor_parallel_rectangles(
        x=(0, width), y=(0, length), panel_x=(0, width), panel_y=(0, length), distance=distance
    )

    assert general == pytest.approx(aligned, abs=1e-9)
    assert 0 < aligned < 1


def test_offset_rectangles_meet_the_double_area_integral():
    x, y, panel_x, panel_y, distance = (0.0, 0.4), (0.1, 0.6), (0.3, 1.0), (-0.2, 0.5), 0.25
    nodes, weights = np.polynomial.legendre.leggauss(24)

    def points(low, high):
        return low + (high - low) * (nodes + 1) / 2, weights * (high - low) / 2

    (a, wa), (b, wb), (c, wc), (d, wd) = points(*x), points(*y), points(*panel_x), points(*panel_y)
    square = (
        (a[:, None, None, None] - c[None, None, :, None]) ** 2
        + (b[None, :, None, None] - d[None, None, None, :]) ** 2
        + distance**2
    )
    integral = np.einsum("i,j,k,l,ijkl->", wa, wb, wc, wd, distance**2 / (np.pi * square**2))

    factor = rad.view_factor_parallel_rectangles(x=x, y=y, panel_x=panel_x, panel_y=panel_y, distance=distance)
    assert factor == pytest.approx(integral / (0.4 * 0.5), rel=1e-8)


@given(SIDES, SIDES, SIDES, st.floats(-2, 2), st.floats(0.1, 2))
def test_view_factors_are_reciprocal(width, length, distance, shift, size):
    here = {"x": (0.0, width), "y": (0.0, length)}
    there = {"x": (shift, shift + size), "y": (-shift, size - shift)}
    forth = rad.view_factor_parallel_rectangles(**here, panel_x=there["x"], panel_y=there["y"], distance=distance)
    back = rad.view_factor_parallel_rectangles(**there, panel_x=here["x"], panel_y=here["y"], distance=distance)

    assert forth * width * length == pytest.approx(back * size * size, rel=1e-6, abs=1e-10)


def test_a_spot_is_the_limit_of_a_small_rectangle_and_sees_half_from_below_the_edge():
    side = 1e-4
    small = rad.view_factor_parallel_rectangles(
        x=(-side, side), y=(-side, side), panel_x=(-0.3, 0.6), panel_y=(-0.2, 0.4), distance=0.2
    )
    spot = rad.view_factor_spot_to_rectangle(panel_x=(-0.3, 0.6), panel_y=(-0.2, 0.4), distance=0.2)
    centre = rad.view_factor_spot_to_rectangle(panel_x=(-9, 9), panel_y=(-9, 9), distance=0.1)
    edge = rad.view_factor_spot_to_rectangle(panel_x=(0, 18), panel_y=(-9, 9), distance=0.1)

    assert small == pytest.approx(spot, rel=1e-5)
    assert centre == pytest.approx(1, abs=1e-3)
    assert edge == pytest.approx(0.5, abs=1e-3)
    assert rad.view_factor_spot_to_rectangle(
        panel_x=(0.3, 0.6), panel_y=(-0.2, 0.4), distance=0.2
    ) + rad.view_factor_spot_to_rectangle(panel_x=(-0.3, 0.3), panel_y=(-0.2, 0.4), distance=0.2) == pytest.approx(
        spot, abs=1e-12
    )


def test_exchange_factor_has_its_textbook_limits():
    assert rad.exchange_factor_parallel_plates(0.9, 0.8) == pytest.approx(1 / (1 / 0.9 + 1 / 0.8 - 1))
    assert rad.exchange_factor_parallel_plates(1.0, 0.8, 0.3) == pytest.approx(0.24)
    assert rad.exchange_factor_parallel_plates(0.9, 0.8, 0.0) == 0


@given(st.floats(0.05, 1), st.floats(0.05, 1), st.floats(0.01, 1))
def test_exchange_factor_is_the_balance_of_radiosities(e1, e2, view):
    # Black body power 1 on plate 2, nothing on plate 1 and in the surroundings; what plate 1 absorbs.
    matrix = np.array([[1.0, -(1 - e1) * view], [-(1 - e2) * view, 1.0]])
    _, radiosity_2 = np.linalg.solve(matrix, [0.0, e2])

    assert rad.exchange_factor_parallel_plates(e1, e2, view) == pytest.approx(e1 * view * radiosity_2)


@given(st.floats(250, 1000), st.floats(250, 1000), st.floats(0.01, 1), st.floats(0, 1), st.floats(250, 600))
def test_combined_surroundings_exchange_what_the_single_ones_do(t1, t2, f1, f2, face):
    temperature, factor = rad.combined_radiant_temperature(np.array([t1, t2]), np.array([f1, f2]))

    single = f1 * (t1**4 - face**4) + f2 * (t2**4 - face**4)
    assert factor * (temperature**4 - face**4) == pytest.approx(single, abs=1e-3)


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: rad.view_factor_aligned_rectangles(0, 1, 1), "width"),
        (
            lambda: rad.view_factor_parallel_rectangles(x=(1, 0), y=(0, 1), panel_x=(0, 1), panel_y=(0, 1), distance=1),
            "x: ",
        ),
        (lambda: rad.view_factor_spot_to_rectangle(panel_x=(0, 1), panel_y=(0, 1), distance=0), "distance"),
        (lambda: rad.exchange_factor_parallel_plates(0.0, 0.5), "emissivity"),
        (lambda: rad.exchange_factor_parallel_plates(0.5, 1.5), "emissivity"),
        (lambda: rad.exchange_factor_parallel_plates(1.5, 0.5), "emissivity"),
        (lambda: rad.exchange_factor_parallel_plates(0.5, 0.5, 1.5), "view_factor"),
        (
            lambda: rad.combined_radiant_temperature(np.array([300.0]), np.array([0.0])),
            "exchange_factor",
        ),
    ],
)
def test_impossible_arguments_are_refused_by_name(call, where):
    with pytest.raises(InvalidInput, match=where):
        call()


def test_each_face_has_its_own_surroundings():
    # Two faces, two sources each: one sees both halves, the other the second source only.
    temperature, factor = rad.combined_radiant_temperature(
        np.array([[300.0, 600.0], [300.0, 600.0]]), np.array([[0.2, 0.2], [0.0, 0.3]])
    )

    assert factor == pytest.approx([0.4, 0.3])
    assert temperature == pytest.approx([((300.0**4 + 600.0**4) / 2) ** 0.25, 600.0])
