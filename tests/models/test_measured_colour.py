"""A measured colour under another light, and whether two of them may be compared."""

import csv
import dataclasses
import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.data.colorimetric import CONDITIONS
from laydown.domain.measurement import (
    Backing,
    ColourMeasurement,
    Conditions,
    Geometry,
    GreyScaleGrade,
    MeasurementMode,
    Spectrum,
)
from laydown.errors import InvalidInput
from laydown.models.comparability import CLASHES, WORDS, Verdict, differences, labs_to_compare
from laydown.models.eye_grade import change_interval, staining_interval
from laydown.models.measured_colour import band_factors, colour_of, lab_under
from laydown.physics.grey_scale import change_grade_of_difference, rounded_grade, staining_grade_of_difference
from reference_tables import reference_rows

READINGS = Path(__file__).parents[1] / "documents" / "readings"
D65 = Conditions(illuminant="D65", observer="10")
FLAT = Spectrum(start_nm=400, step_nm=10, values=(0.5,) * 31)


def curves() -> dict[str, dict[int, float]]:
    with (READINGS / "by_wavelength.csv").open(encoding="utf-8", newline="") as file:
        head, *rows = csv.reader(file, delimiter=";")
    return {
        name: {int(row[0]): float(row[place].replace(",", ".")) / 100 for row in rows}
        for place, name in enumerate(head)
        if place
    }


CURVES = curves()
ROWS = [
    (key, list(rows))
    for key, rows in itertools.groupby(
        reference_rows("spectrum_lab"),
        key=lambda r: (r["name"], r["start_nm"], r["end_nm"], r["step_nm"], r["condition"]),
    )
]


@pytest.mark.parametrize(("key", "rows"), ROWS, ids=["-".join(key) for key, _ in ROWS])
def test_spectra_have_the_colour_that_colour_science_integrates(key, rows):
    name, start, end, step, condition = key
    values = tuple(CURVES[name][nm] for nm in range(int(start), int(end) + 1, int(step)))
    measured = ColourMeasurement(
        name=name, spectrum=Spectrum(start_nm=float(start), step_nm=float(step), values=values)
    )

    lab = lab_under(measured, condition).lab

    for row in rows:
        assert lab["Lab".index(row["axis"])] == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_a_white_of_every_band_is_100_under_every_condition():
    white = ColourMeasurement(name="white", spectrum=Spectrum(start_nm=380, step_nm=10, values=(1.0,) * 36))

    for condition, _ in CONDITIONS:
        assert lab_under(white, condition).lab == pytest.approx((100, 0, 0), abs=1e-9)


def test_lab_alone_stays_under_its_own_condition():
    read = ColourMeasurement(name="navy", lab=(16.0, 10.0, -22.0), conditions=D65)

    assert lab_under(read, "D65/10").lab == (16.0, 10.0, -22.0)
    assert not lab_under(read, "D65/10").from_spectrum
    with pytest.raises(InvalidInput, match=r"navy was read as .* under D65/10, and D50/2 is asked for; only a"):
        lab_under(read, "D50/2")


@pytest.mark.parametrize("conditions", [Conditions(), Conditions(illuminant="D65"), Conditions(observer="10")])
def test_lab_of_which_nobody_said_the_condition_is_refused(conditions):
    read = ColourMeasurement(name="navy", lab=(16.0, 10.0, -22.0), conditions=conditions)

    with pytest.raises(InvalidInput, match="nobody said under which illuminant and observer"):
        lab_under(read, "D65/10")
    with pytest.raises(InvalidInput, match="nobody said"):
        colour_of(read)


def test_an_unknown_condition_lists_those_there_are():
    with pytest.raises(InvalidInput, match="there are: D65/10, D50/2"):
        lab_under(ColourMeasurement(name="grey", spectrum=FLAT), "D93/2")


def test_a_reading_whose_colour_and_spectrum_part_is_told():
    read = ColourMeasurement(name="grey", lab=(74.0, 0.0, 0.0), spectrum=FLAT, conditions=D65)

    (sentence,) = lab_under(read, "D50/2").warnings

    assert "grey and its spectrum are ΔE*ab" in sentence
    assert lab_under(dataclasses.replace(read, lab=(76.07, 0.0, 0.0)), "D50/2").warnings == ()


def test_a_sample_that_glows_is_told():
    glowing = Spectrum(start_nm=400, step_nm=10, values=(0.8, 0.9, 1.1, 1.2, 1.15, *[0.88] * 26))

    (sentence,) = lab_under(ColourMeasurement(name="white cloth", spectrum=glowing), "D65/10").warnings

    assert "white cloth reflects 1.20 of the light in a band, so it glows" in sentence


def test_the_colour_of_a_reading_fits_a_shelf():
    read = ColourMeasurement(name="black", spectrum=dataclasses.replace(FLAT, values=(-0.01, *[0.02] * 29, 1.05)))

    colour = colour_of(read)

    assert len(colour.spectrum) == 36
    assert (min(colour.spectrum), max(colour.spectrum)) == (0.0, 1.0)
    assert band_factors(read).min() == -0.01
    assert colour_of(ColourMeasurement(name="red", lab=(40.0, 50.0, 20.0), conditions=D65)).lab_condition == "D65/10"


