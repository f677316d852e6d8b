"""Shelves are shown, changed and never lose what somebody wrote."""

from __future__ import annotations

import itertools
import re
from html import unescape

import pytest
from web_clients import log_in, post, store_of, token_in

from laydown.domain.shop import Preferences
from laydown.services import people, shelf_editing
from laydown.services.shelf_editing import SETTINGS, SHELVES
from laydown.services.shelf_editing_rows import rows_of
from laydown.services.shelf_editing_shown import shown_item
from laydown.services.shelf_editing_values import differing, document_of, values_of
from laydown.store.shelf_documents import KINDS

WHITE = "Chalk Cotton White"
EDIT = "/shelves/inks/edit?name=Chalk%20Cotton%20White"


def fields_in(page) -> dict[str, list[str]]:
    """What a browser would send of the page's item form, unchanged."""
    form = page.text.split('class="item-form"')[1].split("</form>")[0]
    sent: dict[str, list[str]] = {}
    for tag in re.findall(r"<input [^>]*>", form):
        name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
        if name and ('type="checkbox"' not in tag or " checked" in tag):
            sent.setdefault(unescape(name[1]), []).append(unescape(value[1] if value else ""))
    for name, inner in re.findall(r'<textarea[^>]* name="([^"]*)"[^>]*>(.*?)</textarea>', form, re.DOTALL):
        sent.setdefault(unescape(name), []).append(unescape(inner))
    for name, inner in re.findall(r'<select[^>]* name="([^"]*)"[^>]*>(.*?)</select>', form, re.DOTALL):
        options = re.findall(r"<option([^>]*)>([^<]*)</option>", inner)
        chosen = next((o for o in options if " selected" in o[0]), options[0])
        value = re.search(r'value="([^"]*)"', chosen[0])
        sent.setdefault(unescape(name), []).append(unescape(value[1] if value else chosen[1]))
    return sent


def send(client, address, fields, **changed):
    """Send an item's form with some fields changed."""
    origin = str(client.base_url).rstrip("/")
    data = fields | {name: [value] for name, value in changed.items()}
    data["csrf"] = [token_in(client.get("/account"))]
    return client.post(address, data=data, headers={"origin": origin})


@pytest.mark.parametrize("kind", [*SHELVES, *SETTINGS])
def test_every_form_sent_unchanged_changes_nothing(client, kind):
    store = store_of(client)
    for item in shelf_editing.items(store, kind):
        page = client.get(f"/shelves/{kind}/edit", params={"name": item.name})
        assert send(client, f"/shelves/{kind}/edit", fields_in(page)).status_code == 303, item.name
        assert shelf_editing.item(store, kind, item.name) == item


@pytest.mark.parametrize(("kind", "decimal"), [*itertools.product((*SHELVES, *SETTINGS), ".,")])
def test_a_document_survives_the_form_in_both_number_formats(client, kind, decimal):
    store = store_of(client)
    rows = shelf_editing.rows_for(store, kind)
    for item in shelf_editing.items(store, kind):
        document = document_of(rows, values_of(rows, item.document, decimal=decimal), decimal=decimal)
        kept = shelf_editing.keep(
            store, kind, document, revision=item.revision, who="tests", was=item.name, note=item.note
        )
        assert kept == item


@pytest.mark.parametrize("model", [one.model for one in KINDS], ids=lambda model: model.__name__)
def test_every_key_of_a_file_has_a_place_in_the_form(model):
    in_form = {unit.key for row in rows_of(model) for unit in row.keys}
    assert in_form == set(model.model_fields)
    assert all(row.meaning for row in rows_of(model))


def test_a_value_is_shown_with_unit_interval_grade_and_source(client):
    text = client.get("/shelves/inks/item", params={"name": WHITE}).text
    assert "160 °C" in text
    assert "0.74 to 0.78" in text
    assert "measured here" in text
    assert "drawdown over a black and white card" in text


def test_numbers_are_shown_in_the_units_that_somebody_likes(client):
    item = shelf_editing.item(store_of(client), "inks", WHITE)
    rows = shelf_editing.rows_for(store_of(client), "inks")
    shown = {one.label: one for one in shown_item(item, rows, Preferences(temperature="F", length="inch"), ",")}
    assert shown["Cure temperature"].value == "320 °F"
    assert shown["Drawdown thickness"].value == "1 mil"
    assert shown["Contrast ratio"].value == "0,76"


