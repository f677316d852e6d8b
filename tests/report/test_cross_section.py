from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pictures import NAMESPACE, grey, tree, words
from sample_forecast import forecast
from sample_plan import BARRIER_STACK, FILMS_UM, STACK
from sample_shop import BARRIER, BLUE, COARSE, LOW_BLEED, MAROON_TEE, RED, SMOOTH

from laydown.domain.stack import Pass, Role, Stack
from laydown.errors import InvalidInput
from laydown.report.cross_section import cross_section
from laydown.report.cross_section_layers import FIBRE, build_section
from laydown.report.hatches import _TILES, hatch, hatch_names

SNAPSHOTS = Path(__file__).parent / "snapshots"
FRAME = {"left": 17.0, "right": 96.0, "top": 4.0, "bottom": 147.0}
CASES = {
    "six_passes": (STACK, forecast(STACK, FILMS_UM)),
    "barrier": (BARRIER_STACK, forecast(BARRIER_STACK, (18.0, 62.0))),
}


@pytest.mark.parametrize("name", CASES)
def test_the_drawing_is_as_it_was(name):
    stack, predicted = CASES[name]
    stored = SNAPSHOTS / f"cross_section_{name}.svg"

    assert cross_section(stack, predicted, MAROON_TEE) == stored.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", CASES)
def test_every_film_is_as_thick_as_the_scale_says(name):
    stack, predicted = CASES[name]
    section = build_section(stack, predicted, **FRAME)

    for layer, film in zip(section.layers, predicted.passes, strict=True):
        heights = [low - high for (_, low), (_, high) in zip(layer.lower, layer.upper, strict=True)]
        if not layer.beside:
            assert np.mean(heights[:-1]) == pytest.approx(film.film.p50 * section.scale, rel=1e-6)
        assert min(heights) > 0


def test_the_cloths_waves_have_the_roughness_that_the_film_varies_by():
    """Whole film over whole width: its local thickness has the forecast mean and coefficient of variation."""
    stack = Stack(passes=(Pass(role=Role.WHITE, ink=LOW_BLEED, screen=COARSE),))
    section = build_section(stack, forecast(stack, (60.0,), variation=0.18), **FRAME)
    layer = section.layers[0]
    heights = np.array([low - high for (_, low), (_, high) in zip(layer.lower, layer.upper, strict=True)][:-1])

    assert heights.std() / (60e-6 * section.scale) == pytest.approx(0.18, rel=1e-6)
    assert np.ptp([y for _, y in layer.upper]) == pytest.approx(0, abs=1e-6)


def test_fibres_are_to_scale_lie_under_the_film_and_never_overlap():
    stack, predicted = CASES["six_passes"]
    section = build_section(stack, predicted, **FRAME)
    radii = [r for _, _, r in section.fibres]

    assert max(radii) <= FIBRE * section.scale / 2
    assert min(radii) >= 0.8 * FIBRE * section.scale / 2
    for (x, y, r), (x0, y0, r0) in combinations(section.fibres, 2):
        assert math.hypot(x - x0, y - y0) >= r + r0
    surface = dict(section.surface)
    for x, y, r in section.fibres:
        nearest = min(surface, key=lambda place, x=x: abs(place - x))
        if FRAME["left"] < x < FRAME["right"]:
            assert y - r >= surface[nearest] - 1.0


def test_colours_stand_side_by_side_and_fill_the_width():
    stack, predicted = CASES["six_passes"]
    beside = [layer for layer in build_section(stack, predicted, **FRAME).layers if layer.beside]

    assert [layer.number for layer in beside] == [3, 4, 5, 6]
    assert beside[0].lower[0][0] == pytest.approx(FRAME["left"])
    assert beside[-1].lower[-1][0] == pytest.approx(FRAME["right"])
    for a, b in pairwise(beside):
        assert a.lower[-1][0] == pytest.approx(b.lower[0][0])
    widths = [layer.lower[-1][0] - layer.lower[0][0] for layer in beside]
    assert widths == sorted(widths, reverse=True)


