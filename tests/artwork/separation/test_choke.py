"""Discs on packed bits against an independent distance transform, and the choke of white."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.ndimage import distance_transform_edt

from laydown.artwork.choke import choke, choke_pixels, choke_width, printed_area
from laydown.artwork.choke_discs import area_from, grown, inner_part, shrunk
from laydown.artwork.plate import StoredTone
from laydown.errors import InvalidInput

MASKS = arrays(np.uint8, st.tuples(st.integers(1, 30), st.integers(1, 150)), elements=st.integers(0, 1))
RADII = st.one_of(st.floats(0, 12), st.sampled_from([1.0, 2**0.5, 2.0, 5**0.5, 5.0]))


def distance(mask):
    """Distance of each set pixel's centre to the nearest one that is not set; outside the picture none is."""
    return distance_transform_edt(np.pad(mask, 1))[1:-1, 1:-1]


@given(mask=MASKS)
def test_bits_hold_the_pixels(mask):
    area = area_from(mask)
    assert (area.pixels() == mask).all()
    assert area.size() == mask.sum()
    assert (area.rest().pixels() == (mask == 0)).all()


@given(mask=MASKS, radius=RADII)
@settings(deadline=None)
def test_growing_is_the_exact_distance_to_the_area(mask, radius):
    apart = distance_transform_edt(mask == 0) if mask.any() else np.full(mask.shape, np.inf)
    assert (grown(area_from(mask), radius).pixels() == (apart <= radius + 1e-9)).all()


@given(mask=MASKS, radius=RADII)
@settings(deadline=None)
def test_shrinking_is_the_exact_distance_to_what_is_open(mask, radius):
    assert (shrunk(area_from(mask), radius).pixels() == (distance(mask) > radius + 1e-9)).all()


@pytest.mark.interpreted
@pytest.mark.parametrize("columns", [3, 64, 65, 128])
@pytest.mark.parametrize("radius", [2, 4, 9, 30])
def test_a_disc_that_the_edge_of_the_picture_cuts_has_no_gap(columns, radius):
    for at in (0, columns - 1):
        mask = np.zeros((1, columns), dtype=np.uint8)
        mask[0, at] = 1
        assert (grown(area_from(mask), radius).pixels() == (distance_transform_edt(mask == 0) <= radius)).all()


@pytest.mark.interpreted
def test_a_disc_crosses_the_words_it_is_packed_in():
    mask = np.zeros((9, 140), dtype=np.uint8)
    mask[4, 63] = mask[4, 128] = 1
    found = grown(area_from(mask), 3).pixels()
    assert (found == (distance_transform_edt(mask == 0) <= 3)).all()


def test_a_radius_larger_than_a_word_is_exact():
    mask = np.zeros((3, 700), dtype=np.uint8)
    mask[1, 350] = 1
    assert (grown(area_from(mask), 200).pixels() == (distance_transform_edt(mask == 0) <= 200)).all()


def test_a_radius_that_is_not_followed_is_refused():
    with pytest.raises(InvalidInput, match="allowed is 0 to"):
        grown(area_from(np.ones((3, 3), dtype=np.uint8)), 1e4)


def test_the_inner_part_leaves_the_border_out():
    area = area_from(np.ones((6, 70), dtype=np.uint8))
    assert inner_part(area, 2).size() == 2 * 66
    assert inner_part(area, 3).size() == 0
    assert inner_part(area, 0).size() == 6 * 70


def test_white_below_a_wide_area_ends_one_choke_inside_its_edge():
    mask = np.zeros((60, 80), dtype=np.uint8)
    mask[5:55, 10:70] = 1
    found = choke(area_from(mask), width=3e-4, pixel=1e-4)
    # Edges lie half a pixel from the centre of the last printed pixel.
    assert (found.kept.pixels() == (distance(mask) - 0.5 >= 3)).all()
    assert found.thin == 0
    assert found.taken == pytest.approx(1 - 44 * 54 / (50 * 60))


@given(
    centre=st.tuples(st.floats(60, 70), st.floats(60, 70)),
    radius=st.floats(25, 50),
    width=st.sampled_from([1.0, 2.5, 4.2]),
)
@settings(deadline=None, max_examples=30)
def test_a_round_area_loses_a_ring_as_wide_as_the_choke(centre, radius, width):
    y, x = np.mgrid[:130, :130]
    mask = (np.hypot(x - centre[0], y - centre[1]) < radius).astype(np.uint8)
    found = choke(area_from(mask), width=width * 1e-4, pixel=1e-4)
    assert (found.kept.pixels() == (distance(mask) - 0.5 >= width)).all()


@pytest.mark.parametrize("wide", [1, 2, 3, 4, 6, 8, 11])
def test_a_line_too_narrow_for_the_choke_keeps_white_below_half_of_it(wide):
    mask = np.zeros((50, 120), dtype=np.uint8)
    mask[20 : 20 + wide, 10:110] = 1
    found = choke(area_from(mask), width=4e-4, pixel=1e-4)
    across = found.kept.pixels()[:, 60].sum()
    assert across >= wide / 2
    assert found.thin == pytest.approx(1.0)
    assert "register these screens with care" in found.notes()[0]


@given(mask=MASKS, width=st.floats(0.5, 6))
@settings(deadline=None, max_examples=50)
def test_white_is_only_ever_taken_away(mask, width):
    found = choke(area_from(mask), width=width * 1e-4, pixel=1e-4)
    assert found.kept.without(area_from(mask)).size() == 0
    assert 0 <= found.taken <= 1


def test_no_choke_keeps_everything():
    area = area_from(np.ones((5, 5), dtype=np.uint8))
    assert choke(area, width=0, pixel=1e-4).kept.size() == 25


@pytest.mark.parametrize("covered", [0, 40, 100, 130, 200, 255])
def test_an_edge_pixel_is_printed_when_half_of_it_is(covered):
    tones = np.zeros((9, 20), dtype=np.uint8)
    tones[:, 6:] = 255
    tones[:, 5] = covered
    assert printed_area(StoredTone(values=tones)).pixels()[4].sum() == 14 + (covered >= 128)


def test_light_tones_far_from_open_cloth_count_as_printed():
    tones = np.tile(np.linspace(0, 60, 200).astype(np.uint8), (5, 1))
    printed = printed_area(StoredTone(values=tones)).pixels()[2]
    # All but what is open and the pixel beside it.
    assert printed.sum() == (tones[2] >= 6).sum() - 1


def test_a_choke_is_the_registration_but_never_less_than_a_pixel():
    assert choke_width(0.3e-3, pixel=0.1e-3) == pytest.approx(0.3e-3)
    assert choke_width(0.02e-3, pixel=0.1e-3) == pytest.approx(0.1e-3)
    assert choke_width(0.0, pixel=0.1e-3) == 0
    assert choke_width(0.3e-3, pixel=0.1e-3, finest=0.2e-3) == pytest.approx(0.35e-3)
    assert choke_pixels(0.3e-3, 0.1e-3) == pytest.approx(3)
    with pytest.raises(InvalidInput, match="allowed are"):
        choke_pixels(0.3e-3, 1e-6)