def test_a_change_is_kept_and_the_log_says_who_and_what(client):
    answer = send(client, "/shelves/inks/edit", fields_in(client.get(EDIT)), price_per_kg="11.75")
    assert answer.status_code == 303
    assert shelf_editing.item(store_of(client), "inks", WHITE).document["price_per_kg"] == 11.75
    log = client.get("/log", params={"kind": "inks", "key": WHITE}).text
    assert "owner at this machine" in log
    assert "<del>11.0</del> <ins>11.75</ins>" in log


def test_the_later_of_two_people_is_told_sees_both_and_loses_nothing(network_client):
    log_in(network_client, "Olga")
    olga = fields_in(network_client.get(EDIT))
    network_client.cookies.clear()
    log_in(network_client, "Lea")
    lea = fields_in(network_client.get(EDIT))
    assert send(network_client, "/shelves/inks/edit", lea, price_per_kg="12.5", lot="LEA-1").status_code == 303
    network_client.cookies.clear()
    log_in(network_client, "Olga")
    late = send(network_client, "/shelves/inks/edit", olga, price_per_kg="13.25", toughness="4")
    assert late.status_code == 409
    assert "was changed by Lea meanwhile" in late.text
    assert "Now there: 12.5" in late.text
    assert "Now there: LEA-1" in late.text
    mine = fields_in(late)
    assert (mine["price_per_kg"], mine["toughness"]) == (["13.25"], ["4"])
    document = shelf_editing.item(store_of(network_client), "inks", WHITE).document
    assert (document["price_per_kg"], document["lot"], document["toughness"]) == (12.5, "LEA-1", 3)
    # Having seen both, she takes the lot of the other and her own price.
    assert send(network_client, "/shelves/inks/edit", mine, lot="LEA-1").status_code == 303
    document = shelf_editing.item(store_of(network_client), "inks", WHITE).document
    assert (document["price_per_kg"], document["lot"], document["toughness"]) == (13.25, "LEA-1", 4)


def test_what_somebody_writes_about_an_item_that_was_removed_becomes_a_new_one(client):
    mine = fields_in(client.get(EDIT))
    present = shelf_editing.item(store_of(client), "inks", WHITE)
    shelf_editing.remove(store_of(client), "inks", WHITE, revision=present.revision, who="Lea")
    late = send(client, "/shelves/inks/edit", mine, price_per_kg="14")
    assert late.status_code == 409
    assert "was removed" in late.text
    assert send(client, "/shelves/inks/new", fields_in(late)).status_code == 303
    assert shelf_editing.item(store_of(client), "inks", WHITE).document["price_per_kg"] == 14


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"fusion_c": "900"}, "900 °C is not allowed; allowed is 20 to 250 °C"),
        ({"fusion_c": "hot"}, "is no number"),
        ({"kind": "custard"}, "is unknown; allowed are"),
        ({"toughness": "2.5"}, "is no whole number"),
        ({"name": ""}, "this key is missing: name on the shelf"),
        ({"contrast_ratio.low": "0.9"}, "outside its own interval"),
        ({"colour": "#12"}, "#12"),
    ],
)
def test_what_cannot_be_used_is_told_and_what_was_written_stays(client, changed, sentence):
    answer = send(client, "/shelves/inks/edit", fields_in(client.get(EDIT)), **changed, lot="KEPT-1")
    assert answer.status_code == 422
    assert sentence.lower() in unescape(answer.text).lower()
    assert fields_in(answer)["lot"] == ["KEPT-1"]
    assert shelf_editing.item(store_of(client), "inks", WHITE).document["lot"] != "KEPT-1"


def test_a_care_label_makes_a_garment(client):
    page = client.get("/shelves/garments/new")
    label = "52% cotton 48% polyester"
    new = {"name": "Test tee", "care_label": label, "structure": "jersey", "mass_gsm": "180", "colour": "#8c1d2f"}
    answer = send(client, "/shelves/garments/new", fields_in(page), **new)
    assert answer.status_code == 303
    shown = client.get(answer.headers["location"]).text
    assert "52 % cotton, 48 % polyester" in re.sub(r"\s+", " ", shown)


