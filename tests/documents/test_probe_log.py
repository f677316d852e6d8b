"""What a logger wrote is read back; what nobody could mean is told in one sentence with its line."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from probe_texts import written_logs

from laydown.documents.probe_conditions import conditions_from, conditions_table
from laydown.documents.probe_log import preview_probe_log, read_probe_log
from laydown.documents.probe_log_cells import clock_seconds, number
from laydown.documents.probe_log_mapping import guess_mapping, mapping_from, mapping_text
from laydown.documents.probe_log_sheet import probe_sheet
from laydown.domain.probe_log import (
    ColumnUse,
    DegreeUnit,
    Lane,
    ProbeChannel,
    ProbeConditions,
    ProbeLog,
    ProbeMapping,
    Spot,
)
from laydown.errors import InvalidInput

PLAIN = "Time (s);Left °C;Right °C\n0;24,5;24,0\n1;24,6;---\n2;80,5;79,0\n3;90,5;88,0\n"


def read(text, **more):
    return read_probe_log(text.encode(), where="log.csv", **more)


def seen(text, **more):
    return preview_probe_log(text.encode(), where="log.csv", **more)


@given(written_logs())
def test_what_is_written_in_an_allowed_form_is_read_back(written):
    log = read_probe_log(written.content, where="log.csv")

    assert len(log.channels) == len(written.celsius)
    for channel, celsius in zip(log.channels, written.celsius, strict=True):
        kept = [(t, c) for t, c in zip(written.times, celsius, strict=True) if c is not None]
        assert channel.times == pytest.approx([t for t, _ in kept], abs=1e-3)
        assert [k - 273.15 for k in channel.temperatures] == pytest.approx([c for _, c in kept], abs=0.011)


@given(written_logs())
def test_a_mapping_that_is_written_down_reads_the_same_log(written):
    sheet = probe_sheet(written.content, where="log.csv")
    mapping, _ = guess_mapping(sheet)
    again = mapping_from(mapping_text(mapping))

    assert again == mapping
    assert read_probe_log(written.content, where="log.csv", mapping=again) == read_probe_log(
        written.content, where="log.csv"
    )


@st.composite
def damaged(draw):
    content = bytearray(draw(written_logs()).content)
    for _ in range(draw(st.integers(1, 8))):
        place = draw(st.integers(0, max(0, len(content) - 1)))
        what = draw(st.sampled_from(["drop", "change", "double", "cut"]))
        if what == "drop":
            del content[place : place + draw(st.integers(1, 20))]
        elif what == "change" and content:
            content[place] = draw(st.integers(0, 255))
        elif what == "double":
            content[place:place] = content[place : place + 30]
        else:
            del content[place:]
    return bytes(content)


@given(damaged())
@example(b"")
@example(b"\x00\x00\x00")
@example(b"0;1\n")
@example(b";;;\n;;;\n")
@example("﻿".encode())
def test_damaged_text_gives_a_log_or_a_sentence(content):
    found = log_or_sentence(content)

    assert isinstance(found, ProbeLog) or (str(found).startswith("log.csv") and "\n" not in str(found))


@given(st.text(max_size=300))
def test_any_text_gives_a_log_or_a_sentence(text):
    found = log_or_sentence(text.encode())

    assert isinstance(found, ProbeLog) or found.where.startswith("log.csv")


def log_or_sentence(content):
    try:
        return read_probe_log(content, where="log.csv")
    except InvalidInput as error:
        return error


@pytest.mark.parametrize(
    ("text", "where", "what"),
    [
        (PLAIN.replace("79,0", "79,0x"), "line 4", "'Right' reads '79,0x', which is no temperature"),
        (PLAIN.replace("\n2;", "\nzwei;"), "line 4", "the time reads 'zwei'"),
        (PLAIN.replace("\n2;", "\n0,5;"), "line 4", "lies before that of the row above"),
        (PLAIN.replace("\n2;", "\n;"), "line 4", "has a reading, but the row has no time"),
        (PLAIN.replace("79,0", "7900"), "line 4", "which no thermocouple in a dryer does"),
        ("a;b\nc;d\n", "log.csv", "no rows with a time and a temperature were found"),
        ("", "log.csv", "the file is empty"),
    ],
)
def test_a_mistake_is_told_with_its_line(text, where, what):
    with pytest.raises(InvalidInput) as caught:
        read(text)

    assert where in caught.value.where
    assert what in caught.value.what


def test_a_file_without_a_time_that_moves_is_refused():
    with pytest.raises(InvalidInput, match="no column holds times that rise"):
        read("5;20;21\n5;20;21\n5;20;21\n")


def test_a_file_with_nothing_but_times_is_refused():
    with pytest.raises(InvalidInput, match="holds temperatures"):
        read("Time;Time 2\n0;0\n1;1\n2;2\n")


def test_the_preview_says_what_was_understood_and_what_was_passed_over():
    preview = seen(PLAIN + "End of log\n")

    assert preview.problem is None
    assert preview.heads == ("Time (s)", "Left °C", "Right °C")
    assert preview.sample[0] == (2, ("0", "24,5", "24,0"))
    assert preview.told == (
        "4 rows of readings, columns parted by semicolons, decimal comma",
        "the time is taken from 'Time (s)'",
        "temperatures are in °C, as the head says",
        "'Right' has no reading in 1 of 4 rows",
        "line 6 is passed over: 'End of log'",
    )


def test_a_preview_of_a_file_with_a_slip_still_shows_its_columns():
    preview = seen(PLAIN.replace("79,0", "79,0x"))

    assert preview.log is None
    assert "line 4" in preview.problem.where
    assert len(preview.mapping.channels) == 2


def test_lanes_and_places_are_read_from_the_heads():
    log = read("s,T1 links (C),T2 mitte unter (C),T3 rechts (C),Air (C)\n0,20,20,20,30\n1,21,21,21,31\n2,30,30,30,32\n")

    assert [(one.lane, one.spot) for one in log.channels] == [
        (Lane.LEFT, Spot.ON_PRINT),
        (Lane.CENTRE, Spot.UNDER_PRINT),
        (Lane.RIGHT, Spot.ON_PRINT),
        (Lane.CENTRE, Spot.AIR),
    ]
    assert len(log.on_garment) == 3


def test_temperatures_without_a_unit_are_told_by_their_size():
    hot = seen("0,75\n1,200\n2,320\n")
    cool = seen("0,24\n1,90\n2,160\n")

    assert hot.mapping.unit is DegreeUnit.FAHRENHEIT
    assert cool.mapping.unit is DegreeUnit.CELSIUS
    assert all("no unit is named; check it" in one.told[2] for one in (hot, cool))


def test_a_clock_that_shows_whole_seconds_only_is_spread_over_them():
    log = read("Time,T °C\n23:59:58,20\n23:59:58,21\n23:59:59,22\n23:59:59,23\n00:00:00,24\n00:00:00,25\n")

    assert log.channels[0].times == pytest.approx([0, 0.5, 1, 1.5, 2, 2.5])


def test_columns_can_be_told_otherwise():
    mapping = ProbeMapping(
        time_column=0,
        channels=(ColumnUse(column=2, name="the right one", lane=Lane.LEFT, spot=Spot.AIR),),
        unit=DegreeUnit.FAHRENHEIT,
    )
    log = read(PLAIN, mapping=mapping)

    assert log.channels[0].name == "the right one"
    assert log.channels[0].temperatures[0] == pytest.approx((24 - 32) / 1.8 + 273.15)
    with pytest.raises(InvalidInput, match="column 3 is asked for, but the file has 2"):
        read("0;20\n1;30\n", mapping=mapping)


def test_more_than_six_columns_are_cut_to_six():
    rows = "\n".join(",".join([str(i), *(str(20 + i + k) for k in range(8))]) for i in range(4))

    preview = seen(rows)
    assert len(preview.log.channels) == 6
    assert "8 columns hold temperatures; the first 6 are taken" in preview.told


@pytest.mark.parametrize("text", ["[]", "{", '{"time_column": 0}', '{"time_column": 0, "unit": "K", "channels": []}'])
def test_a_mapping_that_is_none_is_refused(text):
    with pytest.raises(InvalidInput):
        mapping_from(text)


@pytest.mark.parametrize(
    ("cell", "seconds"),
    [
        ("14:03:05", 50_585.0),
        ("2:03:05.5 PM", 50_585.5),
        ("12:00:01 AM", 1.0),
        ("2026-11-25T14:03:05Z", 50_585.0),
        ("25.11.2026 14:03:05,25", 50_585.25),
        ("03:05", 185.0),
        ("14:03:75", None),
        ("14:75:05", None),
        ("now", None),
    ],
)
def test_clock_times(cell, seconds):
    assert clock_seconds(cell) == seconds


@pytest.mark.parametrize(("cell", "value"), [("-1,5", -1.5), ("153.2 °C", 153.2), ("1e2", 100.0), ("1,234.5", None)])
def test_numbers(cell, value):
    assert number(cell) == value


CHANNEL = {"name": "T1", "lane": Lane.LEFT, "spot": Spot.ON_PRINT, "times": (0.0, 1.0), "temperatures": (300.0, 310.0)}


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"times": (0.0,)}, "1 times and 2 temperatures"),
        ({"times": (0.0,), "temperatures": (300.0,)}, "at least 2"),
        ({"times": (1.0, 1.0)}, "must be numbers that rise"),
        ({"temperatures": (300.0, 3000.0)}, "allowed is 200 to 1600 K"),
        ({"name": " "}, "needs a name"),
    ],
)
def test_a_channel_cannot_be_wrong(change, what):
    with pytest.raises(InvalidInput, match=what):
        ProbeChannel(**(CHANNEL | change))


def test_a_log_has_one_to_six_channels_with_names_of_their_own():
    channel = ProbeChannel(**CHANNEL)

    with pytest.raises(InvalidInput, match="allowed are 1 to 6"):
        ProbeLog(channels=())
    with pytest.raises(InvalidInput, match="names must differ"):
        ProbeLog(channels=(channel, channel))


def test_conditions_are_written_and_read_back():
    import datetime as dt

    conditions = ProbeConditions(
        dryer="Kiln", garment="Tee", date=dt.date(2026, 11, 25), setting=603.15, speed=None, film=1e-4, note="é"
    )

    assert conditions_from(conditions_table(conditions), where="x") == conditions
    with pytest.raises(InvalidInput, match="x"):
        conditions_from(conditions_table(conditions) | {"film_m": 1.0}, where="x")
