"""Records of colour readings cannot be in a wrong state."""

import dataclasses
import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.domain.measurement import Backing, ColourMeasurement, Conditions, GreyScaleGrade, Spectrum
from laydown.errors import InvalidInput

GOOD = ColourMeasurement(name="navy", lab=(16.0, 10.0, -22.0))


@pytest.mark.parametrize(
    ("text", "value"),
    [("5", 5), ("4-5", 4.5), ("4/5", 4.5), ("4.5", 4.5), ("4,5", 4.5), (" 3 - 4 ", 3.5), ("1–2", 1.5), ("2.0", 2)],
)
def test_grades_are_read_as_people_write_them(text, value):
    assert GreyScaleGrade.parse(text).value == value


@pytest.mark.parametrize("text", ["", "0", "6", "5.5", "5-6", "4-4", "4-6", "5-4", "4.3", "-4", "4-5-6", "four", "٤"])
def test_what_is_no_grade_is_refused_with_the_grades_there_are(text):
    with pytest.raises(InvalidInput, match="no grade of the grey scale; allowed are 1, 1-2, 2"):
        GreyScaleGrade.parse(text)


@given(st.integers(2, 10))
def test_a_grade_comes_back_from_its_own_text(half_steps):
    grade = GreyScaleGrade(value=half_steps / 2)

    assert GreyScaleGrade.parse(str(grade)) == grade


@pytest.mark.parametrize("value", [0.5, 5.5, 4.25, float("nan"), float("inf")])
def test_grades_between_half_steps_do_not_exist(value):
    with pytest.raises(InvalidInput, match="no grade of the grey scale"):
        GreyScaleGrade(value=value)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"lab": None}, "has neither L\\*, a\\*, b\\* nor a spectrum"),
        ({"name": " "}, "needs the name of its sample"),
        ({"name": "a\nb"}, "must be one line of text"),
        ({"name": "a" * 201}, "allowed are up to 200"),
        ({"lab": (float("nan"), 0.0, 0.0)}, "L\\* is nan"),
        ({"lab": (50.0, 300.0, 0.0)}, "a\\* is 300; allowed is -200 to 200"),
        ({"taken_at": dt.datetime.fromisoformat("2026-11-25")}, "needs its time zone"),
        ({"line": 0}, "the first line is 1"),
    ],
)
def test_a_measurement_cannot_be_in_a_wrong_state(change, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        dataclasses.replace(GOOD, **change)


@pytest.mark.parametrize(
    ("start", "step", "values", "sentence"),
    [
        (400, 10, (0.5,), "has 2 to 2000 values, this one has 1"),
        (400, 10, (0.5, 2.1), "reflectance factor at 410 nm is 2.1; allowed is -0.05 to 2"),
        (400, 10, (0.5, float("nan")), "410 nm is nan"),
        (400, 0, (0.5, 0.5), "step of a spectrum is 0"),
        (200, 10, (0.5, 0.5), "first wavelength of a spectrum is 200"),
        (1000, 50, (0.5,) * 4, "last wavelength of a spectrum is 1150"),
    ],
)
def test_a_spectrum_cannot_be_in_a_wrong_state(start, step, values, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        Spectrum(start_nm=start, step_nm=step, values=values)


def test_conditions_name_illuminant_and_observer_only_when_both_are_known():
    assert Conditions(illuminant="D65", observer="10").condition == "D65/10"
    assert Conditions(illuminant="D65").condition == ""
    assert Conditions(observer="2").condition == ""
    assert Conditions().backing is Backing.UNKNOWN


@pytest.mark.parametrize("change", [{"illuminant": "d65 lamp"}, {"observer": "4"}, {"operator": "a\tb"}])
def test_conditions_that_do_not_exist_are_refused(change):
    with pytest.raises(InvalidInput):
        Conditions(**change)