def test_blocks_are_added_and_left_out_without_a_script(client):
    name = "Potting Shed electric"
    page = client.get("/shelves/dryers/edit", params={"name": name})
    before = shelf_editing.item(store_of(client), "dryers", name).document["zone"]
    more = send(client, "/shelves/dryers/edit", fields_in(page), add="zone")
    assert more.status_code == 200
    fields = fields_in(more)
    assert f"zone[{len(before)}].length_mm" in fields
    zone = {key.split("].")[1]: value for key, value in fields.items() if key.startswith("zone[0].")}
    fields |= {f"zone[{len(before)}].{key}": value for key, value in zone.items()}
    assert send(client, "/shelves/dryers/edit", fields).status_code == 303
    assert shelf_editing.item(store_of(client), "dryers", name).document["zone"] == [*before, before[0]]
    page = client.get("/shelves/dryers/edit", params={"name": name})
    assert send(client, "/shelves/dryers/edit", fields_in(page), **{"zone[0].remove": "yes"}).status_code == 303
    assert shelf_editing.item(store_of(client), "dryers", name).document["zone"] == [*before[1:], before[0]]


def test_a_rule_about_an_unknown_fact_is_not_kept(client):
    new = {"name": "r", "effect": "warn", "reason": "because", "source": "tests", "weight": "0.02", "active": "yes"}
    rule = {"when[0].fact": "phase of the moon", "when[0].test": "is", "when[0].value": "full"}
    answer = post(client, "/shelves/rules/new", **new, **rule)
    assert answer.status_code == 422
    assert "phase of the moon" in answer.text
    good = {"when[0].fact": "polyester", "when[0].test": "at_least", "when[0].value": "0.3"}
    assert post(client, "/shelves/rules/new", **new, **good).status_code == 303


def test_a_name_with_signs_of_markup_is_shown_as_text(client):
    page = client.get("/shelves/inks/new", params={"like": WHITE})
    answer = send(client, "/shelves/inks/new", fields_in(page), name='<b>A</b> & "B" 43/80?x=1#y')
    assert answer.status_code == 303
    shown = client.get(answer.headers["location"])
    assert shown.status_code == 200
    assert "<b>A</b>" not in shown.text
    assert "&lt;b&gt;A&lt;/b&gt; &amp; " in shown.text


def test_an_item_is_taken_off_its_shelf_unless_it_was_changed(client):
    present = shelf_editing.item(store_of(client), "inks", "Sea Pink")
    old = post(client, "/shelves/inks/remove", name="Sea Pink", revision=str(present.revision - 1))
    assert old.status_code == 409
    assert post(client, "/shelves/inks/remove", name="Sea Pink", revision=str(present.revision)).status_code == 303
    assert client.get("/shelves/inks/item?name=Sea%20Pink").status_code == 404


def test_a_person_reads_numbers_with_a_comma_and_writes_them_so(network_client):
    store = store_of(network_client)
    log_in(network_client, "Lea")
    assert post(network_client, "/account/preferences", decimal=",", temperature="F").status_code == 303
    assert "0,76" in network_client.get("/shelves/inks/item", params={"name": WHITE}).text
    assert "320 °F" in network_client.get("/shelves/inks/item", params={"name": WHITE}).text
    fields = fields_in(network_client.get(EDIT))
    assert fields["contrast_ratio"] == ["0,76"]
    assert send(network_client, "/shelves/inks/edit", fields, price_per_kg="11,5").status_code == 303
    assert shelf_editing.item(store, "inks", WHITE).document["price_per_kg"] == 11.5
    assert next(one for one in people.everyone(store) if one.name == "Lea").preferences["decimal"] == ","


def test_forms_that_differ_by_blanks_only_do_not_differ():
    assert differing({"a": ["1 "], "b": [""]}, {"a": ["1"]}) == ()
    assert differing({"a": ["1"]}, {"a": ["2"], "c": ["x"]}) == ("a", "c")


def test_there_is_no_other_shelf_and_nothing_to_add_to_a_setting(client):
    assert client.get("/shelves/socks").status_code == 404
    assert client.get("/shelves/costs/new").status_code == 404
    assert client.get("/shelves/inks/item?name=nothing").status_code == 404
    assert "Nothing has" in client.get("/shelves/inks?q=nothing+at+all").text
