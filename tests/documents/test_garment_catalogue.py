"""A mill's catalogue in its own layout becomes garments; what is wrong is told row by row."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.documents.garment_catalogue import (
    CatalogueMapping,
    catalogue_heads,
    read_catalogue,
    suggested_mapping,
)
from laydown.domain.garment import Dye, Structure
from laydown.errors import InvalidInput
from laydown.units import to_gsm, to_oz_per_yd2

ENGLISH = b"""Style,Colour,Hex,Fabric,GSM,Price,Knit
Pier tee,navy,20263f,"50% cotton, 50% polyester",180 g/m2,$2.90,Single jersey
Pier tee,red,#8c1d2f,100% cotton,"1,180",3,jersey
"""
GERMAN = "Artikel;Farbe;Zusammensetzung;Gewicht g/m²;Preis\nHemd;weiß;100% Baumwolle;185,5;1.002,90 €\n"
MAPPING = CatalogueMapping(
    columns={
        "name": ("Style", "Colour"),
        "colour": ("Hex",),
        "care_label": ("Fabric",),
        "mass_gsm": ("GSM",),
        "price": ("Price",),
        "structure": ("Knit",),
    },
    fixed={"dye": "reactive", "grade": "maker's sheet", "source": "the mill's list of May"},
    words={"structure": {"single jersey": "jersey"}},
)


def one_row(**cells):
    row = {"n": "x", "c": "100% cotton", "m": "180", "s": "jersey", "h": "#ffffff"} | cells
    content = ",".join(row) + "\n" + ",".join(f'"{cell}"' for cell in row.values()) + "\n"
    columns = {"name": ("n",), "care_label": ("c",), "mass_gsm": ("m",), "structure": ("s",), "colour": ("h",)}
    extra = {key: (key,) for key in cells if key not in {"n", "c", "m", "s", "h"}}
    return read_catalogue(content.encode(), CatalogueMapping(columns=columns | extra), "list.csv")


def test_rows_become_garments_and_the_wrong_one_is_told_by_line_and_column():
    read = read_catalogue(ENGLISH, MAPPING, "list.csv")

    (row,) = read.rows
    garment = row.garment
    assert (row.line, garment.name, garment.price) == (2, "Pier tee navy", 2.9)
    assert dict(garment.content.shares) == {"cotton": 0.5, "polyester": 0.5}
    assert (garment.structure, garment.dye, garment.colour.srgb) == (Structure.JERSEY, Dye.REACTIVE, "#20263f")
    assert to_gsm(garment.areal_mass.value) == pytest.approx(180)
    assert garment.areal_mass.source == "the mill's list of May"
    (mistake,) = read.mistakes
    assert (mistake.line, mistake.column, mistake.value) == (3, "GSM", "1,180")
    assert "20 to 1000" in mistake.what


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_a_german_list_with_semicolons_and_decimal_commas_is_read_in_either_encoding(encoding):
    content = GERMAN.encode(encoding)
    suggested = suggested_mapping(catalogue_heads(content, "liste.csv"))
    mapping = CatalogueMapping(
        columns=suggested.columns, fixed={"structure": "jersey", "colour": "#ffffff", "dye": "undyed"}
    )
    (row,) = read_catalogue(content, mapping, "liste.csv").rows

    assert row.garment.name == "Hemd weiß"
    assert to_gsm(row.garment.areal_mass.value) == pytest.approx(185.5)
    assert row.garment.price == 1002.9


def test_ounces_are_read_as_ounces():
    (row,) = read_catalogue(
        b"n\toz\nx\t5.3\n",
        CatalogueMapping(
            columns={"name": ("n",), "mass_oz_yd2": ("oz",)},
            fixed={"care_label": "100% cotton", "structure": "jersey", "colour": "#ffffff"},
        ),
        "l",
    ).rows
    assert to_oz_per_yd2(row.garment.areal_mass.value) == pytest.approx(5.3)


@pytest.mark.parametrize(
    ("cells", "column", "words"),
    [
        ({"c": "100% unobtainium"}, "c", "unobtainium"),
        ({"m": "heavy"}, "m", "no number"),
        ({"m": "-3"}, "m", "20 to 1000"),
        ({"s": "knitted"}, "s", "jersey"),
        ({"h": "navy"}, "", "#rrggbb"),
        ({"coated": "perhaps"}, "coated", "yes or no"),
        ({"n": "x" * 81}, "n", "at most 80"),
        ({"s": ""}, "", "structure is missing"),
    ],
)
def test_a_wrong_cell_is_told_with_what_would_be_allowed(cells, column, words):
    read = one_row(**cells)

    assert read.rows == ()
    assert [(one.line, one.column) for one in read.mistakes] == [(2, column)]
    assert words in read.mistakes[0].what


def test_every_wrong_cell_of_a_row_is_told():
    read = one_row(c="100% unobtainium", m="heavy", s="knitted")

    assert {one.column for one in read.mistakes} == {"c", "m", "s"}


def test_a_name_that_comes_twice_and_a_short_row_are_told():
    content = b"n,c\nx,100% cotton\nx,100% cotton\ny\n\n"
    mapping = CatalogueMapping(
        columns={"name": ("n",), "care_label": ("c",)},
        fixed={"structure": "jersey", "mass_gsm": 180, "colour": "#ffffff"},
    )
    read = read_catalogue(content, mapping, "l")

    assert [row.line for row in read.rows] == [2]
    assert [(one.line, one.what[:20]) for one in read.mistakes] == [
        (3, "the name stands in l"),
        (4, "1 cells, but the hea"),
    ]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\n\n", "empty"),
        (b'a,b\n"x', "not CSV"),
        (b"a,a\n1,2\n", "stands twice"),
        (b"x" * 5_000_001, "larger than 5 MB"),
    ],
)
def test_a_file_that_is_no_catalogue_is_refused(content, words):
    with pytest.raises(InvalidInput, match=words):
        catalogue_heads(content, "list.csv")


@pytest.mark.parametrize(
    "mapping",
    [
        CatalogueMapping(columns={"weight": ("GSM",)}),
        CatalogueMapping(columns={"mass_gsm": ("Weight",)}),
        CatalogueMapping(columns={"mass_gsm": ("GSM", "Price")}),
        CatalogueMapping(columns={"mass_gsm": ()}),
        CatalogueMapping(columns={}, fixed={"mass_gsm": "heavy"}),
        CatalogueMapping(columns={}, fixed={"spectrum": "a.csv"}),
        CatalogueMapping(columns={}, words={"knit": {}}),
        CatalogueMapping(columns={}, decimal=";"),
    ],
)
def test_a_mapping_that_cannot_be_is_refused(mapping):
    with pytest.raises(InvalidInput, match="mapping"):
        read_catalogue(ENGLISH, mapping, "list.csv")


@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
def test_any_bytes_are_read_or_refused_with_a_sentence(content):
    def read():
        heads = catalogue_heads(content, "list.csv")
        mapping = CatalogueMapping(columns={"name": heads[:1], "care_label": heads[-1:]})
        return read_catalogue(content, mapping, "list.csv")

    try:
        read()
    except InvalidInput:
        with pytest.raises(InvalidInput, match=r"\A(list\.csv|mapping)"):
            read()
