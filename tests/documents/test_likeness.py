"""An entry that is like another takes what it does not say itself."""

from hypothesis import given
from hypothesis import strategies as st

from laydown.documents.garment_file import GarmentEntry
from laydown.documents.ink_file import InkEntry
from laydown.documents.likeness import overlaid, with_likeness
from laydown.errors import InvalidInput


def garments(*entries):
    return with_likeness(entries, GarmentEntry, where="g.toml", shelf="garment")


def test_what_is_not_said_is_taken_over_and_what_is_said_stands():
    base = {"name": "a", "structure": "jersey", "price": 3, "colour": "#000000"}
    other = {"name": "b", "like": "a", "price": 4}

    assert garments(other, base)[0] == {"name": "b", "structure": "jersey", "price": 4, "colour": "#000000"}


def test_likeness_goes_over_several_steps():
    assert garments(
        {"name": "a", "price": 1, "lot": "x"}, {"name": "b", "like": "a", "price": 2}, {"name": "c", "like": "b"}
    )[2] == {"name": "c", "price": 2, "lot": "x"}


def test_another_unit_of_the_same_quantity_replaces_it():
    entries = with_likeness(
        [{"name": "a", "fusion_c": 160, "gel_c": 110}, {"name": "b", "like": "a", "cure_f": 300}],
        InkEntry,
        where="i.toml",
        shelf="ink",
    )

    assert entries[1] == {"name": "b", "gel_c": 110, "cure_f": 300}


def test_another_form_of_the_colour_replaces_all_of_it():
    base = {"name": "a", "lab": [30, 1, 2], "lab_condition": "D50/2"}

    assert garments(base, {"name": "b", "like": "a", "colour": "#123456"})[1] == {"name": "b", "colour": "#123456"}


def test_fibres_replace_a_care_label_and_the_other_way_round():
    assert overlaid({"care_label": "100% cotton"}, {"fibres": {"nylon": 100}}, GarmentEntry) == {
        "fibres": {"nylon": 100}
    }
    assert overlaid({"fibres": {"nylon": 100}}, {"care_label": "100% cotton"}, GarmentEntry) == {
        "care_label": "100% cotton"
    }


@given(parents=st.lists(st.integers(0, 9), min_size=10, max_size=10))
def test_any_likeness_ends_in_entries_or_in_a_sentence_about_a_circle(parents):
    entries = [{"name": str(i), "like": str(parent), "lot": str(i)} for i, parent in enumerate(parents)]
    del entries[0]["like"]
    told = ""
    merged = []
    try:
        merged = garments(*entries)
    except InvalidInput as error:
        told = str(error)

    assert "circle" in told or [entry["lot"] for entry in merged] == [str(i) for i in range(10)]
