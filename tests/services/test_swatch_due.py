"""When a swatch's readings are due, and which of them are there."""

import datetime as dt

import pytest

from laydown.documents.protocol_file import protocol_named, shipped_protocols
from laydown.domain.measurement import GreyScaleGrade
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading
from laydown.domain.swatch import Swatch, SwatchState
from laydown.services.swatch_due import due_of, state_after
from laydown.units import DAY, HOUR

MADE = dt.datetime(2026, 12, 1, 8, tzinfo=dt.UTC)
OVEN = protocol_named("oven-bleed")


def swatch(**changes):
    return Swatch(**({"protocol": OVEN.name, "garment": "tee", "number": 1, "made_at": MADE} | changes))


def graded(hours, *, part="warm half", number=1, **more):
    return Reading(
        swatch=1,
        reads=Reads.STAINING,
        value=GreyScaleGrade(value=4.0),
        taken_at=MADE + dt.timedelta(hours=hours),
        operator="Pit",
        part=part,
        number=number,
        **more,
    )


def test_readings_are_due_in_the_order_of_the_test_counted_from_the_dryer():
    due = due_of(swatch(), OVEN, ())

    assert [one.wanted.after for one in due] == sorted(one.after for one in OVEN.readings)
    assert all(one.at == MADE + dt.timedelta(seconds=one.wanted.after) for one in due)


@pytest.mark.parametrize(
    ("hours", "state"), [(-40, "later"), (-30, "soon"), (0, "now"), (6, "now"), (6.4, "overdue"), (900, "overdue")]
)
def test_a_reading_is_soon_now_and_then_overdue(hours, state):
    (grade,) = [one for one in due_of(swatch(), OVEN, ()) if one.wanted.reads is Reads.STAINING]
    # Due 63 h after the dryer; late after a tenth of that; soon from two days before.
    assert grade.wanted.after == 63 * HOUR
    now = MADE + dt.timedelta(hours=63 + hours - (10 if hours == -40 else 0))
    assert grade.state(now) == state


def test_before_it_is_made_nothing_is_due():
    due = due_of(swatch(made_at=None), OVEN, ())

    assert {one.state(MADE) for one in due} == {"planned"}


def test_a_reading_counts_for_the_due_one_that_is_nearest_in_time():
    due = due_of(swatch(), OVEN, (graded(70),))
    (grade,) = [one for one in due if one.wanted.reads is Reads.STAINING]

    assert grade.done
    assert sum(len(one.taken) for one in due) == 1


def test_a_corrected_reading_counts_once_and_one_of_another_part_not_at_all():
    rows = (graded(63), graded(63, number=2, corrects=1), graded(63, part="cool half", number=3))
    (grade,) = [one for one in due_of(swatch(), OVEN, rows) if one.wanted.reads is Reads.STAINING]

    assert [one.number for one in grade.taken] == [2]


def test_a_swatch_is_read_when_every_reading_is_there_and_never_before_it_is_made():
    tape = protocol_named("tape")
    made = swatch(protocol="tape", state=SwatchState.MADE)
    verdict = Reading(swatch=1, reads=Reads.VERDICT, value=True, taken_at=MADE + dt.timedelta(days=1), operator="Pit")
    photo = Reading(swatch=1, reads=Reads.PHOTO, value="0" * 64, taken_at=MADE + dt.timedelta(days=1), operator="Pit")

    assert state_after(made, due_of(made, tape, (verdict,))) is SwatchState.MADE
    assert state_after(made, due_of(made, tape, (verdict, photo))) is SwatchState.READ
    dropped = swatch(protocol="tape", state=SwatchState.DROPPED)
    assert state_after(dropped, due_of(dropped, tape, (verdict, photo))) is SwatchState.DROPPED


@pytest.mark.parametrize("protocol", shipped_protocols(), ids=lambda one: one.name)
def test_every_test_is_read_through_by_its_own_plan(protocol):
    """Reading everything exactly when it is due leaves nothing due."""
    values = {Reads.STAINING: GreyScaleGrade(value=4.0), Reads.CHANGE: GreyScaleGrade(value=4.0), Reads.VERDICT: True}
    values |= {Reads.MASS: 0.1, Reads.TEMPERATURE: 430.0, Reads.TONE: 0.5, Reads.PHOTO: "0" * 64}
    from laydown.domain.measurement import ColourMeasurement

    values[Reads.COLOUR] = ColourMeasurement(name="w", lab=(90.0, 0.0, 0.0))
    rows = [
        Reading(
            swatch=1,
            reads=due.reads,
            value=values[due.reads],
            taken_at=MADE + dt.timedelta(seconds=due.after + i),
            operator="Pit",
            part=due.part,
            number=i + 1,
        )
        for i, due in enumerate(due for due in protocol.readings for _ in range(due.times))
    ]
    made = swatch(protocol=protocol.name)

    assert all(one.done for one in due_of(made, protocol, rows))
    assert protocol.wait <= 15 * DAY
