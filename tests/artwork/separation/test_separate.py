"""Plates of drawn and of graded art: what each case must give by reasoning, and how close the print comes."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from artwork.separation.drawings import (
    BLACK_CLOTH,
    BLUE,
    GREEN,
    INKS,
    RED,
    WHITE_CLOTH,
    YELLOW,
    box,
    disc,
    even,
    layers,
    levels,
    picture,
    shapes,
)
from laydown.artwork.choke import choke_width
from laydown.artwork.picture import Picture
from laydown.artwork.print_colour import print_lab
from laydown.artwork.separate import SeparationOptions, separate
from laydown.artwork.separate_cells import colour_cells, lab_of_srgb
from laydown.artwork.separate_solids import print_flats
from laydown.artwork.separate_solve import difference_metric, solve_tones
from laydown.domain.colour import Colour
from laydown.domain.stack import Role
from laydown.errors import InvalidInput
from laydown.models.colour import lab_of, reflectance
from laydown.physics.ciede2000 import ciede2000

CONDITION = "D65/10"
ALL = tuple(ink.name for ink in INKS)


def tones_of(separation):
    """Tones of each plate by name."""
    return {plate.name: plate.tone() for plate in separation.plates}


def underbase(separation):
    found = [plate.tone() for plate in separation.plates if plate.role is Role.UNDERBASE]
    return found[0] if found else np.zeros((1, 1), dtype=np.uint8)


# --- known cases ---------------------------------------------------------------------------------------------------


@pytest.mark.interpreted
def test_white_art_on_black_is_white_alone_and_exactly_the_art():
    art = shapes(("#ffffff", disc(0.5, 0.5, 0.3)), side=40)
    found = separate(art, layers("Red", "Yellow"))
    assert [plate.role for plate in found.plates] == [Role.UNDERBASE]
    assert (found.plates[0].tone() == art.pixels[..., 3]).all()


def test_art_of_the_cloths_colour_is_left_open():
    assert separate(even(BLACK_CLOTH), layers(*ALL)).plates == ()


def test_a_printer_may_refuse_to_leave_the_cloth_open():
    found = separate(even(BLACK_CLOTH), layers(*ALL), options=SeparationOptions(open_cloth=False))
    assert {plate.name for plate in found.plates} == {"Black"}
    assert (found.plates[0].tone() == 255).all()


def test_transparent_stays_cloth_whatever_colour_it_hides():
    art = picture(np.full((9, 9, 3), levels(RED)), np.zeros((9, 9)))
    assert separate(art, layers("Red")).plates == ()


@pytest.mark.parametrize(("srgb", "name"), [(YELLOW, "Yellow"), (RED, "Red")])
def test_a_bright_ink_on_black_has_full_white_below(srgb, name):
    tones = tones_of(separate(even(srgb), layers(*ALL)))
    assert set(tones) == {"underbase", name}
    assert (tones["underbase"] == 255).all()
    assert (tones[name] == 255).all()


@pytest.mark.parametrize(("srgb", "name"), [(YELLOW, "Yellow"), (RED, "Red"), (GREEN, "Green"), ("#1d1d1f", "Black")])
def test_on_white_cloth_no_ink_has_white_below(srgb, name):
    tones = tones_of(separate(even(srgb), layers(*ALL, cloth_srgb=WHITE_CLOTH)))
    assert set(tones) == {name}
    assert (tones[name] == 255).all()


def test_an_opaque_dark_ink_needs_less_white_than_a_bright_one():
    white_below = {
        name: underbase(separate(even(srgb), layers(*ALL))).mean()
        for name, srgb in (("Navy", "#1b2340"), ("Blue", BLUE), ("Yellow", YELLOW))
    }
    assert white_below["Navy"] < 0.5 * white_below["Yellow"]
    assert white_below["Navy"] < white_below["Blue"] <= white_below["Yellow"]


@pytest.mark.parametrize("srgb", [YELLOW, RED, "#ffffff"])
def test_darker_cloth_never_needs_less_white(srgb):
    needed = [
        underbase(separate(even(srgb), layers(*ALL, cloth_srgb=f"#{v:02x}{v:02x}{v:02x}"))).mean()
        for v in (250, 215, 180, 145, 110, 75, 40, 15)
    ]
    assert all(lighter <= darker + 2 for lighter, darker in pairwise(needed))
    assert needed[0] == 0
    assert needed[-1] == 255


def test_darker_cloth_never_needs_less_white_in_a_gradation():
    ramp = picture(np.linspace(levels(RED), levels(YELLOW), 200)[None].repeat(20, axis=0))
    needed = [
        underbase(separate(ramp, layers("Yellow", "Red", cloth_srgb=f"#{v:02x}{v:02x}{v:02x}"))).mean()
        for v in (230, 150, 80, 20)
    ]
    assert all(lighter <= darker + 3 for lighter, darker in pairwise(needed))


def test_a_grey_ramp_on_black_is_white_that_grows_with_the_art():
    ramp = picture(np.tile(np.arange(256)[None, :, None], (24, 1, 3)))
    tones = underbase(separate(ramp, layers("Red")))[5].astype(int)
    assert (np.diff(tones) >= 0).all()
    assert tones[0] == 0
    assert tones[-1] == 255
    assert len(np.unique(tones)) > 40


def test_a_highlight_is_laid_only_where_white_needs_it():
    art = shapes(("#ffffff", box(0.1, 0.1, 0.5, 0.9)), (RED, box(0.5, 0.1, 0.9, 0.9)))
    tones = tones_of(separate(art, layers("Red", highlight=True)))
    assert (tones["highlight white"] > 0).sum() == (tones["underbase"] > 0).sum() - (tones["Red"] > 0).sum()


def test_a_barrier_prints_whatever_the_white_prints():
    from dataclasses import replace

    from laydown.artwork.print_colour import ink_film
    from small_shop import barrier

    with_barrier = replace(layers("Red"), barrier=ink_film(barrier(), 20e-6))
    art = shapes((RED, disc(0.5, 0.5, 0.3)), ("#ffffff", disc(0.5, 0.5, 0.1)))
    found = separate(art, with_barrier, options=SeparationOptions(choke=2e-3))
    assert [plate.role for plate in found.plates] == [Role.BARRIER, Role.UNDERBASE, Role.COLOUR]
    assert (found.plates[0].tone() == found.plates[1].tone()).all()


# --- drawn art -----------------------------------------------------------------------------------------------------


def test_areas_of_drawn_shapes_match_their_geometry_within_a_five_hundredth():
    art = shapes(
        (RED, disc(0.32, 0.35, 0.25)), (YELLOW, box(0.6, 0.1, 0.95, 0.5)), ("#ffffff", disc(0.6, 0.75, 0.2)), side=300
    )
    tones = tones_of(separate(art, layers(*ALL)))
    expected = {"Red": np.pi * 0.25**2, "Yellow": 0.35 * 0.4}
    assert set(tones) == {"underbase", *expected}
    for name, area in expected.items():
        assert tones[name].mean() / 255 == pytest.approx(area, rel=2e-3)
    assert tones["underbase"].mean() / 255 == pytest.approx(sum(expected.values()) + np.pi * 0.2**2, rel=2e-3)


@pytest.mark.parametrize("ground", [None, BLACK_CLOTH])
def test_drawn_art_is_printed_solid_and_its_edges_by_area(ground):
    shape = disc(0.5, 0.5, 0.3)
    art = shapes((RED, shape), ground=ground)
    covered = shapes((RED, shape)).pixels[..., 3]
    tones = tones_of(separate(art, layers(*ALL)))
    assert set(tones) == {"underbase", "Red"}
    assert (tones["Red"][covered == 255] == 255).all()
    assert ((tones["Red"] == 0) == (covered == 0)).all()
    # What cannot be told from the flat colour counts as it.
    assert np.abs(tones["Red"].astype(int) - covered).max() <= 20
    assert tones["Red"].mean() == pytest.approx(covered.mean(), rel=2e-3)


@pytest.mark.interpreted
def test_between_two_inks_no_third_ink_and_no_gap_is_printed():
    # Half red and half white is pink: the pink ink's own colour.
    from artwork.separation.drawings import cloth_spectrum, ink
    from laydown.artwork.print_colour import print_layers
    from small_shop import colour, white

    pink = colour("Pink", "#e08890", 0.6)
    print_ = print_layers(cloth_spectrum(BLACK_CLOTH), white=white(), colours=(pink, ink("Red")), variation=0.25)
    art = shapes((RED, box(0.0, 0.0, 1.0, 1.0)), ("#ffffff", disc(0.5, 0.5, 0.3)), ("#e08890", box(0.0, 0.0, 0.1, 1.0)))
    tones = tones_of(separate(art, print_))
    # What is the pink's own colour prints pink, what only looks like it at an edge does not.
    assert (tones["Pink"][:, :11] == 255).all()
    assert (tones["Pink"][:, 16:] == 0).all()
    assert (tones["underbase"] == 255).all()


def test_edge_colours_of_drawn_art_bring_no_plate():
    art = shapes((RED, disc(0.4, 0.5, 0.3)), (YELLOW, disc(0.7, 0.5, 0.25)), ("#ffffff", disc(0.5, 0.3, 0.15)))
    assert set(tones_of(separate(art, layers(*ALL)))) == {"underbase", "Red", "Yellow"}


def test_what_a_lossy_file_leaves_around_a_flat_colour_prints_solid():
    import io

    from PIL import Image

    clean = shapes((RED, disc(0.5, 0.5, 0.3)), ground="#ffffff", side=200)
    stored = io.BytesIO()
    Image.fromarray(clean.pixels[..., :3]).save(stored, "JPEG", quality=85)
    tones = tones_of(separate(picture(np.array(Image.open(stored))), layers("Red", "Yellow")))
    assert set(tones) == {"underbase", "Red"}
    assert (tones["Red"] == 255).mean() == pytest.approx(np.pi * 0.3**2, abs=0.03)
    assert (tones["Red"] == 0).mean() == pytest.approx(1 - np.pi * 0.3**2, abs=0.03)


@given(
    corner=st.tuples(st.floats(0.05, 0.5), st.floats(0.05, 0.5)),
    size=st.floats(0.3, 0.45),
    pair=st.lists(st.sampled_from([RED, YELLOW, BLUE, GREEN, "#ffffff"]), min_size=2, max_size=2, unique=True),
    ground=st.sampled_from([None, BLACK_CLOTH]),
)
@settings(max_examples=30, deadline=None)
def test_every_pixel_that_should_have_ink_has_it_and_no_other(corner, size, pair, ground):
    x, y = corner
    drawn = ((pair[0], box(x, y, x + size, y + size)), (pair[1], disc(x + size / 2, y + size / 2, size / 3)))
    found = separate(shapes(*drawn, side=60, ground=ground), layers(*ALL))
    covered = shapes(*drawn, side=60).pixels[..., 3]
    inked = np.sum([plate.tone().astype(int) for plate in found.plates], axis=0)
    # Between two inks the pixel is shared out between them.
    assert (inked[covered == 255] >= 254).all()
    assert (inked[covered == 0] == 0).all()
    assert (inked[covered > 30] > 0).all()


def test_white_is_choked_under_colours_and_not_where_it_shows():
    art = shapes((RED, disc(0.3, 0.5, 0.2)), ("#ffffff", disc(0.75, 0.5, 0.2)), side=400)
    whole = underbase(separate(art, layers("Red")))
    width = choke_width(1e-3, pixel=art.pixel)
    choked = underbase(separate(art, layers("Red"), options=SeparationOptions(choke=width)))
    radius = 0.2 - width / art.width
    assert choked[:, :200].mean() / 255 == pytest.approx(2 * np.pi * radius**2, rel=0.01)
    assert (choked[:, 200:] == whole[:, 200:]).all()


@pytest.mark.interpreted
def test_white_is_not_choked_between_two_colours_that_lie_on_it():
    art = shapes((RED, box(0.1, 0.1, 0.5, 0.9)), (YELLOW, box(0.5, 0.1, 0.9, 0.9)))
    choked = underbase(separate(art, layers("Red", "Yellow"), options=SeparationOptions(choke=3e-3)))
    assert (choked[60, 16:104] == 255).all()
    assert (choked[60, 12:15] == 0).all()


# --- graded art ----------------------------------------------------------------------------------------------------


def test_a_gradation_within_reach_prints_within_one_unit():
    ends = print_lab(np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 1.0]]), layers("Yellow", "Red"))
    steps = np.linspace(0.03, 0.97, 60)[:, None]
    reachable = print_lab(np.hstack([steps, 0 * steps, steps]), layers("Yellow", "Red"))
    assert np.linalg.norm(ends[1] - ends[0]) > 40
    found = print_lab(solve_tones(reachable, layers("Yellow", "Red")).tones, layers("Yellow", "Red"))
    assert ciede2000(found, reachable).max() < 1.0


@given(tones=st.tuples(*[st.floats(0.05, 0.95)] * 3))
@settings(max_examples=60, deadline=None)
def test_whatever_two_inks_and_white_can_print_is_found(tones):
    print_ = layers("Yellow", "Blue")
    asked = print_lab(np.array(tones), print_)
    found = solve_tones(asked[None], print_, least=0.0)
    assert ciede2000(print_lab(found.tones[0], print_), asked) < 1.0


@pytest.mark.interpreted
def test_a_colour_of_three_inks_is_found_again_from_a_neighbour():
    print_ = layers("Yellow", "Red", "Blue", highlight=True)
    asked = print_lab(np.array([[0.6, 0.5, 0.4, 0.3, 0.0], [0.62, 0.5, 0.4, 0.28, 0.0]]), print_)
    known = solve_tones(asked[:1], print_, least=0.0)
    near = solve_tones(asked[1:], print_, parent=np.zeros(1, dtype=np.int64), parent_tones=known.tones, least=0.0)
    assert ciede2000(print_lab(known.tones[0], print_), asked[0]) < 1.0
    assert ciede2000(print_lab(near.tones[0], print_), asked[1]) < 1.0
    assert ((near.tones > 0) <= (known.tones > 0))[:, 1:-1].all()


def test_no_ink_is_laid_for_a_difference_that_is_not_there():
    cloth = print_lab(np.zeros(2), layers("Red"))
    assert (solve_tones(cloth[None], layers("Red")).tones == 0).all()


def test_dots_and_gaps_that_no_screen_holds_are_not_printed():
    lab = lab_of_srgb(np.random.default_rng(4).integers(0, 256, (400, 3)).astype(float), CONDITION)
    tones = solve_tones(lab, layers(*ALL, highlight=True), least=0.05).tones
    assert (((tones == 0) | (tones >= 0.05)) & ((tones == 1) | (tones <= 0.95))).all()


def test_the_linear_metric_is_ciede2000_for_small_differences():
    rng = np.random.default_rng(3)
    lab = np.column_stack([rng.uniform(5, 95, 500), rng.uniform(-60, 60, (500, 2))])
    step = rng.normal(size=(500, 3)) * 1e-3
    linear = np.linalg.norm(np.einsum("nij,nj->ni", difference_metric(lab), step), axis=1)
    assert linear == pytest.approx(ciede2000(lab, lab + step), rel=2e-3)


def test_lab_of_many_colours_is_that_of_their_smoothest_spectra():
    srgb = np.random.default_rng(6).integers(0, 256, (150, 3))
    expected = np.array([lab_of(reflectance(Colour(srgb=f"#{bytes(v).hex()}")), CONDITION) for v in srgb.tolist()])
    off = ciede2000(lab_of_srgb(srgb.astype(float), CONDITION), expected)
    assert off.mean() < 0.15
    assert off.max() < 0.8


@pytest.mark.parametrize("name", ["astronaut", "coffee", "chelsea"])
def test_photographs_put_back_through_the_optics_give_the_art_where_the_inks_reach(name):
    import skimage.data

    art = picture(getattr(skimage.data, name)()[::3, ::3], width=0.3)
    print_ = layers("Yellow", "Red", "Blue", "Green", "Black", highlight=True)
    found = separate(art, print_)
    whole = {role: p.tone() for p in found.plates for role in [(p.role, p.ink)]}
    names = [(Role.UNDERBASE, print_.axes[0].name), *((Role.COLOUR, i.name) for i in print_.colours)]
    names.append((Role.HIGHLIGHT, print_.axes[-1].name))
    empty = np.zeros(art.pixels.shape[:2], dtype=np.uint8)
    tones = np.stack([whole.get(key, empty) for key in names], axis=-1) / 255
    off = ciede2000(
        print_lab(tones, print_).reshape(-1, 3),
        lab_of_srgb(art.pixels[..., :3].reshape(-1, 3).astype(float), CONDITION),
    )
    # A colour is within reach when the search without any limit on dots comes within half a unit of it.
    best = solve_tones(found.cells.lab, print_, least=0.0)
    reach = ciede2000(print_lab(best.tones, print_), found.cells.lab) < 0.5
    inside = np.isin(cell_of(art), found.cells.cell[reach])
    assert inside.mean() > 0.2
    assert off[inside].mean() < 1.0
    assert np.percentile(off[inside], 95) < 3.0
    assert found.mean_difference < 5


def cell_of(art: Picture):
    r, g, b = (art.pixels[..., c].reshape(-1).astype(int) >> 2 for c in range(3))
    return r << 12 | g << 6 | b


def test_a_photograph_has_no_flat_colours_but_its_blown_out_areas():
    import skimage.data

    assert colour_cells(picture(skimage.data.chelsea()), condition=CONDITION).flats.size == 0


def test_the_same_picture_gives_the_same_plates():
    import skimage.data

    art = picture(skimage.data.coffee()[::5, ::5])
    first, second = (tones_of(separate(art, layers(*ALL))) for _ in range(2))
    assert first.keys() == second.keys()
    assert all((first[name] == second[name]).all() for name in first)


# --- bands ---------------------------------------------------------------------------------------------------------


@given(cut=st.integers(0, 120))
@settings(max_examples=20, deadline=None)
def test_bands_put_together_are_the_plate(cut):
    art = shapes((RED, disc(0.4, 0.5, 0.3)), (YELLOW, disc(0.7, 0.5, 0.25)))
    for plate in separate(art, layers("Red", "Yellow"), options=SeparationOptions(choke=1e-3)).plates:
        whole = plate.tone()
        parts = np.concatenate([plate.tones.band(0, cut), plate.tones.band(cut, 500)])
        assert (parts == whole).all()


def test_a_band_that_runs_upwards_is_refused():
    plate = separate(even(RED), layers("Red")).plates[0]
    with pytest.raises(InvalidInput, match="runs down the picture"):
        plate.tones.band(5, 3)


def test_a_picture_that_is_wholly_open_has_no_plates():
    found = separate(picture(np.zeros((5, 5, 3)), np.zeros((5, 5))), layers("Red"))
    assert found.plates == ()
    assert found.mean_difference == 0


def test_a_flat_colour_prints_by_the_ink_that_has_its_own_colour():
    own = lab_of(reflectance(Colour(srgb=YELLOW)), CONDITION)
    found = print_flats(own[None], layers(*ALL))
    assert found.asked[0] == pytest.approx(0, abs=0.1)
    assert found.printed[0] > 1
    assert found.tones[0, 1] == 1
