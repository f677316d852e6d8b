"""Lists of masses and tones: what is read, and what is told of a line that cannot be."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.documents.reading_list import read_list
from laydown.domain.protocol import Reads
from laydown.errors import InvalidInput


def said(text, **more):
    return [
        (one.line, one.swatch, one.reads, one.part, one.area, one.value) for one in read_list("list.csv", text, **more)
    ]


def test_masses_of_pieces_are_read_from_one_line_a_piece():
    text = "# Tuesday\n\nSwatch,piece,before_g,after_g\n7,a,150.0,152.1\n7,b,151,\n"

    assert said(text) == [
        (4, 7, Reads.MASS, "before", "a", pytest.approx(0.150)),
        (4, 7, Reads.MASS, "after", "a", pytest.approx(0.1521)),
        (5, 7, Reads.MASS, "before", "b", pytest.approx(0.151)),
    ]


def test_cards_and_patches_are_read_with_decimal_commas_between_semicolons():
    text = "\ufeffswatch;bare_card_g;wet_card_g;film_percent;print_percent\n3;5,00;5,82;;\n4;;;30 %;41,5\n"

    assert said(text) == [
        (2, 3, Reads.MASS, "bare card", "", pytest.approx(0.005)),
        (2, 3, Reads.MASS, "wet card", "", pytest.approx(0.00582)),
        (3, 4, Reads.TONE, "strip", "30 %", pytest.approx(0.415)),
    ]


def test_a_moment_without_a_zone_takes_the_one_that_is_given():
    text = "swatch\tbefore_g\ttaken_at\n3\t150\t2026-11-20T08:00\n"

    (one,) = read_list("list.csv", text, zone=dt.UTC)

    assert one.taken_at == dt.datetime(2026, 11, 20, 8, 0, tzinfo=dt.UTC)
    with pytest.raises(InvalidInput, match="does not say its time zone"):
        read_list("list.csv", text)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "list.csv: the head with the names of the columns is missing"),
        ("swatch,before\n1,150", "line 1: the column 'before' is unknown"),
        ("swatch,before_g,before_g\n1,150,150", "line 1: the column 'before_g' stands twice"),
        ("piece,before_g\na,150", "line 1: the column 'swatch' is missing"),
        ("swatch,film_percent\n1,30", "a strip needs both columns"),
        ("swatch,piece\n1,a", "no column holds a reading"),
        ("swatch,before_g\n1", "line 2: 1 cells, but the head of the list has 2"),
        ("swatch,before_g\none,150", "line 2: 'one' is no swatch's number"),
        ("swatch,before_g\n" + "9" * 5000 + ",150", "is no swatch's number"),
        ("swatch,before_g,taken_at\n1,150,0001-01-01T00:00+14:00", "is no moment"),
        ("swatch,before_g\n1,heavy", "line 2: before_g is 'heavy'; a number is needed"),
        ("swatch,before_g\n1,nan", "line 2: before_g is nan; allowed are 0 to 10000"),
        ("swatch,before_g\n1,-3", "line 2: before_g is -3; allowed are 0 to 10000"),
        ("swatch,film_percent,print_percent\n1,30,140", "print_percent is 140; allowed are 0 to 100"),
        ("swatch,film_percent,print_percent\n1,30,", "line 2: a patch needs both"),
        ('swatch,before_g\n1,"150', "line 2: this line is not CSV"),
        ("swatch,before_g,taken_at\n1,150,Tuesday", "line 2: 'Tuesday' is no moment"),
        ("swatch,before_g\n1,\n", "list.csv: the list holds no reading"),
        ("swatch,before_g\n" + "1,150\n" * 2001, "more than 2000 readings"),
        ("x" * 200_001, "the list has 200001 characters"),
    ],
)
def test_what_cannot_be_read_is_told_in_a_sentence_with_its_line(text, told):
    with pytest.raises(InvalidInput) as error:
        read_list("list.csv", text)
    assert told in str(error.value)


@given(
    st.lists(st.tuples(st.integers(1, 999), st.integers(0, 9000), st.integers(0, 9000)), min_size=1, max_size=30),
    st.sampled_from([",", ";", "\t"]),
)
def test_what_is_written_is_read(rows, mark):
    lines = [mark.join(("swatch", "before_g", "after_g"))]
    lines += [mark.join((str(swatch), f"{before / 10}", f"{after / 10}")) for swatch, before, after in rows]

    found = read_list("list.csv", "\n".join(lines))

    assert [(one.swatch, round(one.value * 1e4)) for one in found] == [
        (swatch, mass) for swatch, before, after in rows for mass in (before, after)
    ]


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_a_sentence(text):
    try:
        found = read_list("list.csv", f"swatch,before_g\n{text}")
    except InvalidInput as error:
        told = str(error)
    else:
        told = f"list.csv: {len(found)} readings"
        assert all(one.reads is Reads.MASS for one in found)
    assert told.startswith("list.csv")
