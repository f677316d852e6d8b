import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.physics.layer_stack import dyed_film_reflectance, layered_reflectance
from laydown.physics.optics import film_reflectance, reflectivity
from laydown.physics.saunderson import measured_reflectance

BANDS = 36


def some_film(seed=0, *, samples=3, days=2, cells=6, layers=2, nodes=3, bands=BANDS, scale=1.0):
    """Arguments of `dyed_film_reflectance`; ``scale`` multiplies the thickness of every cell."""
    rng = np.random.default_rng(seed)
    return {
        "cell_thickness": scale * rng.uniform(1e-6, 6e-6, (samples, cells)),
        "cell_layer": np.sort(rng.integers(0, layers, cells)),
        "dye": rng.uniform(0, 0.3, (samples, days, cells)),
        "absorption": rng.uniform(0, 0.02e6, (layers, bands)),
        "scattering": rng.uniform(0.03e6, 0.15e6, (layers, bands)),
        "absorption_scale": rng.uniform(0.7, 1.3, (samples, layers)),
        "scattering_scale": rng.uniform(0.7, 1.3, (samples, layers)),
        "dye_absorption": rng.uniform(0, 0.25e6, (samples, bands)),
        "substrate": rng.uniform(0, 1, bands),
        "thickness_factor": rng.uniform(0.2, 2, (samples, nodes)),
        "node_weight": np.full(nodes, 1 / nodes),
        "k1": 0.04,
        "k2": 0.6,
    }


def cell_by_cell(film):
    """Compute the same with `film_reflectance` for each cell and node, in NumPy."""
    total = 0.0
    for node, weight in enumerate(film["node_weight"]):
        R = film["substrate"]
        for cell, layer in enumerate(film["cell_layer"]):
            K = film["absorption"][layer] * film["absorption_scale"][:, layer, None]
            S = film["scattering"][layer] * film["scattering_scale"][:, layer, None]
            dye = np.maximum(film["dye"][:, :, cell, None], 0) * film["dye_absorption"][:, None, :]
            X = film["cell_thickness"][:, cell] * film["thickness_factor"][:, node]
            R = film_reflectance(K[:, None, :] + dye, S[:, None, :], X[:, None, None], R)
        total = total + weight * measured_reflectance(R, k1=film["k1"], k2=film["k2"])
    return total


@pytest.mark.interpreted
@pytest.mark.parametrize("scale", [0.0, 0.01, 1.0, 30.0, 3000.0])
def test_a_dyed_film_equals_the_calculation_cell_by_cell(scale):
    film = some_film(scale=scale)
    np.testing.assert_allclose(dyed_film_reflectance(**film), cell_by_cell(film), atol=1e-11)


@pytest.mark.parametrize("seed", range(20))
def test_random_dyed_films_equal_the_calculation_cell_by_cell(seed):
    film = some_film(seed, samples=20, days=4, cells=30, layers=4, nodes=5, scale=10 ** (seed / 10 - 1))
    np.testing.assert_allclose(dyed_film_reflectance(**film), cell_by_cell(film), atol=1e-11)


@pytest.mark.interpreted
@pytest.mark.parametrize(("absorbs", "scatters"), [(0.0, 1.0), (1.0, 0.0), (0.0, 0.0)])
def test_films_that_only_scatter_only_absorb_or_do_neither_equal_the_calculation_cell_by_cell(absorbs, scatters):
    for scale in (1.0, 300.0):
        film = some_film(scale=scale)
        film["absorption"] = absorbs * film["absorption"]
        film["dye_absorption"] = absorbs * film["dye_absorption"]
        film["scattering"] = scatters * film["scattering"]
        np.testing.assert_allclose(dyed_film_reflectance(**film), cell_by_cell(film), atol=1e-11)


@pytest.mark.interpreted
def test_more_than_a_hundred_cells_of_any_thickness_neither_overflow_nor_lose_their_colour():
    film = some_film(samples=2, days=1, nodes=1, bands=4, cells=120, scale=1e6)
    film["dye"] = np.zeros_like(film["dye"])
    film["absorption_scale"] = np.ones_like(film["absorption_scale"])
    film["scattering_scale"] = np.ones_like(film["scattering_scale"])
    top = film["cell_layer"][-1]
    own = measured_reflectance(reflectivity(film["absorption"][top], film["scattering"][top]), k1=0.04, k2=0.6)

    np.testing.assert_allclose(dyed_film_reflectance(**film), np.broadcast_to(own, (2, 1, 4)), atol=1e-11)


