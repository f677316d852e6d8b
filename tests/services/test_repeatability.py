"""The shop's own repeatability: pooled over sets of repeats."""

import datetime as dt
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.domain.measurement import ColourMeasurement, Conditions, GreyScaleGrade
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading
from laydown.services.repeatability import limit_of, pooled, repeatability_of, repeats
from reference_tables import reference_rows

NOON = dt.datetime(2026, 12, 1, 12, tzinfo=dt.UTC)


def colour(lightness, *, minutes=0, swatch=1, operator="Pit", instrument="A", part="warm half", number=0, **more):
    value = ColourMeasurement(
        name="w",
        lab=(lightness, 0.0, 0.0),
        conditions=Conditions(illuminant="D65", observer="10", instrument=instrument),
    )
    taken = NOON + dt.timedelta(minutes=minutes)
    return Reading(
        swatch=swatch,
        reads=Reads.COLOUR,
        value=value,
        taken_at=taken,
        operator=operator,
        part=part,
        number=number,
        **more,
    )


@pytest.mark.parametrize("row", reference_rows("repeatability"))
def test_the_pooled_variance_is_that_of_a_worked_example(row):
    groups = [[[float(word)] for word in group.split()] for group in row["readings"].split(";")]
    deviation, freedom = pooled(groups)

    assert freedom == 12
    assert deviation**2 == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=1, max_size=20))
def test_of_duplicates_it_is_half_the_mean_square_of_their_differences(pairs):
    """The special case that IUPAC's definition names: s = sqrt(sum of d² / 2k)."""
    deviation, freedom = pooled([[[a], [b]] for a, b in pairs])

    assert freedom == len(pairs)
    assert deviation == pytest.approx(math.sqrt(sum((a - b) ** 2 for a, b in pairs) / (2 * len(pairs))), abs=1e-9)


def test_noise_of_a_known_size_is_found_again():
    rng = np.random.default_rng(1)
    groups = [list(90 + rng.normal(0, 0.3, (3, 3))) for _ in range(400)]
    deviation, freedom = pooled(groups)

    # Three independent coordinates of 0.3 each: the distance from the mean has 0.3 times the root of three.
    assert freedom == 800
    assert deviation == pytest.approx(0.3 * math.sqrt(3), rel=0.05)
    assert limit_of(1.0) == 2.8


def test_repeats_are_of_one_swatch_part_person_and_instrument_within_an_hour():
    together = [colour(90.0), colour(90.2, minutes=5), colour(90.1, minutes=40)]
    apart = [
        colour(91.0, minutes=90),
        colour(91.0, swatch=2),
        colour(91.0, operator="Lea"),
        colour(91.0, instrument="B"),
        colour(91.0, part="cool half"),
    ]
    assert [len(group) for group in repeats([*together, *apart])] == [3]


def test_it_is_told_of_all_of_an_instrument_and_of_a_person_with_it():
    rows = [colour(90.0), colour(90.2), colour(80.0, operator="Lea"), colour(80.6, operator="Lea")]
    found = {(one.instrument, one.operator): one for one in repeatability_of(rows)}

    assert set(found) == {("", ""), ("A", ""), ("A", "Pit"), ("A", "Lea")}
    assert found["A", "Pit"].deviation == pytest.approx(0.2 / math.sqrt(2))
    assert found["A", "Lea"].deviation == pytest.approx(0.6 / math.sqrt(2))
    assert found["", ""].freedom == 2
    assert found["", ""].limit == pytest.approx(2.8 * found["", ""].deviation)


def test_grades_by_eye_are_pooled_too_and_photos_and_verdicts_never():
    taken = {"swatch": 1, "taken_at": NOON, "operator": "Pit"}
    grades = [Reading(reads=Reads.STAINING, value=GreyScaleGrade(value=v), **taken) for v in (4.0, 4.5)]
    verdicts = [Reading(reads=Reads.VERDICT, value=v, **taken) for v in (True, False)]
    found = repeatability_of([*grades, *verdicts])

    assert {one.reads for one in found} == {Reads.STAINING}
    assert found[0].deviation == pytest.approx(0.5 / math.sqrt(2))


def test_without_repeats_nothing_is_told():
    assert repeatability_of([colour(90.0), colour(90.0, minutes=200)]) == ()
