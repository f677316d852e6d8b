"""Who comes in, what a page of another site cannot do, and what every answer carries."""

from __future__ import annotations

import asyncio
import re

import pytest
from web_clients import PASSWORD, client_of, log_in, post, store_of, token_in

from laydown.services import opening, people, swatch_start
from laydown.web.outer import POLICY
from laydown.web.settings import Settings

ORIGIN = {"origin": "http://127.0.0.1:8300"}


def test_every_answer_carries_the_policy_and_a_number(client):
    for address in ("/", "/shelves", "/no/such/page", "/api/no/such", "/health"):
        answer = client.get(address)
        assert answer.headers["content-security-policy"] == POLICY
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cache-control"] == "no-store"
        assert len(answer.headers["x-request-id"]) == 12
    assert "unsafe" not in POLICY
    assert "http" not in POLICY


def test_static_files_may_be_kept_for_ever_and_only_under_their_hash(client):
    address = client.app.state.laydown.assets.address("css/look.css")
    answer = client.get(address)
    assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
    assert client.get(address.replace(client.app.state.laydown.assets.version, "0" * 16)).status_code == 404
    assert client.get(address.replace("css/look.css", "../app.py")).status_code == 404
    assert client.get(address.replace("css/look.css", "vendor/LICENSE-htmx.txt")).status_code == 404


def test_another_name_is_not_answered(client):
    assert client.get("/shelves", headers={"host": "evil.example"}).status_code == 421
    assert client.get("/shelves", headers={"host": "evil.example:8300"}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "https://127.0.0.1:8300"},
        {"referer": "http://evil.example/page"},
        {"origin": "http://127.0.0.1:8300", "sec-fetch-site": "cross-site"},
        {},
    ],
)
def test_a_page_of_another_site_changes_nothing_even_with_the_token(client, headers):
    token = token_in(client.get("/account"))
    answer = client.post("/look", data={"csrf": token, "theme": "dark"}, headers=headers)
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_a_change_without_the_token_is_refused(client):
    for data in ({}, {"csrf": ""}, {"csrf": "0" * 64}):
        assert client.post("/look", data={"theme": "dark", **data}, headers=ORIGIN).status_code == 403
    token = token_in(client.get("/account"))
    assert client.post("/look", data={"theme": "dark", "csrf": token}, headers=ORIGIN).status_code == 303
    assert client.post("/look", data={"theme": "dark"}, headers=ORIGIN | {"x-csrf-token": token}).status_code == 303


def test_the_api_of_the_own_machine_takes_programs_and_no_pages_of_others(client):
    label = {"text": "100% cotton"}
    assert client.post("/api/care-label", json=label).json() == {"fibres": {"cotton": 100.0}}
    assert client.post("/api/care-label", json=label, headers={"origin": "http://evil.example"}).status_code == 403
    # What a form of another site may send without asking is no JSON, and has an origin.
    assert client.post("/api/care-label", json=label, headers=ORIGIN).status_code == 403
    form = client.post("/api/garments/catalogue", data={"dry_run": "false"}, headers={"origin": "null"})
    assert form.status_code == 403


def test_the_token_of_one_login_is_no_use_to_another(network_client):
    log_in(network_client, "Vera")
    token = token_in(network_client.get("/account"))
    network_client.cookies.clear()
    log_in(network_client, "Olga")
    answer = network_client.post(
        "/people", data={"csrf": token, "name": "Eve", "role": "owner"}, headers={"origin": "http://192.0.2.7:8300"}
    )
    assert answer.status_code == 403


def test_without_a_login_pages_lead_to_it_and_back(network_client):
    answer = network_client.get("/shelves/inks?q=white")
    assert (answer.status_code, answer.headers["location"]) == (303, "/login?next=%2Fshelves%2Finks%3Fq%3Dwhite")
    assert (
        post(network_client, "/login", "/login", name="Vera", password=PASSWORD, next="/shelves/inks").headers[
            "location"
        ]
        == "/shelves/inks"
    )
    assert network_client.get("/shelves/inks").status_code == 200


def test_without_a_login_the_api_says_so(network_client):
    answer = network_client.get("/api/shelves/inks")
    assert answer.status_code == 401
    assert answer.headers["www-authenticate"] == "Bearer"
    assert set(answer.json()) == {"what", "where"}


@pytest.mark.parametrize("address", ["https://evil.example", "//evil.example", "/\\evil.example", "evil", "/a\nb"])
def test_a_login_leads_to_no_other_site(network_client, address):
    answer = post(network_client, "/login", "/login", name="Vera", password=PASSWORD, next=address)
    assert answer.headers["location"] == "/"