def test_a_spectrum_too_short_for_a_colour_is_refused_by_the_sample_s_name():
    short = ColourMeasurement(name="stub", spectrum=Spectrum(start_nm=450, step_nm=10, values=(0.5,) * 20))

    with pytest.raises(InvalidInput, match="stub: the spectrum runs from 450 to 640 nm"):
        lab_under(short, "D65/10")


def read_with(**conditions) -> ColourMeasurement:
    return ColourMeasurement(name="one", spectrum=FLAT, conditions=Conditions(**conditions))


@pytest.mark.parametrize(
    ("one", "other", "what"),
    [
        ({"mode": MeasurementMode.M3}, {"mode": MeasurementMode.M0}, "M3 has polarising filters"),
        ({"geometry": Geometry.D8_EXCLUDED}, {"geometry": Geometry.D8_INCLUDED}, "holds the gloss of the surface"),
        ({"geometry": Geometry.G45_0}, {"geometry": Geometry.D8_INCLUDED}, "holds the gloss of the surface"),
        ({"backing": Backing.BLACK}, {"backing": Backing.WHITE}, "what lies below shows"),
    ],
)
def test_readings_that_mean_different_things_are_not_compared(one, other, what):
    for pair in ((one, other), (other, one)):
        with pytest.raises(InvalidInput, match=f"{what}.*; read both alike"):
            labs_to_compare([read_with(**conditions) for conditions in pair], "D65/10")


@pytest.mark.parametrize(
    ("one", "other", "what"),
    [
        ({"mode": MeasurementMode.M0}, {"mode": MeasurementMode.M1}, "different shares of ultraviolet"),
        ({"mode": MeasurementMode.M2}, {}, "nobody said the measurement condition"),
        ({"geometry": Geometry.G45_0}, {"geometry": Geometry.D8_EXCLUDED}, "in a sphere and at 45 degrees"),
        ({"geometry": Geometry.G45_0}, {}, "nobody said the geometry"),
        ({"backing": Backing.SELF}, {"backing": Backing.WHITE}, "different things lay below"),
        ({"backing": Backing.CLOTH}, {}, "nobody said what lay below"),
        ({"instrument": "old one"}, {"instrument": "new one"}, "two instruments differ"),
    ],
)
def test_readings_that_may_differ_by_how_they_were_read_are_compared_with_a_warning(one, other, what):
    for pair in ((one, other), (other, one)):
        labs, warnings = labs_to_compare([read_with(**conditions) for conditions in pair], "D65/10")

        assert len(labs) == 2
        assert len(warnings) == 1
        assert what in warnings[0]


def test_light_may_go_the_same_way_back():
    assert differences(Conditions(geometry=Geometry.G45_0), Conditions(geometry=Geometry.G0_45)) == ()


def test_every_pair_of_values_has_a_verdict():
    for field, values in (("mode", MeasurementMode), ("geometry", Geometry), ("backing", Backing)):
        for a, b in itertools.combinations(values, 2):
            found = differences(Conditions(**{field: a}), Conditions(**{field: b}))
            same = {a, b} == {Geometry.G45_0, Geometry.G0_45}

            assert [one.field for one in found] == ([] if same else [field])


def test_every_clash_says_why_and_how_sure_that_is():
    fields = dict(WORDS)
    for clash in CLASHES:
        assert clash.field in fields
        assert clash.reason
        assert clash.source
    assert {clash.verdict for clash in CLASHES} == set(Verdict)


GRADES = [GreyScaleGrade(value=half / 2) for half in range(2, 11)]


@pytest.mark.parametrize(
    ("interval", "grade_of"),
    [(staining_interval, staining_grade_of_difference), (change_interval, change_grade_of_difference)],
)
def test_intervals_of_grades_join_and_hold_what_rounds_to_the_grade(interval, grade_of):
    for better, worse in zip(GRADES[:0:-1], GRADES[-2::-1], strict=True):
        assert interval(better)[1] == pytest.approx(interval(worse)[0])
    assert interval(GRADES[-1])[0] == 0
    assert interval(GRADES[0])[1] == math.inf
    for grade in GRADES:
        low, high = interval(grade)
        for difference in np.linspace(low, min(high, 60.0), 7)[1:-1]:
            assert rounded_grade(grade_of(difference)) == grade.value


@pytest.mark.parametrize("row", [r for r in reference_rows("grey_scale_steps") if r["quantity"] == "difference"])
def test_the_chip_of_a_grade_lies_in_the_interval_of_the_grade(row):
    interval = {"change": change_interval, "staining": staining_interval}[row["scale"]]

    low, high = interval(GreyScaleGrade(value=float(row["step"])))

    assert low <= float(row["expected"]) <= high


@given(st.sampled_from(GRADES))
def test_worse_grades_stand_for_larger_differences(grade):
    low, high = staining_interval(grade)

    assert 0 <= low < high
