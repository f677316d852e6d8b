"""Plates in figures, against shapes whose geometry is known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from artwork.separation.drawings import box, disc, plate
from laydown.artwork.choke_discs import area_from
from laydown.artwork.measure import edge_pixels, inked_share, measure_plate
from laydown.domain.stack import Role
from laydown.errors import InvalidInput

PIXEL = 1e-4


def drawn(*insides, side=400, finer=4, smooth=True):
    """Tones of a union of shapes on the unit square."""
    n = side * finer
    y, x = (np.mgrid[:n, :n] + 0.5) / n
    covered = np.any([inside(x, y) for inside in insides], axis=0)
    share = covered.reshape(side, finer, side, finer).mean((1, 3))
    return np.rint(255 * share) if smooth else np.where(share >= 0.5, 255, 0)


def line(width, turn, side=400):
    """A line of some pixels' width through the middle, turned by degrees, 0.7 of the side long."""
    u, v = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    # Upright lines of an odd width lie on whole pixels when their middle does on half ones.
    c = 0.5 + (width % 2) / 2 / side
    return lambda x, y: (
        (np.abs((x - c) * v - (y - c) * u) < width / side / 2) & (np.abs((x - c) * u + (y - c) * v) < 0.35)
    )


@pytest.mark.parametrize("smooth", [True, False])
@pytest.mark.parametrize(
    ("inside", "share"),
    [
        (disc(0.5, 0.5, 0.31), np.pi * 0.31**2),
        (box(0.1, 0.2, 0.7, 0.55), 0.6 * 0.35),
        (lambda x, y: np.abs(x - 0.5) + np.abs(y - 0.5) < 0.4, 2 * 0.4**2),
    ],
)
def test_inked_area_is_that_of_the_drawn_shape_within_a_five_hundredth(inside, share, smooth):
    found = measure_plate(plate(drawn(inside, smooth=smooth), pixel=PIXEL))
    assert found.coverage == pytest.approx(share, rel=2e-3)
    assert found.solid == pytest.approx(share, rel=2e-3)
    assert found.area == pytest.approx(share * 0.04**2, rel=2e-3)
    assert found.toned == 0


@pytest.mark.parametrize("smooth", [True, False])
@given(turn=st.floats(0, 180))
@settings(max_examples=25, deadline=None)
def test_the_edge_of_a_turned_square_is_right_within_two_percent(smooth, turn):
    u, v = np.cos(np.radians(turn)), np.sin(np.radians(turn))

    def inside(x, y):
        return np.maximum(np.abs((x - 0.5) * u + (y - 0.5) * v), np.abs((y - 0.5) * u - (x - 0.5) * v)) < 0.3

    found = measure_plate(plate(drawn(inside, side=300, finer=2, smooth=smooth), pixel=PIXEL))
    assert found.edge_length == pytest.approx(4 * 0.6 * 0.03, rel=0.02)


def test_the_edge_of_a_circle_is_unbiased():
    found = measure_plate(plate(drawn(disc(0.5, 0.5, 0.35)), pixel=PIXEL))
    assert found.edge_length == pytest.approx(2 * np.pi * 0.35 * 0.04, rel=2e-3)


@pytest.mark.interpreted
def test_an_upright_edge_is_measured_short_by_the_stated_share():
    mask = np.zeros((120, 80), dtype=np.uint8)
    nothing = area_from(mask)
    lengths = []
    for bottom in (60, 110):
        mask[10:bottom, 20:60] = 1
        lengths.append(edge_pixels(area_from(mask), nothing))
    assert lengths[1] - lengths[0] == pytest.approx(2 * 50 * (1 - 0.0138), rel=1e-3)


@pytest.mark.parametrize("turn", [0, 20, 45, 70, 90])
@pytest.mark.parametrize("width", [2, 3, 4, 6, 9, 13])
def test_the_finest_line_is_found_within_a_pixel_beside_wide_areas(width, turn):
    tones = drawn(line(width, turn), box(0.0, 0.0, 0.2, 0.2), smooth=False)
    found = measure_plate(plate(tones, pixel=PIXEL))
    allowed = 1.0 if width <= 8 else 0.25 * width
    assert found.finest_line == pytest.approx(width * PIXEL, abs=allowed * PIXEL)


