import pytest

from laydown.data.label_words import (
    LANGUAGES,
    WordKind,
    all_fibre_names,
    fibre_codes,
    fibre_names,
    folded,
    label_words,
    parse_fibre_names,
    parse_label_words,
    phrase,
)
from laydown.domain.fibre import FIBRES
from laydown.errors import InvalidInput

HEADER = "name,language,fibre,source,place"


def test_spellings_compare_without_case_and_accents():
    assert folded("ÉLASTHANNE") == folded("elasthanne")
    assert phrase("Fibre métallique") == ("fibre", "metallique")
    assert phrase("lamb's wool") == ("lamb", "s", "wool")


def test_a_generic_name_means_itself():
    for fibre in FIBRES:
        assert fibre_names()[phrase(fibre)] == fibre


def test_names_in_five_languages_and_codes_are_shipped():
    assert {name.language for name in all_fibre_names()} == {*LANGUAGES, "code"}
    assert fibre_names()[("baumwolle",)] == "cotton"
    assert fibre_codes()["PES"] == "polyester"
    assert ("pes",) not in fibre_names()


def test_no_fibre_name_is_also_a_word_beside_it():
    assert set(fibre_names()) & set(label_words()) == set()


def test_words_of_every_kind_are_shipped():
    assert set(label_words().values()) == set(WordKind)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("name,language", "n.csv, line 1: the first line must read 'name,language,fibre"),
        (f"# c\n{HEADER}\nlaine,fr,wool,book", "n.csv, line 3: a line has 5 fields, none of them empty"),
        (f"{HEADER}\nlaine,fr,,book,p. 1", "a line has 5 fields, none of them empty"),
        (f"{HEADER}\n12,fr,wool,book,p. 1", "'12' holds no letter"),
        (f"{HEADER}\nlaine,xx,wool,book,p. 1", "language 'xx' is unknown; allowed are en, de, fr, es, it, code"),
        (f"{HEADER}\nlaine,fr,fleece,book,p. 1", "'fleece' is no generic fibre name; known are cotton"),
        (f"{HEADER}\nlaine,fr,wool,rumour,p. 1", "source 'rumour' is unknown"),
        (f"{HEADER}\nlana,es,wool,book,p. 1\nLana,it,silk,book,p. 1", "line 3: 'Lana' stands for two fibres"),
    ],
)
def test_a_table_of_names_that_breaks_a_rule_says_where_and_what(text, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        parse_fibre_names(text, where="n.csv", known_sources={"book"})


def test_a_code_may_be_spelled_like_a_word_of_another_fibre():
    names = parse_fibre_names(f"{HEADER}\nse,es,wool,book,p\nSE,code,silk,book,p", where="", known_sources={"book"})

    assert [name.fibre for name in names] == ["wool", "silk"]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("word,kind", "the first line must read 'word,language,kind'"),
        ("word,language,kind\nsoft,en,feel", "kind 'feel' is unknown; allowed are main, part, heading, filler, denial"),
        ("word,language,kind\nsoft,en,filler\nSoft,de,part", "line 3: 'Soft' stands under two kinds"),
    ],
)
def test_a_table_of_words_that_breaks_a_rule_says_where_and_what(text, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        parse_label_words(text, where="w.csv")
