"""Promises of plates broken into dots."""

import numpy as np
import pytest

from artwork.halftone.plates import DEVICE, plate, unpacked
from laydown import units
from laydown.artwork.halftone import DotShape, Halftone, device_shape, halftone_rows
from laydown.artwork.halftone_thresholds import thresholds

PER_CENT = np.arange(1, 100)
SCREENS = [(45.0, 22.5), (55.0, 0.0), (55.0, 22.5), (65.0, 45.0), (85.0, 75.0), (100.0, 15.0)]


def halftone(lpi=55.0, degree=22.5, shape=DotShape.ELLIPTICAL):
    return Halftone(ruling=units.from_per_inch(lpi), angle=units.from_degree(degree), shape=shape)


def bits(one, screening, *, resolution=DEVICE, **more):
    rows = halftone_rows(one, screening, resolution=resolution, **more)
    return unpacked(rows, device_shape(one, resolution)[1])


@pytest.mark.parametrize("shape", DotShape)
@pytest.mark.parametrize(("lpi", "degree"), SCREENS)
def test_every_per_cent_covers_its_area_within_a_fortieth_of_a_per_cent(shape, lpi, degree):
    """Over a whole tile, which is where the mean is meant; the promise is half a per cent."""
    screen = thresholds(halftone(lpi, degree, shape), DEVICE)
    ranks = screen.ranks[:, : screen.period]
    covered = [np.count_nonzero(ranks < np.rint(p / 100 * screen.levels)) / ranks.size for p in PER_CENT]

    assert np.abs(np.asarray(covered) - PER_CENT / 100).max() <= 0.5 / 2048 + 1e-12


@pytest.mark.parametrize("shape", DotShape)
def test_a_printed_patch_of_every_per_cent_covers_its_area_within_half_a_per_cent(shape):
    """Through the whole path, on a patch of an inch."""
    share = np.append(0.0, PER_CENT / 100)
    table = np.zeros(256)
    table[:100] = share
    for index in PER_CENT:
        inked = bits(plate(np.full((300, 300), index)), halftone(shape=shape), shares=table).mean()
        assert abs(inked - share[index]) <= 0.005
