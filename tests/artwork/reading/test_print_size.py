import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.artwork.reading.facts import ArtFacts
from laydown.artwork.reading.limits import Limits
from laydown.artwork.reading.print_size import settle_size
from laydown.errors import InvalidInput

LIMITS = Limits()


def facts(columns=1200, rows=600, *, per_inch=None, vector=False, aspect=None):
    width = None if per_inch is None else columns / per_inch * 0.0254
    height = None if per_inch is None else rows / per_inch * 0.0254
    return ArtFacts(
        kind="PNG",
        columns=None if vector else columns,
        rows=None if vector else rows,
        width=width,
        height=height,
        aspect=aspect or columns / rows,
        bits=8,
        colour="RGB",
        alpha=False,
        profile="",
    )


def test_the_files_own_size_holds_when_nothing_is_asked():
    size = settle_size(facts(per_inch=300), width=None, height=None, limits=LIMITS)

    assert (size.width, size.height, size.columns, size.rows) == pytest.approx((0.1016, 0.0508, 1200, 600))
    assert size.notes == ()


@given(aspect=st.floats(0.25, 20), width=st.floats(0.1, 0.4))
def test_one_length_gives_the_other_by_the_shape(aspect, width):
    by_width = settle_size(facts(aspect=aspect), width=width, height=None, limits=LIMITS)
    by_height = settle_size(facts(aspect=aspect), width=None, height=by_width.height, limits=LIMITS)

    assert by_width.width / by_width.height == pytest.approx(aspect)
    assert by_height.width == pytest.approx(width)


def test_both_lengths_have_to_fit_the_shape_within_one_per_cent():
    size = settle_size(facts(), width=0.2, height=0.1009, limits=LIMITS)

    assert (size.width, size.height) == (0.2, 0.1009)
    with pytest.raises(
        InvalidInput, match=r"asked to be 200\.0 x 102\.0 mm, but its own shape at that width is 200\.0 x 100\.0 mm"
    ):
        settle_size(facts(), width=0.2, height=0.102, limits=LIMITS)


def test_no_size_anywhere_says_what_is_missing():
    with pytest.raises(InvalidInput, match="does not say how large it is printed; give the width or the height"):
        settle_size(facts(), width=None, height=None, limits=LIMITS)


@pytest.mark.parametrize("value", [0.0, -0.1, 0.004, 2.1, float("nan"), float("inf")])
def test_lengths_out_of_bounds_are_refused(value):
    with pytest.raises(InvalidInput, match=r"the width asked for is .* mm; allowed is 5 to 2000 mm"):
        settle_size(facts(), width=value, height=None, limits=LIMITS)


def test_a_length_that_follows_out_of_bounds_is_refused():
    with pytest.raises(InvalidInput, match=r"it would be 1000\.0 x 2000\d\.\d mm|it would be 1000\.0 x 20000\.0 mm"):
        settle_size(facts(aspect=0.05), width=1.0, height=None, limits=LIMITS)


def test_a_size_that_another_was_asked_for_is_mentioned():
    size = settle_size(facts(per_inch=300), width=0.05, height=None, limits=LIMITS)

    assert size.notes == ("printed at 50.0 x 25.0 mm as the order asks, not the file's 101.6 x 50.8 mm",)


def test_too_few_pixels_are_told_with_the_remedy():
    size = settle_size(facts(), width=0.381, height=None, limits=LIMITS)

    assert size.notes[-1] == (
        "at 381 mm wide it has 80 pixels an inch, so edges and tones will look coarse: supply it at least 2250 pixels "
        "wide, or print it at most 203 mm wide"
    )


def test_a_resolution_that_nobody_chose_is_questioned():
    size = settle_size(facts(per_inch=72), width=None, height=None, limits=LIMITS)

    assert any("72 pixels an inch are what programs write when nobody chose a size" in note for note in size.notes)


@given(width=st.floats(0.01, 1.9), aspect=st.floats(0.2, 5), pixels=st.integers(10_000, 10_000_000))
def test_drawn_art_never_passes_its_limits(width, aspect, pixels):
    limits = Limits(pixels=pixels, side=4000)
    height = width / aspect
    if not 0.005 <= height <= 2:
        return

    size = settle_size(facts(vector=True, aspect=aspect), width=width, height=None, limits=limits)

    assert size.columns * size.rows <= 1.01 * pixels
    assert max(size.columns, size.rows) <= 4000
    assert size.columns / size.rows == pytest.approx(aspect, rel=0.1)


def test_limits_are_numbers_above_nought():
    with pytest.raises(InvalidInput, match="the limit cpu is 0; it must be a number above 0"):
        Limits(cpu=0)
