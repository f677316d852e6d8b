"""The lab in the browser: start a swatch, read it, correct it, labels, calendar, import, what cloths say."""

import datetime as dt
import re
import uuid

import pytest
from lab_steps import GARMENT, own, read, start
from order_steps import keep_plan
from web_clients import log_in, post, store_of, token_in

from laydown.services import swatch_book

PLACES = ("", "/swatches", "/protocols", "/cloths", "/import", "/repeatability", "/calendar")
MEASURED = ("/measured", "/measured/transfer", "/measured/tone", "/list")


COLOUR = {"reads": "colour", "part": "warm half", "lightness": "88,4", "a": "3.1", "b": "1.2", "light": "D65/10"}


@pytest.mark.parametrize("place", [*PLACES, *MEASURED])
def test_every_page_of_the_lab_says_what_to_do_when_nothing_is_there(client, place):
    page = client.get(f"/lab{place}")

    assert page.status_code == 200
    assert "Traceback" not in page.text
    if place in {"", "/swatches", "/cloths", "/repeatability", "/measured/transfer", "/measured/tone"}:
        assert 'class="empty"' in page.text


def test_a_swatch_is_started_read_and_corrected(client):
    number = start(client)
    page = client.get(f"/lab/swatches/{number}").text
    for words in ("Oven bleed test", "L-7", "Chalk Cotton White", "52 °C", "warm half"):
        assert words in page

    assert read(client, number, **COLOUR).status_code == 303
    assert read(client, number, reads="staining grade", part="warm half", grade="4-5").status_code == 303
    sheet = swatch_book.sheet(store_of(client), number)
    first, second = sheet.readings
    assert first.reading.value.lab == (88.4, 3.1, 1.2)
    assert str(second.reading.value) == "4-5"

    again = COLOUR | {"lightness": "89.4", "corrects": str(first.number), "note": "typed wrongly", "back": "swatch"}
    assert read(client, number, **again).headers["location"] == f"/lab/swatches/{number}"
    page = client.get(f"/lab/swatches/{number}").text
    assert f"corrected by reading {first.number + 2}" in page
    assert "typed wrongly" in page
    # The old one stays to be seen, and cannot be corrected a second time.
    refused = read(client, number, **(again | {"lightness": "90"}))
    assert refused.status_code == 409
    assert "was corrected" in refused.text


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"reads": "colour", "lightness": "x", "a": "1", "b": "1", "light": "D65/10"}, "is no number"),
        ({"reads": "colour", "lightness": "500", "a": "1", "b": "1", "light": "D65/10"}, "L* is 500"),
        ({"reads": "colour", "lightness": "50", "a": "1", "b": "1"}, "under which light"),
        ({"reads": "staining grade", "grade": "4.2"}, "is no grade"),
        ({"reads": "pass or fail"}, "whether it passes"),
        ({"reads": "mass", "mass": "-3"}, "mass is"),
        ({"reads": "photo"}, "choose a photo"),
        ({"reads": "smell"}, "what is read"),
        ({"reads": "staining grade", "grade": "4", "part": "left ear"}, "no part"),
    ],
)
def test_what_cannot_be_a_reading_is_told_in_a_sentence_and_kept_nowhere(client, fields, words):
    number = start(client)
    answer = read(client, number, **fields)

    assert answer.status_code == 422
    assert words in answer.text.replace("Choose", "choose").replace("Mass", "mass")
    assert swatch_book.sheet(store_of(client), number).readings == ()


def test_a_reading_that_is_sent_twice_is_kept_once(client):
    number = start(client)
    for _ in range(2):
        assert read(client, number, key="the-same-key", **COLOUR).status_code == 303

    assert len(swatch_book.sheet(store_of(client), number).readings) == 1


def test_a_colour_under_another_light_is_refused_and_says_why(client):
    number = start(client)
    read(client, number, **COLOUR)
    refused = read(client, number, **(COLOUR | {"light": "A/10"}))

    assert refused.status_code == 422
    assert "the swatch was read under D65/10 first" in refused.text


def test_nothing_is_read_off_a_swatch_that_is_not_made_or_was_dropped(client):
    number = start(client, made="later")
    assert "not made yet" in read(client, number, **COLOUR).text
    revision = str(swatch_book.sheet(store_of(client), number).stored.revision)
    made = post(client, f"/lab/swatches/{number}", f"/lab/swatches/{number}", do="made", revision=revision)
    assert made.status_code == 303
    assert read(client, number, **COLOUR).status_code == 303
    revision = str(swatch_book.sheet(store_of(client), number).stored.revision)
    post(client, f"/lab/swatches/{number}", f"/lab/swatches/{number}", do="drop", revision=revision)
    assert "was dropped" in client.get(f"/lab/read/{number}").text
    # Somebody else had the page open.
    late = post(client, f"/lab/swatches/{number}", f"/lab/swatches/{number}", do="made", revision=revision)
    assert late.status_code == 409