def test_choosing_a_look_leads_back_to_the_page_and_to_no_other_site(client):
    def leads_to(referer):
        data = {"csrf": token_in(client.get("/account")), "theme": "dark"}
        return client.post("/look", data=data, headers=ORIGIN | {"referer": referer}).headers["location"]

    assert leads_to("http://127.0.0.1:8300/shelves/inks?q=white") == "/shelves/inks?q=white"
    assert leads_to("http://127.0.0.1:8300//evil.example/") == "/evil.example/"
    assert leads_to("http://127.0.0.1:8300.evil.example/") == "/"
    assert 'data-theme="dark"' in client.get("/shelves").text


def test_the_login_cookie_cannot_be_read_by_scripts_nor_sent_from_elsewhere(network_client):
    cookie = log_in(network_client, "Vera").headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Secure" not in cookie


def test_with_https_the_cookie_is_secure_and_bound_to_the_host(tmp_path, staffed_database):
    import shutil

    shutil.copy(staffed_database, tmp_path / "laydown.sqlite")
    settings = Settings(data=tmp_path, worker=False, login=True, public_url="https://shop.example")
    with client_of(settings, "shop.example") as client:
        client.base_url = "https://shop.example"
        answer = log_in(client, "Vera")
        assert answer.headers["set-cookie"].startswith("__Host-laydown_login=")
        assert "Secure" in answer.headers["set-cookie"]
        assert answer.headers["strict-transport-security"] == "max-age=31536000"


def test_a_wrong_password_a_wrong_name_and_somebody_who_left_look_the_same(network_client):
    with store_of(network_client).read() as tx:
        from laydown.store import users

        pit = users.find(tx, "Pit")
    people.change(store_of(network_client), pit.id, revision=pit.revision, active=False, who="Olga")
    answers = [
        log_in(network_client, name, word)
        for name, word in (("Vera", "not the password"), ("Nobody", PASSWORD), ("Pit", PASSWORD))
    ]
    assert {answer.status_code for answer in answers} == {422}
    assert all("do not fit" in answer.text for answer in answers)


def test_guessing_passwords_is_slowed_down_for_the_name(network_client):
    statuses = [log_in(network_client, "Vera", f"guess number {n}").status_code for n in range(6)]
    assert statuses == [422] * 5 + [429]
    late = log_in(network_client, "Vera")
    assert late.status_code == 429
    assert int(late.headers["retry-after"]) > 0


def test_logging_out_ends_the_login_on_the_server(network_client):
    log_in(network_client, "Vera")
    cookie = dict(network_client.cookies)
    assert post(network_client, "/logout").status_code == 303
    network_client.cookies.update(cookie)
    assert network_client.get("/shelves").status_code == 303


def test_a_token_works_for_what_its_person_may_until_it_is_revoked(network_client):
    log_in(network_client, "Lea")
    page = post(network_client, "/account/tokens", name="scale", role="viewer")
    secret = page.text.split("<code>")[1].split("</code>")[0]
    assert secret.startswith("laydown_")
    network_client.cookies.clear()
    headers = {"authorization": f"Bearer {secret}"}
    assert network_client.get("/api/shelves/inks", headers=headers).status_code == 200
    assert network_client.get("/api/me", headers=headers).json()["role"] == "viewer"
    assert network_client.post("/api/shelves/inks", json={"document": {}}, headers=headers).status_code == 403
    assert network_client.get("/api/shelves/inks", headers={"authorization": "Bearer laydown_no"}).status_code == 401
    (token,) = network_client.get("/api/me/tokens", headers=headers).json()
    assert network_client.delete(f"/api/me/tokens/{token['id']}", headers=headers).status_code == 204
    assert network_client.get("/api/me", headers=headers).status_code == 401


def test_a_token_above_the_own_role_is_refused(network_client):
    log_in(network_client, "Vera")
    assert post(network_client, "/account/tokens", name="x", role="owner").status_code == 422


def test_changing_the_password_needs_the_present_one_and_logs_out(network_client):
    log_in(network_client, "Vera")
    assert (
        post(network_client, "/account/password", present="wrong one here", password="another one").status_code == 422
    )
    answer = post(network_client, "/account/password", present=PASSWORD, password="another one, longer")
    assert answer.headers["location"] == "/login"
    assert network_client.get("/shelves").status_code == 303
    assert log_in(network_client, "Vera").status_code == 422
    assert log_in(network_client, "Vera", "another one, longer").status_code == 303