@pytest.mark.interpreted
def test_a_sample_is_the_same_alone_or_among_others():
    film = some_film(samples=40)
    all_together = dyed_film_reflectance(**film)
    per_sample = ("cell_thickness", "dye", "absorption_scale", "scattering_scale", "dye_absorption", "thickness_factor")
    for sample in (0, 17, 39):
        alone = film | {name: film[name][[sample]] for name in per_sample}
        np.testing.assert_array_equal(dyed_film_reflectance(**alone)[0], all_together[sample])


@pytest.mark.interpreted
def test_a_solver_s_slightly_negative_dye_counts_as_none():
    film = some_film()
    clean = film | {"dye": np.where(film["dye"] < 0.15, 0.0, film["dye"])}
    noisy = film | {"dye": np.where(film["dye"] < 0.15, -1e-7, film["dye"])}

    np.testing.assert_array_equal(dyed_film_reflectance(**noisy), dyed_film_reflectance(**clean))


@pytest.mark.interpreted
def test_more_dye_is_never_lighter():
    film = some_film()
    more = film | {"dye": film["dye"] * 1.5}
    assert (dyed_film_reflectance(**more) <= dyed_film_reflectance(**film) + 1e-15).all()


@pytest.mark.interpreted
def test_roughness_of_a_white_film_on_dark_cloth_costs_brightness():
    film = some_film(nodes=2)
    film |= {"dye": 0 * film["dye"], "substrate": np.full(BANDS, 0.03), "absorption": np.full((2, BANDS), 100.0)}
    film["thickness_factor"] = np.ones((3, 2))
    rough = film | {"thickness_factor": np.tile([0.3, 1.7], (3, 1))}

    assert (dyed_film_reflectance(**rough) < dyed_film_reflectance(**film)).all()


@pytest.mark.interpreted
@settings(max_examples=50)
@given(seed=st.integers(0, 2**32 - 1), cell=st.integers(0, 5), share=st.floats(0, 1))
def test_splitting_a_cell_in_two_changes_nothing(seed, cell, share):
    film = some_film(seed)
    split = film | {
        "cell_thickness": np.insert(film["cell_thickness"], cell, share * film["cell_thickness"][:, cell], axis=1),
        "cell_layer": np.insert(film["cell_layer"], cell, film["cell_layer"][cell]),
        "dye": np.insert(film["dye"], cell, film["dye"][:, :, cell], axis=2),
    }
    split["cell_thickness"][:, cell + 1] *= 1 - share

    np.testing.assert_allclose(dyed_film_reflectance(**split), dyed_film_reflectance(**film), atol=1e-12)


@pytest.mark.interpreted
@settings(max_examples=50)
@given(seed=st.integers(0, 2**32 - 1), scale=st.floats(0, 100))
def test_measured_reflectance_lies_between_the_surface_s_and_1(seed, scale):
    measured = dyed_film_reflectance(**some_film(seed, scale=scale))

    assert (measured >= 0.04 - 1e-12).all()
    assert (measured <= 1 + 1e-12).all()


@pytest.mark.interpreted
@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"dye": np.zeros((3, 6))}, "axes"),
        ({"cell_thickness": np.ones((3, 5))}, "cell_thickness: shape"),
        ({"cell_layer": np.zeros(5)}, "cell_layer: shape"),
        ({"cell_layer": np.array([0, 0, 0, 1, 1, 2])}, "numbered 0 to 1"),
        ({"cell_layer": np.array([-1, 0, 0, 1, 1, 1])}, "numbered 0 to 1"),
        ({"substrate": np.full(BANDS, 1.01)}, "substrate"),
        ({"substrate": np.full(BANDS, np.nan)}, "finite"),
        ({"absorption": np.full((2, BANDS), -1.0)}, "absorption: -1 is negative"),
        ({"node_weight": np.array([0.5, 0.5, 0.5])}, "sum must be 1"),
        ({"k1": 1.0}, "k1"),
        ({"k2": -0.1}, "k2"),
    ],
)
def test_a_film_that_cannot_be_is_refused_in_one_sentence(change, what):
    with pytest.raises(InvalidInput, match=what):
        dyed_film_reflectance(**(some_film() | change))


