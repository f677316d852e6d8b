import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from laydown.errors import InvalidInput
from laydown.physics.ciede2000 import MANY, ciede2000, ciede2000_numpy
from reference_tables import reference_rows

lightness = st.floats(0, 100)
opponent = st.floats(-128, 127)
colours = st.tuples(lightness, opponent, opponent)


def lab(row, which):
    return [float(row[f"{axis}{which}"]) for axis in "lab"]


def compiled(first, second):
    from laydown.physics.ciede2000_kernel import differences

    return differences(np.atleast_2d(np.array(first)), np.atleast_2d(np.array(second)))


def random_pairs(pairs):
    """Half near each other, half anywhere, some grey, some exactly opposite in hue."""
    rng = np.random.default_rng(2)
    first = np.column_stack([rng.uniform(0, 100, pairs), rng.uniform(-100, 100, (pairs, 2))])
    second = np.column_stack([rng.uniform(0, 100, pairs), rng.uniform(-100, 100, (pairs, 2))])
    second[::2] = first[::2] + rng.normal(0, 2, (len(second[::2]), 3))
    first[1::50, 1:] = 0
    second[2::70, 1:] = 0
    return first, second


@pytest.mark.interpreted
@pytest.mark.parametrize("difference", [ciede2000, compiled], ids=["NumPy", "compiled"])
@pytest.mark.parametrize("row", reference_rows("ciede2000_sharma"), ids=lambda row: row["place"])
def test_the_published_pairs_are_met_in_both_orders(row, difference):
    first, second = lab(row, 1), lab(row, 2)

    expected = pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
    assert difference(first, second) == expected
    assert difference(second, first) == expected


@pytest.mark.interpreted
@given(first=colours, second=colours)
def test_the_order_of_two_colours_does_not_matter(first, second):
    assert ciede2000(first, second) == pytest.approx(ciede2000(second, first), abs=1e-10)


@pytest.mark.interpreted
@given(colour=colours)
def test_a_colour_does_not_differ_from_itself(colour):
    assert ciede2000(colour, colour) == 0
    assert compiled(colour, colour) == 0


@pytest.mark.interpreted
@given(first=arrays(np.float64, (7, 3), elements=opponent), second=arrays(np.float64, (7, 3), elements=opponent))
def test_compiled_and_numpy_agree(first, second):
    np.testing.assert_allclose(compiled(first, second), ciede2000_numpy(first, second), atol=1e-11)


@pytest.mark.interpreted
def test_many_pairs_are_compiled_and_agree_with_numpy_to_1e_12():
    first, second = random_pairs(MANY + 7)

    np.testing.assert_allclose(ciede2000(first, second), ciede2000_numpy(first, second), rtol=0, atol=1e-12)


def test_an_independent_library_finds_the_same():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of optional parts that are not installed
        import colour

        first, second = random_pairs(20_000)
        expected = colour.delta_E(first, second, method="CIE 2000")

    np.testing.assert_allclose(ciede2000(first, second), expected, atol=1e-10)


@pytest.mark.interpreted
@pytest.mark.parametrize("difference", [ciede2000, compiled], ids=["NumPy", "compiled"])
def test_the_mean_of_two_exactly_opposite_hues_is_half_their_sum(difference):
    # 0° and 180° have the mean 90°, where the hue term of T is smallest; 270° would give another number.
    at_90, at_270 = difference([50, 20, 0], [50, -20, 0]), difference([50, 0, -20], [50, 0, 20])

    assert at_90 == pytest.approx(difference([50, 20, 1e-9], [50, -20, 1e-9]), abs=1e-6)
    assert at_270 == pytest.approx(difference([50, -1e-9, -20], [50, -1e-9, 20]), abs=1e-6)


@pytest.mark.interpreted
def test_shapes_broadcast_and_a_single_pair_gives_a_number():
    many = np.tile([50, 3, 1], (2, 5, 1))

    assert ciede2000(many, [50, 0, 0]).shape == (2, 5)
    assert np.ndim(ciede2000([50, 0, 0], [51, 0, 0])) == 0
    assert ciede2000(np.zeros((MANY, 2, 3)), [1, 0, 0]).shape == (MANY, 2)


