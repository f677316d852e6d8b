"""Promises of the beats, against a transform of threads and dots that were drawn."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from artwork.halftone.meshes import mesh_of
from artwork.halftone.screens import halftone
from laydown import units
from laydown.artwork.halftone import DotShape
from laydown.artwork.moire import (
    SHORTEST_SEEN,
    SLIGHTEST_SEEN,
    dot_waves,
    mesh_beat,
    mesh_waves,
    plates_beat,
    quiet_angle,
    quiet_ruling,
)

PIXEL = 12e-6
EDGE = 2000


def drawn(mesh, lpi, degree, tone):
    """A thread grid times round dots, drawn, less its mean; shares of what the bare mesh lets through."""
    place = (np.arange(EDGE) + 0.5) * PIXEL
    # Averages over a pixel keep the threads' edges where they belong.
    fine = (np.arange(8 * EDGE) + 0.5) * PIXEL / 8
    open_ = ((fine * mesh.count) % 1 < mesh.opening.value * mesh.count).reshape(EDGE, 8).mean(axis=1)
    spot = (place[None, :] + 1j * place[:, None]) * np.exp(-1j * np.radians(degree)) * units.from_per_inch(lpi)
    u, v = spot.real % 1 - 0.5, spot.imag % 1 - 0.5
    dots = u**2 + v**2 < tone / np.pi
    product = open_[:, None] * open_[None, :] * dots / (mesh.opening.value * mesh.count) ** 2
    return product - product.mean()


def strongest_long_wave(product):
    """Vector of the highest bin among the waves that are long enough to be seen [1/m]."""
    window = np.hanning(EDGE)
    spectrum = np.abs(np.fft.rfft2(product * window[:, None] * window[None, :]))
    down, across = np.meshgrid(np.fft.fftfreq(EDGE, PIXEL), np.fft.rfftfreq(EDGE, PIXEL), indexing="ij")
    spectrum[np.hypot(down, across) > 1 / SHORTEST_SEEN] = 0
    y, x = np.unravel_index(np.argmax(spectrum), spectrum.shape)
    return complex(across[y, x], down[y, x])


def swing_at(product, wave):
    """Amplitude of one wave, by its own Fourier sum."""
    place, window = (np.arange(EDGE) + 0.5) * PIXEL, np.hanning(EDGE)
    across, down = (window * np.exp(-2j * np.pi * part * place) for part in (wave.real, wave.imag))
    return 2 * abs(down @ product @ across) / window.sum() ** 2


@pytest.mark.parametrize(
    ("lpi", "degree", "number"), [(55.0, 45.0, abs(3 + 3j)), (60.0, 0.0, 4), (55.0, 15.0, abs(4 + 1j))]
)
def test_a_drawn_beat_has_the_period_and_swing_that_are_told(lpi, degree, number):
    """Period within a bin of the transform, swing within 8 %, at the tone where that wave of a disc is largest."""
    from scipy.special import j1

    tones = np.linspace(0.05, 0.7, 400)
    radius = np.sqrt(tones / np.pi)
    tone = tones[np.argmax(np.abs(radius * j1(2 * np.pi * radius * number)))]
    mesh = mesh_of(90, 48)
    product = drawn(mesh, lpi, degree, tone)
    vectors, swings = mesh_waves(mesh, halftone(lpi, degree, DotShape.ROUND))
    long_ = np.abs(vectors) < 1 / SHORTEST_SEEN
    told = vectors[long_][np.isclose(swings[long_], swings[long_].max(), rtol=0.05)]
    wave = strongest_long_wave(product)

    assert np.minimum(np.abs(told - wave), np.abs(told + wave)).min() < 1 / (EDGE * PIXEL)
    assert max(swing_at(product, one) for one in told) == pytest.approx(swings[long_].max(), rel=0.08)


def test_waves_of_round_dots_are_those_of_a_disc():
    """R J1(2 π R) at the first wave, largest over the tones; J1 from scipy."""
    from scipy.special import j1

    radius = np.sqrt(np.linspace(0.05, 0.75, 200) / np.pi)

    assert dot_waves(DotShape.ROUND, 1)[1, 2] == pytest.approx((radius * j1(2 * np.pi * radius)).max(), rel=0.02)


def test_lines_have_no_waves_along_themselves():
    """But for the row of pixels that a tone fills in part."""
    waves = dot_waves(DotShape.LINE, 2)

    assert np.abs(waves[:, [0, 1, 3, 4]]).max() < 0.005
    # A line of half the pitch: 1/π.
    assert waves[1, 2] == pytest.approx(1 / np.pi, rel=1e-3)


@given(st.floats(20.0, 80.0), st.floats(0.0, 90.0))
def test_a_beat_that_is_told_is_long_enough_and_any_other_swing_is_nought(lpi, degree):
    beat = mesh_beat(mesh_of(90, 48), halftone(lpi, degree))

    assert beat.swing >= 0
    assert beat.period >= SHORTEST_SEEN * (1 - 1e-9)
    assert beat.seen == (beat.swing > SLIGHTEST_SEEN)


@given(st.floats(30.0, 80.0), st.floats(-90.0, 90.0))
def test_a_quarter_turn_changes_nothing_for_round_dots(lpi, degree):
    mesh = mesh_of(77, 55)
    one, other = (mesh_beat(mesh, halftone(lpi, angle, DotShape.SQUARE)) for angle in (degree, degree + 90))

    assert one.swing == pytest.approx(other.swing, abs=1e-6)


def test_what_is_proposed_is_quieter_and_no_farther_than_needed():
    mesh = mesh_of(90, 48)
    for degree in (0.0, 10.0, 22.5, 45.0, 70.0):
        asked = halftone(55.0, degree)
        found, beat = quiet_angle(mesh, asked)
        assert found.ruling == asked.ruling
        assert beat == mesh_beat(mesh, found)
        assert not beat.seen
        turned = abs((found.angle - asked.angle + np.pi / 4) % (np.pi / 2) - np.pi / 4)
        for nearer in np.arange(0, 0.99 * turned, units.from_degree(0.5)):
            angle = round(2 * units.to_degree(asked.angle + nearer)) / 2
            assert mesh_beat(mesh, halftone(55.0, angle)).seen


def test_a_quiet_angle_needs_no_other_ruling():
    mesh = mesh_of(90, 48)
    asked = halftone(55.0, 45.0)

    assert quiet_ruling(mesh, asked) == quiet_angle(mesh, asked)


def test_where_no_angle_is_quiet_a_ruling_nearby_is_looked_for():
    mesh = mesh_of(43, 80)
    asked = halftone(65.0, 22.5, DotShape.LINE)
    turned, ruled = quiet_angle(mesh, asked)[1], quiet_ruling(mesh, asked)

    assert ruled[1].swing <= turned.swing
    assert 0.8 <= ruled[0].ruling / asked.ruling <= 1.2


@pytest.mark.parametrize("degree", [5.0, 10.0, 15.0])
def test_two_equal_rulings_beat_by_the_chord_of_their_angle(degree):
    """|f1 - f2| = 2 L sin(Δ/2)."""
    beat = plates_beat(halftone(55.0, 10.0), halftone(55.0, 10.0 + degree))

    assert beat.period == pytest.approx(1 / (2 * units.from_per_inch(55.0) * np.sin(np.radians(degree) / 2)))
    assert beat.seen


def test_plates_in_step_and_plates_thirty_degrees_apart_do_not_beat():
    in_step = plates_beat(halftone(55.0, 22.5), halftone(55.0, 22.5 + 90))
    apart = plates_beat(halftone(55.0, 22.5), halftone(55.0, 52.5))

    assert (in_step.period, in_step.swing) == (np.inf, 0.0)
    assert not apart.seen