def some_stacks(stacks, layers, *, bands=BANDS, seed=0, scale=1.0):
    rng = np.random.default_rng(seed)
    return (
        rng.uniform(0, 0.3e6, (stacks, layers, bands)) * rng.uniform(0, 1, (stacks, layers, 1)) ** 3,
        rng.uniform(0, 0.15e6, (stacks, layers, bands)),
        scale * rng.uniform(5e-6, 40e-6, (stacks, layers)),
        rng.uniform(0, 1, (stacks, bands)),
    )


@pytest.mark.interpreted
@pytest.mark.parametrize("scale", [0.0, 1e-3, 0.1, 1.0, 10.0, 1e6])
def test_layers_equal_the_calculation_film_by_film(scale):
    K, S, X, Rg = some_stacks(10, 5, scale=scale, bands=7)
    R = Rg
    for layer in range(5):
        R = film_reflectance(K[:, layer], S[:, layer], X[:, layer, None], R)

    np.testing.assert_allclose(layered_reflectance(K, S, X, Rg), R, atol=1e-11)


@pytest.mark.interpreted
def test_one_substrate_serves_all_stacks():
    K, S, X, Rg = some_stacks(4, 2, bands=5)

    shared = layered_reflectance(K, S, X, Rg[:1])
    np.testing.assert_array_equal(shared, layered_reflectance(K, S, X, np.repeat(Rg[:1], 4, axis=0)))


@pytest.mark.interpreted
def test_a_hundred_thick_layers_do_not_overflow():
    # Black and white in turns make the state grow most: by 2SX = 1e5 every other layer here.
    K, S, X, Rg = some_stacks(2, 121, bands=3, scale=1e4)
    K[:, :-1:2] = 0.0
    S[:, 1:-1:2] = 0.0

    top = reflectivity(K[:, -1], S[:, -1])
    np.testing.assert_allclose(layered_reflectance(K, S, X, Rg), top, atol=1e-11)


@pytest.mark.interpreted
@pytest.mark.parametrize(
    ("which", "value", "what"),
    [
        (0, -1.0, "not negative"),
        (0, np.nan, "finite"),
        (1, -1.0, "not negative"),
        (2, -1e-6, "thickness"),
        (2, np.inf, "thickness"),
        (3, 1.1, "substrate"),
    ],
)
def test_a_stack_that_cannot_be_is_refused_in_one_sentence(which, value, what):
    arrays = some_stacks(3, 2, bands=4)
    arrays[which][1, 1] = value
    with pytest.raises(InvalidInput, match=what):
        layered_reflectance(*arrays)


@pytest.mark.interpreted
def test_arrays_that_do_not_fit_each_other_are_refused():
    K, S, X, Rg = some_stacks(3, 2, bands=4)
    with pytest.raises(InvalidInput, match="scattering: shape"):
        layered_reflectance(K, S[:, :1], X, Rg)
    with pytest.raises(InvalidInput, match="substrate: shape"):
        layered_reflectance(K, S, X, Rg[:2])
    with pytest.raises(InvalidInput, match="axes"):
        layered_reflectance(K[0], S, X, Rg)


@pytest.mark.interpreted
@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"absorption": np.zeros((2, 4))}, "absorption"),
        ({"scattering": np.zeros((3, 1, 4))}, "scattering"),
        ({"thickness": np.zeros((3, 1))}, "thickness"),
        ({"thickness": np.full((3, 2), -1e-6)}, "thickness"),
        ({"substrate": np.zeros((2, 4))}, "substrate"),
        ({"substrate": np.full((3, 4), 1.1)}, "substrate"),
    ],
)
def test_a_refused_stack_is_told_by_the_name_of_the_array(change, where):
    names = ("absorption", "scattering", "thickness", "substrate")
    arrays = dict(zip(names, some_stacks(3, 2, bands=4), strict=True))
    with pytest.raises(InvalidInput) as refusal:
        layered_reflectance(**(arrays | change))

    assert refusal.value.where == where


@pytest.mark.interpreted
def test_black_and_white_below_are_allowed_and_show_through_nothing():
    K, S, X, _ = some_stacks(2, 2, bands=4, scale=0.0)

    for substrate in (0.0, 1.0):
        assert layered_reflectance(K, S, X, np.full((2, 4), substrate)).tolist() == [[substrate] * 4] * 2


