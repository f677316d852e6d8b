import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.physics import grey_scale
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted

colours = st.tuples(st.floats(0, 100), st.floats(-80, 80), st.floats(-80, 80))
STEPS = {"change": grey_scale.CHANGE_STEPS, "staining": grey_scale.STAINING_STEPS}


@pytest.mark.parametrize(
    "row", reference_rows("grey_scale_steps"), ids=lambda r: f"{r['scale']} {r['step']} {r['quantity']}"
)
def test_the_steps_of_the_scales_are_those_of_the_standards(row):
    (step,) = (step for step in STEPS[row["scale"]] if step.grade == float(row["step"]))
    assert getattr(step, row["quantity"]) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", reference_rows("change_grade"), ids=lambda row: f"{row['quantity']} {row['place']}")
def test_a_change_in_colour_is_graded_as_computed(row):
    before, after = ([float(row[f"{axis}{which}"]) for axis in "lab"] for which in (1, 2))
    value = {"grade": grey_scale.change_grade, "difference": grey_scale.change_difference}[row["quantity"]](
        before, after
    )
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", reference_rows("staining_grade"), ids=lambda row: f"{row['quantity']} {row['place']}")
def test_a_stain_is_graded_as_computed(row):
    whole, light = float(row["delta_e"]), float(row["delta_l"])
    stained = [90 - light, np.sqrt(whole**2 - light**2), 0.0]
    value = {"grade": grey_scale.staining_grade, "difference": grey_scale.staining_difference}[row["quantity"]](
        [90, 0, 0], stained
    )
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("scale", ["change", "staining"])
def test_each_step_of_a_scale_rounds_to_its_own_grade(scale):
    grade = {"change": grey_scale.change_grade, "staining": grey_scale.staining_grade}[scale]
    steps = STEPS[scale]

    grades = grade([50, 0, 0], [[50 + step.difference, 0, 0] for step in steps])
    np.testing.assert_array_equal(grey_scale.rounded_grade(grades), [step.grade for step in steps])


@given(colour=colours)
def test_no_difference_is_grade_5(colour):
    assert grey_scale.staining_grade(colour, colour) == 5
    assert grey_scale.change_grade(colour, colour) == 5


@given(small=st.floats(0, 60), more=st.floats(0, 20))
def test_a_larger_difference_never_has_the_better_grade(small, more):
    for grade in (grey_scale.staining_grade_of_difference, grey_scale.change_grade_of_difference):
        assert grade(small + more) <= grade(small) + 1e-12


@given(grade=st.floats(1, 5))
def test_the_difference_at_a_grade_earns_that_grade(grade):
    change = grey_scale.change_difference_at_grade(grade)
    stain = grey_scale.staining_difference_at_grade(grade)

    assert grey_scale.change_grade_of_difference(change) == pytest.approx(grade, abs=1e-12)
    # The two branches of A04 miss each other: there is no difference with a grade of 4.01.
    assert grey_scale.staining_grade_of_difference(stain) == pytest.approx(grade, abs=0.0213)
    assert grey_scale.staining_grade_of_difference(stain * (1 - 1e-9)) >= grade - 1e-12


@pytest.mark.parametrize("grade", [1.0, 2.5, 3.75, 4.0, 4.25, 5.0])
def test_outside_the_gap_of_its_branches_the_staining_difference_is_an_exact_inverse(grade):
    difference = grey_scale.staining_difference_at_grade(grade)
    assert grey_scale.staining_grade_of_difference(difference * (1 + 1e-12)) == pytest.approx(grade, abs=1e-9)


@given(first=colours, second=colours)
def test_a_grey_or_lightness_change_counts_in_full_and_a_chromatic_stain_for_less(first, second):
    change = np.subtract(second, first)
    whole = np.sqrt((change**2).sum())

    difference = grey_scale.staining_difference(first, second)
    assert 0.6 * whole - 1e-9 <= difference <= whole + 1e-9


@given(colour=colours, light=st.floats(-10, 10))
def test_a_change_of_lightness_alone_is_its_own_difference(colour, light):
    after = (colour[0] + light, *colour[1:])
    assert grey_scale.change_difference(colour, after) == pytest.approx(abs(after[0] - colour[0]), abs=1e-9)


def test_a_change_of_hue_and_chroma_follows_the_equations_term_by_term():
    # Chroma 40 at 350° to chroma 50 at 10°: the mean hue is 0°, 80° from 280°.
    before = [50, 40 * np.cos(np.radians(350)), 40 * np.sin(np.radians(350))]
    after = [50, 50 * np.cos(np.radians(10)), 50 * np.sin(np.radians(10))]
    hue = 2 * np.sqrt(40 * 50) * np.sin(np.radians(10))
    shared = 10 * 45 / 100 * np.exp(-((80 / 30) ** 2))

    expected = np.hypot((hue - shared) / (1 + 0.45**2), (10 - shared) / (1 + 0.9**2))
    assert grey_scale.change_difference(before, after) == pytest.approx(expected, abs=1e-12)


