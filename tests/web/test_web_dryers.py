"""Dryers in the browser and for programs: import with a look before, charts, a fit that plans use, a curve matched."""

import base64
import datetime as dt
import html
import re
import uuid
import zlib

import pytest
from order_steps import keep_plan
from web_clients import log_in, post, store_of, token_in

from laydown.services import dryer_book, dryer_watch, press_book
from laydown.services.opening import current_shop
from laydown.store import shelves
from laydown.units import to_celsius

KILN = "Kiln Lane gas"
PAGE = "/lab/dryers/machine/Kiln%20Lane%20gas"
GARMENT = "Quayside tee black"
CONDITIONS = {"dryer": KILN, "garment": GARMENT, "date": "2026-11-25", "panel": "330", "belt": "4", "film_um": "100"}
CALM = (160.0, 161.0, 159.0, 160.0, 160.5, 161.0, 160.0, 159.5)


def log_text(comma=True):
    """A plain curve: level, an exponential rise towards 178 °C, a fall."""
    rows = ["Time (s);Left °C;Centre °C;Air °C"]
    for tenth in range(0, 860, 5):
        t = tenth / 10
        inside = min(max(t - 10.0, 0.0), 60.0)
        print_c = 178 - 150 * 2.718281828 ** (-inside / 14.0) if t > 10 else 28.0
        if t > 70:
            print_c -= 6.5 * (t - 70)
        cells = (t, print_c, print_c + (1.5 if t > 10 else 0.0), 150.0 if 10 < t < 70 else 30.0)
        row = ";".join(f"{cell:.1f}" for cell in cells)
        rows.append(row.replace(".", ",") if comma else row)
    return "\n".join(rows) + "\n"


def look(client, text=None, name="kiln.csv", **fields):
    token = token_in(client.get("/lab/dryers/import"))
    return client.post(
        "/lab/dryers/import",
        data={"csrf": token} | CONDITIONS | fields,
        files={"file": (name, (text or log_text()).encode())},
        headers={"origin": str(client.base_url).rstrip("/")},
    )


