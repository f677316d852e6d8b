"""Promises of the tone curve and of undoing the gain."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.artwork.tone_curve import STRAIGHT, ToneCurve, film_shares, starting_curve, strip_curve
from laydown.errors import InvalidInput
from reference_tables import reference_rows


@pytest.mark.parametrize("row", reference_rows("dot_gain"), ids=lambda row: row["film_percent"])
def test_the_starting_curve_goes_through_the_makers_example(row):
    printed = 100 * starting_curve().print_of(float(row["film_percent"]) / 100)

    assert printed == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_the_starting_curve_gains_most_near_69_and_loses_below_22_per_cent():
    film = np.arange(0, 101) / 100
    gain = starting_curve().print_of(film) - film

    assert np.argmax(gain) == 69
    assert gain.max() == pytest.approx(0.15)
    assert (gain[2:22] < 0).all()
    assert (gain[23:100] > 0).all()


def test_a_smooth_curve_through_the_same_patches_stays_within_a_per_cent():
    """So that straight lines between the patches are no worse than what measuring them can tell."""
    from scipy.interpolate import PchipInterpolator

    curve = starting_curve()
    film = np.linspace(0, 1, 1001)
    smooth = PchipInterpolator([0.0, *curve.film, 1.0], [0.0, *curve.printed, 1.0])

    assert np.abs(smooth(film) - curve.print_of(film)).max() < 0.01


def rising(pairs):
    film, printed = (sorted(tone / 1000 for tone in tones) for tones in zip(*pairs, strict=True))
    return list(zip(film, printed, strict=True))


PARTS = st.tuples(st.integers(1, 999), st.integers(1, 999))
strips = st.lists(PARTS, min_size=3, max_size=20, unique_by=(lambda pair: pair[0], lambda pair: pair[1])).map(rising)


@given(strips, st.floats(0, 1))
def test_the_gain_undone_prints_the_tone_that_was_wanted(pairs, wanted):
    curve = strip_curve("own", pairs)

    assert curve.print_of(curve.film_for(wanted)) == pytest.approx(wanted, abs=1e-12)


@given(strips)
def test_patches_may_be_given_in_any_order(pairs):
    assert strip_curve("own", pairs[::-1]) == strip_curve("own", pairs)


@given(strips, st.floats(0, 0.4), st.floats(0.6, 1))
def test_film_shares_rise_with_the_tone_and_keep_both_ends(pairs, least, most):
    shares = film_shares(strip_curve("own", pairs), least=least, most=most)

    assert (np.diff(shares) >= 0).all()
    assert shares[0] == 0
    assert shares[255] == 1
    dots = shares[(shares > 0) & (shares < 1)]
    assert ((dots >= least) & (dots <= most)).all()


def test_a_dot_that_the_mesh_cannot_hold_goes_to_the_nearer_of_none_and_the_smallest():
    shares = film_shares(STRAIGHT, least=0.1, most=0.9)
    tone = np.arange(256) / 255

    assert (shares[tone < 0.05] == 0).all()
    assert (shares[(tone >= 0.05) & (tone < 0.1)] == 0.1).all()
    assert (shares[(tone > 0.9) & (tone <= 0.95)] == 0.9).all()
    assert (shares[tone > 0.95] == 1).all()
    assert np.abs(shares - tone).max() <= 0.05


def test_without_a_curve_the_film_has_the_tones_themselves():
    np.testing.assert_allclose(film_shares(STRAIGHT), np.arange(256) / 255, atol=1e-15)
    assert not STRAIGHT.gains
    assert starting_curve().gains


def test_solid_stays_solid_where_the_darkest_patches_close_up():
    curve = strip_curve("own", [(0.02, 0.0), (0.05, 0.0), (0.5, 0.7), (0.9, 1.0), (0.95, 1.0)])

    np.testing.assert_allclose(curve.film_for([0.0, 1e-9, 0.7, 1 - 1e-9, 1.0]), [0, 0.05, 0.5, 0.9, 1], atol=1e-6)


@pytest.mark.parametrize(
    ("pairs", "sentence"),
    [
        ([(0.1, 0.1), (0.5, 0.6), (0.6, 0.55)], r"'own': the patch of 60 % prints 55 %, but .* 50 % prints 60 %"),
        ([(0.1, 0.1), (0.5, 0.6), (0.6, 0.6)], "print tones must rise with film tones"),
        ([(0.1, 0.1), (0.5, 0.6), (0.5, 0.7)], "the film tone 50 % follows 50 %"),
        ([(0.1, 0.1), (0.5, 0.6)], "at least 3 patches"),
        ([(0.1, 0.1), (0.5, 0.6), (0.9, 1.2)], "print tone is 1.2; allowed is 0 to 1"),
        ([(0.1, 0.1), (0.5, float("nan")), (0.9, 0.95)], "print tone is nan"),
    ],
)
def test_a_strip_that_cannot_be_is_refused_in_a_sentence(pairs, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        strip_curve("own", pairs)


def test_a_curve_needs_as_many_print_tones_as_film_tones():
    with pytest.raises(InvalidInput, match="each with its film tone and its print tone"):
        ToneCurve(name="own", film=(0.1, 0.2, 0.3), printed=(0.1, 0.2))


def test_limits_that_leave_no_halftone_are_refused():
    with pytest.raises(InvalidInput, match="dots from 60 % on and holes up to 40 % only: no halftone is left"):
        film_shares(STRAIGHT, least=0.6, most=0.4)