@pytest.mark.interpreted
@pytest.mark.parametrize(
    ("first", "second", "what"),
    [
        ([1, 2], [1, 2, 3], "last axis"),
        (np.zeros((2, 3)), np.zeros((5, 3)), "do not fit"),
        ([1, 2, np.nan], [1, 2, 3], "finite"),
    ],
)
def test_what_are_no_colours_is_refused(first, second, what):
    with pytest.raises(InvalidInput, match=what):
        ciede2000(first, second)


def by_angles(first, second):
    """Return the difference as Sharma, Wu and Dalal write it, step by step in degrees."""
    (l1, a1, b1), (l2, a2, b2) = first, second
    mean = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    g = 0.5 * (1 - np.sqrt(mean**7 / (mean**7 + 25**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    apart = h2 - h1
    apart += 0 if abs(apart) <= 180 else -360 if apart > 180 else 360
    big_h = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(apart / 2))
    middle, c = (l1 + l2) / 2, (c1 + c2) / 2
    h = (h1 + h2) / 2 if abs(h1 - h2) <= 180 else (h1 + h2 + (360 if h1 + h2 < 360 else -360)) / 2
    t = 1 - 0.17 * np.cos(np.radians(h - 30)) + 0.24 * np.cos(np.radians(2 * h))
    t += 0.32 * np.cos(np.radians(3 * h + 6)) - 0.20 * np.cos(np.radians(4 * h - 63))
    turn = -2 * np.sqrt(c**7 / (c**7 + 25**7)) * np.sin(np.radians(60 * np.exp(-(((h - 275) / 25) ** 2))))
    light = (l2 - l1) / (1 + 0.015 * (middle - 50) ** 2 / np.sqrt(20 + (middle - 50) ** 2))
    chroma, hue = (c2 - c1) / (1 + 0.045 * c), big_h / (1 + 0.015 * c * t)
    return np.sqrt(light**2 + chroma**2 + hue**2 + turn * chroma * hue)


@pytest.mark.interpreted
@pytest.mark.parametrize("difference", [ciede2000, compiled], ids=["NumPy", "compiled"])
@pytest.mark.parametrize(
    ("first", "second"),
    [
        # A mean hue of exactly 0°, which is 275° from the blue and not 85°.
        ([50, 40, 10], [50, 80, -20]),
        ([50, 80, -20], [50, 40, 10]),
        # Blue, where the rotation acts most, and its far side.
        ([30, 10, -60], [32, 20, -50]),
        ([30, -5, -40], [32, -14, -50]),
        ([30, 40, -30], [30, 55, -20]),
        # Exactly opposite, hardly coloured; both orders.
        ([50, 0.5, 0], [50, -0.5, 0]),
        ([50, -0.5, 0], [50, 0.5, 0]),
        ([50, -20, 0], [50, 20, 0]),
        ([50, 0, 20], [50, 0, -20]),
        ([50, 0, -20], [50, 0, 20]),
        # Grey and a colour, dark and light.
        ([5, 0, 0], [8, 3, -4]),
        ([95, -6, 2], [90, 0, 0]),
        # Far apart in every way; hues more than 180° apart.
        ([10, 90, 60], [95, -70, -80]),
        ([60, 80, 5], [40, 70, -60]),
        ([60, 20, -90], [40, 30, 60]),
    ],
)
def test_the_formula_in_angles_gives_the_same(first, second, difference):
    assert difference(first, second) == pytest.approx(by_angles(first, second), abs=1e-10)


@pytest.mark.interpreted
def test_the_series_of_the_compiled_loop_are_the_functions_they_stand_for():
    from laydown.physics import ciede2000_kernel as kernel

    for u in np.linspace(0.0, 1.0, 41):
        t, z, x = u * np.tan(np.radians(22.5)), 0.41 * u, u * np.pi / 3
        assert kernel._arctan(t) == pytest.approx(np.arctan(t), rel=4e-16, abs=0)
        assert kernel._arctan(-t) == -kernel._arctan(t)
        # Seven squarings make the first term left out, z^13/13! by exp(-z), and the rounding 128 times as large.
        assert kernel._exp_minus_128(z) == pytest.approx(np.exp(-128 * z), rel=5e-14 + 3e-13 * u**13, abs=0)
        assert kernel._sin(x) == pytest.approx(np.sin(x), rel=3e-16, abs=0)