def fields_of(page):
    """Every field of the last form of a page, as a browser would send it unchanged."""
    form = page[page.index('action="/lab/dryers/import"') :]
    fields = {
        html.unescape(name): html.unescape(value)
        for name, value in re.findall(r'<input[^>]* name="([^"]*)"[^>]* value="([^"]*)"', form)
    }
    for name, options in re.findall(r'<select[^>]* name="([^"]*)"[^>]*>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options)
        fields[name] = html.unescape(chosen[1]) if chosen else ""
    return fields


def keep_log(client):
    page = look(client)
    assert page.status_code == 200, page.text
    answer = client.post(
        "/lab/dryers/import",
        data=fields_of(page.text) | {"do": "keep"},
        headers={"origin": str(client.base_url).rstrip("/")},
    )
    assert answer.status_code == 303, answer.text
    return int(answer.headers["location"].rpartition("/")[2])


def enter(client, value, **fields):
    return post(
        client, f"{PAGE}/checks", PAGE, **({"kind": "peak", "value": str(value), "key": uuid.uuid4().hex} | fields)
    )


@pytest.fixture
def watched(client):
    """Kiln with eight calm checks, one a day."""
    day = dt.datetime(2026, 11, 1, 7, tzinfo=dt.UTC)
    for i, value in enumerate(CALM):
        at = (day + dt.timedelta(days=i)).isoformat()
        assert enter(client, value, at=at).status_code == 303
    return client


@pytest.mark.parametrize(
    "place", ["/lab/dryers", PAGE, "/lab/dryers/import", "/lab/dryers/machine/Egret%20panel%20flash"]
)
def test_pages_say_what_to_do_and_warn_of_the_heat_when_nothing_is_there(client, place):
    page = client.get(place)

    assert page.status_code == 200
    assert "Never leave a dryer or flash unattended" in html.unescape(page.text)
    if place == PAGE:
        assert "No probe log of this dryer is kept yet" in page.text


def test_a_log_is_looked_at_kept_read_and_fitted_and_plans_use_the_dryer(client):
    number = keep_log(client)
    page = client.get(f"/lab/dryers/log/{number}").text
    for words in ("Left", "left lane, on the print", "centre, air", "Nothing speaks against this log", "<svg"):
        assert words in page
    assert client.get(f"/lab/dryers/log/{number}/file").content == log_text().encode()

    fitted = client.get(f"{PAGE}/fit?log={number}")
    assert fitted.status_code == 200
    assert "fitted to kiln.csv of 2026-11-25" in fitted.text
    before = current_shop(store_of(client)).dryer(KILN)
    revision = re.search(r'name="revision" value="(\d+)"', fitted.text)[1]
    answer = post(client, f"{PAGE}/fit", f"{PAGE}/fit?log={number}", revision=revision, log=str(number))

    assert answer.headers["location"] == f"{PAGE}?used=yes"
    after = current_shop(store_of(client)).dryer(KILN)
    assert after.zones[0].exchange != before.zones[0].exchange
    assert after.zones[0].exchange.source == "fitted to kiln.csv of 2026-11-25"
    assert str(after.zones[0].exchange.grade) == "measured here"
    # Whoever fits from an older state of the shelf is told, and nothing is written.
    late = post(client, f"{PAGE}/fit", f"{PAGE}/fit?log={number}", revision=revision, log=str(number))
    assert late.status_code == 409
    assert current_shop(store_of(client)).dryer(KILN) == after


FLASH = "Sandpiper panel flash"
FLASH_PAGE = "/lab/dryers/machine/Sandpiper%20panel%20flash"


def flash_text():
    """A plain curve under a flash: level, a rise for twelve seconds, a fall."""
    rows = ["Time (s);Under print centre °C"]
    for tenth in range(0, 300, 2):
        t = tenth / 10
        inside = min(max(t - 6.0, 0.0), 12.0)
        print_c = 50 + 120 * (1 - 2.718281828 ** (-inside / 9.0))
        rows.append(f"{t:.1f};{print_c - 1.5 * max(t - 18.0, 0.0):.1f}")
    return "\n".join(rows) + "\n"


def test_a_flash_unit_is_fitted_to_its_log_and_plans_use_it(client):
    assert "No probe log of this unit is kept yet" in client.get(FLASH_PAGE).text
    page = look(client, flash_text(), "flash.csv", dryer=FLASH, panel="", belt="", flash_s="12")
    assert page.status_code == 200
    answer = client.post(
        "/lab/dryers/import",
        data=fields_of(page.text) | {"do": "keep"},
        headers={"origin": str(client.base_url).rstrip("/")},
    )
    assert answer.status_code == 303, answer.text
    number = answer.headers["location"].rpartition("/")[2]
    log = client.get(f"/lab/dryers/log/{number}").text
    assert "flashed 12 s, on Quayside tee black, 100 µm of ink" in log
    assert "Above 110 °C" in log
    before = current_shop(store_of(client))
    fitted = client.get(f"{FLASH_PAGE}/fit?log={number}")
    assert "Radiant exchange" in fitted.text
    revision = re.search(r'name="revision" value="(\d+)"', fitted.text)[1]
    used = post(client, f"{FLASH_PAGE}/fit", f"{FLASH_PAGE}/fit?log={number}", revision=revision, log=number)
    assert used.headers["location"] == f"{FLASH_PAGE}?used=yes"

    presses = current_shop(store_of(client)).presses
    units = {unit.name: unit for press in presses for unit in press.flashes}
    assert units[FLASH].exchange.source == "fitted to flash.csv of 2026-11-25"
    assert str(units[FLASH].radiant_temperature.grade) == "measured here"
    # Everything else of the presses stays as it was.
    old = {unit.name: unit for press in before.presses for unit in press.flashes}
    assert [name for name in units if units[name] != old[name]] == [FLASH]
    assert [(one.name, one.heads, one.pallet_temperature) for one in presses] == [
        (one.name, one.heads, one.pallet_temperature) for one in before.presses
    ]
    late = post(client, f"{FLASH_PAGE}/fit", f"{FLASH_PAGE}/fit?log={number}", revision=revision, log=number)
    assert late.status_code == 409


def test_what_columns_are_is_remembered_for_the_next_file_of_that_layout(client):
    text = log_text()
    told = fields_of(look(client, text).text)
    assert told["use1"] == "left|on the print"
    told |= {"use1": "right|under the print", "name1": "the rear one", "use3": "", "do": "keep"}
    answer = client.post("/lab/dryers/import", data=told, headers={"origin": str(client.base_url).rstrip("/")})
    assert answer.status_code == 303
    again = look(client, text.replace("28,0", "28,5"))

    assert fields_of(again.text)["use1"] == "right|under the print"
    assert fields_of(again.text)["name1"] == "the rear one"
    assert fields_of(again.text)["use3"] == ""
    assert "as somebody told for a file of this layout before" in again.text


@pytest.mark.parametrize(
    ("fields", "text", "words"),
    [
        ({"panel": "hot"}, None, "the panel setting is needed as a number, not &#39;hot&#39;"),
        ({"date": "yesterday"}, None, "is no day"),
        ({}, "nothing\nto be read\n", "no rows with a time and a temperature were found"),
        ({}, log_text().replace("\n40,0;", "\n40,0;x"), "line 82"),
    ],
)
def test_a_mistake_is_told_and_nothing_is_kept(client, fields, text, words):
    answer = look(client, text, **fields)

    assert answer.status_code == 422
    assert words.lower() in answer.text.lower()
    assert dryer_book.logs(store_of(client), KILN) == ()


def test_a_page_that_lost_its_file_says_so(client):
    token = token_in(client.get("/lab/dryers/import"))
    for held in ("!!!", base64.b64encode(b"no zlib").decode()):
        answer = client.post(
            "/lab/dryers/import",
            data={"csrf": token, "held": held} | CONDITIONS,
            headers={"origin": str(client.base_url).rstrip("/")},
        )
        assert "the page has lost its file" in answer.text.lower()
    good = base64.b64encode(zlib.compress(log_text().encode())).decode()
    answer = client.post(
        "/lab/dryers/import",
        data={"csrf": token, "held": good, "name": "k.csv", "time": "9999"} | CONDITIONS,
        headers={"origin": str(client.base_url).rstrip("/")},
    )
    assert "choose the column with the time" in answer.text.lower()


def test_a_log_put_aside_is_no_longer_offered(client):
    number = keep_log(client)
    assert (
        post(client, f"/lab/dryers/log/{number}/aside", f"/lab/dryers/log/{number}", key=uuid.uuid4().hex).headers[
            "location"
        ]
        == PAGE
    )
    assert "No probe log of this dryer is kept yet" in client.get(PAGE).text
    assert client.get(f"/lab/dryers/log/{number}").status_code == 200
    assert client.get(f"{PAGE}/fit").status_code == 422


def test_a_drift_is_told_in_words_with_the_orders_printed_since_the_last_good_check(watched):
    store = store_of(watched)
    printed = dt.datetime(2026, 11, 12, 9, tzinfo=dt.UTC)
    press_book.add(
        store, 1, key="count-of-the-drift", kind="count", document={"pieces": 36}, happened_at=printed, who="tests"
    )
    day = dt.datetime(2026, 11, 9, 7, tzinfo=dt.UTC)
    for i in range(7):
        assert enter(watched, 160.5 + 0.8 * i, at=(day + dt.timedelta(days=i)).isoformat()).status_code == 303
    page = html.unescape(watched.get(PAGE).text)

    assert "The peak under the print has climbed on 8 checks in a row" in page
    assert "out of control" in page
    name = dryer_watch.watch(store, KILN, dryer_watch.CheckKind.PEAK).touched[0].name
    assert f'<a href="/orders/1">{name}</a>, 36 pieces' in page
    assert "(no plan says on which machine)" in page
    assert "out of control" in watched.get("/lab/dryers").text
    # After maintenance limits are reckoned anew, and the old ones are left in peace.
    assert enter(watched, 160, anew="yes").status_code == 303
    assert "was checked once" in watched.get(PAGE).text


def test_a_check_is_corrected_by_naming_it_and_a_wrong_one_is_taken_out(watched):
    store = store_of(watched)
    kept = dryer_watch.watch(store, KILN, dryer_watch.CheckKind.PEAK).checks
    assert (
        enter(watched, "162,5", replaces=str(kept[3].id), at=kept[3].check.happened_at.isoformat()).status_code == 303
    )
    assert enter(watched, "", replaces=str(kept[4].id), do="take out").status_code == 303
    values = [
        round(to_celsius(one.check.value), 3)
        for one in dryer_watch.watch(store, KILN, dryer_watch.CheckKind.PEAK).checks
    ]

    assert values == [160.0, 161.0, 159.0, 162.5, 161.0, 160.0, 159.5]
    assert enter(watched, "163", replaces=str(kept[3].id)).status_code == 409


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"value": "warm"}, "the reading is needed as a number"),
        ({"value": "5000"}, "allowed is"),
        ({"kind": "smoke"}, "is not checked"),
        ({"kind": "flash"}, "has no flash to check"),
        ({"at": "2999-01-01T00:00"}, "in the future"),
        ({"at": "soon"}, "is no moment"),
    ],
)
def test_a_check_that_cannot_be_meant_is_refused(client, fields, words):
    answer = enter(client, fields.get("value", "160"), **{k: v for k, v in fields.items() if k != "value"})

    assert answer.status_code == 422
    assert words in html.unescape(answer.text).lower()


