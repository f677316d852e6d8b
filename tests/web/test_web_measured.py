"""What a shop measures of itself, on the pages and for programs: weighings and lists become numbers that plans use."""

import uuid

from lab_steps import GARMENT, read, start
from order_steps import COTTON, keep_plan, plan_text
from web_clients import post, store_of

from laydown.store import plans
from laydown.store.shop_exchange import load_shop


def weighed(client):
    """Swatch of three pieces, weighed before and after one pass, by the forms of the pages; gives its number."""
    number = start(client, protocol="weighing", hits0="1", flash0="", inked_area="400")
    for piece, (before, after) in enumerate(((150.0, 154.1), (151.0, 155.2), (149.5, 153.6)), start=1):
        for part, mass in (("before", before), ("after", after)):
            answer = read(client, number, reads="mass", part=part, area=str(piece), mass=f"{mass:.1f}")
            assert answer.status_code == 303, answer.text
    return number


def test_what_was_weighed_is_shown_beside_what_was_thought_and_put_into_plans(client):
    number = weighed(client)
    page = client.get("/lab/measured/transfer").text

    assert "Plans do not use it yet." in page
    assert f'href="/lab/swatches/{number}"' in page
    assert "400 cm²" in client.get(f"/lab/swatches/{number}").text
    assert f"Swatch {number}, piece 3" in page
    assert post(client, "/lab/measured/transfer", "/lab/measured/transfer").status_code == 303
    assert "Plans use it since" in client.get("/lab/measured/transfer").text
    assert f"weighings of swatch {number}" in client.get("/shelves/practice").text
    found = client.get("/api/lab/measured/transfer").json()
    assert (found["swatches"], found["stale"], found["contradicts"]) == ([number], False, False)
    assert found["fit"]["quantities"]["transfer"]["posterior"]["low"] > 0.05
    assert len(found["fit"]["checks"]) == 3


def test_programs_put_a_measured_number_into_plans_as_people_do(client):
    weighed(client)

    assert [one["in_plans_since"] for one in client.get("/api/lab/measured").json()] == [None, None]
    assert client.post("/api/lab/measured", json={"kind": "transfer"}).json()["in_plans_since"]
    assert client.post("/api/lab/measured", json={"kind": "tone"}).status_code == 422
    assert client.post("/api/lab/measured", json={"kind": "optics", "ink": "No Such Ink"}).status_code == 404


def test_a_list_of_masses_is_looked_at_and_then_kept_once(client):
    number = start(client, protocol="weighing", hits0="1", flash0="", inked_area="400")
    text = f"swatch;piece;before_g;after_g\n{number};a;150,0;152,1\n{number};b;151,0;153,2\n"

    page = post(client, "/lab/list", "/lab/list", text=text)

    assert "4 new readings. Nothing is kept yet." in page.text
    assert "152.10 g" in page.text
    assert client.get(f"/api/lab/swatches/{number}").json()["readings"] == []
    for told in ("4 new readings.", "0 new readings; 4 were kept before and stay as they are."):
        assert told in post(client, "/lab/list", "/lab/list", text=text, name="weighed.csv", do="keep").text
    assert len(client.get("/api/lab/measured/transfer").json()["readings"]) == 4
    said = client.post("/api/lab/list", json={"text": text}).json()
    assert (said["kept"], said["new"], said["same"]) == (False, 0, 4)


def test_a_bad_line_of_a_list_is_told_and_the_list_can_be_put_right(client):
    page = post(client, "/lab/list", "/lab/list", text="swatch,before_g\n77,150\n", do="keep")

    assert page.status_code == 422
    assert "The list, line 2: there is no swatch 77. Nothing was kept." in page.text
    assert "77,150" in page.text
    assert client.post("/api/lab/list", json={"text": "swatch\n1\n"}).json()["what"].startswith("no column holds a")


def test_programs_put_an_area_right_as_people_do(client):
    number = weighed(client)
    before = client.get("/api/lab/measured/transfer").json()["fit"]["quantities"]["transfer"]["posterior"]["value"]
    revision = client.get(f"/api/lab/swatches/{number}").json()["revision"]

    changed = client.patch(f"/api/lab/swatches/{number}", json={"revision": revision, "inked_area_m2": 0.05})

    assert changed.json()["inked_area_m2"] == 0.05
    after = client.get("/api/lab/measured/transfer").json()["fit"]["quantities"]["transfer"]["posterior"]["value"]
    assert after < 0.9 * before
    revision = changed.json()["revision"]
    film = client.patch(
        f"/api/lab/swatches/{number}", json={"revision": revision, "film_m": 3e-5, "film_error_m": 4e-5}
    )
    assert film.status_code == 422
    assert "a gauge is off by less than the film is thick" in film.json()["what"]


def test_a_number_without_readings_cannot_be_put_into_plans(client):
    answer = post(client, "/lab/measured/tone", "/lab/measured")

    assert answer.status_code == 422
    assert "No tone strip was read yet." in answer.text


def test_an_area_that_is_no_number_is_told_at_once(client):
    fields = {"protocol": "weighing", "garment": GARMENT, "made": "now", "key": uuid.uuid4().hex, "inked_area": "big"}

    answer = post(client, "/lab/start", "/lab/start", **fields)

    assert answer.status_code == 422
    assert "is no number" in answer.text


def test_a_plan_made_before_a_weighing_is_out_of_date_and_one_made_after_a_strip_names_it(client):
    order, plan = keep_plan(client)
    address = f"/orders/{order}/plans/{plan}"
    assert "Out of date" not in client.get(address).text
    weighed(client)
    assert post(client, "/lab/measured/transfer", "/lab/measured/transfer").status_code == 303

    page = client.get(address).text

    assert "Out of date" in page
    assert "practice changed" in page
    assert "Dot gain of its films" not in page
    strip = start(client, protocol="tone-strip", hits0="1", flash0="")
    lines = "".join(f"{strip},{film},{printed}\n" for film, printed in ((10, 14), (50, 65), (90, 96)))
    assert client.post(
        "/api/lab/list", json={"text": f"swatch,film_percent,print_percent\n{lines}", "keep": True}
    ).json()["kept"]
    assert client.post("/api/lab/measured", json={"kind": "tone"}).json()["in_plans_since"]
    with store_of(client).write(who="tests") as tx:
        plan = plans.add(tx, order, plan_text(COTTON), load_shop(tx), order_version=1).number
    assert f"Dot gain of its films: tone strip of swatch {strip}." in client.get(f"/orders/{order}/plans/{plan}").text
