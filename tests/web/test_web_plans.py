"""A plan in the browser: shown whole, changed, kept, compared, taken to the workshop."""

import html
import json
import re

import pytest
from order_steps import COTTON, keep_plan, plan_text
from web_clients import log_in, post, store_of

from laydown.domain.shop import Preferences
from laydown.planning.information import words_for
from laydown.report.plain_text import capital
from laydown.services.plan_book_compare import side_by_side
from laydown.services.plan_book_reading import plan_from_json
from laydown.services.plan_book_view import outline_view, plan_view
from laydown.services.schemas import plan_json
from laydown.store import jobs, plans
from laydown.store.shop_exchange import shop_document
from laydown.units import to_celsius
from planned import POLYESTER, TWO_PRINTS, invented_shop, planned

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("key", [COTTON, POLYESTER, TWO_PRINTS])
def test_a_kept_plan_is_read_back_and_written_down_again_to_the_last_byte(key):
    text = plan_text(key)

    assert plan_json(plan_from_json(text, invented_shop())) == text


@pytest.mark.parametrize("key", [POLYESTER, TWO_PRINTS])
def test_what_two_plans_are_compared_by_is_what_each_page_shows(key):
    shop, taste = shop_document(invented_shop()), Preferences()
    whole, outline = plan_view(plan_text(key), shop, taste), outline_view(plan_text(key), shop, taste)

    assert side_by_side(outline, outline) == [
        part | {"prints": tuple(outline_of(print_) for print_ in part["prints"])} for part in side_by_side(whole, whole)
    ]


def outline_of(print_):
    return {name: value for name, value in print_.items() if name not in ("heat", "bleed")} | {"losers": []}


@pytest.fixture
def kept(client):
    """Address of a kept plan of polyester shirts."""
    order, number = keep_plan(client, POLYESTER)
    return f"/orders/{order}/plans/{number}"


def test_the_page_shows_all_that_a_plan_says(client, kept):
    page = client.get(kept).text
    plan = planned(POLYESTER)
    chosen = plan.prints[0]

    for words in (
        chosen.stack.passes[0].ink.name,
        chosen.settings.press,
        chosen.settings.dryer.dryer,
        capital(plan.tests[0].how.split(";")[0][:40]),
        "Never make the dryer hotter to shorten the dwell",
        words_for(chosen.forecast.drivers[0].name),
        plan.assumptions[0].name,
        'id="p0-section-title"',
        'id="p0-heat-title"',
        'id="p0-bleed-title"',
        "Expected cost",
        "Why the others lost",
    ):
        assert words in page, words
    days = re.findall(r'data-day="([\d.]+)"', page)
    assert days == [f"{day.day:g}" for day in chosen.forecast.bleed.days[1:]]


def test_a_decimal_comma_holds_in_all_that_is_read_and_a_point_in_files(client, kept):
    order = kept.split("/")[2]
    client.cookies.set("laydown_decimal", ",")
    typed = {"print": "0", "belt": "8,5", "part": "1"}
    forecast = post(client, f"{kept}/what-if", kept, **typed)
    pages = [client.get(at).text for at in (kept, f"/orders/{order}/compare?a=1&b=1", f"/press/{order}")]
    for page in (*pages, forecast.text):
        assert [one for one in read_in(page) if re.search(r"\d\.\d", one) and not one.startswith("laydown ")] == []
        assert any(re.search(r"\d,\d", one) for one in read_in(page))
    assert "belt 9,00 → 8,5 m/min" in forecast.text
    assert re.search(r'name="belt" inputmode="decimal" value="9,00"', pages[0])
    assert post(client, f"{kept}/what-if", kept, print="0", quantity="1.000", part="1").status_code == 422
    assert client.get(f"{kept}/plan.json").text == plan_text(POLYESTER)
    assert "," not in str(client.get(f"/api/orders/{order}/plans/1").json()["plan"]["cost"]["order"])


def read_in(page):
    """Texts of a page, its drawings and what they are called among them."""
    named = re.findall(r'(?:aria-label|alt|title|placeholder)="([^"]*)"', page)
    return [html.unescape(one).strip() for one in (*re.split(r"<[^>]*>", page), *named) if one.strip()]


