"""A file of readings that cannot be used is refused with one sentence: what, where, what would be allowed."""

import datetime as dt
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from measurement_mistakes import CGATS, CSV, CXF, FORMAT, HEAD, TABLE, cxf, thing
from measurement_strategies import readings
from measurement_writers import cgats, standing, table
from measurement_writers import cxf as written_cxf

from laydown.documents.measurement_file import Asked
from laydown.documents.measurement_import import read_measurements
from laydown.domain.measurement import Backing, Conditions
from laydown.errors import InvalidInput


@pytest.mark.parametrize(("text", "sentence"), [*CGATS, *CSV, *CXF])
def test_one_sentence_says_what_is_wrong_and_where(text, sentence):
    with pytest.raises(InvalidInput, match=sentence) as refused:
        read_measurements("readings", text.encode())

    assert str(refused.value).startswith("readings")
    assert "\n" not in str(refused.value)


def test_the_tables_that_the_mistakes_are_made_in_are_good():
    assert [one.lab for one in read_measurements("a", TABLE.encode()).measurements] == [(50, 0, 0), (60, 1, -1)]


def test_bad_rows_are_skipped_and_listed_when_asked_for():
    text = HEAD + FORMAT + "NUMBER_OF_SETS 9\nBEGIN_DATA\n1 50 0 0\n2 60 x -1\n3 60\n4 70 0 0\nEND_DATA\n"

    file = read_measurements("a.txt", text.encode(), asked=Asked(skip_bad=True))

    assert [one.name for one in file.measurements] == ["1", "4"]
    assert file.understood.skipped == (
        "a.txt, line 10 (2): a* is 'x'; a number is needed",
        "a.txt, line 11 (3): 2 cells, but there are 4 columns",
    )
    assert "NUMBER_OF_SETS is 9, but there are 4 rows" in file.understood.warnings


def test_bad_objects_of_cxf_are_skipped_and_listed_when_asked_for():
    good = thing("<ColorCIELab><L>50</L><A>1</A><B>1</B></ColorCIELab>")
    bad = thing("<ColorCIELab><L>500</L><A>1</A><B>1</B></ColorCIELab>")

    file = read_measurements("a.cxf", cxf(good + bad).encode(), asked=Asked(skip_bad=True))

    assert len(file.measurements) == 1
    assert len(file.understood.skipped) == 1


def test_what_a_file_does_not_say_may_be_added_and_what_it_says_goes_before():
    added = Conditions(illuminant="A", observer="2", backing=Backing.BLACK, operator="day shift")

    (one, _) = read_measurements("a", TABLE.encode(), asked=Asked(assumed=added)).measurements

    assert one.conditions == Conditions(illuminant="D65", observer="10", backing=Backing.BLACK, operator="day shift")


def test_tristimulus_values_take_the_white_that_is_given():
    text = "name;X;Y;Z\nwhite;0.9;1;0.8\n"

    (one,) = read_measurements("a", text.encode(), asked=Asked(white=(0.9, 1.0, 0.8))).measurements

    assert one.lab == pytest.approx((100, 0, 0))


def test_moments_without_a_zone_take_the_one_that_is_given_or_are_left_out():
    text = "name;L*;a*;b*;measured at\nx;50;0;0;2026-11-25T08:00\ny;50;0;0;25.11.2026\n"
    zone = dt.timezone(dt.timedelta(hours=1))

    bare = read_measurements("a", text.encode())
    given_zone = read_measurements("a", text.encode(), asked=Asked(zone=zone))

    assert [one.taken_at for one in bare.measurements] == [None, None]
    assert "moments such as '2026-11-25T08:00' are left out" in bare.understood.warnings[0]
    assert [one.taken_at for one in given_zone.measurements] == [dt.datetime(2026, 11, 25, 8, tzinfo=zone), None]


@pytest.mark.parametrize("change", [{"scale": "permille"}, {"white": (1.0, 0.0, 1.0)}])
def test_what_is_asked_for_must_make_sense(change):
    with pytest.raises(InvalidInput):
        Asked(**change)


def test_several_tables_have_conditions_of_their_own_and_useless_ones_are_told():
    second = TABLE.replace("D65", "D50").replace("10 degree", "2 degree")
    chart = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID RGB_R\nEND_DATA_FORMAT\nBEGIN_DATA\n1 5\nEND_DATA\n"
    without_format = HEAD + "BEGIN_DATA\n1 5\nEND_DATA\n"

    file = read_measurements("a", (TABLE + second + chart + without_format).encode())

    assert [one.conditions.condition for one in file.measurements] == ["D65/10"] * 2 + ["D50/2"] * 2
    assert [sentence.startswith("left out: a, table ") for sentence in file.understood.warnings] == [True, True]


def test_rows_broken_over_lines_and_names_with_blanks_between_tabs_are_read():
    broken = TABLE.replace("2 60 1 -1", "2 60\n   1 -1")
    tabs = TABLE.replace("2 60 1 -1", "two words\t60\t1\t-1")

    assert read_measurements("a", broken.encode()).measurements[1].lab == (60, 1, -1)
    assert read_measurements("a", tabs.encode()).measurements[1].name == "two words"