@pytest.mark.parametrize("width", [2, 3, 5, 8])
@pytest.mark.parametrize("turn", [0, 30, 90])
def test_the_finest_gap_is_found_within_a_pixel(width, turn):
    tones = 255 - drawn(line(width, turn), smooth=False)
    tones[:8] = tones[-8:] = 0
    found = measure_plate(plate(tones, pixel=PIXEL))
    assert found.finest_gap == pytest.approx(width * PIXEL, abs=PIXEL)


def test_smoothed_edges_are_no_dots():
    found = measure_plate(plate(drawn(disc(0.5, 0.5, 0.3), finer=8), pixel=PIXEL))
    assert found.toned == 0
    assert found.solid == pytest.approx(found.coverage)


def test_stray_pixels_do_not_make_the_detail_fine():
    tones = drawn(disc(0.5, 0.5, 0.35))
    clean = measure_plate(plate(tones, pixel=PIXEL))
    rng = np.random.default_rng(5)
    for y, x in rng.integers(0, 400, (30, 2)):
        tones[y, x] = 255 - tones[y, x]
    found = measure_plate(plate(tones, pixel=PIXEL))
    assert found.finest_line == pytest.approx(clean.finest_line)
    assert clean.finest_gap is None
    assert found.finest_gap is None


def test_a_gradation_is_dots_without_fine_detail():
    tones = np.tile(np.linspace(0, 255, 500), (300, 1))
    found = measure_plate(plate(tones, pixel=PIXEL))
    assert found.coverage == pytest.approx(0.5, abs=2e-3)
    assert found.toned == pytest.approx((250 - 6) / 255, abs=0.01)
    assert found.finest_gap is None
    assert found.finest_line > 0.01


def test_an_even_tone_is_counted_by_its_dots():
    found = measure_plate(plate(np.full((60, 90), 51), pixel=PIXEL))
    assert found.coverage == pytest.approx(0.2)
    assert found.toned == pytest.approx(1.0)
    assert found.solid == pytest.approx(0.0, abs=1e-12)
    assert found.edge_length == 0


@pytest.mark.interpreted
def test_a_small_plate_of_lines_and_dots():
    tones = np.zeros((40, 150))
    tones[5:35, 10:13] = 255
    tones[5:35, 40:60] = 255
    tones[5:35, 90:130] = 100
    found = measure_plate(plate(tones, pixel=PIXEL))
    assert found.coverage == pytest.approx(30 * (23 + 40 * 100 / 255) / 6000)
    assert found.solid == pytest.approx(30 * 23 / 6000)
    assert found.toned == pytest.approx(30 * 40 / 6000)
    assert found.finest_line == pytest.approx(3 * PIXEL, abs=PIXEL / 2)


def test_an_empty_plate_has_no_detail():
    found = measure_plate(plate(np.zeros((40, 40)), pixel=PIXEL))
    assert (found.coverage, found.area, found.edge_length) == (0, 0, 0)
    assert found.finest_line is None
    assert found.finest_gap is None


@given(turns=st.integers(1, 3))
def test_measures_do_not_depend_on_how_the_plate_lies(turns):
    tones = drawn(line(5, 0), disc(0.25, 0.2, 0.15), side=200)
    first, turned = (measure_plate(plate(t, pixel=PIXEL)) for t in (tones, np.rot90(tones, turns)))
    assert turned.coverage == pytest.approx(first.coverage)
    assert turned.edge_length == pytest.approx(first.edge_length)
    assert turned.finest_line == pytest.approx(first.finest_line, rel=0.02)


def test_the_inked_share_is_that_of_the_union():
    left, right = np.zeros((10, 20)), np.zeros((10, 20))
    left[:, :8], right[:, 4:12] = 255, 255
    both = (plate(left), plate(right))
    assert inked_share(both) == pytest.approx(0.6)
    assert inked_share((plate(left, role=Role.UNDERBASE), plate(left))) == pytest.approx(0.4)
    assert inked_share((plate(left, role=Role.BARRIER), plate(right))) == pytest.approx(0.4)
    assert inked_share(()) == 0


def test_dots_of_two_colours_overlap_by_chance():
    half = plate(np.full((4, 4), 127.5))
    assert inked_share((half, half)) == pytest.approx(1 - (1 - 127 / 255) ** 2, abs=1e-6)


def test_plates_of_two_sizes_are_refused():
    with pytest.raises(InvalidInput, match="has not the size"):
        inked_share((plate(np.zeros((4, 4))), plate(np.zeros((4, 5)))))
