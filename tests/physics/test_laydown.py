import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import OutOfRange
from laydown.physics import laydown

pytestmark = pytest.mark.interpreted

thickness = st.floats(0, 300e-6)
share = st.floats(0, 1)


def test_complete_transfer_leaves_the_cells_volume_and_a_third_leaves_a_third():
    assert laydown.wet_laydown(55e-6, 1.0) == pytest.approx(55e-6)
    assert laydown.wet_laydown(55e-6, 1 / 3) == pytest.approx(55e-6 / 3)
    assert laydown.wet_laydown(55e-6, 0.5, 4e-6) == pytest.approx(31.5e-6)


def test_laydown_of_all_samples_comes_at_once():
    assert laydown.wet_laydown(55e-6, np.array([0.0, 1.0])) == pytest.approx([0, 55e-6])


def test_a_solid_gets_nothing_from_the_stencil_and_the_finest_lines_get_its_full_height():
    assert laydown.stencil_share(20e-6, 0.0, 300e-6) == 0
    assert laydown.stencil_share(20e-6, 1e6, 300e-6) == pytest.approx(20e-6, rel=2e-3)


@given(st.floats(10e-6, 20e-3), st.floats(50e-6, 1e-3))
def test_stencil_share_is_the_mean_of_a_height_that_falls_linearly_from_the_edges_of_a_line(width, band):
    across = (np.arange(20_000) + 0.5) / 20_000 * width
    from_edge = np.minimum(across, width - across)
    height = 20e-6 * np.maximum(1 - from_edge / band, 0)

    assert laydown.stencil_share(20e-6, 2 / width, band) == pytest.approx(height.mean(), rel=1e-4)


def test_a_thick_laydown_fills_the_cloth_and_the_rest_stands_on_it():
    taken = laydown.ink_in_cloth([300e-6], [False], 15e-6, 0.1)

    assert taken == pytest.approx([15e-6], rel=1e-6)
    assert laydown.wet_film([300e-6], [False], 15e-6, 0.1) == pytest.approx([285e-6], rel=1e-6)


def test_a_thin_laydown_sinks_in_nearly_whole():
    assert laydown.wet_film([0.15e-6], [False], 15e-6, 0.1)[0] < 0.01 * 0.15e-6


def test_a_smooth_closed_cloth_takes_nothing():
    assert laydown.wet_film([30e-6, 20e-6], [False, True], 0.0, 0.5) == pytest.approx([30e-6, 20e-6])


@given(st.lists(thickness, min_size=1, max_size=4), thickness, share)
def test_hits_wet_on_wet_take_up_what_one_hit_of_all_their_ink_would(hits, fill, reach):
    apart = laydown.ink_in_cloth(hits, [False] * len(hits), fill, reach)
    together = laydown.ink_in_cloth([sum(hits)], [False], fill, reach)

    assert apart.sum() == pytest.approx(together.sum(), rel=1e-9, abs=1e-18)


@given(st.lists(st.tuples(thickness, st.booleans()), min_size=1, max_size=5), thickness, share)
def test_no_ink_is_made_or_lost_and_no_cloth_takes_more_than_it_holds(hits, fill, reach):
    laydowns, gelled = [h for h, _ in hits], [g for _, g in hits]
    taken = laydown.ink_in_cloth(laydowns, gelled, fill, reach)
    film = laydown.wet_film(laydowns, gelled, fill, reach)

    assert (taken >= 0).all()
    assert (film >= 0).all()
    assert taken.sum() <= fill * (1 + 1e-12)
    assert taken + film == pytest.approx(np.array(laydowns), rel=1e-12, abs=1e-19)


@given(st.floats(1e-6, 200e-6), st.floats(1e-6, 200e-6), st.floats(1e-6, 100e-6), st.floats(0, 0.99))
def test_a_hit_on_a_gelled_film_lays_less_into_the_cloth_than_one_on_a_wet_film(first, second, fill, reach):
    on_wet = laydown.ink_in_cloth([first, second], [False, False], fill, reach)
    on_gelled = laydown.ink_in_cloth([first, second], [False, True], fill, reach)

    assert on_gelled[0] == on_wet[0]
    assert on_gelled[1] == pytest.approx(reach * on_wet[1], rel=1e-9)


def test_samples_of_fill_and_reach_run_together():
    fill, reach = np.array([5e-6, 15e-6, 30e-6]), np.array([0.0, 0.2, 0.4])
    film = laydown.wet_film([30e-6, 30e-6], [False, True], fill, reach)

    assert film.shape == (2, 3)
    for sample in range(3):
        alone = laydown.wet_film([30e-6, 30e-6], [False, True], fill[sample], reach[sample])
        assert film[:, sample] == pytest.approx(alone)


def test_a_gel_flag_is_needed_for_each_hit():
    with pytest.raises(ValueError, match="shorter"):
        laydown.ink_in_cloth([1e-6, 1e-6], [False], 1e-6, 0.5)


def test_plastisol_keeps_nearly_all_of_its_film_and_water_based_ink_a_third():
    assert laydown.dry_film(30e-6, 0.98) == pytest.approx(29.4e-6)
    assert laydown.dry_film(30e-6, 0.35) == pytest.approx(10.5e-6)


def test_one_micron_of_ink_of_1300_kg_a_cubic_metre_weighs_1_3_gram_a_square_metre():
    assert laydown.ink_mass(1e-6, 1300.0) == pytest.approx(1.3e-3)


@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda: laydown.wet_laydown(-1e-6, 0.5), "theoretical volume"),
        (lambda: laydown.wet_laydown(float("inf"), 0.5), "theoretical volume"),
        (lambda: laydown.wet_laydown(1e-6, 1.6), "transfer"),
        (lambda: laydown.wet_laydown(1e-6, -0.1), "transfer"),
        (lambda: laydown.wet_laydown(1e-6, 0.5, -1e-6), "stencil share"),
        (lambda: laydown.stencil_share(-1e-6, 1.0, 1e-4), "emulsion over mesh"),
        (lambda: laydown.stencil_share(1e-6, -1.0, 1e-4), "edge length per area"),
        (lambda: laydown.stencil_share(1e-6, 1.0, 0.0), "edge band"),
        (lambda: laydown.ink_in_cloth([-1e-6], [False], 1e-6, 0.5), "wet laydown of a hit"),
        (lambda: laydown.ink_in_cloth([1e-6], [False], -1e-6, 0.5), "surface fill"),
        (lambda: laydown.ink_in_cloth([1e-6], [False], 1e-6, 1.1), "void reach"),
        (lambda: laydown.dry_film(-1e-6, 0.5), "wet film"),
        (lambda: laydown.dry_film(1e-6, 1.1), "volume solids"),
        (lambda: laydown.ink_mass(-1e-6, 1300.0), "wet laydown"),
        (lambda: laydown.ink_mass(1e-6, 0.0), "ink density"),
    ],
)
def test_impossible_inputs_are_out_of_range(call, quantity):
    with pytest.raises(OutOfRange) as caught:
        call()

    assert (caught.value.model, caught.value.quantity) == ("laydown", quantity)


@pytest.mark.parametrize("edge", [0.0, 1.5])
def test_the_ends_of_the_range_of_transfer_are_inside(edge):
    assert laydown.wet_laydown(10e-6, edge) == pytest.approx(10e-6 * edge)