def test_too_large_a_body_is_refused_by_its_length(client):
    told = client.post("/api/care-label", json={"text": "a" * 2_000_000})
    assert told.status_code == 413
    assert told.json() == {"what": "what was sent is larger than this address takes", "where": ""}
    headers = ORIGIN | {"content-type": "application/x-www-form-urlencoded"}
    page = client.post("/look", content=b"a" * 2_000_000, headers=headers)
    assert page.status_code == 413
    assert "Go back and send a smaller file, or a shorter text." in page.text
    for answer in (told, page):
        assert answer.headers["content-security-policy"] == POLICY
        assert re.fullmatch("[0-9a-f]{12}", answer.headers["x-request-id"])


def test_a_page_that_grew_old_says_to_load_it_again_and_not_to_ask_an_owner(client):
    page = client.post("/look", data={"csrf": "old", "theme": "dark"}, headers=ORIGIN)
    assert page.status_code == 403
    assert "That page has grown old" in page.text
    assert "Ask an owner" not in page.text


def test_a_body_of_unknown_length_is_read_no_further_than_is_allowed(client):
    pieces = 0
    statuses = []

    async def receive():
        nonlocal pieces
        pieces += 1
        return {"type": "http.request", "body": b" " * 100_000, "more_body": pieces < 1000}

    async def send(message):
        if message["type"] == "http.response.start":
            statuses.append(message["status"])

    headers = [(b"host", b"127.0.0.1:8300"), (b"content-type", b"application/json")]
    scope = {"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http"}
    scope |= {"path": "/api/care-label", "raw_path": b"", "query_string": b"", "headers": headers}
    asyncio.run(client.app(scope, receive, send))
    assert statuses == [413]
    assert pieces < 15


def test_an_unforeseen_error_shows_a_number_and_no_trace(client, monkeypatch, caplog):
    from laydown.services import shelf_editing

    def broken(_store):
        raise ZeroDivisionError("a secret of the inside")

    monkeypatch.setattr(shelf_editing, "counts", broken)
    answer = client.get("/shelves")
    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert answer.headers["x-request-id"] in answer.text
    assert answer.headers["content-security-policy"] == POLICY
    assert "ZeroDivisionError" in caplog.text
    api = client.get("/api/shop")
    assert api.status_code == 500
    assert set(api.json()) == {"what", "where"}


def test_a_database_that_is_gone_is_told_with_a_sentence(client, monkeypatch):
    from laydown.errors import StoreUnavailable
    from laydown.store.database import Store

    def gone(_store):
        raise StoreUnavailable("the disk is full", busy=True)

    monkeypatch.setattr(Store, "read", gone)
    answer = client.get("/shelves")
    assert answer.status_code == 503
    assert "disk is full" in answer.text
    assert answer.headers["retry-after"] == "1"
    assert client.get("/api/shop").json() == {"what": "the disk is full", "where": ""}


def test_the_log_of_requests_names_no_search_and_holds_no_line_break(client, caplog):
    caplog.set_level("INFO", logger="laydown.web")
    client.get("/shelves/inks?q=private")
    client.get("/no%0Aforged line")
    assert "private" not in caplog.text
    assert "GET /shelves/inks 200" in caplog.text
    assert "\nforged" not in caplog.text


def test_nothing_is_global_two_apps_do_not_share(tmp_path, client):
    with client_of(Settings(data=tmp_path / "other", worker=False)) as other:
        assert opening.shop_head(store_of(other)) is None
        assert token_in(client.get("/account")) != token_in(other.get("/start"))


def test_labels_say_before_printing_that_no_tablet_could_open_their_code(client):
    started, _ = swatch_start.start_from_cloth(
        store_of(client), protocol="foil-x10", garment="Quayside tee black", lot="L-7", key="labels-1", who="tests"
    )
    address = f"/lab/labels?swatch={started.swatch.number}"
    page = client.get(address).text
    assert "No tablet could open the code of these labels." in page
    assert "http://127.0.0.1:8300" in page
    assert 'href="/shelves/preferences/edit?name=preferences"' in page

    prefs = client.get("/api/settings/preferences").json()
    document = prefs["document"] | {"address": "https://shop.example"}
    client.put("/api/settings/preferences", json={"document": document, "revision": prefs["revision"]})
    page = client.get(address).text
    assert "No tablet" not in page
    assert "below https://shop.example" in page
