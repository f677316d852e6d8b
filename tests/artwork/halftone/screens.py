"""Screens for the tests of dots."""

from laydown import units
from laydown.artwork.halftone import DotShape, Halftone

SCREENS = [(45.0, 22.5), (55.0, 0.0), (55.0, 22.5), (65.0, 45.0), (85.0, 75.0), (100.0, 15.0), (55.0, -30.0)]


def halftone(lpi=55.0, degree=22.5, shape=DotShape.ELLIPTICAL):
    """By lines per inch and degrees."""
    return Halftone(ruling=units.from_per_inch(lpi), angle=units.from_degree(degree), shape=shape)
