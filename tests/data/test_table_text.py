import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.data.catalogue import QuantityKind, Source
from laydown.data.table_text import HEADER, is_long_form, parse_table
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput

SOURCES = {"book": Source(key="book", citation="A book", grade=Grade.PUBLISHED)}
KINDS = {
    "thread": QuantityKind(name="thread", meaning="", unit="m", units=("m", "um"), low=1e-5, high=5e-4),
    "weave": QuantityKind(name="weave", meaning="", words=("plain", "twill")),
}
GOOD = "43/80,thread,80,um,78,82,book,p. 7"


def parse(*rows, header=HEADER):
    return parse_table("\n".join(("# purpose", header, *rows)), where="made.csv", sources=SOURCES, kinds=KINDS)


def test_a_row_becomes_a_quantity_in_si_with_the_grade_and_place_of_its_source():
    thread = parse(GOOD).numbers["43/80"]["thread"]

    assert (thread.value, thread.low, thread.high) == pytest.approx((80e-6, 78e-6, 82e-6), rel=1e-14)
    assert thread.grade is Grade.PUBLISHED
    assert thread.source == "book: p. 7"


def test_a_row_without_interval_is_its_own_interval():
    thread = parse("a,thread,80,um,,,book,p. 7").numbers["a"]["thread"]

    assert thread.low == thread.value == thread.high


def test_a_word_stands_among_the_words_only():
    table = parse("a,weave,twill,,,,book,p. 7")

    assert table.words == {"a": {"weave": "twill"}}
    assert table.numbers == {}


def test_comments_empty_lines_spaces_and_quotes_are_read_as_meant():
    table = parse("", "# note", '"a, b", thread , 80 , um ,,, book ,"p. 7, left"')

    assert table.numbers["a, b"]["thread"].source == "book: p. 7, left"


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ("43/80,thread,80,um,,,pamphlet,p. 7", "source 'pamphlet' is unknown; sources.toml lists"),
        ("43/80,girth,80,um,,,book,p. 7", "quantity 'girth' is unknown; quantities.toml lists"),
        ("43/80,thread,80,mm,,,book,p. 7", "unit 'mm' does not fit thread; allowed are m, um"),
        ("43/80,thread,80,,,,book,p. 7", "unit '' does not fit thread"),
        ("43/80,thread,800,um,,,book,p. 7", r"value is 0.0008 m; allowed is 1e-05 to 0.0005 m"),
        ("43/80,thread,80,um,1,90,book,p. 7", "low is 1e-06 m; allowed is"),
        ("43/80,thread,80,um,70,900,book,p. 7", "high is 0.0009 m; allowed is"),
        ("43/80,thread,80,um,81,82,book,p. 7", "value 80 lies outside its own interval 81 to 82"),
        ("43/80,thread,80,um,78,,book,p. 7", "low and high must both be given or both be empty"),
        ("43/80,thread,eighty,um,,,book,p. 7", "value is 'eighty'; it must be a finite number"),
        ("43/80,thread,nan,um,,,book,p. 7", "value is 'nan'; it must be a finite number"),
        ("43/80,thread,inf,um,,,book,p. 7", "value is 'inf'; it must be a finite number"),
        ("43/80,thread,,um,,,book,p. 7", "value is ''; it must be a finite number"),
        ("43/80,thread,80,um,,,book,", "the place is missing"),
        (",thread,80,um,,,book,p. 7", "the name is missing"),
        ("43/80,thread,80,um,book,p. 7", "6 fields; a row has 8"),
        ("43/80,weave,satin,,,,book,p. 7", "weave is 'satin'; allowed are 'plain', 'twill'"),
        ("43/80,weave,plain,um,,,book,p. 7", "weave is a word; it has no unit"),
        ('43/80,thread,"80"x,um,,,book,p. 7', "this is no CSV"),
    ],
)
def test_a_row_that_breaks_a_rule_names_file_line_and_what_is_allowed(row, sentence):
    with pytest.raises(InvalidInput, match=sentence) as caught:
        parse(GOOD.replace("43/80", "other"), row)

    assert caught.value.where == "made.csv, line 4"


@pytest.mark.parametrize("again", [GOOD, GOOD.replace("80,um", "81,um")])
def test_the_same_value_twice_does_not_load(again):
    with pytest.raises(InvalidInput, match="line 4: thread of 43/80 stands twice"):
        parse(GOOD, again)


def test_the_same_word_twice_does_not_load():
    with pytest.raises(InvalidInput, match="line 4: weave of a stands twice"):
        parse("a,weave,twill,,,,book,p. 7", "a,weave,plain,,,,book,p. 7")


@pytest.mark.parametrize("text", ["", "# only a comment", "a,b,c", HEADER.replace("place", "spot")])
def test_a_table_without_its_header_does_not_load(text):
    with pytest.raises(InvalidInput, match="the first line must read 'name,quantity,value"):
        parse_table(text, where="made.csv", sources=SOURCES, kinds=KINDS)
    assert not is_long_form(text)


def test_bounds_themselves_are_allowed_even_after_a_conversion():
    table = parse("a,thread,10,um,,,book,p. 7", "b,thread,500,um,,,book,p. 7")

    assert set(table.numbers) == {"a", "b"}


@given(st.lists(st.text(max_size=30), max_size=6))
def test_any_text_loads_or_is_refused_in_a_sentence(lines):
    with pytest.raises(InvalidInput, match=r"^made\.csv, line \d+: "):
        parse(*lines, "and,at,last,a,row,that,is,wrong")