def test_wavelengths_in_pairs_with_their_values_are_read():
    fields = " ".join(["SPECTRAL_NM SPECTRAL_PCT"] * 31)
    cells = " ".join(f"{nm} {nm / 10 - 30:g}" for nm in range(400, 710, 10))
    text = f"{HEAD}BEGIN_DATA_FORMAT\nSAMPLE_NAME {fields}\nEND_DATA_FORMAT\nBEGIN_DATA\nx {cells}\nEND_DATA\n"

    (one,) = read_measurements("a", text.encode()).measurements

    assert one.spectrum.values == pytest.approx([(nm / 10 - 30) / 100 for nm in range(400, 710, 10)])


def test_what_instruments_write_before_their_table_and_into_its_head_is_believed():
    text = (
        "Instrument: sphere no. 4\nGeometry;SCI\nBacking = white tile\n\n"
        "Data name;L*(10°/D65);a*(10°/D65);b*(10°/D65);dE*ab;L*(2°/A);a*(2°/A);b*(2°/A)\nx;50,5;-1;2;0,3;51;1;2;\n"
    )

    file = read_measurements("export.csv", text.encode("cp1252"))

    (one,) = file.measurements
    assert one.lab == (50.5, -1, 2)
    assert one.conditions == Conditions(
        illuminant="D65", observer="10", geometry="d:8 included", backing="white", instrument="sphere no. 4"
    )
    assert dict(file.understood.columns_left_out)["L*(2°/A)"] == "Lab is used"


ENTITIES = "".join(f"<!ENTITY e{i + 1} '{f'&e{i};' * 10}'>" for i in range(12))


@pytest.mark.parametrize(
    "content",
    [
        f"<!DOCTYPE CxF [<!ENTITY e0 'x'>{ENTITIES}]><CxF>&e12;</CxF>".encode(),
        b"<CxF>" + b"<a/>" * 201_000 + b"</CxF>",
        b"<CxF>" + b"<a>" * 1_000_000,
        b"x" * 10_000_000,
        b"1 " * 2_400_000,
        b'"' * 4_900_000,
        b"\n" * 4_900_000 + b"x",
        (HEAD + "BEGIN_DATA_FORMAT\n" + "LAB_L " * 20_000 + "\nEND_DATA_FORMAT\n").encode() * 20,
        (HEAD + FORMAT + "BEGIN_DATA\n" + "1 2\n" * 900_000 + "END_DATA\n").encode(),
        ("name;L*;a*;b*\n" + ";" * 190_000 + "\n" + "1;" * 90_000).encode(),
        TABLE.encode("utf-16")[:-3],
        TABLE.encode("utf-16-le"),
        b"\xff\xfe\x00\xd8" + b"\x00" * 40,
        b"\x00" * 5000,
    ],
    ids=range(14),
)
def test_files_made_to_do_harm_are_refused_soon(content):
    begun = time.process_time()

    with pytest.raises(InvalidInput):
        read_measurements("bomb", content)

    # A loose bound: it tells seconds from minutes on any machine.
    assert time.process_time() - begun < 20


@st.composite
def files(draw):
    kind = draw(st.integers(0, 3))
    if kind == 3:
        return standing(draw(readings(colour=False, spectral=True, most=2)), delimiter=";", comma=True).encode()
    some = draw(readings(most=2))
    if kind == 0:
        return cgats(some, form="SPECTRAL_NM{}", percent=False, eol="\n", quote=False).encode()
    if kind == 1:
        return written_cxf(some, prefix="cc").encode(draw(st.sampled_from(["utf-8", "utf-16"])))
    marks = ("L*", "a*", "b*")
    return table(some, delimiter=",", comma=False, percent=False, band="{} nm", marks=marks).encode()


WORDS = (
    "nan",
    "1e999",
    "9" * 60,
    '"',
    "BEGIN_DATA\n",
    "END_DATA\n",
    "\n",
    "\t",
    "#",
    "<!DOCTYPE a>",
    "</",
    "&a;",
    "&#0;",
    "]]>",
    "-",
    ";",
    "%",
    "٣",
    "1_0",
    "0x1",
    "L*",
    "400",
)
PIECES = st.binary(max_size=4) | st.sampled_from(
    [b"\x00", b"\xef\xbb\xbf", b"\xff\xfe", *(word.encode() for word in WORDS)]
)


def read_or_sentence(content, *, skip_bad=False):
    """Readings of a file, or None when it is refused with one sentence."""
    try:
        return read_measurements("changed", content, asked=Asked(skip_bad=skip_bad))
    except InvalidInput as refused:
        return None if str(refused) and "\n" not in str(refused) else refused


@settings(max_examples=250, suppress_health_check=list(HealthCheck))
@given(files(), st.lists(st.tuples(st.floats(0, 1), st.integers(0, 12), PIECES), min_size=1, max_size=4), st.booleans())
def test_whatever_is_done_to_a_file_gives_readings_or_one_sentence(content, changes, skip_bad):
    for where, cut, piece in changes:
        at = int(where * len(content))
        content = content[:at] + piece + content[at + cut :]

    file = read_or_sentence(content, skip_bad=skip_bad)

    assert file is None or all("\n" not in line for line in file.lines)


@settings(max_examples=100)
@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_any_bytes_give_readings_or_one_sentence(content):
    file = read_or_sentence(content)

    assert file is None or file.measurements