def test_a_photo_is_kept_as_a_document_and_only_photos_are_given_out(client):
    number = start(client)
    token = token_in(client.get(f"/lab/read/{number}"))
    origin = {"origin": str(client.base_url).rstrip("/")}
    png = b"\x89PNG\r\n\x1a\n" + b"0" * 64
    for content, status in ((png, 303), (b"<script>", 422)):
        fields = {"csrf": token, "key": uuid.uuid4().hex, "reads": "photo"}
        answer = client.post(f"/lab/read/{number}", data=fields, files={"photo": ("p.png", content)}, headers=origin)
        assert answer.status_code == status
    (row,) = swatch_book.sheet(store_of(client), number).readings
    answer = client.get(f"/lab/photos/{row.reading.value}")
    assert (answer.content, answer.headers["content-type"]) == (png, "image/png")
    assert client.get(f"/lab/photos/{'0' * 64}").status_code == 404


def test_a_swatch_of_a_plan_takes_stack_and_dryer_from_it(client):
    order, plan = keep_plan(client)
    page = client.get(f"/lab/start?test=oven-bleed&order={order}&plan={plan}")
    assert "taken from the plan" in page.text
    answer = post(
        client, "/lab/start", "/lab/start", protocol="oven-bleed", order=str(order), plan=str(plan), key="from-a-plan-1"
    )
    number = int(answer.headers["location"].rpartition("/")[2])
    swatch = swatch_book.sheet(store_of(client), number).swatch
    assert (swatch.order, swatch.plan) == (order, plan)
    assert swatch.stack is not None
    assert swatch.run is not None


def test_what_is_due_stands_in_the_lab_on_today_and_in_the_calendar(client):
    day = (dt.datetime.now().astimezone() - dt.timedelta(days=4)).strftime("%Y-%m-%dT%H:%M")
    number = start(client, made="then", made_at=day)

    assert "overdue" in client.get("/lab").text
    assert f"/lab/read/{number}" in client.get("/").text
    answer = post(client, "/lab/calendar", "/lab/calendar")
    address = re.search(r'value="(http[^"]*due\.ics[^"]*)"', answer.text)[1].replace("&amp;", "&")
    feed = client.get(address)
    assert feed.headers["content-type"].startswith("text/calendar")
    assert f"SUMMARY:Read swatch {number}: Oven bleed test" in feed.text.replace("\r\n ", "")
    # A new secret stops the old one, and none at all opens nothing.
    post(client, "/lab/calendar", "/lab/calendar")
    assert client.get(address).status_code == 404
    assert client.get("/lab/due.ics").status_code == 404


def test_the_calendar_of_somebody_who_left_is_closed(network_client):
    from laydown.services import people

    client = network_client
    log_in(client, "Pit")
    answer = post(client, "/lab/calendar", "/lab/calendar")
    address = re.search(r'value="(http[^"]*due\.ics[^"]*)"', answer.text)[1]
    client.cookies.clear()
    assert client.get(address).status_code == 200
    store = store_of(client)
    pit = next(one for one in people.everyone(store) if one.name == "Pit")
    people.change(store, pit.id, revision=pit.revision, role="press", active=False, who="Olga")
    assert client.get(address).status_code == 404


def test_labels_are_a_pdf_of_the_ticked_swatches(client):
    numbers = [start(client), start(client)]
    asked = "&".join(f"swatch={number}" for number in numbers)
    assert "70 x 37 mm" in client.get(f"/lab/labels?{asked}").text
    for more in ("", "&sheet=letter", "&size=50x30"):
        answer = client.get(f"/lab/labels.pdf?{asked}{more}")
        assert answer.content.startswith(b"%PDF")
    assert client.get("/lab/labels.pdf?swatch=99").status_code == 404
    assert client.get(f"/lab/labels.pdf?{asked}&size=3x3").status_code == 422


def upload(client, content, name="scan.csv"):
    token = token_in(client.get("/lab/import"))
    headers = {"origin": str(client.base_url).rstrip("/")}
    return client.post(
        "/lab/import", data={"csrf": token, "light": "D65/10"}, files={"file": (name, content)}, headers=headers
    )


def test_an_instruments_file_is_shown_mapped_by_name_and_kept_once(client):
    number = start(client)
    content = f"name,L*,a*,b*\nswatch {number} warm,88.1,3.0,1.1\nswatch {number} cool,91.0,1.0,2.0\nrag,50,0,0\n"
    page = upload(client, content.encode())
    assert page.status_code == 200, page.text
    assert f'<option value="{number}|warm half" selected>' in page.text
    assert f'<option value="{number}|cool half" selected>' in page.text
    fields = dict(re.findall(r'<input type="hidden" name="(sha256|name|count|light)" value="([^"]*)"', page.text))
    for told in ("2 new readings", "2 were kept before"):
        done = post(
            client,
            "/lab/import/keep",
            "/lab/import",
            **fields,
            to0=f"{number}|warm half",
            to1=f"{number}|cool half",
            to2="",
        )
        assert told in done.text
    rows = swatch_book.sheet(store_of(client), number).readings
    assert [(row.reading.part, row.reading.value.lab[0]) for row in rows] == [("warm half", 88.1), ("cool half", 91.0)]
    assert rows[0].reading.value.file == "scan.csv"