def test_the_scale_bar_is_as_long_as_it_says():
    stack, predicted = CASES["six_passes"]
    svg = cross_section(stack, predicted, MAROON_TEE)
    section = build_section(stack, predicted, left=17.0, right=0.47 * 204, top=4.0, bottom=147.0)
    low, high = map(float, re.search(r"M10\.00 ([\d.]+)V([\d.]+)", svg).groups())
    said = next(float(text.removesuffix(" µm")) for text in words(svg) if re.fullmatch(r"\d+ µm", text))

    assert (low - high) / section.scale == pytest.approx(said * 1e-6, rel=1e-3)


def test_names_thickness_and_the_cloth_are_told():
    stack, predicted = CASES["six_passes"]
    told = " ".join(words(cross_section(stack, predicted, MAROON_TEE, height=180)))

    assert "1 · 46 µm underbase, 2 hits General low-bleed white" in told
    assert "2 · smoothing pass" in told
    assert "4 · 14 µm colour Signal red + 10 % Stretch additive" in told
    assert "cloth 50 % cotton, 50 % polyester, jersey" in told


def test_the_description_tells_the_stack_from_the_cloth_up():
    stack, predicted = CASES["barrier"]
    description = tree(cross_section(stack, predicted, MAROON_TEE)).find(f"{NAMESPACE}desc").text

    assert description == (
        "Films above 50 % cotton, 50 % polyester cloth, from the cloth up: "
        "pass 1, barrier, Graphite barrier base, 18 µm; pass 2, white, Polyester white, 62 µm."
    )


def test_a_forecast_for_another_stack_is_refused():
    with pytest.raises(InvalidInput, match="2 passes, the stack has 6"):
        cross_section(STACK, forecast(BARRIER_STACK, (18.0, 62.0)), MAROON_TEE)


def test_a_forecast_may_count_the_smoothing_pass_too():
    stack, predicted = CASES["six_passes"]
    films = predicted.passes
    with_smoothing = replace(predicted, passes=(films[0], replace(films[0], label="smoothing"), *films[1:]))

    assert cross_section(stack, with_smoothing, MAROON_TEE) == cross_section(stack, predicted, MAROON_TEE)


def test_names_cannot_break_the_drawing():
    ink = replace(LOW_BLEED, name="</text><script>&\"'\x07 \u202e" + "W" * 40)
    stack = Stack(passes=(Pass(role=Role.WHITE, ink=ink, screen=COARSE),))
    root = tree(cross_section(stack, forecast(stack, (60.0,)), MAROON_TEE))

    assert not list(root.iter(f"{NAMESPACE}script"))


ROLES = st.sampled_from([Role.BARRIER, Role.UNDERBASE, Role.WHITE, Role.COLOUR, Role.HIGHLIGHT, Role.SMOOTHING])


@st.composite
def stacks(draw: st.DrawFn) -> tuple[Stack, tuple[float, ...]]:
    passes = []
    for role in draw(st.lists(ROLES, min_size=1, max_size=9)):
        name = draw(st.text(alphabet="aWM -é漢", min_size=1, max_size=40).filter(str.strip))
        ink = None if role is Role.SMOOTHING else replace(LOW_BLEED, name=name)
        coverage = draw(st.floats(min_value=0, max_value=1))
        passes.append(Pass(role=role, ink=ink, screen=SMOOTH if ink is None else COARSE, coverage=coverage))
    passes.append(Pass(role=Role.COLOUR, ink=RED, screen=COARSE))
    stack = Stack(passes=tuple(passes))
    films = tuple(draw(st.floats(min_value=0, max_value=150)) for _ in stack.inked)
    return stack, films