@pytest.mark.interpreted
@pytest.mark.parametrize(
    ("name", "shape"),
    [
        ("cell_thickness", (3, 7)),
        ("scattering", (3, BANDS)),
        ("absorption_scale", (3, 3)),
        ("scattering_scale", (2, 2)),
        ("dye_absorption", (3, BANDS + 1)),
        ("substrate", (BANDS + 1,)),
        ("thickness_factor", (3, 4)),
        ("cell_layer", (7,)),
    ],
)
def test_an_array_that_does_not_fit_the_film_is_told_by_its_name(name, shape):
    with pytest.raises(InvalidInput, match="shape is") as refusal:
        dyed_film_reflectance(**(some_film() | {name: np.zeros(shape)}))

    assert refusal.value.where == name


@pytest.mark.interpreted
@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"thickness_factor": np.full((3, 3), np.nan)}, "thickness_factor"),
        ({"scattering": np.full((2, BANDS), -1.0)}, "scattering"),
        ({"substrate": np.full(BANDS, 1.01)}, "substrate"),
        ({"node_weight": np.array([0.5, 0.5, 0.5])}, "node_weight"),
        ({"cell_layer": np.array([0, 0, 0, 1, 1, 2])}, "cell_layer"),
    ],
)
def test_a_value_that_no_film_has_is_told_by_the_name_of_its_array(change, where):
    with pytest.raises(InvalidInput) as refusal:
        dyed_film_reflectance(**(some_film() | change))

    assert refusal.value.where == where


@pytest.mark.interpreted
@pytest.mark.parametrize(
    "change",
    [
        {"absorption": np.zeros((2, 3, BANDS))},
        {"node_weight": np.full((3, 3, 1), 1 / 3)},
        {"dye": np.zeros((3, 6))},
    ],
)
def test_arrays_with_too_many_or_too_few_axes_are_refused(change):
    with pytest.raises(InvalidInput, match="needs axes"):
        dyed_film_reflectance(**(some_film() | change))


@pytest.mark.interpreted
def test_each_sample_may_weigh_its_nodes_in_its_own_way():
    film = some_film(samples=2)
    weights = np.array([[0.2, 0.3, 0.5], [0.6, 0.4, 0.0]])
    own = dyed_film_reflectance(**(film | {"node_weight": weights}))

    for sample in (0, 1):
        shared = dyed_film_reflectance(**(film | {"node_weight": weights[sample]}))
        np.testing.assert_array_equal(own[sample], shared[sample])


@pytest.mark.interpreted
def test_scaling_the_state_back_keeps_what_it_reflects():
    from laydown.physics.layer_stack_kernel import _scale_back

    w, s = np.array([1e250, 0.0, 3e201]), np.array([4e250, 2e220, 3e201])
    _scale_back(w, s)

    assert w.tolist() == [0.25, 0.0, 1.0]
    assert s.tolist() == [1.0, 1.0, 1.0]


@pytest.mark.interpreted
@pytest.mark.parametrize("thick", [0, 1, 2])
def test_one_thick_band_among_clear_ones_does_not_overflow(thick):
    # Black and white layers in turns let the state of the thick band grow by 1e5 every other layer; 1e500 in all.
    layers = 201
    K, S = np.zeros((1, layers, 3)), np.zeros((1, layers, 3))
    K[0, ::2, thick], S[0, 1::2, thick] = 1e6, 1e6
    K[0, -1, thick], S[0, -1, thick] = 2e5, 1e6
    expected = np.full(3, 0.4)
    expected[thick] = reflectivity(2e5, 1e6)

    found = layered_reflectance(K, S, np.full((1, layers), 0.05), np.full((1, 3), 0.4))
    np.testing.assert_allclose(found[0], expected, atol=1e-11)


@pytest.mark.interpreted
def test_a_film_of_no_thickness_without_a_surface_shows_what_is_below_from_black_to_white():
    film = some_film(scale=0.0) | {"k1": 0.0, "k2": 0.0, "substrate": np.linspace(0, 1, BANDS)}

    np.testing.assert_allclose(
        dyed_film_reflectance(**film), np.broadcast_to(film["substrate"], (3, 2, BANDS)), atol=1e-15
    )


@pytest.mark.interpreted
@pytest.mark.parametrize("change", [{"k1": 1.0}, {"k2": 1.0}, {"k1": -0.01}, {"k2": -0.01}])
def test_a_surface_that_reflects_all_or_less_than_nothing_is_refused(change):
    with pytest.raises(InvalidInput, match="allowed are values from 0 to below 1"):
        dyed_film_reflectance(**(some_film() | change))