def test_a_bad_file_is_told_in_a_sentence_and_keeps_nothing(client):
    start(client)
    page = upload(client, b"\x00\x01\x02nothing of this")

    assert page.status_code == 422
    assert "Nothing was kept" in page.text


def test_a_shops_own_test_is_made_of_one_that_came_along(client):
    page = client.get("/lab/protocols/oven-bleed")
    assert "Make it your own" in page.text
    answer = post(client, "/lab/protocols/oven-bleed/copy", "/lab/protocols/oven-bleed")
    assert answer.headers["location"] == "/shelves/protocols/edit?name=oven-bleed"
    assert "Oven bleed test" in client.get("/shelves/protocols/edit?name=oven-bleed").text
    assert "Change it" in client.get("/lab/protocols/oven-bleed").text


def test_readings_ask_for_a_fit_once_and_its_page_tells_before_and_after(client):
    from laydown.services import job_worker, jobs

    day = (dt.datetime.now().astimezone() - dt.timedelta(days=3)).strftime("%Y-%m-%dT%H:%M")
    number = start(client, made="then", made_at=day)
    for part, lightness in (("warm half", "88.0"), ("cool half", "91.5"), ("warm half", "88.2")):
        read(client, number, **(COLOUR | {"part": part, "lightness": lightness}))
    store = store_of(client)
    waiting = [job for job in jobs.recent(store) if job.kind == "fit"]
    assert len(waiting) == 1
    assert job_worker.do_job(store, job_worker._claimed(store, "worker of the tests")) is None
    page = client.get(f"/lab/cloths/{GARMENT}?lot=L-7").text
    assert "Before and after the readings" in page
    assert "Readings beside the model" in page
    assert f"/lab/swatches/{number}" in page


def test_the_lab_is_open_to_programs_as_to_people(client):
    number = start(client)
    body = {
        "key": uuid.uuid4().hex,
        "reads": "staining grade",
        "part": "warm half",
        "value": {"grade": 3.5},
        "taken_at": dt.datetime.now(dt.UTC).isoformat(),
    }
    assert client.post(f"/api/lab/swatches/{number}/readings", json=body).status_code == 201
    assert client.post(f"/api/lab/swatches/{number}/readings", json=body).status_code == 200
    found = client.get(f"/api/lab/swatches/{number}").json()
    assert found["readings"][0]["value"] == {"grade": 3.5}
    assert {one["name"] for one in client.get("/api/lab/protocols").json()} > {"oven-bleed", "hot-van"}
    assert client.get("/api/lab/due").json()[0]["swatch"] == number
    step = {"key": uuid.uuid4().hex, "step": 1, "done": True, "happened_at": body["taken_at"]}
    assert client.post(f"/api/lab/swatches/{number}/steps", json=step).json() == {"new": True}
    assert client.post(f"/api/lab/swatches/{number}/steps", json=step).json() == {"new": False}
    assert client.get("/api/lab/proposals").json() == []
    png = b"\x89PNG\r\n\x1a\n0"
    sha256 = client.post("/api/lab/photos", files={"file": ("p.png", png)}, headers=own(client)).json()["sha256"]
    seen = body | {"key": uuid.uuid4().hex, "reads": "photo", "part": "", "value": {"photo": sha256}}
    assert client.post(f"/api/lab/swatches/{number}/readings", json=seen).status_code == 201
    assert client.get(f"/lab/photos/{sha256}").content == png
    assert client.get(f"/api/lab/labels.pdf?swatch={number}").content.startswith(b"%PDF")


def test_a_plan_made_before_a_cloths_tests_were_fitted_is_shown_as_out_of_date_and_says_why(client):
    from laydown.domain.finding import ClothFinding, Level
    from laydown.services import plan_book
    from laydown.store import findings

    order, plan = keep_plan(client)
    store = store_of(client)
    assert "Out of date" not in client.get(f"/orders/{order}/plans/{plan}").text
    garment = plan_book.sheet(store, order, plan).order.garment
    found = ClothFinding(
        level=Level.LOT,
        garment=garment,
        lot="L-7",
        dimensions=("release",),
        draws=((0.1,), (0.2,)),
        swatches=(1,),
        readings=3,
        fitted_at=dt.datetime.now(dt.UTC),
        priors="p",
    )
    with store.write(who="Lea") as tx:
        findings.add(tx, found, rests_on=())
    page = client.get(f"/orders/{order}/plans/{plan}").text
    assert "Out of date" in page
    assert f"what tests say of {garment} changed" in page