@settings(max_examples=30, deadline=None)
@given(stacks(), st.floats(min_value=0, max_value=1.5), st.sampled_from([100.0, 150.0, 180.0]))
def test_labels_and_leaders_never_overlap_or_cross(case, variation, height):
    stack, films = case
    svg = cross_section(stack, forecast(stack, films, variation=variation), MAROON_TEE, height=height)
    root = tree(svg)
    side = [t for t in root.iter(f"{NAMESPACE}text") if t.get("text-anchor") == "start"]
    lines = sorted((float(t.get("y")), float(t.get("font-size"))) for t in side)

    assert lines[0][0] - 0.8 * lines[0][1] >= 0
    assert lines[-1][0] + 0.25 * lines[-1][1] <= height
    assert all(b - a >= 0.95 * size for (a, size), (b, _) in pairwise(lines))
    paths = [leader(p.get("d")) for p in root.iter(f"{NAMESPACE}path") if p.get("stroke-width") == "0.45"]
    assert not any(crosses(a, b) for a, b in combinations(paths, 2))


def leader(path: str) -> list[tuple[float, float]]:
    """Corners of a leader line, from the drawing to the name."""
    points: list[tuple[float, float]] = []
    for command, numbers in re.findall(r"([MLHV])([-\d. ]+)", path):
        values = [float(v) for v in numbers.split()]
        x, y = points[-1] if points else (0.0, 0.0)
        points.append({"H": (values[0], y), "V": (x, values[0])}.get(command) or (values[0], values[1]))
    return points


def crosses(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> bool:
    return any(proper_crossing(a, b, c, d) for a, b in pairwise(one) for c, d in pairwise(other))


def proper_crossing(a, b, c, d) -> bool:
    def side(p, q, r) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < -1e-6 and side(c, d, a) * side(c, d, b) < -1e-6


def test_the_hatches_differ_in_grey_on_light_and_dark_ink():
    """Each pattern on its ground, rasterised to grey: no two look alike, none vanishes."""
    for ground in ("#f4f4ef", "#12305e"):
        pictures = {}
        for name in _TILES:
            svg = (
                '<svg xmlns="http://www.w3.org/2000/svg" width="30" height="30" viewBox="0 0 30 30">'
                f'<defs>{hatch("h", name, ground)}</defs><rect width="30" height="30" fill="{ground}"/>'
                '<rect width="30" height="30" fill="url(#h)"/></svg>'
            )
            pictures[name] = grey(svg)
        for name, picture in pictures.items():
            assert picture.std() > 8, name
        for (_, one), (_, other) in combinations(pictures.items(), 2):
            assert np.abs(np.abs(np.fft.rfft2(one)) - np.abs(np.fft.rfft2(other))).mean() > 40


def test_layers_that_touch_never_share_a_hatch():
    names = hatch_names(STACK.passes)

    assert len(set(names[2:])) == 4
    assert names[0] not in names[2:]


def test_barrier_and_white_are_told_apart_in_grey_even_in_one_colour():
    stack = replace(BARRIER_STACK, passes=tuple(replace(p, ink=replace(BARRIER)) for p in BARRIER_STACK.passes))
    predicted = forecast(stack, (40.0, 40.0))
    picture = grey(cross_section(stack, predicted, MAROON_TEE), scale=4)
    section = build_section(stack, predicted, left=17.0, right=0.47 * 204, top=4.0, bottom=147.0)
    patches = []
    for layer in section.layers:
        x, y, _ = layer.middle
        patches.append(picture[int(4 * y) - 20 : int(4 * y) + 20, int(4 * (x + 8)) : int(4 * (x + 18))])

    assert all(patch.std() > 8 for patch in patches)
    assert abs(patches[0].mean() - patches[1].mean()) > 10


def test_a_dark_garment_and_a_colour_alone_can_be_drawn():
    stack = Stack(passes=(Pass(role=Role.COLOUR, ink=BLUE, screen=COARSE),))
    svg = cross_section(
        stack, forecast(stack, (0.0,)), replace(MAROON_TEE, colour=replace(MAROON_TEE.colour, srgb="#000000"))
    )

    assert "1 · 0 µm colour" in words(svg)