def test_the_others_are_searched_and_sorted_without_a_script(client, kept):
    def costs(address):
        found = re.findall(r'data-name="Cost">([\d.,–]+)<', client.get(address).text)
        return [float(one.replace(",", "")) for one in found if one != "–"]

    by_cost = costs(f"{kept}?others=0&sort=cost")
    assert len(by_cost) > 1
    assert by_cost == sorted(by_cost)
    nothing = client.get(f"{kept}?others=0&q=no-such-ink").text
    assert "0 of 0 shown" in nothing
    assert client.get(f"{kept}?others=7").status_code == 404


def test_what_if_answers_in_a_form_and_in_a_part_for_the_script(client, kept):
    whole = post(client, f"{kept}/what-if", kept, print="0", belt="2.00")
    part = post(client, f"{kept}/what-if", kept, print="0", belt="2.00", part="1")

    for answer in (whole, part):
        assert answer.status_code == 200
        assert "belt" in answer.text
        assert "Bleed, day 30" in answer.text
    assert "<html" not in part.text
    assert 'value="2.00"' in whole.text


def test_what_if_on_another_dryer_with_another_pile_cooled_first(client, kept):
    page = client.get(kept).text
    dryer = planned(POLYESTER).prints[0].settings.dryer.dryer
    other = next(one.name for one in invented_shop().dryers if one.name != dryer)
    assert f"<option>{other}</option>" in page
    fields = {"dryer": other, "pile": "150", "stack_hot": "yes"}
    part = post(client, f"{kept}/what-if", kept, print="0", part="1", **fields).text

    assert f"dryer {other} instead of {dryer}".casefold() in part.casefold()
    assert f"{other}: " in part
    assert "→ 150 mm" in part
    refused = post(client, f"{kept}/what-if", kept, print="0", part="1", dryer="no such dryer")
    assert refused.status_code == 422
    kept_plan = post(client, f"{kept}/keep", kept, print="0", reason="the other is free", dryer=other)
    assert other in client.get(kept_plan.headers["location"]).text


def test_what_if_nothing_is_changed_says_so(client, kept):
    assert "Nothing is changed yet" in post(client, f"{kept}/what-if", kept, print="0", part="1").text


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [("belt", "fast", "no number"), ("belt", "99", "belt"), ("panel", "9", "°C"), ("quantity", "1.5", "whole number")],
)
def test_a_change_that_cannot_be_made_is_refused_in_a_sentence(client, kept, field, value, sentence):
    answer = post(client, f"{kept}/what-if", kept, print="0", part="1", **{field: value})

    assert answer.status_code == 422
    assert sentence in answer.text


def test_a_changed_plan_is_kept_as_its_own_version_with_its_reason_and_the_first_stays(client, kept):
    order = int(kept.split("/")[2])
    answer = post(client, f"{kept}/keep", kept, print="0", quantity="144", reason="the customer wants twice as many")

    assert answer.headers["location"] == f"/orders/{order}/plans/2"
    page = client.get(f"/orders/{order}/plans/2").text
    assert "the customer wants twice as many" in page
    assert "changed by hand from plan 1" in page.lower()
    with store_of(client).read() as tx:
        changed, first = plans.get(tx, order, 2), plans.get(tx, order, 1)
        assert changed.changed_from == 1
        assert json.loads(plans.text(tx, changed))["order"]["quantity"] == 144
        assert plans.text(tx, first) == plan_text(POLYESTER)
    assert "Plan 1 beside plan 2" in client.get(f"/orders/{order}/compare?a=1&b=2").text


def test_a_change_is_not_kept_without_a_reason_or_without_a_change(client, kept):
    assert post(client, f"{kept}/keep", kept, print="0", quantity="144").status_code == 422
    assert post(client, f"{kept}/keep", kept, print="0", reason="just so").status_code == 422
    order = int(kept.split("/")[2])
    with store_of(client).read() as tx:
        assert len(plans.of_order(tx, order)) == 1


def test_a_changed_plan_that_misses_a_requirement_is_kept_with_a_caution(client, kept):
    dryer = invented_shop().dryer(planned(POLYESTER).prints[0].settings.dryer.dryer)
    panel = f"{to_celsius(dryer.setting_high):.0f}"
    answer = post(client, f"{kept}/keep", kept, print="0", panel=panel, reason="to see")

    page = client.get(answer.headers["location"]).text
    assert "misses what is asked" in page