def test_the_belt_is_checked_in_the_units_of_whoever_reads(client):
    assert enter(client, "4.05", kind="belt").status_code == 303
    seen = dryer_watch.watch(store_of(client), KILN, dryer_watch.CheckKind.BELT)

    assert seen.checks[0].check.value == pytest.approx(4.05 / 60)
    assert "4.05 m/min" in client.get(PAGE).text


def test_a_plans_curve_is_matched_on_another_dryer(client):
    order, _ = keep_plan(client)
    page = client.get(f"/lab/dryers/machine/Potting%20Shed%20electric/match?order={order}")

    assert page.status_code == 200
    assert "comes nearest with" in page.text
    answer = client.get(f"/api/dryers/Potting%20Shed%20electric/match?order={order}").json()
    assert answer["dryer"] == "Potting Shed electric"
    assert answer["met"] is (answer["misses"] == [])
    assert client.get(f"{PAGE}/match?order=9999").status_code == 404


def test_a_plan_leads_to_its_curve_on_any_dryer_and_says_what_its_settings_rest_on(client):
    order, number = keep_plan(client)
    place = f"/orders/{order}/plans/{number}"
    page = html.unescape(client.get(place).text)
    links = re.findall(r'href="(/lab/dryers/machine/[^"]+/match\?[^"]+)"', page)
    assert [one.rpartition("?")[2] for one in links] == [f"order={order}&plan={number}&place=0"] * 2
    used = re.search(r'<ul>\s*<li><a href="(/lab/dryers/machine/[^"]+)">([^<]+)</a>: measured here \(', page)
    assert "Never checked by a probe." in page
    assert f'in <a href="{place}">plan {number}</a> comes nearest with' in client.get(links[0]).text

    def enter_here(value, day):
        at = (dt.datetime(2026, 11, 1, 7, tzinfo=dt.UTC) + dt.timedelta(days=day)).isoformat()
        fields = {"kind": "peak", "value": str(value), "key": uuid.uuid4().hex, "at": at}
        assert post(client, f"{used[1]}/checks", used[1], **fields).status_code == 303

    for day, value in enumerate(CALM):
        enter_here(value, day)
    # The hour is that of the shop.
    assert re.search(
        r"Last good check 2026-11-0\d \S+; its checks vary by chance only\.", told_in(client.get(place).text)
    )
    enter_here(172, 8)
    page = told_in(client.get(place).text)
    assert re.search(r"The peak under the print lay above its limit on one check\. Last good check 2026-11-0\d ", page)
    # A machine that left its shelf is named all the same.
    with store_of(client).write(who="tests") as tx:
        shelves.remove(tx, "dryers", used[2], revision=shelves.get(tx, "dryers", used[2]).revision)
    assert "No longer on the shelf." in client.get(place).text