def test_opposite_hues_have_half_their_sum_as_mean():
    # 20° and 200°: mean 110°, 170° from 280°, where the shared term is as good as nothing.
    before = [50, 10 * np.cos(np.radians(20)), 10 * np.sin(np.radians(20))]
    after = [50, -30 * np.cos(np.radians(20)), -30 * np.sin(np.radians(20))]
    hue, chroma = 2 * np.sqrt(300), 20

    expected = np.hypot(hue / (1 + 0.2**2), chroma / (1 + 0.4**2))
    assert grey_scale.change_difference(before, after) == pytest.approx(expected, abs=1e-9)


def test_a_grey_takes_the_hue_of_the_colour_it_became():
    assert grey_scale.change_difference([50, 0, 0], [50, 0, -10]) == pytest.approx(
        grey_scale.change_difference([50, 0, -1e-12], [50, 0, -10]), abs=1e-9
    )


@pytest.mark.parametrize(("grade", "rounded"), [(4.75, 5), (4.74, 4.5), (3.75, 4), (3.74, 3.5), (0.2, 1), (5.4, 5)])
def test_grades_are_rounded_to_the_nearest_half_within_the_scale(grade, rounded):
    assert grey_scale.rounded_grade(grade) == rounded


def test_arrays_of_colours_give_arrays_of_grades():
    assert grey_scale.staining_grade(np.zeros((4, 5, 3)), [1, 0, 0]).shape == (4, 5)
    assert grey_scale.change_grade(np.zeros(3), np.ones((6, 3))).shape == (6,)


@pytest.mark.parametrize(
    ("call", "what"),
    [
        (lambda: grey_scale.staining_grade([1, 2], [1, 2, 3]), "reference_lab"),
        (lambda: grey_scale.change_grade([1, 2, 3], [1, 2, np.inf]), "sample_lab"),
        (lambda: grey_scale.staining_grade_of_difference(-0.1), "not negative"),
        (lambda: grey_scale.change_difference_at_grade(5.1), "1 to 5"),
        (lambda: grey_scale.staining_difference_at_grade(np.nan), "1 to 5"),
    ],
)
def test_what_has_no_grade_is_refused(call, what):
    with pytest.raises(InvalidInput, match=what):
        call()


def test_just_above_grade_4_the_difference_stays_where_the_two_branches_meet():
    # The straight branch alone would give 0.995/0.23 = 4.326 at 4.005.
    meeting = np.exp(2.1 / 1.45)

    assert grey_scale.staining_difference_at_grade([4.0, 4.005]) == pytest.approx([meeting, meeting], rel=1e-14)
    assert grey_scale.staining_difference_at_grade(4.5) == pytest.approx(0.5 / 0.23)
    assert grey_scale.staining_grade_of_difference(np.array([0.0, 0.5])) == pytest.approx([5.0, 5 - 0.115])


def by_pointers(first, second):
    """Return the change difference with chroma and hue as complex numbers: no angle is compared with another."""
    one, two = complex(*first[1:]), complex(*second[1:])
    mean = (abs(one) + abs(two)) / 2
    between = np.sqrt((one / abs(one)) * (two / abs(two)))  # the bisector, or its opposite
    between *= 1 if (between * one.conjugate()).real >= 0 else -1
    hue_change = 2 * np.sqrt(abs(one) * abs(two)) * np.sin(np.angle(two / one) / 2)
    from_blue = np.degrees(abs(np.angle(between * np.exp(-1j * np.radians(280)))))
    chroma_change = abs(two) - abs(one)
    shared = chroma_change * mean * np.exp(-((from_blue / 30) ** 2)) / 100
    hue, chroma = (hue_change - shared) / (1 + (mean / 100) ** 2), (chroma_change - shared) / (1 + (mean / 50) ** 2)
    return np.sqrt((second[0] - first[0]) ** 2 + hue**2 + chroma**2)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        # Across the red axis either way, so that the mean hue is just above or just below 0°.
        ((50, 40, -10), (50, 60, 25)),
        ((50, 40, 10), (45, 60, -25)),
        ((50, 60, 25), (50, 40, -10)),
        # Around 280° and on its far side, by hardly any chroma too.
        ((30, 5, -40), (30, 15, -60)),
        ((30, -8, -30), (30, 20, -50)),
        ((60, -3, 30), (62, 8, 45)),
        ((50, 0.3, -0.5), (50, 0.6, 0.2)),
        ((50, 0.3, -0.5), (50, 5.0, -8.0)),
        ((50, 6.0, -8.0), (50, 0.1, -0.7)),
        # Nearly opposite: 181 degrees one way are 179 the other.
        ((50, 20, 0.2), (50, -20, -0.55)),
        ((50, -20, -0.55), (50, 20, 0.2)),
    ],
)
def test_a_change_is_the_same_with_chroma_and_hue_as_complex_numbers(first, second):
    assert grey_scale.change_difference(first, second) == pytest.approx(by_pointers(first, second), abs=1e-10)