def codes_of(answer):
    """Codes on the first page of a ticket, and its words."""
    import io

    import pypdfium2
    import zxingcpp

    page = pypdfium2.PdfDocument(io.BytesIO(answer.content))[0]
    codes = [code.text for code in zxingcpp.read_barcodes(page.render(scale=4).to_pil())]
    return codes, " ".join(page.get_textpage().get_text_range().split())


def test_the_ticket_holds_the_address_that_tablets_open(client, kept):
    order = kept.split("/")[2]
    codes, words = codes_of(client.get(f"{kept}/ticket.pdf"))
    assert codes == []
    assert "No code: say in the shop's preferences at which address tablets open the app." in words
    assert 'href="/shelves/preferences/edit?name=preferences"' in client.get(kept).text

    prefs = client.get("/api/settings/preferences").json()
    document = prefs["document"] | {"address": "http://192.168.1.20:8300"}
    sent = client.put("/api/settings/preferences", json={"document": document, "revision": prefs["revision"]})
    assert sent.status_code == 200
    codes, words = codes_of(client.get(f"{kept}/ticket.pdf"))
    assert codes == [f"http://192.168.1.20:8300/press/{order}"]
    assert "No code" not in words
    assert "/shelves/preferences/edit" not in client.get(kept).text


def test_a_ticket_from_the_network_holds_the_address_that_the_browser_used(network_client):
    order, number = keep_plan(network_client, COTTON)
    log_in(network_client, "Lea")

    assert codes_of(network_client.get(f"/orders/{order}/plans/{number}/ticket.pdf"))[0] == [
        f"http://192.0.2.7:8300/press/{order}"
    ]


def test_where_a_number_comes_from(client, kept):
    assert "cure.margin_k.p50" in client.get(f"{kept}/explain?path=cure.margin_k").text
    assert client.get(f"{kept}/explain?path=no.such.number").status_code == 422


def test_work_is_asked_for_once(client, kept):
    for _ in range(2):
        post(client, f"{kept}/work", kept, kind="films")
    with store_of(client).read() as tx:
        asked = [job for job in jobs.recent(tx, states=("waiting",)) if job.kind == "films"]
    assert len(asked) == 1
    assert client.get(f"{kept}/films.zip").status_code == 404
    assert client.get(f"{kept}/pictures/{'0' * 64}.png").status_code == 404


def test_programs_read_change_and_keep_a_plan(client, kept):
    at = f"/api{kept}"
    read = client.get(at).json()
    assert read["plan"] == json.loads(plan_text(POLYESTER))
    found = client.post(f"{at}/what-if", json={"fields": {"quantity": "500"}}).json()
    assert found["changed"] == ["quantity 72 → 500"]
    assert found["cost"] > found["cost_before"]
    assert client.post(f"{at}/what-if", json={"print": 5, "fields": {}}).status_code == 404
    made = client.post(f"{at}/keep", json={"fields": {"quantity": "500"}, "reason": "more"})
    assert made.status_code == 201
    assert made.json()["changed_from"] == 1
    assert client.get(f"{at}/ticket").content.startswith(b"%PDF")
    assert client.post(f"{at}/work", json={"kind": "pictures"}).status_code == 202


@pytest.mark.parametrize("name", ["Vera", "Pit"])
def test_whoever_may_not_plan_asks_what_if_and_keeps_nothing(network_client, name):
    order, number = keep_plan(network_client, POLYESTER)
    at = f"/orders/{order}/plans/{number}"
    log_in(network_client, name)

    assert post(network_client, f"{at}/what-if", print="0", quantity="9", part="1").status_code == 200
    assert post(network_client, f"{at}/keep", print="0", quantity="9", reason="x").status_code == 403
    assert post(network_client, f"/orders/{order}/approve", plan="1").status_code == 403
    assert post(network_client, f"/orders/{order}/plan").status_code == 403
    assert post(network_client, f"{at}/work", kind="films").status_code == 403
    assert "Keep as a plan of its own" not in network_client.get(at).text
