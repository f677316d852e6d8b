"""Promises of the tile of ranks that a screen is made from."""

import numpy as np
import pytest

from artwork.halftone.plates import DEVICE
from artwork.halftone.screens import SCREENS, halftone
from laydown import units
from laydown.artwork.halftone import DotShape, Stochastic
from laydown.artwork.halftone_blue_noise import blue_noise
from laydown.artwork.halftone_blue_noise_kernel import void_and_cluster
from laydown.artwork.halftone_thresholds import LEAST_LEVELS, MOST_LEVELS, thresholds
from laydown.errors import InvalidInput

PER_CENT = np.arange(1, 100)


def rank_at(screen, x, y):
    high = screen.ranks.shape[0]
    return screen.ranks[y % high, (x + screen.slant * (y // high)) % screen.period].astype(int)


@pytest.mark.parametrize("shape", DotShape)
@pytest.mark.parametrize(("lpi", "degree"), SCREENS)
def test_each_rank_stands_once_in_a_tile(shape, lpi, degree):
    """So every per cent is met within half a pixel of a tile: 0.025 % of area, where half a per cent is promised."""
    screen = thresholds(halftone(lpi, degree, shape), DEVICE)
    ranks = screen.ranks[:, : screen.period]
    covered = [np.count_nonzero(ranks < np.rint(p / 100 * screen.levels)) / ranks.size for p in PER_CENT]

    np.testing.assert_array_equal(np.sort(ranks.ravel()), np.arange(screen.levels))
    assert LEAST_LEVELS <= screen.levels <= MOST_LEVELS
    assert np.abs(np.asarray(covered) - PER_CENT / 100).max() <= 0.5 / LEAST_LEVELS


@pytest.mark.parametrize("shape", DotShape)
@pytest.mark.parametrize(("lpi", "degree"), SCREENS)
def test_anywhere_on_the_film_ink_grows_in_the_order_of_the_spot_function(shape, lpi, degree):
    """The plane is screened without a seam: evaluated anew at far-off pixels, with the ruling and angle of the tile."""
    screen = thresholds(halftone(lpi, degree, shape), DEVICE)
    rng = np.random.default_rng(3)
    x, y = rng.integers(0, 20_000, (2, 3000))
    angle, pitch = screen.angle, DEVICE / screen.ruling
    east, north = x + 0.5, -(y + 0.5)
    u = (east * np.cos(angle) + north * np.sin(angle)) / pitch
    v = (-east * np.sin(angle) + north * np.cos(angle)) / pitch
    u, v = u - np.floor(u) - 0.5, v - np.floor(v) - 0.5
    value = {
        DotShape.ROUND: -(u**2 + v**2),
        DotShape.LINE: -np.abs(v),
        DotShape.SQUARE: np.cos(2 * np.pi * u) + np.cos(2 * np.pi * v),
        DotShape.ELLIPTICAL: np.cos(2 * np.pi * u) + 0.8 * np.cos(2 * np.pi * v),
    }[shape]
    order = np.argsort(rank_at(screen, x, y), kind="stable")

    assert np.diff(value[order]).max() <= 1e-7


@pytest.mark.parametrize("per_inch", [360.0, 600.0, 720.0, 1200.0, 1440.0, 2400.0])
@pytest.mark.parametrize("degree", [0.0, 22.5, 37.0, 45.0])
def test_ruling_and_angle_are_near_what_was_asked_on_every_device(per_inch, degree):
    """Within 0.3 % and 0.15°."""
    for lpi in (25.0, 45.0, 55.0, 65.0, 90.0):
        screen = thresholds(halftone(lpi, degree), units.from_per_inch(per_inch))
        assert units.to_per_inch(screen.ruling) == pytest.approx(lpi, rel=0.003)
        assert units.to_degree(screen.angle) == pytest.approx(degree, abs=0.15)


def test_neighbouring_dots_differ_by_a_few_pixels_at_most():
    """The tile's dots grow together: no coarse pattern among them."""
    screen = thresholds(halftone(55.0, 0.0, DotShape.SQUARE), DEVICE)
    edge = 144
    tile = rank_at(screen, *np.meshgrid(np.arange(edge), np.arange(edge))) < 0.3 * screen.levels
    cell = np.floor(np.arange(edge) * 55 / 720).astype(int)
    areas = np.zeros((cell[-1] + 1, cell[-1] + 1))
    np.add.at(areas, (cell[:, None], cell[None, :]), tile)

    assert screen.cells == areas.size
    assert areas.max() - areas.min() <= 12
    assert areas.mean() == pytest.approx(0.3 * 144 * 144 / 121, rel=1e-3)


def test_a_ruling_too_fine_for_the_device_is_refused():
    with pytest.raises(InvalidInput, match=r"200 lines/in leaves 3\.6 device pixels for a dot; .* up to 180 lines/in"):
        thresholds(halftone(200.0), DEVICE)


def test_a_ruling_too_coarse_for_a_tile_is_refused():
    with pytest.raises(InvalidInput, match=r"cells of 300 device pixels; .* from 9\.375 lines/in on"):
        thresholds(halftone(8.0), units.from_per_inch(2400.0))


@pytest.mark.parametrize(("micron", "pixels"), [(30.0, 1), (36.0, 2), (150.0, 5), (176.3, 5)])
def test_scattered_dots_are_whole_blocks_of_device_pixels_no_smaller_than_asked(micron, pixels):
    screen = thresholds(Stochastic(dot=units.from_micron(micron)), DEVICE)
    blocks = screen.ranks[:, : screen.period].reshape(128, pixels, 128, pixels)

    assert (blocks == blocks[:, :1, :, :1]).all()
    assert pixels / DEVICE >= units.from_micron(micron) - 1e-12


def test_scattered_dots_have_little_power_in_long_waves():
    """Blue noise: below a quarter of the dots' own frequency less than 5 % of what white noise has."""
    ranks = blue_noise(64)
    for share in (0.1, 0.3, 0.5, 0.8):
        dots = (ranks < share * ranks.size).astype(float)
        power = np.abs(np.fft.fft2(dots - dots.mean())) ** 2 / ranks.size
        frequency = np.hypot(*np.meshgrid(np.fft.fftfreq(64), np.fft.fftfreq(64)))
        slow = power[(frequency > 0) & (frequency < 0.25 * np.sqrt(min(share, 1 - share)))]
        assert slow.mean() <= 0.05 * share * (1 - share)


@pytest.mark.interpreted
def test_void_and_cluster_ranks_every_point_once_and_scatters_the_first_ones():
    edge = 8
    away = np.minimum(np.arange(edge), edge - np.arange(edge))
    weight = np.exp(-(away[:, None] ** 2 + away[None, :] ** 2) / 4.5)
    first = np.zeros((edge, edge), bool)
    first[0, :4] = True
    ranks = void_and_cluster(first, weight)

    assert sorted(ranks.ravel()) == list(range(64))
    placed = np.argwhere(ranks < 4)
    apart = np.abs(placed[:, None] - placed[None, :])
    distance = np.hypot(*np.moveaxis(np.minimum(apart, edge - apart), -1, 0))
    assert distance[~np.eye(4, dtype=bool)].min() >= 3


def test_screens_and_ranks_cannot_be_changed_by_who_reads_them():
    for ranks in (thresholds(halftone(), DEVICE).ranks, blue_noise(64)):
        with pytest.raises(ValueError, match="read-only"):
            ranks[0, 0] = 1