def told_in(page):
    """Text of a page without its marks."""
    return " ".join(re.sub(r"<[^>]*>", " ", html.unescape(page)).split())


def api(client, method, address, **more):
    return client.request(method, f"/api/{address}", **more)


def test_programs_keep_read_fit_and_use_as_people_do(client):
    log = {
        "key": "from-a-program",
        "name": "kiln.csv",
        "text": log_text(comma=False),
        "garment": GARMENT,
        "date": "2026-11-25",
        "panel_c": 330,
        "belt_m_per_min": 4,
        "film_um": 100,
    }
    kept = api(client, "POST", "dryers/Kiln Lane gas/logs", json=log)
    assert kept.status_code == 201, kept.text
    assert api(client, "POST", "dryers/Kiln Lane gas/logs", json=log).status_code == 200
    number = kept.json()["id"]
    read = api(client, "GET", f"probe-logs/{number}").json()
    assert read["belt_m_per_min"] == pytest.approx(4.0, rel=0.02)
    assert read["plausible"]
    fit = api(client, "GET", f"dryers/Kiln Lane gas/fit?log={number}").json()
    assert fit["dryer"]["source"] == "fitted to kiln.csv of 2026-11-25"
    used = api(client, "PUT", "dryers/Kiln Lane gas/fit", json={"logs": [number], "revision": fit["revision"]})
    assert used.status_code == 200
    assert used.json()["revision"] > fit["revision"]
    assert [one["id"] for one in api(client, "GET", "dryers/Kiln Lane gas/logs").json()] == [number]
    assert api(client, "GET", "dryers/none/fit").status_code == 404


