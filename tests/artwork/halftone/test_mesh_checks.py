"""Promises of what is said about a mesh and a plate."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from artwork.halftone.meshes import mesh_of
from artwork.halftone.screens import halftone
from laydown import units
from laydown.artwork.halftone import DotShape, Stochastic
from laydown.artwork.mesh_checks import (
    check_detail,
    check_dots,
    check_moire,
    check_plates,
    check_ruling,
    dot_limits,
    mesh_checks,
)
from laydown.artwork.moire import mesh_beat
from reference_tables import reference_rows


@pytest.mark.parametrize("row", reference_rows("mesh_per_line"), ids=lambda row: row["expected"])
def test_threads_for_each_line_are_the_published_ones(row):
    lines, count = float(row["lines_per_inch"]), float(row["expected"])
    found = check_ruling(mesh_of(count / 2.54, 40), halftone(lines))

    assert found.ok
    assert f"has {float(row['threads_per_line']):.2f} threads" in found.sentence
    assert count / lines == pytest.approx(float(row["threads_per_line"]), abs=float(row["tolerance"]) / lines)


def test_a_mesh_too_coarse_for_the_ruling_is_told_with_both_remedies():
    found = check_ruling(mesh_of(43, 80), halftone(65.0))

    assert not found.ok
    assert "no exact ratio can be predicted" in found.sentence
    assert found.remedy == "Take a mesh of at least 228 threads/in, or a ruling of at most 31.2 lines/in."


def test_the_published_example_of_a_fine_halftone_passes_every_check():
    """315 threads/in of 30 µm for 65 lines/in at 22.5° (Clarke, published)."""
    mesh = mesh_of(units.to_threads_per_cm(units.from_threads_per_inch(315.0)), 30)

    assert all(check.ok and not check.remedy for check in mesh_checks(mesh, halftone(65.0, 22.5)))


def test_the_smallest_dot_is_two_threads_and_an_opening():
    """43/80: 2 · 80 + 152.6 = 312.6 µm; as a disc in a cell of 1/35 in, 14.6 % of area."""
    limits = dot_limits(mesh_of(43, 80), halftone(35.0, shape=DotShape.ROUND))

    assert units.to_micron(limits.dot) == pytest.approx(312.6, abs=0.05)
    assert limits.least == pytest.approx(math.pi / 4 * (0.3126 / 25.4 * 35) ** 2, rel=1e-3)
    assert limits.most == pytest.approx(1 - limits.least)


def test_the_smallest_line_of_a_line_screen_is_the_finest_line():
    """43/80: w + 2 d = 312.6 µm beats 3 d = 240 µm."""
    limits = dot_limits(mesh_of(43, 80), halftone(25.4, shape=DotShape.LINE))

    assert limits.least == pytest.approx(0.3126, abs=1e-4)


def test_scattered_dots_hold_all_tones_or_none():
    mesh = mesh_of(90, 48)
    fits, small = Stochastic(dot=170e-6), Stochastic(dot=100e-6)

    assert (dot_limits(mesh, fits).least, dot_limits(mesh, fits).most) == (0.0, 1.0)
    assert dot_limits(mesh, small).least > dot_limits(mesh, small).most
    assert check_dots(mesh, fits).ok
    assert check_dots(mesh, small).remedy == "Make the dots at least 159 µm wide, or take a finer mesh."
    assert check_ruling(mesh, fits).ok
    assert check_moire(mesh, fits).ok


def test_a_halftone_that_the_mesh_cannot_hold_is_told_with_a_ruling_that_it_can():
    mesh = mesh_of(43, 80)
    found = check_dots(mesh, halftone(55.0))
    lines = float(found.remedy.removesuffix(" lines/in.").rpartition(" ")[2])

    assert not found.ok
    assert check_dots(mesh, halftone(lines)).ok
    assert not check_dots(mesh, halftone(lines + 0.2)).ok
    assert "holds no tone" in check_dots(mesh, halftone(100.0)).sentence
    for shape in (DotShape.ROUND, DotShape.LINE):
        worse = check_dots(mesh, halftone(55.0, shape=shape))
        lines = float(worse.remedy.removesuffix(" lines/in.").rpartition(" ")[2])
        assert check_dots(mesh, halftone(lines, shape=shape)).ok


@given(st.floats(20e-6, 2e-3))
def test_line_and_gap_are_judged_alike_against_the_finest_line(width):
    mesh = mesh_of(61, 64)
    line, gap = check_detail(mesh, finest_line=width, finest_gap=width)
    ok = width >= max(3 * mesh.thread, mesh.opening.value + 2 * mesh.thread)

    assert line.ok == gap.ok == ok
    assert bool(line.remedy) == bool(gap.remedy) == (not ok)
    assert (line.about, gap.about) == ("line", "gap")


def test_nothing_is_said_of_detail_that_a_plate_does_not_have():
    assert check_detail(mesh_of(61, 64), finest_line=None, finest_gap=None) == ()
    assert mesh_checks(mesh_of(61, 64), None) == ()
    (found,) = mesh_checks(mesh_of(61, 64), None, finest_gap=1e-3)
    assert found.sentence == "Mesh 61/64 holds the finest gap of 1 mm: it prints gaps from 0.23 mm on."


@pytest.mark.parametrize(("lpi", "degree"), [(55.0, 45.0), (65.0, 30.0)])
def test_a_visible_beat_comes_with_an_angle_or_ruling_that_is_quieter(lpi, degree):
    mesh = mesh_of(90, 48)
    found = check_moire(mesh, halftone(lpi, degree))
    words = found.remedy.removeprefix("Take ").split(" ")
    better = halftone(float(words[0]), float(words[2].removesuffix("°,")))

    assert not found.ok
    assert mesh_beat(mesh, better).swing < mesh_beat(mesh, halftone(lpi, degree)).swing
    assert ("no visible beat is left" in found.remedy) == check_moire(mesh, better).ok


def test_plates_are_judged_pair_by_pair():
    found = check_plates(
        {
            "red": halftone(55.0, 22.5),
            "blue": halftone(55.0, 22.5),
            "black": halftone(55.0, 52.5),
            "grey": halftone(55.0, 37.5),
            "white": Stochastic(dot=150e-6),
        }
    )

    told = {check.sentence.split(" (")[0].split(" have")[0].removeprefix("The plates "): check.ok for check in found}
    assert told["'red' and 'blue'"]
    assert not told["'red' and 'grey'"]
    assert not told["'black' and 'grey'"]
    assert "'red' and 'black'" not in told
    assert not any("white" in pair for pair in told)
