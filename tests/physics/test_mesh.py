import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown import units
from laydown.errors import OutOfRange
from laydown.physics import mesh
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted

FROM_COUNT = {"threads/cm": units.from_threads_per_cm, "threads/in": units.from_threads_per_inch}


def label(row):
    return f"{row['quantity']} {row['place']}"


def in_named_unit(quantity, *, width, count, thickness_um):
    if quantity == "opening_um":
        return units.to_micron(float(width))
    share = mesh.open_area(width, count)
    if quantity == "open_area_percent":
        return units.to_percent(float(share))
    assert quantity == "volume_cm3_m2"
    return units.to_cm3_per_m2(float(mesh.theoretical_volume(share, units.from_micron(float(thickness_um)))))


@pytest.mark.parametrize("row", reference_rows("mesh_geometry"), ids=label)
def test_count_and_thread_give_the_opening_open_area_and_volume_of_the_sheets(row):
    count = FROM_COUNT[row["count_unit"]](float(row["count"]))
    width = mesh.opening(count, units.from_micron(float(row["thread_um"])))

    value = in_named_unit(row["quantity"], width=width, count=count, thickness_um=row["fabric_thickness_um"])
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", reference_rows("mesh_open_area"), ids=label)
def test_a_stated_opening_gives_the_stated_open_area_and_volume(row):
    count = FROM_COUNT[row["count_unit"]](float(row["count"]))
    width = units.from_micron(float(row["opening_um"]))

    value = in_named_unit(row["quantity"], width=width, count=count, thickness_um=row["fabric_thickness_um"])
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_120_threads_a_centimetre_are_305_an_inch_and_not_205():
    assert units.to_threads_per_inch(units.from_threads_per_cm(120.0)) == pytest.approx(304.8)


def test_225_threads_an_inch_have_a_pitch_of_112_9_micron_and_not_the_111_1_of_90_a_centimetre():
    pitch = mesh.opening(units.from_threads_per_inch(225.0), 1e-9) + 1e-9

    assert units.to_micron(float(pitch)) == pytest.approx(112.9, abs=0.05)


def test_equal_opening_and_thread_leave_a_quarter_open():
    width = mesh.opening(10_000.0, 50e-6)

    assert width == pytest.approx(50e-6)
    assert mesh.open_area(width, 10_000.0) == pytest.approx(0.25)
    assert mesh.theoretical_volume(0.25, 80e-6) == pytest.approx(20e-6)


@given(st.floats(500, 25_000), st.floats(0.01, 0.99), st.floats(1e-5, 1e-3))
def test_geometric_volume_is_the_published_formula_of_opening_and_thread(count, filled, thickness):
    thread = filled / count
    width = mesh.opening(count, thread)

    volume = mesh.theoretical_volume(mesh.open_area(width, count), thickness)
    assert volume == pytest.approx(width**2 * thickness / (width + thread) ** 2, rel=1e-9)
    assert 0 < volume < thickness
    assert mesh.opening_excess(width, count, thread) == pytest.approx(0, abs=1e-18)


def test_a_stated_opening_above_the_geometric_one_shows_as_an_excess():
    assert mesh.opening_excess(160e-6, 4300.0, 80e-6) == pytest.approx(7.4e-6, abs=0.05e-6)


def test_the_finest_line_is_held_by_three_threads_or_by_two_and_an_opening():
    assert mesh.finest_line(30e-6, 40e-6) == pytest.approx(120e-6)
    assert mesh.finest_line(150e-6, 80e-6) == pytest.approx(310e-6)
    assert mesh.finest_dot(150e-6, 80e-6) == pytest.approx(310e-6)
    assert mesh.finest_dot(30e-6, 40e-6) == pytest.approx(110e-6)


def test_23_micron_of_stencil_on_a_43_80_mesh_are_about_a_sixth_of_its_thickness():
    assert mesh.emulsion_over_mesh_share(158e-6, 135e-6) == pytest.approx(23 / 135)
    assert mesh.emulsion_over_mesh_share(135e-6, 135e-6) == 0


def test_whole_tables_are_computed_at_once():
    counts = np.array([4300.0, 12_000.0])

    widths = mesh.opening(counts, np.array([80e-6, 34e-6]))
    assert widths == pytest.approx([1 / 4300 - 80e-6, 1 / 12_000 - 34e-6])
    assert mesh.open_area(widths, counts).shape == (2,)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: mesh.opening(10_000.0, 100e-6), "thread diameter as a share of the pitch = 1"),
        (lambda: mesh.opening(0.0, 50e-6), "mesh count = 0 threads/cm"),
        (lambda: mesh.opening(4300.0, 0.0), "thread diameter = 0 µm"),
        (lambda: mesh.opening(math.nan, 50e-6), "mesh count = nan"),
        (lambda: mesh.opening([4300.0, -1.0], 50e-6), "mesh count = -0.01 threads/cm"),
        (lambda: mesh.open_area(240e-6, 4300.0), "opening as a share of the pitch = 1.032"),
        (lambda: mesh.open_area(0.0, 4300.0), "opening = 0 µm"),
        (lambda: mesh.open_area(1e-4, -1.0), "mesh count = -0.01"),
        (lambda: mesh.theoretical_volume(1.2, 1e-4), "open area = 1.2"),
        (lambda: mesh.theoretical_volume(0.4, -1e-4), "fabric thickness = -100 µm"),
        (lambda: mesh.finest_line(-1e-4, 1e-4), "opening = -100 µm"),
        (lambda: mesh.finest_line(1e-4, -1e-4), "thread diameter = -100 µm"),
        (lambda: mesh.finest_dot(-1e-4, 1e-4), "opening = -100 µm"),
        (lambda: mesh.finest_dot(1e-4, -1e-4), "thread diameter = -100 µm"),
        (lambda: mesh.emulsion_over_mesh_share(100e-6, 135e-6), "stencil height as a share of the mesh's thickness"),
        (lambda: mesh.emulsion_over_mesh_share(100e-6, 0.0), "fabric thickness = 0 µm"),
    ],
)
def test_what_no_mesh_can_be_is_out_of_range_and_says_by_how_much(call, sentence):
    with pytest.raises(OutOfRange, match=sentence) as caught:
        call()

    assert caught.value.model == "mesh geometry"