def test_a_flash_is_kept_and_fitted_by_a_program(client):
    new = {"name": "flash.csv", "text": flash_text(), "garment": GARMENT, "date": "2026-11-25", "film_um": 100}
    where = "dryers/Sandpiper panel flash"
    wrong = api(client, "POST", f"{where}/logs", json=new | {"key": uuid.uuid4().hex, "belt_m_per_min": 4})
    assert wrong.status_code == 422
    assert wrong.json()["what"].startswith("Sandpiper panel flash is a flash unit, which has no belt")
    assert api(client, "POST", f"dryers/{KILN}/logs", json=new | {"key": uuid.uuid4().hex}).status_code == 422
    kept = api(client, "POST", f"{where}/logs", json=new | {"key": uuid.uuid4().hex, "flash_s": 12})
    assert kept.status_code == 201, kept.text
    fit = api(client, "GET", f"{where}/fit").json()
    assert fit["dryer"]["name"] == FLASH
    used = api(client, "PUT", f"{where}/fit", json={"logs": fit["logs"], "revision": fit["revision"]})
    assert used.status_code == 200
    assert used.json()["dryer"]["exchange"]["grade"] == "measured here"


def test_programs_enter_checks_as_people_do(client):
    check = {"key": "from-a-program", "kind": "panel", "value": 331.5, "happened_at": "2026-11-25T07:30:00Z"}
    first = api(client, "POST", "dryers/Kiln Lane gas/checks", json=check)

    assert first.status_code == 201
    assert api(client, "POST", "dryers/Kiln Lane gas/checks", json=check).status_code == 200
    assert first.json()["checks"][0]["value"] == 331.5
    assert any(one["kind"] == "panel" and one["checks"] for one in api(client, "GET", "dryers").json())


def test_whoever_only_looks_cannot_enter_and_the_crew_cannot_change_the_shelf(network_client):
    log_in(network_client, "Vera")
    assert "Enter</button>" not in network_client.get(PAGE).text
    network_client.cookies.clear()
    log_in(network_client, "Pit")
    page = network_client.get(PAGE).text
    assert "Enter</button>" in page
    assert "Import a probe log" not in page
