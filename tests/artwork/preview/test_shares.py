"""Shares of plates on each other, by counting squares."""

import numpy as np
import pytest

from laydown.artwork.plate import Plate, StoredTone
from laydown.artwork.shares import plate_shares
from laydown.domain.stack import Role


def plate(role, tone, ink="ink"):
    return Plate(name=ink, role=role, ink=ink, tones=StoredTone(values=tone), width=0.1, height=0.1)


def block(top, left, rows, columns, tone=255):
    values = np.zeros((100, 100), dtype=np.uint8)
    values[top : top + rows, left : left + columns] = tone
    return values


def test_solids_side_by_side_and_over_each_other():
    shares = plate_shares(
        (
            plate(Role.UNDERBASE, block(0, 0, 50, 100), "white"),
            plate(Role.COLOUR, block(0, 0, 50, 40), "red"),
            plate(Role.COLOUR, block(40, 50, 20, 50), "blue"),
        )
    )

    assert shares.inked == pytest.approx(0.5 + 0.1 * 0.5)
    assert shares.white_shows == pytest.approx(0.5 - 0.2 - 0.05)
    assert dict(shares.on_white) == pytest.approx({"red": 1.0, "blue": 0.5})


def test_dots_fall_on_each_other_by_chance():
    half = np.full((100, 100), 51, dtype=np.uint8)
    shares = plate_shares((plate(Role.UNDERBASE, half, "white"), plate(Role.COLOUR, half, "red")))

    assert shares.inked == pytest.approx(1 - 0.8 * 0.8)
    assert shares.white_shows == pytest.approx(0.2 * 0.8)
    assert dict(shares.on_white) == pytest.approx({"red": 0.2})


def test_highlight_white_shows_over_colours():
    shares = plate_shares(
        (
            plate(Role.UNDERBASE, block(0, 0, 100, 100), "white"),
            plate(Role.COLOUR, block(0, 0, 100, 100), "red"),
            plate(Role.HIGHLIGHT, block(0, 0, 10, 100), "white"),
        )
    )

    assert shares.inked == pytest.approx(1.0)
    assert shares.white_shows == pytest.approx(0.1)


def test_no_plate_covers_nothing():
    assert plate_shares(()).inked == 0
