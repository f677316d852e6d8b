import pytest

from laydown.data.catalogue import parse_quantities, parse_sources
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput


def test_a_source_keeps_all_that_is_said_of_it():
    source = parse_sources('[x]\ncitation="C"\ngrade="published"\nread="2026-11"\ndoi="10.1/2"', where="s")["x"]

    assert (source.citation, source.grade, source.read, source.doi) == ("C", Grade.PUBLISHED, "2026-11", "10.1/2")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[x", "s.toml: this is no TOML"),
        ('x = "y"', "'x' stands outside of a .table."),
        ('[x]\ngrade = "published"', r"s.toml, \[x\]: 'citation' is missing"),
        ('[x]\ncitation = "C"', "'grade' is missing"),
        ('[x]\ncitation = "C"\ngrade = "hearsay"', "grade 'hearsay' is unknown; allowed are measured here, published"),
        ('[x]\ncitation = " "\ngrade = "published"', "citation must be a text that is not empty"),
        ('[x]\ncitation = "C"\ngrade = "published"\nread = 2026', "read must be a text"),
        ('[x]\ncitation = "C"\ngrade = "published"\npage = "7"', "'page' is unknown; allowed are citation, grade"),
    ],
)
def test_a_source_that_breaks_a_rule_says_where_and_what(text, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        parse_sources(text, where="s.toml")


def test_a_quantity_accepts_its_si_unit_and_those_it_names():
    kind = parse_quantities('[t]\nmeaning="m"\nunit="m"\nunits=["um"]\nlow=0\nhigh=1', where="q")["t"]

    assert (kind.units, kind.low, kind.high) == (("m", "um"), 0.0, 1.0)


def test_a_word_has_its_choices():
    assert parse_quantities('[t]\nmeaning="m"\nwords=["a", "b"]', where="q")["t"].words == ("a", "b")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('[t]\nmeaning="m"', r"q.toml, \[t\]: 'unit' is missing"),
        ('[t]\nmeaning="m"\nunit="m"\nlow=0', "'high' is missing"),
        ('[t]\nmeaning="m"\nunit="furlong"\nlow=0\nhigh=1', "unit 'furlong' is unknown"),
        ('[t]\nmeaning="m"\nunit="m"\nunits=["degC"]\nlow=0\nhigh=1', "unit 'degC' is unknown or is no unit of the"),
        ('[t]\nmeaning="m"\nunit="um"\nlow=0\nhigh=1', "unit 'um' is unknown or is no unit of the same kind"),
        ('[t]\nmeaning="m"\nunit="m"\nlow=1\nhigh=1', "finite numbers with low < high"),
        ('[t]\nmeaning="m"\nunit="m"\nlow=0\nhigh=inf', "finite numbers with low < high"),
        ('[t]\nmeaning="m"\nunit="m"\nlow="0"\nhigh=1', "finite numbers with low < high"),
        ('[t]\nmeaning="m"\nunit="m"\nlow=false\nhigh=1', "finite numbers with low < high"),
        ('[t]\nmeaning="m"\nwords=["a"]\nunit="m"', "'unit' is unknown; allowed are meaning, words"),
    ],
)
def test_a_quantity_that_breaks_a_rule_says_where_and_what(text, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        parse_quantities(text, where="q.toml")
